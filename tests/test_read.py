"""Tables of facts: a row that does not say where it comes from is refused; nothing stands there unread."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from blendlab.errors import BadFacts, UnknownName
from blendlab.facts import read
from blendlab.facts.preservatives import system
from blendlab.facts.read import (
    KEY,
    REQUIRED,
    SOURCE_KINDS,
    Row,
    day,
    figure,
    level,
    maybe_day,
    maybe_number,
    number,
    parse,
    table,
)

HEAD = "name*,value,unit,source,source_kind,checked_on\n"
GOOD = "jar,3,mm,common practice,practice,2026-11-25\n"
ROOT = Path(read.__file__).parents[1]
TABLES = sorted(path.relative_to(ROOT / "facts").with_suffix("").as_posix() for path in ROOT.rglob("*.csv"))
FIGURES = [name for name in TABLES if name.endswith("/figures")]


def test_a_row_that_says_where_it_comes_from_is_read():
    (row,) = parse("t.csv", HEAD + GOOD)
    assert row["name"] == "jar"
    assert row.key == ("jar",)
    assert number(row, "value") == 3
    with pytest.raises(TypeError):
        row["value"] = "4"


@pytest.mark.parametrize("column", REQUIRED)
def test_a_missing_column_is_refused(column):
    head = HEAD.replace(f",{column}", "")
    with pytest.raises(BadFacts, match=column) as caught:
        parse("t.csv", head)
    assert caught.value.line == 1


@pytest.mark.parametrize("column", REQUIRED)
@pytest.mark.parametrize("empty", ["", "  "])
def test_an_empty_cell_is_refused_with_its_line(column, empty):
    cells = dict(zip(HEAD.strip().split(","), GOOD.strip().split(","), strict=True))
    row = ",".join({**cells, "name*": "lid", column: empty}.values())
    with pytest.raises(BadFacts, match=f"{column} is empty") as caught:
        parse("t.csv", HEAD + GOOD + row + "\n")
    assert (caught.value.table, caught.value.line) == ("t.csv", 3)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("jar,3,mm,hearsay,rumour,2026-11-25", "rumour"),
        ("jar,3,mm,a book,published,last week", "last week"),
        ("jar,3,mm,a book,published,2026-13-01", "2026-13-01"),
        ("jar,3,mm,a book,published", "more or fewer cells"),
        ("jar,3,mm,a book,published,2026-11-25,more", "more or fewer cells"),
    ],
)
def test_a_wrong_row_is_refused_in_words(row, told):
    with pytest.raises(BadFacts, match=told):
        parse("t.csv", HEAD + row + "\n")


def test_a_key_stands_once():
    with pytest.raises(BadFacts, match=r't\.csv, line 4: "jar" stands in line 2 already'):
        parse("t.csv", HEAD + GOOD + GOOD.replace("jar", "lid") + GOOD.replace(",3,", ",4,"))


def test_a_key_of_two_columns_is_both_of_them():
    head = HEAD.replace("value", "of*")
    rows = parse("t.csv", head + GOOD + GOOD.replace(",3,", ",4,"))
    assert [row.key for row in rows] == [("jar", "3"), ("jar", "4")]
    with pytest.raises(BadFacts, match='"jar 3" stands in line 2'):
        parse("t.csv", head + GOOD + GOOD)


def test_a_table_without_a_key_is_refused():
    with pytest.raises(BadFacts, match="no key column"):
        parse("t.csv", HEAD.replace("*", "") + GOOD)


def test_empty_is_unknown_never_nought():
    (row,) = parse("t.csv", HEAD + GOOD.replace(",3,", ",,"))
    assert maybe_number(row, "value") is None
    assert maybe_day(row, "value") is None
    with pytest.raises(BadFacts):
        number(row, "value")


@pytest.mark.parametrize("reader", [number, maybe_number, day, maybe_day])
@pytest.mark.parametrize("cell", ["about 3", "3,5", "nan", "inf", "1e999"])
def test_a_bad_cell_names_its_file_and_line(reader, cell):
    quoted = f'"{cell}"' if "," in cell else cell
    row = parse("t.csv", HEAD + GOOD + GOOD.replace("jar,3", f"lid,{quoted}"))[1]
    with pytest.raises(BadFacts, match=r"^t\.csv, line 3: value is ") as caught:
        reader(row, "value")
    assert cell in str(caught.value)


def test_a_word_that_is_no_level_names_its_file_and_line():
    (row,) = parse("t.csv", HEAD.replace("value", "level") + GOOD)
    with pytest.raises(BadFacts, match=r"t\.csv, line 2: level is"):
        level(row)


@pytest.mark.parametrize(("column", "word"), [("takes", "al"), ("takes", ""), ("refused", "yess")])
def test_a_preservative_row_of_no_known_word_names_its_file_and_line(column, word):
    rows = table("batch/preservatives")
    wrong = Row(("batch/preservatives.csv", 7), rows[0].key, {**rows[0], column: word})
    with pytest.raises(BadFacts, match=rf'batch/preservatives\.csv, line 7: {column} is "{word}"; one of'):
        system(wrong)


def test_a_figure_without_a_range_is_its_own():
    found = figure("tint", "mica_cap")
    assert found.range == (2.0, 2.0, 2.0)
    assert found.unit == "% of the finished portion"
    assert found.source_kind == "practice"


def test_an_unknown_figure_is_named_with_those_there_are():
    with pytest.raises(UnknownName, match=r"figure of jar/materials.*known: glass"):
        figure("jar/materials", "tin")


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_lies_in_its_range(name):
    for row in table(name):
        low, value, high = figure(name, row.key[0]).range
        assert low <= value <= high, row.key


@pytest.mark.parametrize("name", TABLES)
def test_every_table_of_the_package_reads(name):
    rows = table(name)
    assert rows
    assert {row["source_kind"] for row in rows} <= set(SOURCE_KINDS)


def _words(path: Path) -> tuple[set[str], tuple[str, ...], tuple[str, ...]]:
    """Whole texts of a module; fixed beginnings and ends of its composed ones, such as "cat_" and "V"."""
    nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
    texts = {node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)}
    pairs = [node.values for node in nodes if isinstance(node, ast.JoinedStr) and len(node.values) == 2]
    begun, ended = (
        tuple(pair[at].value for pair in pairs if isinstance(pair[at], ast.Constant)) for at in (0, 1)
    )
    return texts, begun, ended


SHARED = ("low", "value", "high", "level", "engine_use")
"""Columns that a function shared by several tables reads."""
WORDS = {path: _words(path) for path in ROOT.rglob("*.py")}


@pytest.mark.parametrize("name", [name for name in TABLES if name not in FIGURES])
def test_every_column_is_read(name):
    """A column is named, or composed as f"cat_{name}", in a module that names the table."""
    readers = [words for words in WORDS.values() if name in words[0]]
    assert readers
    head = (ROOT / "facts" / f"{name}.csv").read_text(encoding="utf-8").split("\n", 1)[0].split(",")
    for column in {*head} - {*REQUIRED, *SHARED, "remark"}:
        if column.endswith(KEY):
            continue
        assert any(
            column in texts or column.startswith(begun) or column.endswith(ended)
            for texts, begun, ended in readers
        ), column


@pytest.mark.parametrize("name", FIGURES)
def test_every_figure_is_asked_for(name):
    room = name.split("/")[0]
    named = set().union(*(texts for texts, *_ in WORDS.values() if room in texts))
    assert [row.key[0] for row in table(name) if row.key[0] not in named] == []
    assert set(table(name)[0]) <= {"id", "value", "low", "high", "remark", *REQUIRED}


def _asked(path: Path) -> list[tuple[str, str]]:
    """Table and name of every figure that a module asks for by a fixed name."""
    calls = [
        node
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "figure" and len(node.args) == 2
    ]
    pairs = [[part.value for part in call.args if isinstance(part, ast.Constant)] for call in calls]
    return [(pair[0], pair[1]) for pair in pairs if len(pair) == 2]


def test_every_figure_that_is_asked_for_is_there():
    asked = [pair for path in WORDS for pair in _asked(path)]
    assert len(asked) > 100
    for name, of in asked:
        assert figure(name, of).unit

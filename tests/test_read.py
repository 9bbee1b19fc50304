"""Tables of facts: a row that does not say where it comes from is refused."""

from pathlib import Path

import pytest

from blendlab.errors import BadFacts
from blendlab.facts import read
from blendlab.facts.read import REQUIRED, SOURCE_KINDS, maybe_number, number, parse, table

HEAD = "name,value,unit,source,source_kind,checked_on\n"
GOOD = "jar,3,mm,common practice,practice,2026-11-25\n"
TABLES = sorted((Path(read.__file__).parent).rglob("*.csv"))


def test_a_row_that_says_where_it_comes_from_is_read():
    (row,) = parse("t.csv", HEAD + GOOD)
    assert row["name"] == "jar"
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
    row = ",".join({**cells, column: empty}.values())
    with pytest.raises(BadFacts, match=f"{column} is empty") as caught:
        parse("t.csv", HEAD + GOOD + row + "\n")
    assert caught.value.line == 3


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


def test_empty_is_unknown_never_nought():
    (row,) = parse("t.csv", HEAD + GOOD.replace(",3,", ",,"))
    assert maybe_number(row, "value") is None
    with pytest.raises(BadFacts):
        number(row, "value")


@pytest.mark.parametrize("path", TABLES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_table_of_the_package_reads(path):
    rows = table(path.relative_to(Path(read.__file__).parent).as_posix())
    assert rows
    assert {row["source_kind"] for row in rows} <= set(SOURCE_KINDS)

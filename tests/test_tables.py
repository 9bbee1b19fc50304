"""Tables in and out: whatever ends its lines and parts its cells comes back the same.

Second route: the csv reader of the standard library, on what both can read.
"""

from __future__ import annotations

import csv
from io import StringIO

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from blendlab.errors import BadDocument, BlendlabError, OutOfRange
from blendlab.tables import MOST_CHARACTERS, cells, csv_of, text_of

WORD = st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), max_size=8).map(str.strip)
TABLE = st.lists(st.lists(WORD, min_size=2, max_size=5), min_size=1, max_size=6).map(
    lambda rows: [["name", "lot"], *rows]
)
OTHERS = TABLE.filter(lambda rows: not any(word.startswith("'") for row in rows for word in row))
"""Tables of others: none has the apostrophe of ours."""


def shortened(rows):
    kept = []
    for row in rows:
        while row and not row[-1]:
            row = row[:-1]
        kept.append(tuple(row))
    while kept and not kept[-1]:
        kept.pop()
    return tuple(kept)


@example([["name", "lot"], ["", "", ""]], "\n", "\t")  # a line of nothing but marks is the widest
@given(OTHERS, st.sampled_from(["\n", "\r\n", "\r"]), st.sampled_from([";", ",", "\t"]))
def test_what_was_written_is_read(rows, end, mark):
    out = StringIO()
    csv.writer(out, delimiter=mark, lineterminator=end).writerows(rows)
    assert cells(out.getvalue()) == shortened(rows)


@given(TABLE)
def test_a_file_of_ours_comes_back(rows):
    width = max(map(len, rows))
    full = [[*row, *[""] * (width - len(row))] for row in rows]
    data = csv_of([f"column {at}" for at in range(width)], full)
    assert cells(text_of(data))[1:] == shortened(full)
    theirs = list(csv.reader(StringIO(text_of(data))))[1:]
    for came, went in zip(theirs, full, strict=True):
        assert [
            cell if cell == hers else cell.removeprefix("'") for cell, hers in zip(came, went, strict=True)
        ] == went


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "'=", "''+"])
def test_what_a_spreadsheet_would_run_is_written_as_text_and_read_as_she_wrote_it(start):
    hers = f"{start}HYPERLINK(A1)"
    data = csv_of(("name", "g"), [(hers, 4.5), ("b", f"{start}1+1")])
    rows = list(csv.reader(StringIO(text_of(data), newline="")))
    assert (rows[1][0], rows[2][1]) == (f"'{hers}", f"'{start}1+1")
    assert cells(text_of(data))[1:] == ((hers.strip(), "4.5"), ("b", f"{start}1+1".strip()))


def test_a_head_of_hers_is_written_as_text_too():
    data = csv_of(("=1+1", "g"), [("a", 1)])
    assert text_of(data).startswith("'=1+1,g")
    assert cells(text_of(data))[0] == ("=1+1", "g")


@pytest.mark.parametrize("cell", [-0.2, "-0.2", "-0,2", "+5", "-1e-05", "-.5", "'tis", "a=b", "2026-03-07"])
def test_numbers_and_words_stay_as_they_are(cell):
    data = csv_of(("a", "b"), [("x", cell)])
    assert list(csv.reader(StringIO(text_of(data))))[1] == ["x", str(cell)]
    assert cells(text_of(data))[1] == ("x", str(cell))


@given(st.text(max_size=300))
def test_any_text_is_read_or_answered(text):
    try:
        read = cells(text)
    except BlendlabError:
        return
    assert all(row[-1] for row in read if row)


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_answered(data):
    try:
        cells(text_of(data))
    except BlendlabError:
        return


def test_lines_that_end_in_a_carriage_return_alone():
    assert cells("name;9\rReed;4,6\rMoss;5\r") == (("name", "9"), ("Reed", "4,6"), ("Moss", "5"))


def test_a_cell_over_several_lines_takes_nothing_from_its_row():
    """A row longer than the first, of which every line is short, once lost its end."""
    text = 'name;lot\nReed;"dry;\nsoft";4.5;"g"""\nMoss'
    assert cells(text) == (("name", "lot"), ("Reed", "dry;\nsoft", "4.5", 'g"'), ("Moss",))
    assert cells(text)[1] == tuple(list(csv.reader(StringIO(text), delimiter=";"))[1])


def test_a_quote_that_never_closes_is_answered():
    with pytest.raises(BadDocument, match="quote"):
        cells('name;note\nReed;"never closed\nMoss;x')


def test_a_table_beyond_any_studio_is_refused_unread():
    with pytest.raises(OutOfRange):
        cells("x" * (MOST_CHARACTERS + 1))


def test_words_that_other_readers_take_for_nothing_stay_words():
    assert cells("name,lot\nNA,null\nNaN,007") == (("name", "lot"), ("NA", "null"), ("NaN", "007"))

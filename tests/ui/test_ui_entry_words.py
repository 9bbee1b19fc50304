"""What stands in "Everything written down": words for every kind of line that a batch can have."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date

import pytest

from blendlab import store
from blendlab.store.book_entries import ENTRIES
from blendlab.ui import book_lines, parts
from blendlab.ui.words import book as say
from tests.batch import plans_to_try as tries
from tests.ui.kitchen_walk import page_of, started

ELSEWHERE = {"family", "revision", "answer", "drill", "challenge", "report"}
"""Kinds that are shown on pages of their own, not among the lines of a batch."""
UNSAID = {"extra", "heats", "sale"}


@pytest.mark.parametrize("kind", sorted(ENTRIES.keys() - ELSEWHERE))
def test_every_kind_of_line_and_all_it_says_has_words(kind):
    assert kind in say.ENTRIES
    assert {field.name for field in fields(ENTRIES[kind])} - UNSAID <= {*say.DATA, *book_lines.COUNTED}


def test_a_list_and_a_tick_are_told_in_words(pages, folder):
    code = started(pages)
    read = ["A tone is pale.", "A line is small."]
    data = {"free_liquid": True, "fails": ["colour", "drop"], "not_read": ["ph_shift"], "read": read}
    store.open_book(folder).write("note", "cold", data, code)
    pages.press("Leave kitchen view").go("book").at.button(key=f"show-batch-{code}").click()
    said = pages.run().said
    assert "does not hold: colour, drop · free liquid" in said
    assert "not read: pH shift" in said
    assert "read before: A tone is pale. A line is small." in said
    assert "things of your shelf, as they were then" in said
    assert "True" not in said.partition("<td>Note</td>")[2].partition("</tr>")[0]


def test_what_was_weighed_and_written_stands_at_the_time_of_her_clock(folder, clock_of):
    book = store.open_book(folder)
    code = book.start(tries.made(), date(2026, 3, 7))
    book.weigh(code, "base", 100, planned_g=100)
    book.write("note", "shelf", {"said": "beside the window"}, code)
    page, stored = page_of(folder, code), "2026-03-07T23:30:12.345+00:00"
    page = replace(
        page,
        entries=tuple(replace(entry, at=stored) for entry in page.entries),
        weighings=tuple(replace(weighing, at=stored) for weighing in page.weighings),
    )
    clock_of("EST5EDT,M3.2.0,M11.1.0")
    for said in (book_lines._entries(book, page), book_lines._weighed(book, page)):
        assert said.count("2026-03-07 18:30<") == 1


def test_what_came_back_names_its_sale_and_a_reading_its_test(pages, folder, monkeypatch):
    """The number of a sale may be that of a jar, and a cup of foam is no test of foam."""
    page = page_of(folder, started(pages))
    told = [
        ("sale", "", {"to": "Ana", "jars": 5}),
        ("fill", "901", {"net_g": 71.5}),
        ("density", "foam", {"g_ml": 0.6}),
        ("return", "901", {"sale": 901, "jars": 1}),
        ("reading", "light", {"growth": True}),
        ("jars", "", {"change": -1, "why": "one broke"}),
        ("jars", "", {"change": 2, "why": "found"}),
        ("release", "released for sale", {"read": ["Pale.", "Below 45 °C."], "heats": [45]}),
    ]
    numbers = tuple(range(901, 909))
    lines = [
        store.BookEntry(number, *line, page.entries[0].at, None, False, number)
        for number, line in zip(numbers, told, strict=True)
    ]
    monkeypatch.setattr(parts, "heat_in", lambda: "F")
    said = book_lines._entries(store.open_book(folder), replace(page, entries=tuple(lines)))
    assert "<td>sale to Ana · 1 jar</td>" in said
    assert "<td>901 · 71.5 g net</td>" in said
    assert "<td>foam · 0.6 g/ml</td>" in said
    assert "<td>released for sale · read before: Pale. Below 113 °F.</td>" in said
    assert "<td>1 jar fewer · one broke</td>" in said
    assert "<td>2 jars more · found</td>" in said
    assert "beside a jar in foil · growth</td>" in said


def test_a_weighing_of_a_tone_names_its_cup(pages, folder):
    """One pigment in two tones is weighed twice; only the cup tells the lines apart."""
    code, book = started(pages), store.open_book(folder)
    line = next(line for line in page_of(folder, code).plan.lines if line.tone)
    book.weigh(code, line.id, line.grams, planned_g=line.grams)
    assert f"<small>{line.cup} · " in book_lines._weighed(book, page_of(folder, code))

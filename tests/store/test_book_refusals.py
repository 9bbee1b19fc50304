"""What the book itself refuses, whoever writes: masses that are none, texts that nothing can show."""

from __future__ import annotations

import sqlite3
from datetime import date

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.errors import BadDocument, NotSaved, OutOfRange
from blendlab.recipe import Ref
from blendlab.shelf import Lot, resolve
from blendlab.store import Refused, book_schema
from blendlab.store.book_schema import TABLES
from tests.batch import plans_to_try as tries

DAY = date(2026, 3, 7)
NO_MASS = (-5.0, -0.0001, float("nan"), float("inf"), 1e300)
UNSEEN = ("\x00", "L\x00", "L\x1b[2J", "L\x7f", "L\ud800")


@pytest.fixture
def book(tmp_path) -> store.Book:
    return store.open_book(store.Folder(tmp_path))


@pytest.fixture(scope="module")
def sheet():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


def lot(code: str = "L-1", **more) -> Lot:
    return Lot(code=code, of=Ref(kind="base", id="cooked"), **more)


def rows(book: store.Book) -> list[int]:
    link = sqlite3.connect(book.path)
    counts = [link.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in TABLES]
    link.close()
    return counts


@pytest.mark.parametrize("grams", NO_MASS)
def test_a_mass_that_is_none_is_written_nowhere(book, sheet, grams):
    number = book.receive(lot(), 100.0)
    code = book.start(sheet, DAY)
    cooked = book.start(sheet, DAY, kind="base")
    weighed = book.weigh(code, "base", 10.0, planned_g=10.0, lot=number)
    before = rows(book)
    for act in (
        lambda: book.receive(lot("L-2"), grams),
        lambda: book.weigh(code, "oil", grams, planned_g=1.0),
        lambda: book.weigh(code, "oil", 1.0, planned_g=grams),
        lambda: book.weigh(code, "oil", 1.0, planned_g=1.0, lot=number, draw_g=grams),
        lambda: book.correct_weighing(weighed, grams, "misread"),
        lambda: book.correct_weighing(weighed, 9.0, "misread", draw_g=grams),
        lambda: book.throw_away(code, ["base"], "spilt", [(number, grams)]),
        lambda: book.finish_base(cooked, lot("B-1"), grams, {}),
    ):
        with pytest.raises(OutOfRange):
            act()
    assert rows(book) == before
    assert store.lot(book, number).left_g == 90.0


def test_nothing_is_no_delivery_no_weighing_and_no_yield(book, sheet):
    code, cooked = book.start(sheet, DAY), book.start(sheet, DAY, kind="base")
    for act in (
        lambda: book.receive(lot(), 0.0),
        lambda: book.weigh(code, "base", 0.0, planned_g=1.0),
        lambda: book.finish_base(cooked, lot("B-1"), 0.0, {}),
    ):
        with pytest.raises(OutOfRange):
            act()


@pytest.mark.parametrize("code", ["", "   ", "x" * 61, "x" * 500, *UNSEEN, "L​1", "L‮1", "two\nlines"])
def test_a_lot_code_that_no_label_can_carry_is_refused(book, code):
    before = rows(book)
    with pytest.raises((Refused, BadDocument, OutOfRange)):
        book.receive(lot(code), 10.0)
    assert rows(book) == before


@pytest.mark.parametrize("code", ['12"', "O'Hara", "<b>", "a, b", "L-1, 300 g left", "Ж-7", "*bold*"])
def test_what_a_supplier_may_print_is_a_code(book, code):
    number = book.receive(lot(code), 10.0)
    assert store.lot(book, number).lot.code == code


@pytest.mark.parametrize("text", UNSEEN)
def test_a_text_that_cannot_be_shown_is_refused_wherever_it_stands(book, sheet, text):
    number = book.receive(lot(), 100.0)
    code = book.start(sheet, DAY)
    weighed = book.weigh(code, "base", 10.0, planned_g=10.0, lot=number)
    before = rows(book)
    for act in (
        lambda: book.receive(lot("L-2", name=text), 10.0),
        lambda: book.receive(lot("L-2", supplier=text), 10.0),
        lambda: book.receive(lot("L-2"), 10.0, {"in_order": {text: [1, 2]}}),
        lambda: book.correct_lot(number, lot(document=text)),
        lambda: book.move(number, -1.0, "waste", text),
        lambda: book.start(sheet, DAY, sku=text),
        lambda: book.weigh(code, "oil", 1.0, planned_g=1.0, note=text),
        lambda: book.weigh(code, text, 1.0, planned_g=1.0),
        lambda: book.correct_weighing(weighed, 9.0, f"misread {text}"),
        lambda: book.throw_away(code, ["base"], text),
        lambda: book.write("note", text, {}, code),
        lambda: book.write("note", "x", {"said": {"inner": [text]}}, code),
        lambda: book.write("note", "x", {text: 1}, code),
        lambda: book.write("deviation", "x", {"cause": text}, code),
    ):
        with pytest.raises(Refused):
            act()
    assert rows(book) == before


def test_a_note_may_have_lines(book, sheet):
    code = book.start(sheet, DAY)
    book.write("note", "x", {"said": "one\ntwo\tthree"}, code)
    assert store.batch(book, code).of("note")[0].data["said"] == "one\ntwo\tthree"


def test_a_full_disk_is_told_though_it_rolled_the_transaction_back_itself(book, sheet, monkeypatch):
    connect, before = book_schema.connect, rows(book)

    def full(path, mode="rwc"):
        link = connect(path, mode)
        link.execute(f"PRAGMA max_page_count = {link.execute('PRAGMA page_count').fetchone()[0]}")
        return link

    monkeypatch.setattr(book_schema, "connect", full)
    with pytest.raises(NotSaved, match="full"):
        book.start(sheet, DAY, design=tries.design())
    assert rows(book) == before

"""A lot in the book is corrected by a new line that says why; what stood before stays."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab import store
from blendlab.batch import cook
from blendlab.facts.demo import demo_shelf
from blendlab.forms import deliveries
from blendlab.forms.lot_corrections import correct, typed_of
from blendlab.shelf import Lot

DAY = date(2026, 3, 7)
BASE = {
    "kind": "base", "item": "soap-white", "code": "B-1", "grams": "4,5 kg", "supplier": "Mill",
    "kept": "range", "low": "0,8", "high": "1,0", "ph": "6,1",
    "expiry": "2027-11-30", "order": "Aqua 40 45\nGlycerin 12",
}  # fmt: skip


@pytest.fixture
def book(tmp_path):
    book = store.open_book(store.Folder(tmp_path))
    folder = store.Folder(tmp_path)
    for typed in (BASE, {"kind": "oil", "item": "lavender", "code": "O-1", "grams": "100"}):
        _, answers = deliveries.receive(book, folder, demo_shelf(), typed, DAY)
        assert answers == []
    return book


def lot_of(book, item: str) -> store.LotLine:
    (line,) = store.lots(book, item)
    return line


def test_the_form_holds_what_stands_and_keeps_it(book):
    before = lot_of(book, "base:soap-white")
    said, answers = correct(book, before, {**typed_of(before), "why": "read the label again"}, DAY)
    after = lot_of(book, "base:soap-white")
    assert answers == []
    assert "B-1 is corrected" in said
    assert (after.lot, after.left_g) == (before.lot, 4500)
    assert {key: value for key, value in after.data.items() if value and key != "corrected"} == before.data
    assert after.data["corrected"] == "read the label again"


def test_figures_and_days_are_corrected_and_emptied(book):
    before = lot_of(book, "base:soap-white")
    typed = {**typed_of(before), "why": "new analysis", "kept": "known", "low": "0,9", "ph": "", "expiry": ""}
    assert "two figures" in correct(book, before, typed, DAY)[1][0]  # the other end of the range still stands
    typed |= {"high": ""}
    assert correct(book, before, typed, DAY)[1] == []
    after = lot_of(book, "base:soap-white")
    assert after.data["preservative_pct"] == [0.9, 0.9]
    assert after.data["pH"] is None
    assert after.lot.expiry is None
    assert typed_of(after)["kept"] == "known"
    assert typed_of(after)["ph"] == ""


def test_a_lot_of_an_oil_gets_another_code_and_day(book):
    before = lot_of(book, "oil:lavender")
    typed = {**typed_of(before), "why": "misread", "code": "O-7", "received": "2026-03-01"}
    assert correct(book, before, typed, DAY)[1] == []
    after = lot_of(book, "oil:lavender")
    assert (after.number, after.lot.code, after.lot.received) == (before.number, "O-7", date(2026, 3, 1))
    assert set(after.data) - set(before.data) == {"corrected"}


@pytest.mark.parametrize(
    ("change", "answer"),
    [
        ({"why": " "}, "Say why: it is read by who looks the lot up."),
        ({"code": ""}, "The code of the lot is missing."),
        ({"expiry": "soon"}, 'Use by: "soon" is no date like 2026-11-25.'),
        ({"kept": "known", "low": ""}, "The percent of preservative is missing"),
    ],
)
def test_a_correction_that_is_not_whole_is_answered_and_writes_nothing(book, change, answer):
    before = lot_of(book, "base:soap-white")
    _, answers = correct(book, before, {**typed_of(before), "why": "x", **change}, DAY)
    assert len(answers) == 1
    assert answers[0].startswith(answer)
    assert lot_of(book, "base:soap-white") == before


def test_what_was_paid_for_a_lot_is_corrected_and_emptied(book):
    """24.00 and 3.00 of postage for 500 g; what the form does not ask for stays."""
    before = lot_of(book, "oil:lavender")
    typed = {**typed_of(before), "why": "the bill", "price": "24,00", "pack": "500", "shipping": "3"}
    assert correct(book, before, typed, DAY)[1] == []
    after = lot_of(book, "oil:lavender")
    assert (after.data["price"]["pack_price"], after.data["price"]["shipping"]) == (24, 3)
    number = after.number
    book.correct_lot(number, after.lot, {"price": {**after.data["price"], "tax": 2.0, "waste": 0.1}})
    after = lot_of(book, "oil:lavender")
    assert typed_of(after)["pack"] == "500"
    assert correct(book, after, {**typed_of(after), "why": "misread", "price": "25"}, DAY)[1] == []
    after = lot_of(book, "oil:lavender")
    assert after.data["price"] == {"pack_price": 25, "pack_g": 500, "shipping": 3, "tax": 2, "waste": 0.1}
    assert correct(book, after, {**typed_of(after), "why": "a gift", "price": ""}, DAY)[1] == []
    assert lot_of(book, "oil:lavender").data["price"] is None
    assert "Grams of the pack" in correct(book, after, {"code": "O", "why": "x", "price": "9"}, DAY)[1][0]


def test_the_work_of_a_cooked_lot_is_corrected(book):
    code = book.start(cook(demo_shelf().today("base", "soap-white"), demo_shelf(), 1000), DAY, kind="base")
    base = demo_shelf().today("base", "soap-white")
    book.finish_base(code, Lot(code="C-1", of=base.ref, name=base.name), 900, {"minutes": 60})
    cooked = next(line for line in store.lots(book) if line.batch)
    assert typed_of(cooked)["minutes"] == "60"
    assert (
        correct(book, cooked, {**typed_of(cooked), "why": "forgot the cleaning", "minutes": "85"}, DAY)[1]
        == []
    )
    assert next(line for line in store.lots(book) if line.batch).data["minutes"] == 85


def test_a_code_that_another_lot_has_is_refused_in_words(book):
    typed = {"kind": "oil", "item": "lavender", "code": "O-2", "grams": "10"}
    assert deliveries.receive(book, store.Folder(book.path.parent), demo_shelf(), typed, DAY)[1] == []
    second = next(line for line in store.lots(book, "oil:lavender") if line.lot.code == "O-2")
    _, answers = correct(book, second, {**typed_of(second), "code": "O-1", "why": "mistyped"}, DAY)
    (told,) = answers
    assert "O-1" in told
    assert "stands in the book already" in told
    assert store.lot(book, second.number).lot.code == "O-2"


IMPOSSIBLE = [
    ({"received": "2026-03-08"}, "Received: 2026-03-08 is still to come."),
    ({"opened": "2062-03-01"}, "Opened: 2062-03-01 is still to come."),
    (
        {"received": "2026-02-01", "opened": "2026-01-31"},
        "Opened: 2026-01-31 is before it came, 2026-02-01; look at the pack again.",
    ),
    (
        {"received": "2026-02-01", "expiry": "2025-11-30"},
        "Use by: 2025-11-30 is before it came, 2026-02-01; look at the pack again.",
    ),
]


@pytest.mark.parametrize(("days", "answer"), IMPOSSIBLE)
def test_days_that_cannot_be_are_answered_when_it_comes_and_when_it_is_corrected(book, days, answer):
    folder, typed = store.Folder(book.path.parent), {**BASE, "code": "B-2", "expiry": "", **days}
    assert deliveries.receive(book, folder, demo_shelf(), typed, DAY)[1] == [answer]
    before = lot_of(book, "base:soap-white")
    assert correct(book, before, {**typed_of(before), "expiry": "", "why": "x", **days}, DAY)[1] == [answer]
    assert lot_of(book, "base:soap-white") == before


def test_a_lot_that_came_and_was_opened_today_and_ends_today_is_taken(book):
    folder = store.Folder(book.path.parent)
    days = dict.fromkeys(("received", "opened", "expiry"), f"{DAY}")
    typed = {**BASE, "code": "B-2", **days}
    assert deliveries.receive(book, folder, demo_shelf(), typed, DAY)[1] == []

"""Jars after the kitchen: sold, come back, counted; what is left of a batch."""

from __future__ import annotations

from datetime import date, timedelta
from io import BytesIO

import pytest
from pypdf import PdfReader

from blendlab import store
from blendlab.errors import UnknownName
from blendlab.production import corrections, recall, sales
from blendlab.production.plausible import Doubtful
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from blendlab.store import AlreadyWritten, Refused
from blendlab.store.book_sales_entries import Kept, Sale
from tests.batch import plans_to_try as tries

DAY = date(2026, 3, 7)
LATER = DAY + timedelta(days=20)


@pytest.fixture
def code(book, sheet) -> str:
    code = book.start(sheet, DAY, design=tries.design())
    book.decide(code, store.FOR_SALE, DAY)
    return code


def sale(book, code: str, at: int = -1) -> store.BookEntry:
    return store.batch(book, code).of("sale")[at]


def left(book, code: str) -> int:
    return sales.jars(store.batch(book, code)).left


def test_a_sale_keeps_channel_and_order(book, code):
    sales.sell(book, code, 1, " Ana ", LATER, " market ", " 1007 ")
    said = sale(book, code).data
    assert (said["to"], said["channel"], said["order"], said["on"]) == ("Ana", "market", "1007", f"{LATER}")


def test_jars_come_back_and_only_the_sound_ones_are_sold_again(book, code, sheet):
    sales.sell(book, code, sheet.jars, "gift shop", DAY)
    number = sale(book, code).number
    sales.take_back(book, code, number, 1, LATER, "lid cracked")
    assert left(book, code) == 0
    sales.take_back(book, code, number, 1, LATER, "wrong scent ordered", sellable=True)
    jars = sales.jars(store.batch(book, code))
    assert (jars.left, jars.out, jars.back) == (1, sheet.jars - 2, 2)
    sales.sell(book, code, 1, "market", LATER)
    with pytest.raises(Refused, match="by the book 0 of"):
        sales.sell(book, code, 1, "market", LATER)


@pytest.mark.parametrize(
    ("jars", "on", "why", "told"),
    [
        (3, LATER, "broken", "2 of that sale are out"),
        (0, LATER, "broken", "whole jars"),
        (1.5, LATER, "broken", "whole jars"),
        (1, LATER, "  ", "why"),
        (1, DAY, "broken", "before it was sold"),
    ],
)
def test_a_return_that_cannot_be_is_refused(book, code, jars, on, why, told):
    sales.sell(book, code, 2, "gift shop", DAY + timedelta(days=1))
    with pytest.raises(Refused, match=told):
        sales.take_back(book, code, sale(book, code).number, jars, on, why)
    assert store.batch(book, code).of("return") == ()


def test_nothing_comes_back_of_what_was_never_sold(book, code):
    with pytest.raises(UnknownName):
        sales.take_back(book, code, 99, 1, LATER, "broken")


def test_nothing_is_sold_or_counted_before_the_batch(book, code):
    early = DAY - timedelta(days=1)
    with pytest.raises(Refused, match="before the day of the batch"):
        sales.sell(book, code, 1, "market", early)
    with pytest.raises(Refused, match="before the day of the batch"):
        sales.count(book, code, 1, early, "broken")


def test_nothing_is_sold_on_a_day_on_which_it_was_not_released(book, sheet):
    """Released on the third day, called back on the fifth, released anew on the seventh."""
    code = book.start(sheet, DAY, design=tries.design())
    days = [DAY + timedelta(days=count) for count in range(9)]
    book.decide(code, store.FOR_SALE, days[3])
    store.call_back(book, code, "pH misread", days[5])
    book.decide(code, store.FOR_SALE, days[7])
    for day in (0, 2, 6):
        with pytest.raises(Refused, match=f"was not released for sale on {days[day]}; it is since {days[7]}"):
            sales.sell(book, code, 1, "market", days[day])
    for day in (3, 4, 5, 7, 8):
        sales.sell(book, code, 1, "market", days[day])
    assert left(book, code) == sheet.jars - 5


def test_jars_past_their_best_before_are_asked_about_and_the_reason_is_kept(book, code):
    last = date(2027, 3, 31)  # twelve months for a filled jar, to the end of the month
    sales.sell(book, code, 1, "market", last)
    late = last + timedelta(days=1)
    with pytest.raises(Doubtful, match=f"ended on {last}, before {late}"):
        sales.sell(book, code, 1, "market", late, why=" ")
    assert len(store.batch(book, code).of("sale")) == 1
    sales.sell(book, code, 1, "Ana", late, why="told, at half the price")
    assert [said.data["why"] for said in store.batch(book, code).of("sale")] == [
        "",
        "told, at half the price",
    ]


def test_a_lot_that_ends_sooner_ends_the_sale_too(book, code):
    base = Lot(code="B-1", of=Ref(kind="base", id="cooked"), name="White", expiry=date(2026, 6, 15))
    book.weigh(code, "base", 10, planned_g=10, lot=book.receive(base, 100))
    sales.sell(book, code, 1, "market", date(2026, 5, 31))
    with pytest.raises(Doubtful, match="base lot White B-1 ends: 2026-06-15"):
        sales.sell(book, code, 1, "market", date(2026, 6, 1))


def test_a_count_corrects_what_is_left_and_says_why(book, code, sheet):
    with pytest.raises(Refused, match="nothing to write"):
        sales.count(book, code, sheet.jars, LATER, "yearly count")
    with pytest.raises(Refused, match="why"):
        sales.count(book, code, 1, LATER, " ")
    with pytest.raises(Refused, match="whole jars"):
        sales.count(book, code, -1, LATER, "broken")
    sales.count(book, code, sheet.jars - 1, LATER, "one broke")
    assert left(book, code) == sheet.jars - 1
    with pytest.raises(Refused, match=f"{sheet.jars - 1} of {sheet.jars} are left"):
        sales.sell(book, code, sheet.jars, "market", LATER)
    sales.count(book, code, sheet.jars, LATER, "found again")
    assert left(book, code) == sheet.jars


def test_no_more_jars_are_counted_than_were_filled_and_are_not_out(book, code, sheet):
    sales.sell(book, code, 5, "gift shop", DAY)
    sales.take_back(book, code, sale(book, code).number, 2, LATER, "dented")
    there = sheet.jars - 3
    with pytest.raises(
        Refused, match=f"{sheet.jars} jars were filled, 3 are out and 0 put aside: {there + 1} cannot"
    ):
        sales.count(book, code, there + 1, LATER, "counted")
    sales.count(book, code, there, LATER, "the dented ones can be sold after all")
    assert left(book, code) == there


def parts(book, code: str) -> dict[str, int]:
    return {part.what: part.jars for part in sales.account(store.batch(book, code))}


def test_the_parts_add_up_to_the_jars_that_were_filled(book, code, sheet):
    """Of 24: 10 sold, 3 of them back, 1 to be sold again; 4 for tests, 2 dropped."""
    assert parts(book, code) == {"left": sheet.jars}
    sales.sell(book, code, 10, "gift shop", DAY)
    number = sale(book, code).number
    sales.take_back(book, code, number, 2, LATER, "lid cracked")
    sales.take_back(book, code, number, 1, LATER, "ordered twice", sellable=True)
    sales.keep_for_tests(book, code, 3, ["light"], LATER)
    sales.keep_for_tests(book, code, 1, ["cold"], LATER)
    sales.count(book, code, sheet.jars - 10 + 1 - 4 - 2, LATER, "dropped")
    there = parts(book, code)
    assert there == {"out": 7, "spoilt": 2, "kept": 4, "lost": 2, "left": sheet.jars - 15}
    assert sum(there.values()) == sheet.jars == sales.made(store.batch(book, code))
    reasons = {part.what: part.why for part in sales.account(store.batch(book, code)) if part.why}
    assert reasons == {"spoilt": "lid cracked", "lost": "dropped"}
    with pytest.raises(Refused, match="7 are out and 4 put aside: 14 cannot be there"):
        sales.count(book, code, 14, LATER, "counted")
    sales.count(book, code, 13, LATER, "wiped clean, and a box behind the door")
    assert parts(book, code) == {"out": 7, "spoilt": 2, "kept": 4, "lost": -2, "left": 13}


def test_jars_put_aside_for_tests_are_whole_and_are_there(book, code, sheet):
    sales.sell(book, code, sheet.jars - 2, "gift shop", DAY)
    with pytest.raises(Refused, match="3 jars to be put aside; by the book 2 are left"):
        sales.keep_for_tests(book, code, 3, ["light"], LATER)
    for count in (0, 1.5):
        with pytest.raises(Refused, match="whole jars"):
            sales.keep_for_tests(book, code, count, ["light"], LATER)
    assert store.batch(book, code).of("kept") == ()
    sales.keep_for_tests(book, code, 2, ["light"], LATER)
    with pytest.raises(Refused, match=f"by the book 0 of {sheet.jars} are left"):
        sales.sell(book, code, 1, "market", LATER)


def test_jars_put_aside_are_set_right_or_taken_back_with_a_reason(book, code, sheet):
    sales.keep_for_tests(book, code, 20, ["light"], LATER)
    sales.sell(book, code, 3, "gift shop", LATER)
    number = store.batch(book, code).of("kept")[0].number
    given = {"shelf": tries.shelf(), "on": LATER}
    with pytest.raises(Refused, match="sold or put aside"):
        corrections.correct_entry(book, code, number, {"jars": 22}, "miscounted", **given)
    corrections.correct_entry(book, code, number, {"jars": 2}, "a nought too many", **given)
    assert parts(book, code) == {"out": 3, "kept": 2, "left": sheet.jars - 5}
    number = store.batch(book, code).of("kept")[0].number
    corrections.take_back(book, code, number, "none was kept", **given)
    assert parts(book, code) == {"out": 3, "left": sheet.jars - 3}


def test_jars_kept_before_anybody_asked_how_many_are_told_and_count_as_left(book, code, sheet):
    store.keep_for_tests(book, code, Kept(on=DAY, tests=("light",)))
    there = sales.jars(store.batch(book, code))
    assert (there.left, there.kept, there.uncounted) == (sheet.jars, 0, True)
    called = recall.of_batch(book, code).batches[0]
    assert (called.left, called.kept) == (sheet.jars, None)


def test_a_recall_names_the_jars_on_the_test_shelf(book, code, sheet):
    sales.keep_for_tests(book, code, 2, ["light"], DAY)
    called = recall.of_batch(book, code)
    assert (called.batches[0].left, called.batches[0].kept) == (sheet.jars - 2, 2)
    (page,) = PdfReader(BytesIO(recall.recall_pdf(called))).pages
    told = [line.strip() for line in page.extract_text().splitlines()]
    assert {"put aside for tests", "2 jars", "test shelf"} <= set(told)


def test_a_corrected_sale_counts_once_and_its_returns_stay_with_it(book, code, sheet):
    sales.sell(book, code, 2, "gift shop", DAY)
    first = sale(book, code).number
    sales.take_back(book, code, first, 1, LATER, "broken")
    with pytest.raises(Refused, match="1 of them came back"):
        store.sell(book, code, Sale(jars=0, on=DAY), sheet.jars, corrects=first)
    store.sell(book, code, Sale(jars=1, to="gift shop", on=DAY), sheet.jars, corrects=first)
    page = store.batch(book, code)
    assert [(line.back, line.out) for line in store.sale_lines(code, page.entries)] == [(1, 0)]
    assert sales.jars(page).left == sheet.jars - 1
    with pytest.raises(Refused, match="0 of that sale are out"):
        sales.take_back(book, code, first, 1, LATER, "broken")
    with pytest.raises(AlreadyWritten):
        store.sell(book, code, Sale(jars=1, on=DAY), sheet.jars, corrects=first)


def test_a_sale_that_never_was_gives_its_jars_back(book, code, sheet):
    sales.sell(book, code, sheet.jars, "gift shop", DAY)
    store.sell(book, code, Sale(jars=0, on=DAY), sheet.jars, corrects=sale(book, code).number)
    assert left(book, code) == sheet.jars
    with pytest.raises(Refused, match="0 jars cannot be sold"):
        store.sell(book, code, Sale(jars=0, on=DAY), sheet.jars)


def test_only_a_sale_of_this_batch_is_corrected_as_one(book, code, sheet):
    book.fill(code, 1, 75.0)
    jar = store.batch(book, code).of("fill")[0]
    sales.sell(book, code, 1, "Ana", DAY)
    other = book.start(sheet, DAY)
    for batch, number in ((code, jar.number), (other, sale(book, code).number)):
        with pytest.raises(UnknownName):
            store.sell(book, batch, Sale(jars=1, on=DAY), 4, corrects=number)
    page = store.batch(book, code)
    assert page.filled_g == (75.0,)
    assert page.sold == 1

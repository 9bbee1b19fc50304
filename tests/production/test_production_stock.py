"""Pieces that are counted, what can be made of the stock, when to order, what was sold of each card."""

from __future__ import annotations

from datetime import date, timedelta
from math import inf, nan

import pytest

from blendlab import store
from blendlab.errors import OutOfRange
from blendlab.production import can_make, corrections, held_lots, kitchen_acts, pieces, recall, reorder, sales
from blendlab.shelf import embedded
from blendlab.store import Card, CardLine, Refused
from blendlab.store.book_entries import FOAM
from blendlab.store.book_schema import reading
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import received, until
from tests.store.samples import png

DAY = date(2026, 3, 7)
JAR = "j120-70"


@pytest.fixture
def code(book, sheet) -> str:
    return book.start(sheet, DAY, design=tries.design())


def came(book, kind: str, count: float, code: str) -> int:
    pieces.receive(book, tries.shelf(), kind, JAR, count, code, DAY)
    return store.lots(book, f"{kind}:{JAR}")[-1].number


def left(book, number: int) -> float:
    return store.lot(book, number).left_g


# --- pieces -------------------------------------------------------------------------------------------


def test_filled_jars_take_what_is_counted_and_nothing_else(book, code, sheet):
    first, second = came(book, "jar", 10, "BOX-1"), came(book, "jar", 100, "BOX-2")
    lids = came(book, "lid", sheet.jars - 4, "LIDS")
    until(book, code, "none")
    assert (left(book, first), left(book, second)) == (0, 110 - sheet.jars)
    assert left(book, lids) == 0
    assert store.lots(book, f"label:{JAR}") == ()


def test_what_a_batch_drew_too_much_goes_back(book, code, sheet):
    first, second = came(book, "jar", 10, "BOX-1"), came(book, "jar", 100, "BOX-2")
    items = pieces.items_of(JAR)
    store.draw_pieces(book, code, items, 24)
    store.draw_pieces(book, code, items, 24)
    assert left(book, first) + left(book, second) == 86
    store.draw_pieces(book, code, items, 8)
    assert (left(book, first), left(book, second)) == (2, 100)


def test_a_corrected_count_of_jars_draws_their_pieces_anew_and_says_why(book, code, sheet):
    boxes, lids = came(book, "jar", 100, "BOX-1"), came(book, "lid", sheet.jars + 1, "LIDS")
    until(book, code, "none")
    book.write("filled", "jars", {"jars": sheet.jars}, code)
    given = {"shelf": tries.shelf(), "on": DAY}

    def count(jars: int, why: str) -> None:
        number = store.batch(book, code).of("filled")[-1].number
        corrections.correct_entry(book, code, number, {"jars": jars}, why, **given)

    count(sheet.jars - 5, "two trays were counted twice")
    assert (left(book, boxes), left(book, lids)) == (100 - sheet.jars + 5, 6)
    count(sheet.jars + 3, "a tray stood behind")
    assert (left(book, boxes), left(book, lids)) == (100 - sheet.jars - 3, 0)  # more lids there are not
    with reading(book.path) as link:
        said = link.execute("SELECT why, note FROM movements WHERE lot = ? ORDER BY id", (boxes,)).fetchall()
    assert [tuple(row) for row in said][1:] == [
        ("draw", ""),
        ("correction", "two trays were counted twice"),
        ("draw", "a tray stood behind"),
    ]


def test_a_count_that_is_set_right_before_the_batch_is_closed_draws_nothing_yet(book, code, sheet):
    boxes = came(book, "jar", 100, "BOX-1")
    until(book, code, "retain")
    number = book.write("filled", "jars", {"jars": sheet.jars}, code)
    corrections.correct_entry(book, code, number, {"jars": 3}, "misread", shelf=tries.shelf(), on=DAY)
    assert left(book, boxes) == 100
    until(book, code, "none")
    assert left(book, boxes) == 97


def test_a_jar_weighed_after_the_batch_was_closed_takes_its_pieces(book, code, sheet):
    boxes = came(book, "jar", 100, "BOX-1")
    page = until(book, code, "none")
    assert left(book, boxes) == 100 - sheet.jars
    (count,) = page.of("filled")
    corrections.take_back(book, code, count.number, "not counted", shelf=tries.shelf(), on=DAY)
    for _ in range(sheet.jars - 2):
        kitchen_acts.measured_later(book, code, jar_g=75)
    assert left(book, boxes) == 100 - sheet.jars - 1  # three were weighed in the kitchen


def test_a_box_of_jars_is_called_back_with_the_batches_it_went_into(book, code):
    number = came(book, "jar", 50, "BOX-1")
    store.draw_pieces(book, code, pieces.items_of(JAR), 24)
    called = recall.of_lots(book, [number])
    assert [(batch.line.code, batch.grams) for batch in called.batches] == [(code, 24)]


IMPOSSIBLE = [("jar", JAR, 2.5), ("jar", JAR, 0), ("oil", JAR, 3), ("lid", "no", 3)]


@pytest.mark.parametrize(("kind", "jar", "count"), IMPOSSIBLE)
def test_pieces_that_cannot_be_are_refused(book, kind, jar, count):
    with pytest.raises(Refused):
        pieces.receive(book, tries.shelf(), kind, jar, count, "BOX-1", DAY)
    assert store.lots(book) == ()


def test_a_count_says_why_and_moves_what_differs(book):
    box, oil = came(book, "jar", 10, "BOX-1"), received(book, "oil:lavender", 100.0)
    for number, there, why in ((box, 9, " "), (box, 10, "again"), (box, 9.5, "again"), (oil, 100.0, "again")):
        with pytest.raises(Refused):
            pieces.count(book, number, there, why)
    assert pieces.count(book, box, 8, "two broke") == -2
    assert pieces.count(book, oil, 97.25, "weighed anew") == -2.75
    assert (left(book, box), left(book, oil)) == (8, 97.25)
    assert store.used(book, DAY) == {}


def test_a_box_that_is_held_back_is_not_drawn_from(book, code, sheet):
    cracked, sound = came(book, "jar", 30, "BOX-1"), came(book, "jar", 100, "BOX-2")
    held_lots.hold_back(book, cracked, "cracked rims")
    until(book, code, "none")
    assert (left(book, cracked), left(book, sound)) == (30, 100 - sheet.jars)
    store.draw_pieces(book, code, pieces.items_of(JAR), 2)
    assert (left(book, cracked), left(book, sound)) == (30, 98)


def test_what_came_or_was_wasted_says_why_and_is_something(book):
    box, oil = came(book, "jar", 10, "BOX-1"), received(book, "oil:lavender", 100.0)
    for number, amount, why in ((box, -1, " "), (oil, 0, "spilt"), (box, -1.5, "broke"), (box, 0.5, "found")):
        with pytest.raises(Refused):
            pieces.change(book, number, amount, why)
    pieces.change(book, box, -2, "two broke")
    pieces.change(book, oil, -2.75, "spilt")
    pieces.change(book, oil, 0.25, "found in the cap")
    assert (left(book, box), left(book, oil)) == (8, 97.5)
    assert store.draws(book, oil) == ({}, 2.75)


# --- what can be made ---------------------------------------------------------------------------------


def test_the_first_thing_that_is_missing_bounds_the_jars(sheet):
    needs = sheet.needs
    stock = {item: 10 * needed for item, needed in needs.items()}
    stock["oil:lavender"] = needs["oil:lavender"] / 2
    found = can_make.of_plan("Two", sheet, JAR, stock, tries.shelf())
    assert (found.jars, found.first) == (sheet.jars // 2 - 1, "Lavender")  # 30 g are held back of any batch
    assert len(found.uncounted) == 3
    found = can_make.of_plan("Two", sheet, JAR, {**stock, f"lid:{JAR}": 5.0}, tries.shelf())
    assert found.jars == 5
    assert found.first.startswith("lid of ")
    assert can_make.of_plan("Two", sheet, JAR, {}, tries.shelf()).jars is None


def test_every_card_is_looked_through(book, folder):
    made = tries.design()
    store.save(folder, Card(design=made, embedded=embedded(made, tries.shelf())), png(), None)
    (found,) = can_make.today(folder, book, tries.shelf(), DAY)
    assert (found.name, found.jars) == (made.name, None)
    received(book, "oil:lavender", 0.001)
    (found,) = can_make.today(folder, book, tries.shelf(), DAY)
    assert (found.jars, found.first) == (0, "Lavender")


def test_a_card_is_planned_with_the_foam_of_her_book(book, folder, code):
    """1000 g of base make 1015 g of batch: less 4 % and 30 g 944 g; jars of 72.2 g, at 0.9 of 107.4 g."""
    made = tries.design()
    store.save(folder, Card(design=made, embedded=embedded(made, tries.shelf())), png(), None)
    received(book, "base:cooked", 1000.0)
    (usual,) = can_make.today(folder, book, tries.shelf(), DAY)
    book.write("density", FOAM, {"g_ml": 0.9}, code)
    (hers,) = can_make.today(folder, book, tries.shelf(), DAY)
    assert (usual.jars, hers.jars) == (13, 8)


# --- when to order ------------------------------------------------------------------------------------


def test_her_own_days_move_the_order_point(book, folder, code):
    until(book, code, "stir-scent")
    on = date.today()
    item = "oil:lavender"
    grams, _ = store.used(book, on - timedelta(days=90))[item]
    book.move(store.lots(book, item)[0].number, grams - store.lots(book, item)[0].left_g, "count", "counted")
    assert not any("Lavender" in said for said in reorder.sentences(folder, book, tries.shelf(), on))
    reorder.set_days(folder, item, 30, 5)
    (said,) = [said for said in reorder.sentences(folder, book, tries.shelf(), on) if "Lavender" in said]
    assert "30 days to come and 5 to spare: your days" in said
    assert reorder.days_of(folder, "oil:other") == reorder.Days(9, 5)
    with pytest.raises(Refused):
        reorder.set_days(folder, item, 0, 0)
    for unfit in ((nan, 5), (30, nan), (-1, 5), (30, -1), (inf, 5), (1001, 5)):
        with pytest.raises(OutOfRange, match="days"):
            reorder.set_days(folder, item, *unfit)
    assert reorder.days_of(folder, item) == reorder.Days(30, 5, own=True)


def test_pieces_are_ordered_in_whole_ones(book, folder, code, sheet):
    """24 lids in 28 days, 14 days to wait: 12 are the point; of 25 one is left."""
    came(book, "lid", sheet.jars + 1, "LIDS")
    until(book, code, "none")
    (said,) = [said for said in reorder.sentences(folder, book, tries.shelf(), date.today()) if "lid" in said]
    assert "1 piece left, order at 12 pieces (use" in said


@pytest.mark.parametrize("said", ["nan 5", "-1 5", "0 0", "5", "inf inf"])
def test_days_that_are_none_in_her_settings_count_for_nothing(folder, said):
    store.save_settings(folder, {reorder.KEY: {"oil:lavender": said}})
    assert reorder.days_of(folder, "oil:lavender") == reorder.Days(9, 5)


def test_use_counts_from_the_first_batch_that_took_the_thing(book, folder, code):
    until(book, code, "stir-scent")
    later = date.today() + timedelta(days=60)
    grams, first = store.used(book, later - timedelta(days=90))["oil:lavender"]
    lot = store.lots(book, "oil:lavender")[0]
    at = grams / (later - first).days * 14
    book.move(lot.number, at - 0.01 - lot.left_g, "count", "counted")
    said = " ".join(reorder.sentences(folder, book, tries.shelf(), later))
    assert f"use of the last {(later - first).days} days" in said


# --- sold of each card --------------------------------------------------------------------------------


def test_sales_are_summed_by_card_and_by_line(book, folder, sheet):
    codes = [book.start(sheet, DAY, design=tries.design()) for _ in range(2)]
    other = book.start(sheet, DAY, design=tries.design(id="three", name="Three"))
    for batch in (*codes, other):
        book.decide(batch, store.FOR_SALE, DAY)
        sales.sell(book, batch, 3, "Ana", DAY)
    number = store.batch(book, codes[0]).of("sale")[0].number
    sales.take_back(book, codes[0], number, 1, DAY, "lid cracked")
    found = sales.by_card(book, date.min)
    assert (found["two"].sales, found["two"].jars, found["two"].back) == (2, 6, 1)
    assert found["three"].jars == 3
    assert sales.by_card(book, DAY + timedelta(days=1)) == {}
    store.save_line(folder, CardLine(id="spring", name="Spring", cards=("two", "three", "never")), None)
    (line,) = sales.by_line(folder, found)
    assert (line.name, line.sales, line.jars, line.back) == ("Spring", 3, 9, 1)
    assert [found.jars.left for found in sales.left_over(book, DAY)] == [sheet.jars - 3] * 3


def test_jars_past_their_best_before_are_named_and_come_last(book, sheet):
    """A filled jar of soap lasts twelve months by common practice: the older batch is over, the newer not."""
    old = book.start(sheet, DAY - timedelta(days=300), design=tries.design())
    young = book.start(sheet, DAY, design=tries.design())
    for code in (old, young):
        book.decide(code, store.FOR_SALE, DAY)
    last = date(2026, 5, 31)
    fresh = sales.left_over(book, last)
    assert [(found.line.code, found.over) for found in fresh] == [(old, ""), (young, "")]
    after = sales.left_over(book, last + timedelta(days=1))
    assert [(found.line.code, found.over) for found in after] == [
        (young, ""),
        (old, f"best before ended on {last}"),
    ]

"""A base as its lots were really cooked, and the label of the jars that were made of them."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab import store
from blendlab.production import base_lots, judgement, labels, lot_formula, lots_drawn, pot
from blendlab.production.settings import Settings
from blendlab.shelf import Lot, lines_of
from blendlab.store import LotLine
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)
BASE = tries.shelf().today("base", "cooked")
STATED = lines_of(BASE, tries.shelf())
WATER = next(ingredient.id for ingredient, _ in STATED if ingredient.function == "water")


def cooked(book, code: str = "W-1", **grams: float) -> LotLine:
    """A lot cooked of some grams instead of those asked for; nothing lost, nothing filled up."""
    made = base_lots.cooking(BASE, tries.shelf(), 1000.0, book, DAY)
    batch = base_lots.begin(book, BASE, tries.shelf(), made, DAY)
    for line in made.lines:
        book.weigh(batch, line.id, grams.get(line.item.partition(":")[2], line.grams), planned_g=line.grams)
    number = book.finish_base(batch, Lot(code=code, of=BASE.ref, name="White"), 900.0, {})
    return store.lot(book, number)


def percents(book, *parts) -> dict[str, float]:
    found = lot_formula.as_cooked(book, parts, STATED)
    return {ingredient.id: pct for ingredient, pct in found}


def test_a_lot_holds_what_was_weighed_into_it(book):
    """Half the preservative: 5 of the 10 g in what is then 995 g; of two lots the mean by their grams."""
    weak = cooked(book, "W-1", **{"preservative-a": 5.0})
    full = cooked(book, "W-2", **{"preservative-a": 10.0})
    mass = sum(store.batch(book, weak.batch).weighed.values())
    assert percents(book, (weak, 300.0))["preservative-a"] == pytest.approx(500 / mass)
    both = 0.75 * 500 / mass + 0.25 * 1000 / (mass + 5)
    mixed = percents(book, (weak, 300.0), (full, 100.0))
    assert mixed["preservative-a"] == pytest.approx(both)
    assert sum(mixed.values()) == pytest.approx(100)


def test_what_the_pot_lost_and_got_back_is_water(book):
    """31 g lost and only 11 g filled up: 20 g of water less than was weighed, of a pot 20 g lighter."""
    made = base_lots.cooking(BASE, tries.shelf(), 2000.0, book, DAY)
    code = base_lots.begin(book, BASE, tries.shelf(), made, DAY)
    page = until(book, code, "refill")
    pot.fill_up(book, page, "refill", 800 + sum(page.weighed.values()) - 31, 11)
    page = until(book, code, "none")
    lot = store.lot(book, book.finish_base(code, Lot(code="W-1", of=BASE.ref, name="White"), 1900.0, {}))
    water = sum(page.weighed[line.id] for line in page.now.lines if line.item == f"ingredient:{WATER}")
    whole = sum(page.weighed.values()) - 20
    assert percents(book, (lot, 100.0))[WATER] == pytest.approx(100 * (water - 20) / whole)


def test_a_lot_that_was_bought_or_not_wholly_weighed_leaves_the_formula(book):
    bought = store.lot(book, book.receive(Lot(code="B-1", of=BASE.ref, name="White"), 500.0))
    begun = book.start(base_lots.cooking(BASE, tries.shelf(), 1000.0, book, DAY), DAY, kind="base")
    nothing = store.lot(book, book.finish_base(begun, Lot(code="B-2", of=BASE.ref, name="White"), 900.0, {}))
    for line in (bought, nothing):
        assert lot_formula.as_cooked(book, ((line, 100.0),), STATED) is None
    assert lot_formula.as_cooked(book, (), STATED) is None


def test_the_label_of_a_batch_orders_what_was_weighed(book, sheet):
    """600 g of glycerin in the pot: more than the water, which the formula puts first."""
    lot = cooked(book, glycerin=600.0)
    code = book.start(sheet, DAY, design=tries.design())
    book.weigh_from(code, "base", [(lot.number, 800.0, 800.0)], planned_g=sheet.line("base").grams)
    page = store.batch(book, code)
    assert lots_drawn.drawn(book, page).parts["base:cooked"]
    judged = judgement.as_made(book, page, tries.shelf(), DAY, "EU")
    names = labels.label(book, judged, "EU", Settings(), page).ingredients.names
    assert names.index("Glycerin") < names.index("Aqua")
    planned = labels.label(book, judged, "EU", Settings()).ingredients.names
    assert planned.index("Aqua") < planned.index("Glycerin")

"""Cooking a base: its formula in figures, its sheet, the lot it becomes; making beside buying."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.production import base_lots
from blendlab.production.plausible import Doubtful
from blendlab.recipe import Ref
from blendlab.shelf import BaseLine, Component, Ingredient, Lot, Price, Shelf
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)
WATER = Ingredient(
    id="aq", name="Aq", function="water", water_pct=100, density_g_ml=1.0,
    components=(Component(inci="Aqua", low_pct=100, high_pct=100),),
    price=Price(pack_price=1, pack_g=1000, waste=0),
)  # fmt: skip
GLYCERIN = Ingredient(
    id="gly", name="Gly", function="humectant", water_pct=0, density_g_ml=1.25,
    components=(Component(inci="Glycerin", low_pct=100, high_pct=100),),
    price=Price(pack_price=4, pack_g=1000, waste=0),
)  # fmt: skip


def base(*lines: tuple[str, float]):
    made = tuple(BaseLine(ingredient=Ref(kind="ingredient", id=item), pct=pct) for item, pct in lines)
    return replace(tries.shelf().today("base", "cooked"), lines=made, actives={}, price=None)


SHELF = Shelf((WATER, GLYCERIN))
HALVES = base(("aq", 50), ("gly", 50))


def test_what_a_formula_adds_up_to():
    """Half water, half glycerin: volumes add, 100 g take 50/1 + 50/1.25 ml, so 100 / 90 g/ml."""
    rows = dict(base_lots.figure_rows(HALVES, SHELF))
    assert rows["Sum"] == "100.000 %"
    assert rows["Water, all lines"].startswith("50.0 %, ")
    assert rows["Density before whipping"] == f"{100 / 90:.3f} g/ml"
    assert "Active surfactant" not in rows


def test_what_is_not_known_is_said():
    blind = replace(WATER, water_pct=None, density_g_ml=None, components=())
    rows = dict(base_lots.figure_rows(HALVES, Shelf((blind, GLYCERIN))))
    assert rows["Density before whipping"] == "not known"
    rows = dict(base_lots.figure_rows(tries.shelf().today("base", "cooked"), tries.shelf()))
    assert rows["Active surfactant"].endswith(" % of the base")


def test_an_ingredient_that_was_taken_off_the_shelf_is_named():
    assert base_lots.figure_rows(base(("aq", 50), ("gone", 50)), SHELF) == [("Not on the shelf", "gone")]


def test_the_sheet_names_the_lots_that_are_to_be_taken(book):
    cooked = tries.shelf().today("base", "cooked")
    line = cooked.lines[0].ingredient
    book.receive(Lot(code="R-7", of=line, name="x"), 5000)
    made = base_lots.cooking(cooked, tries.shelf(), 1000.0, book, DAY)
    assert {found.lot for found in made.lines if found.item == f"ingredient:{line.id}"} == {"R-7"}
    assert all(not found.lot for found in made.lines if found.item != f"ingredient:{line.id}")
    assert sum(found.grams for found in made.lines) == pytest.approx(1000, rel=0.002)


@pytest.fixture
def cooked(book):
    item = tries.shelf().today("base", "cooked")
    code = book.start(base_lots.cooking(item, tries.shelf(), 1000.0, book, DAY), DAY, kind="base")
    return item, until(book, code, "none")


def test_a_cooked_batch_becomes_a_lot_with_what_went_in(book, cooked):
    item, page = cooked
    book.write("ph", "product", {"pH": 5.4}, page.line.code)
    page = store.batch(book, page.line.code)
    assert base_lots.cooked_lot(page, item, {"grams": "940", "code": "W-1"}, book) == []
    (lot,) = (line for line in store.lots(book) if line.lot.code == "W-1")
    kept = sum(page.weighed[line.id] for line in page.now.lines if line.what == "preservative")
    assert lot.data["preservative_pct"][0] == pytest.approx(100 * kept / sum(page.weighed.values()), abs=1e-4)
    assert lot.data["pH"] == 5.4
    assert (lot.left_g, lot.item, lot.lot.received) == (940, "base:cooked", DAY)
    assert lot.lot.expiry == date(2026, 9, 30)  # six months, to the end of the month
    again = base_lots.cooked_lot(page, item, {"grams": "940"}, book)
    assert again[0].startswith("Not written: ")


def test_much_less_than_went_in_is_asked_about_and_written_with_its_reason(book, cooked):
    """1 g of 1000 g is a mistyped figure more often than a base."""
    item, page = cooked
    for typed in ({"grams": "1"}, {"grams": "400", "left": "200"}):
        with pytest.raises(Doubtful, match="came out of 1000"):
            base_lots.cooked_lot(page, item, typed, book)
    assert not [lot for lot in store.lots(book) if lot.batch]
    assert base_lots.cooked_lot(page, item, {"grams": "1", "why": "the pot fell"}, book) == []
    (kept,) = store.batch(book, page.line.code).of("yield")
    assert kept.data == {"left_g": 0.0, "why": "the pot fell"}


def test_what_is_left_in_the_pot_came_out_too(book, cooked):
    item, page = cooked
    assert base_lots.cooked_lot(page, item, {"grams": "400", "left": "400"}, book) == []


def test_a_lot_is_not_made_without_its_grams(book, cooked):
    item, page = cooked
    assert base_lots.cooked_lot(page, item, {}, book) == ["Base that came out is missing."]


def test_a_lot_takes_the_code_of_its_batch_and_claims_no_preservative_it_has_not(book):
    item = base(("aq", 50), ("gly", 50))
    shelf = Shelf((*tries.SCALES, WATER, GLYCERIN))
    code = book.start(base_lots.cooking(item, shelf, 1000.0, book, DAY), DAY, kind="base")
    page = until(book, code, "none")
    assert base_lots.cooked_lot(page, item, {"grams": "900"}, book) == []
    (lot,) = (line for line in store.lots(book) if line.lot.code == code)
    assert lot.data["preservative_pct"] == [0.0, 0.0]
    assert "kept_by" not in lot.data

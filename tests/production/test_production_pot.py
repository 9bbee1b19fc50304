"""Water lost in the pot: what was weighed, what to fill up, and the percent of the base that follows."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab import store
from blendlab.errors import OutOfRange
from blendlab.production import base_lots, held_lots, kitchen_acts, lots_drawn, pot
from blendlab.shelf import Lot
from blendlab.store import AlreadyWritten, Refused
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)
BASE = tries.shelf().today("base", "cooked")


@pytest.fixture
def code(book) -> str:
    return book.start(base_lots.cooking(BASE, tries.shelf(), 2000.0, book, DAY), DAY, kind="base")


def lot_of(book, code, grams: float, **typed):
    page = store.batch(book, code)
    answers = base_lots.cooked_lot(page, BASE, {"grams": str(grams), "code": "W-1", **typed}, book)
    return answers, next((line for line in store.lots(book) if line.lot.code == "W-1"), None)


def test_the_pot_is_weighed_not_ticked(book, code):
    until(book, code, "pot")
    with pytest.raises(Refused, match="This step is weighed"):
        kitchen_acts.tick(book, code, "pot")
    pot.weigh_empty(book, code, "pot", 812)
    with pytest.raises(AlreadyWritten):
        pot.weigh_empty(book, code, "pot", 812)
    page = until(book, code, "refill")
    assert pot.empty_g(page) == 812
    with pytest.raises(Refused, match="This step is weighed"):
        kitchen_acts.tick(book, code, "refill")
    with pytest.raises(OutOfRange):
        pot.fill_up(book, page, "refill", 811, 0)
    assert [entry.subject for entry in store.batch(book, code).of("pot")] == ["empty"]


def test_what_is_lost_is_what_went_in_less_what_is_there(book, code):
    """812 g of pot, 43 g lost: the scale shows 812 and all that went in when it is full again."""
    until(book, code, "pot")
    pot.weigh_empty(book, code, "pot", 812)
    page = until(book, code, "refill")
    went_in = sum(page.weighed.values())
    told = pot.loss(page, 812 + went_in - 43)
    assert (told.lost_g, told.water_g) == (pytest.approx(43), pytest.approx(43))
    assert (told.target_g, told.ingredients_g) == (pytest.approx(812 + went_in), pytest.approx(went_in))
    over = pot.loss(page, 812 + went_in + 5)
    assert (over.lost_g, over.water_g) == (pytest.approx(-5), 0)
    with pytest.raises(Refused, match="empty pot was not weighed"):
        pot.loss(store.batch_log(book, book.start(page.plan, DAY, kind="base")), 900)


@pytest.mark.parametrize("filled", [0.0, 43.0, 60.0])
def test_the_percent_of_the_base_is_of_what_was_in_the_pot_in_the_end(book, code, filled):
    """Preservative over what is there: went in, less 43 g, and the water that was filled up."""
    until(book, code, "pot")
    pot.weigh_empty(book, code, "pot", 812)
    page = until(book, code, "refill")
    pot.fill_up(book, page, "refill", 812 + sum(page.weighed.values()) - 43, filled)
    page = until(book, code, "none")
    whole = sum(page.weighed.values()) - 43 + filled
    assert pot.mass_g(page) == pytest.approx(whole)
    answers, made = lot_of(book, code, 1900)
    assert answers == []
    kept = next(line for line in page.now.lines if line.what == "preservative")
    pct = 100 * page.weighed[kept.id] / whole
    assert made.data["preservative_pct"] == pytest.approx([pct, pct], abs=1e-4)
    assert made.data["kept_by"] == "preservative-a"


def test_no_more_base_comes_out_than_went_in(book, code):
    whole = pot.mass_g(until(book, code, "none"))
    answers, made = lot_of(book, code, whole + 20)
    assert (answers, made) == (
        [f"{whole + 20:g} g came out, but only {whole:g} g went in: weigh it again."],
        None,
    )
    assert lot_of(book, code, whole)[0] == []


def test_a_base_ends_with_the_first_of_its_raw_materials_and_is_held_with_them(book, code):
    ends = date(2026, 5, 20)
    water = BASE.lines[0].ingredient
    number = book.receive(Lot(code="R-1", of=water, name="raw", expiry=ends), 5000)
    until(book, code, "none")
    _, made = lot_of(book, code, 1900)
    assert made.lot.expiry == ends
    jars = book.start(store.batch(book, code).plan, DAY, design=tries.design())
    book.weigh_from(jars, "base", [(made.number, 500, 500)], planned_g=500)
    taken = lots_drawn.drawn(book, store.batch_log(book, jars))
    assert list(lots_drawn.behind(book, taken)) == []
    held_lots.hold_back(book, number, "supplier called it back")
    (told,) = lots_drawn.behind(book, taken)
    assert (told.level, told.id) == ("stop", f"lot-held-{number}")

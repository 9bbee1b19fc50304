"""Water lost in the pot: what was weighed, what to fill up, and the percent of the base that follows."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab import store
from blendlab.errors import OutOfRange
from blendlab.production import (
    base_lots,
    came_out,
    corrections,
    drill,
    held_lots,
    kitchen_acts,
    kitchen_log,
    lots_drawn,
    pot,
    recall,
)
from blendlab.production.plausible import Doubtful
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from blendlab.store import AlreadyWritten, Refused
from blendlab.ui import outcome_rows
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
    with pytest.raises(Refused, match="This step is measured: write down what the pot shows"):
        kitchen_acts.tick(book, code, "pot")
    pot.weigh_empty(book, code, "pot", 812)
    with pytest.raises(AlreadyWritten):
        pot.weigh_empty(book, code, "pot", 812)
    page = until(book, code, "refill")
    assert pot.empty_g(page) == 812
    with pytest.raises(Refused, match="This step is measured: write down what the pot shows"):
        kitchen_acts.tick(book, code, "refill")
    with pytest.raises(OutOfRange):
        pot.fill_up(book, page, "refill", 811, 0)
    assert [entry.subject for entry in store.batch(book, code).of("pot")] == ["empty"]


@pytest.mark.parametrize(("lost_g", "water_g"), [(43, 430), (430, 4.3), (43, 0.0), (900, 900), (-200, 0)])
def test_a_pot_far_from_what_was_weighed_into_it_is_asked_about(book, code, lost_g, water_g):
    """A slipped comma of the water, water forgotten, a scale misread."""
    code = book.start(base_lots.cooking(BASE, tries.shelf(), 1000.0, book, DAY), DAY, kind="base")
    until(book, code, "pot")
    pot.weigh_empty(book, code, "pot", 812)
    page = until(book, code, "refill")
    full = 812 + sum(page.weighed.values()) - lost_g
    with pytest.raises(Doubtful, match="were weighed into it"):
        pot.fill_up(book, page, "refill", full, water_g)
    assert [entry.subject for entry in store.batch(book, code).of("pot")] == ["empty"]
    pot.fill_up(book, page, "refill", full, water_g, why="boiled over")
    assert store.batch(book, code).of("pot")[-1].data["why"] == "boiled over"


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


# --- the water that is filled up ----------------------------------------------------------------------


def full_again(book, code, lot_g: float | None, water_g: float = 43.0) -> tuple[store.BatchPage, int | None]:
    """The pot filled up from a second lot of water of some grams; None = from no lot."""
    until(book, code, "pot")
    pot.weigh_empty(book, code, "pot", 812)
    page = until(book, code, "refill")
    lot = None if lot_g is None else water_lot(book, lot_g)
    pot.fill_up(
        book, page, "refill", 812 + sum(page.weighed.values()) - 43, water_g, lot=lot, why="as it was"
    )
    return until(book, code, "none"), lot


def water_lot(book, grams: float, code: str = "AQ-2") -> int:
    return book.receive(Lot(code=code, of=BASE.lines[0].ingredient, name="water"), grams)


def test_the_water_that_is_filled_up_is_drawn_from_its_lot_and_traced(book, code):
    _, number = full_again(book, code, 100)
    assert store.lot(book, number).left_g == 57
    assert number in {line.number for line in store.backward(book, code).lots}
    assert store.backward(book, code).grams[number] == 43
    assert [line.code for line in store.forward(book, number).batches] == [code]
    assert number in {line.number for line, _ in lots_drawn.drawn(book, store.batch(book, code)).parts[
        f"ingredient:{BASE.lines[0].ingredient.id}"]}  # fmt: skip
    assert store.draws(book, number) == ({(code, ""): 43.0}, 0.0)
    assert drill.balance(book, number).planned_g == 43


def test_what_stayed_in_the_pot_took_its_part_of_what_is_called_back(book, code):
    """168 g of a lot in a pot of mass M of which all but 27 g came out: the jars took 168 x came / M."""
    page, water = full_again(book, code, 168.0, 168.0)
    whole = pot.mass_g(page)
    answers, made = lot_of(book, code, whole - 27)
    assert answers == []
    jars = book.start(page.plan, DAY, kind="jars")
    book.weigh_from(jars, page.now.lines[0].id, [(made.number, whole - 27, whole - 27)], planned_g=whole - 27)
    (batch,) = recall.of_lots(book, [water]).batches
    assert batch.grams == pytest.approx(168 * (whole - 27) / whole, abs=1e-3)
    assert not batch.most
    (back,) = (grams for lot, grams in recall.of_batch(book, jars).lots if lot.number == water)
    assert back == pytest.approx(batch.grams)


def test_a_pot_nobody_weighed_makes_the_share_of_its_lots_a_most(book, code):
    """1500 g came out; what steam took or the pot kept is not known: at most 100 x 600 / 1500 = 40 g."""
    page = store.batch(book, code)
    water = water_lot(book, 2000.0)
    book.weigh(code, page.now.lines[0].id, 100.0, planned_g=100.0, lot=water)
    cooked = Lot(code="W-1", of=BASE.ref, name=BASE.name)
    made = book.finish_base(code, cooked, 1500.0, {})
    jars = book.start(page.plan, DAY, kind="jars")
    book.weigh_from(jars, page.now.lines[0].id, [(made, 600.0, 600.0)], planned_g=600.0)
    called = recall.of_lots(book, [water])
    assert [(batch.grams, batch.most) for batch in called.batches] == [(pytest.approx(40.0), True)]
    back = recall.of_batch(book, jars)
    assert back.most == {water}
    assert b"at most" in recall.recall_csv(called)


def test_a_pot_that_was_never_filled_gives_its_water_back(book, code):
    page, number = full_again(book, code, 100)
    entry = page.of("pot")[-1]
    corrections.take_back(book, code, entry.number, "no water went in", shelf=tries.shelf(), on=DAY)
    assert store.lot(book, number).left_g == 100
    assert number not in {line.number for line in store.backward(book, code).lots}
    assert kitchen_log.stand(store.batch(book, code)).current.id == "refill"  # it is asked for again
    gross = entry.data["pot_g"]
    pot.fill_up(book, store.batch(book, code), "refill", gross, 43, lot=number)
    assert store.lot(book, number).left_g == 57


def test_the_pot_of_a_base_in_stock_is_set_right_not_taken_back(book, code):
    page, number = full_again(book, code, 100)
    book.finish_base(code, Lot(code="W-1", of=BASE.ref, name=BASE.name), 1500.0, {})
    with pytest.raises(Refused, match="Lot W-1 was made of it: set what the pot says right"):
        corrections.take_back(book, code, page.of("pot")[-1].number, "no", shelf=tries.shelf(), on=DAY)
    assert store.lot(book, number).left_g == 57
    assert store.batch(book, code).entries == page.entries


def test_water_of_a_lot_that_cannot_be_taken_is_refused_and_nothing_is_written(book, code):
    until(book, code, "pot")
    pot.weigh_empty(book, code, "pot", 812)
    page = until(book, code, "refill")
    gross = 812 + sum(page.weighed.values()) - 43
    few, held = water_lot(book, 40), water_lot(book, 100, "AQ-3")
    held_lots.hold_back(book, held, "cloudy")
    jar = book.receive(Lot(code="J", of=Ref(kind="jar", id="j120-70"), name="jar"), 100)
    for lot, problem in ((few, store.Short), (held, Refused), (jar, Refused)):
        with pytest.raises(problem):
            pot.fill_up(book, page, "refill", gross, 43, lot=lot)
    assert [entry.subject for entry in store.batch(book, code).of("pot")] == ["empty"]
    assert store.lot(book, few).left_g == 40


def jars_of(book, code: str) -> lots_drawn.Drawn:
    _, made = lot_of(book, code, 1900)
    jars = book.start(store.batch(book, code).plan, DAY, design=tries.design())
    book.weigh_from(jars, "base", [(made.number, 500, 500)], planned_g=500)
    return lots_drawn.drawn(book, store.batch_log(book, jars))


def test_water_of_no_lot_is_said_before_the_jars_are_released(book, code):
    full_again(book, code, None)
    (told,) = lots_drawn.behind(book, jars_of(book, code))
    assert (told.level, told.id) == ("caution", f"lot-water-{code}")
    assert "43 g of water" in told.text


def test_a_base_weighed_without_a_lot_bars_its_jars_and_names_the_line(book, code):
    page = until(book, code, "none")
    line = page.now.lines[0]
    taken = jars_of(book, code)
    assert list(lots_drawn.behind(book, taken)) == []
    other = book.start(page.plan, DAY, kind="base")
    for each in page.now.lines:
        lot = None if each.id == line.id else page.weighings[0].lot
        book.weigh_from(other, each.id, [(lot, 1, 0)], planned_g=1)
    (told,) = lots_drawn.behind(book, _of(book, other))
    assert (told.level, told.id) == ("stop", f"lot-nameless-{other}")
    assert line.name in told.text
    assert page.now.lines[1].name not in told.text


def _of(book, code: str) -> lots_drawn.Drawn:
    number = book.finish_base(code, Lot(code="N-1", of=BASE.ref, name="White"), 100.0, {})
    jars = book.start(store.batch(book, code).plan, DAY, design=tries.design())
    book.weigh_from(jars, "base", [(number, 50, 50)], planned_g=50)
    return lots_drawn.drawn(book, store.batch_log(book, jars))


# --- where the grams went -----------------------------------------------------------------------------


def test_the_grams_of_a_cooked_base_add_up(book, code):
    """In = base out + gone in the heat + left + lost: 43 g by the pot, 40 filled up, 1900 out, 25 left."""
    assert came_out.of_batch(book, store.batch(book, code)).balance is None
    page, _ = full_again(book, code, None, 40.0)
    went_in = sum(page.weighed.values())
    answers, _ = lot_of(book, code, 1900, left="25")
    assert answers == []
    came = came_out.of_batch(book, store.batch(book, code))
    kept = came.balance
    assert (kept.in_g, kept.base_g, kept.left_g) == (pytest.approx(went_in + 40), 1900, 25)
    assert kept.steam_g == pytest.approx(43)
    assert kept.lost_g == pytest.approx(went_in + 40 - 43 - 1900 - 25)
    rows = dict(outcome_rows.rows(came))
    assert rows["of that in base"] == "1900 g"
    assert rows["left over"] == "25 g"
    (told,) = came.findings
    assert "are neither in the base nor set aside nor left over" in told.text


def test_more_base_and_rest_than_went_in_is_refused(book, code):
    whole = pot.mass_g(until(book, code, "none"))
    answers, made = lot_of(book, code, whole - 10, left="20")
    assert made is None
    assert "20 g are left" in answers[0]
    assert store.batch(book, code).of("yield") == ()

"""Water filled up in the pot, set right: grams, lot, scale; the lot of the base and its jars follow."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from blendlab import store
from blendlab.errors import OutOfRange
from blendlab.production import base_lots, came_out, corrections, held_lots, lots_drawn, pot, recall, release
from blendlab.recipe import Ref
from blendlab.shelf import Lot, Shelf
from blendlab.store import AlreadyWritten, Refused
from tests.batch import plans_to_try as tries
from tests.production.released import read_and_release
from tests.production.test_production_pot import BASE, full_again, lot_of, water_lot
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)
GIVEN = {"shelf": tries.shelf(), "on": DAY}


@pytest.fixture
def code(book) -> str:
    return book.start(base_lots.cooking(BASE, tries.shelf(), 2000.0, book, DAY), DAY, kind="base")


def entry(book, code, subject: str = pot.FULL) -> store.BookEntry:
    return [each for each in store.batch(book, code).of("pot") if each.subject == subject][-1]


def put_right(book, code, said, subject: str = pot.FULL, why: str = "misread") -> tuple[str, ...]:
    return corrections.correct_entry(book, code, entry(book, code, subject).number, said, why, **GIVEN)


def left(book, *numbers: int) -> list[float]:
    return [store.lot(book, number).left_g for number in numbers]


def test_the_lot_of_the_water_is_named_afterwards_and_the_caution_goes(book, code):
    full_again(book, code, None)
    _, made = lot_of(book, code, 1900)
    jars = jars_of(book, code, made.number)
    (told,) = behind(book, jars)
    assert told.id == f"lot-water-{code}"
    assert f"correcting the line of the pot of {code}" in told.fix
    number = water_lot(book, 100)
    before = entry(book, code)
    put_right(book, code, {"lot": number}, why="the canister stood there")
    assert left(book, number) == [57]
    after = entry(book, code)
    assert (after.corrects, after.data["why"], after.data["water_g"]) == (
        before.number,
        "the canister stood there",
        43,
    )
    assert behind(book, jars) == []
    assert store.backward(book, code).grams[number] == 43
    assert [line.code for line in store.forward(book, number).batches] == [code]


def test_grams_and_lot_are_set_right_in_one_and_both_lots_agree(book, code):
    _, first = full_again(book, code, 100)
    second = water_lot(book, 80, "AQ-9")
    put_right(book, code, {"water_g": 34.0})
    assert left(book, first, second) == [66, 80]
    put_right(book, code, {"water_g": 50.0, "lot": second})
    assert left(book, first, second) == [100, 30]
    assert [line.code for line in store.forward(book, second).batches] == [code]
    assert store.forward(book, first).batches == ()  # nothing of it went in
    assert recall.of_lots(book, [first]).unnamed == ()
    assert first not in store.drawn(book, code)
    put_right(book, code, {"lot": None})
    assert left(book, first, second) == [100, 80]


def test_water_that_never_was_is_of_no_lot(book, code):
    _, number = full_again(book, code, 100)
    put_right(book, code, {"water_g": 0.0})
    assert left(book, number) == [100]
    assert entry(book, code).data["lot"] is None
    assert lots_drawn.drawn(book, store.batch(book, code)).parts.get(
        f"ingredient:{BASE.lines[0].ingredient.id}"
    )
    put_right(book, code, {"water_g": 20.0, "lot": number})
    assert left(book, number) == [80]


def test_water_of_no_lot_may_be_of_a_lot_that_is_called_back_until_its_lot_is_named(book):
    """Another lot of water, of which no batch says that it took: a base whose water has none may hold it."""
    code = base_lots.begin(
        book, BASE, tries.shelf(), base_lots.cooking(BASE, tries.shelf(), 2000.0, book, DAY), DAY
    )
    full_again(book, code, None)
    other = water_lot(book, 100, "AQ-8")
    glycerin = next(line.item for line in store.batch(book, code).now.lines if "glycerin" in line.item)
    assert recall.of_lots(book, [other]).unnamed == (code,)
    assert recall.of_thing(book, glycerin, "Glycerin").unnamed == ()
    put_right(book, code, {"lot": water_lot(book, 100, "AQ-9")})
    assert recall.of_lots(book, [other]).unnamed == ()
    put_right(book, code, {"lot": None})
    assert recall.of_lots(book, [other]).unnamed == (code,)
    corrections.take_back(book, code, entry(book, code).number, "no water went in", **GIVEN)
    assert recall.of_lots(book, [other]).unnamed == ()


def test_another_raw_material_of_the_base_is_no_water(book):
    """Glycerin goes into the base; poured into the pot as water it would be traced as nothing that was."""
    made = base_lots.cooking(BASE, tries.shelf(), 2000.0, book, DAY)
    code = base_lots.begin(book, BASE, tries.shelf(), made, DAY)
    glycerin = book.receive(Lot(code="GL", of=BASE.lines[1].ingredient, name="Glycerin"), 5000)
    strange = book.receive(Lot(code="LO", of=Ref(kind="ingredient", id="light-oil"), name="Light oil"), 5000)
    until(book, code, "pot")
    pot.weigh_empty(book, code, "pot", 812)
    page = until(book, code, "refill")
    gross, before = 812 + sum(page.weighed.values()) - 43, left(book, glycerin)
    with pytest.raises(Refused, match="GL is not of the water of this base"):
        pot.fill_up(book, page, "refill", gross, 43, lot=glycerin)
    with pytest.raises(Refused, match="LO is not of the water of this base"):
        pot.fill_up(book, page, "refill", gross, 43, lot=strange)  # the base has none of it at all
    number = water_lot(book, 100)
    pot.fill_up(book, page, "refill", gross, 43, lot=number)
    with pytest.raises(Refused, match="GL is not of the water of this base"):
        put_right(book, code, {"lot": glycerin})
    assert left(book, glycerin, number) == [*before, 57]
    assert pot.water_line(book, page, Shelf()).item == f"ingredient:{BASE.lines[0].ingredient.id}"


def test_a_lot_that_cannot_be_taken_is_refused_and_nothing_moves(book, code):
    _, number = full_again(book, code, 100)
    few = water_lot(book, 40, "AQ-3")
    jar = book.receive(Lot(code="J", of=Ref(kind="jar", id="j120-70"), name="jar"), 100)
    entries = store.batch(book, code).entries
    for lot, problem, words in (
        (few, store.Short, "AQ-3"),
        (jar, Refused, "not of the water of this base"),
    ):
        with pytest.raises(problem, match=words):
            put_right(book, code, {"lot": lot})
    with pytest.raises(store.Short):
        put_right(book, code, {"water_g": 101.0})
    with pytest.raises(Refused, match="Say why"):
        put_right(book, code, {"water_g": 40.0}, why=" ")
    assert left(book, number, few) == [57, 40]
    assert store.batch(book, code).entries == entries
    put_right(book, code, {"water_g": 100.0})  # what it had drawn is there again
    assert left(book, number) == [0]


def test_grams_of_a_lot_that_was_held_back_since_can_be_set_right(book, code):
    _, number = full_again(book, code, 100)
    held_lots.hold_back(book, number, "cloudy")
    put_right(book, code, {"water_g": 34.0})
    assert left(book, number) == [66]


def test_a_lot_that_is_held_back_can_be_named_and_stops_the_jars(book, code):
    full_again(book, code, None)
    _, made = lot_of(book, code, 1900)
    jars = jars_of(book, code, made.number)
    held = water_lot(book, 100, "AQ-4")
    held_lots.hold_back(book, held, "cloudy")
    put_right(book, code, {"lot": held})
    (told,) = behind(book, jars)
    assert told.level == "stop"
    assert "held back: cloudy" in told.text


def test_a_lot_that_had_ended_stops_the_jars_in_the_words_of_every_lot(book, code):
    full_again(book, code, None)
    _, made = lot_of(book, code, 1900)
    jars = jars_of(book, code, made.number)
    ended = book.receive(
        Lot(code="AQ-0", of=BASE.lines[0].ingredient, name="water", expiry=DAY - timedelta(days=1)), 100
    )
    put_right(book, code, {"lot": ended})
    (told,) = behind(book, jars)
    assert (told.level, told.id) == ("stop", f"lot-ended-{ended}")
    assert f"ended on {DAY - timedelta(days=1)}" in told.text


def test_what_the_scale_showed_is_set_right_and_the_base_weighs_what_follows(book, code):
    """812 read as 912 under the empty pot: 100 g more base; then the full pot 20 g lighter."""
    full_again(book, code, None)
    page = store.batch(book, code)
    mass, water = pot.mass_g(page), pot.water_g(page)
    put_right(book, code, {"pot_g": 712.0}, pot.EMPTY)
    page = store.batch(book, code)
    assert pot.mass_g(page) == pytest.approx(mass + 100)
    put_right(book, code, {"pot_g": entry(book, code).data["pot_g"] - 120})
    page = store.batch(book, code)
    assert pot.mass_g(page) == pytest.approx(mass - 20)
    assert pot.water_g(page) == water  # what was poured in was weighed by itself
    kept = came_out.cooked_balance(page, 1900)
    assert kept.steam_g == pytest.approx(43 + 20)
    with pytest.raises(OutOfRange, match="Full vessel"):
        put_right(book, code, {"pot_g": 700.0})
    with pytest.raises(OutOfRange, match="Full vessel"):
        put_right(book, code, {"pot_g": 5000.0}, pot.EMPTY)


def test_a_line_of_the_pot_is_set_right_once_and_taken_back_from_its_last_lot(book, code):
    _, first = full_again(book, code, 100)
    second = water_lot(book, 80, "AQ-9")
    old = entry(book, code)
    put_right(book, code, {"lot": second})
    with pytest.raises(AlreadyWritten):
        corrections.correct_entry(book, code, old.number, {"lot": None}, "again", **GIVEN)
    with pytest.raises(AlreadyWritten):
        corrections.take_back(book, code, old.number, "again", **GIVEN)
    assert left(book, first, second) == [100, 37]
    corrections.take_back(book, code, entry(book, code).number, "no water went in", **GIVEN)
    assert left(book, first, second) == [100, 80]
    assert store.forward(book, second).batches == ()
    assert store.backward(book, code).grams.keys() & {first, second} == set()


# --- the lot that the pot became ----------------------------------------------------------------------


def jars_of(book, code, number: int) -> str:
    jars = book.start(store.batch(book, code).plan, DAY, design=tries.design())
    book.weigh_from(jars, "base", [(number, 500, 500)], planned_g=500)
    return jars


def behind(book, jars: str) -> list:
    return list(lots_drawn.behind(book, lots_drawn.drawn(book, store.batch_log(book, jars))))


def test_the_percent_of_the_lot_follows_the_pot(book, code):
    page, _ = full_again(book, code, None)
    _, made = lot_of(book, code, 1900)
    kept = next(line for line in page.now.lines if line.what == "preservative")
    put_right(book, code, {"water_g": 143.0})
    now = store.lot(book, made.number)
    pct = 100 * page.weighed[kept.id] / (pot.mass_g(page) + 100)
    assert now.data["preservative_pct"] == pytest.approx([pct, pct], abs=1e-4)
    assert now.data["preservative_pct"] != made.data["preservative_pct"]
    assert now.data["corrected"] == "misread"
    assert (now.lot, now.left_g) == (made.lot, made.left_g)
    assert pot.mass_g(store.batch(book, code)) == pytest.approx(pot.mass_g(page) + 100)


def test_a_corrected_weighing_and_ph_of_the_pot_move_its_lot_too(book, code):
    page, _ = full_again(book, code, None)
    book.write("ph", "product", {"pH": 6.2}, code)
    _, made = lot_of(book, code, 1900)
    kept = next(line for line in page.now.lines if line.what == "preservative")
    number = next(each.number for each in page.weighings if each.line == kept.id)
    corrections.correct_weighing(book, code, number, kept.grams / 2, "the other scale", **GIVEN)
    half = store.lot(book, made.number).data["preservative_pct"][0]
    assert half == pytest.approx(made.data["preservative_pct"][0] / 2, rel=0.01)
    acid = store.batch(book, code).of("ph")[-1]
    corrections.correct_entry(book, code, acid.number, {"pH": 5.4}, "misread", **GIVEN)
    assert store.lot(book, made.number).data["pH"] == 5.4


def test_what_she_wrote_of_the_lot_herself_stays(book, code):
    full_again(book, code, None)
    _, made = lot_of(book, code, 1900)
    book.correct_lot(made.number, made.lot, {"preservative_pct": [0.9, 1.1]})
    put_right(book, code, {"water_g": 143.0})
    assert store.lot(book, made.number).data["preservative_pct"] == [0.9, 1.1]


def test_a_lot_ends_with_the_water_it_was_filled_up_with(book, code):
    full_again(book, code, None)
    _, made = lot_of(book, code, 1900)
    ends = DAY + timedelta(days=20)
    soon = book.receive(Lot(code="AQ-7", of=BASE.lines[0].ingredient, name="water", expiry=ends), 100)
    put_right(book, code, {"lot": soon})
    assert store.lot(book, made.number).lot.expiry == ends
    put_right(book, code, {"lot": None})
    assert store.lot(book, made.number).lot.expiry == made.lot.expiry


def test_jars_of_the_base_are_called_back_where_its_pot_breaks_a_limit(book, code, monkeypatch, sheet):
    """Water of a lot that had ended: a stop of the base, and the released jars are called back with it."""
    full_again(book, code, None)
    _, made = lot_of(book, code, 1900)
    jars = book.start(sheet, DAY, design=tries.design())
    real = release.sale_points
    lots = lambda *given: [stop for stop in real(*given) if stop.id.startswith("lot-ended")]  # noqa: E731
    monkeypatch.setattr(release, "sale_points", lots)  # only what the lots say
    page = until(book, jars, "weigh:base")
    book.weigh(
        jars, "base", page.now.line("base").grams, planned_g=page.now.line("base").grams, lot=made.number
    )
    until(book, jars, "none")
    read_and_release(book, jars, tries.shelf(), DAY)
    assert put_right(book, code, {"water_g": 44.0}) == ()
    ended = book.receive(
        Lot(code="AQ-0", of=BASE.lines[0].ingredient, name="water", expiry=DAY - timedelta(days=1)), 100
    )
    assert put_right(book, code, {"lot": ended}) == (jars,)
    page = store.batch(book, jars)
    assert page.decision == store.CALLED_BACK
    assert "Lot AQ-0 of water ended on" in page.of("release")[-1].data["why"]


def test_a_cut_between_line_lot_and_call_back_leaves_nothing(book, code, monkeypatch):
    _, number = full_again(book, code, 100)
    lot_of(book, code, 1900)
    before = (store.batch(book, code).entries, left(book, number), store.lots(book))

    def cut(*_):
        raise RuntimeError("the power went")

    monkeypatch.setattr(corrections, "judge_lot", cut)
    with pytest.raises(RuntimeError):
        put_right(book, code, {"water_g": 20.0})
    assert (store.batch(book, code).entries, left(book, number), store.lots(book)) == before

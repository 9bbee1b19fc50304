"""The rules of kitchen, release, sale and correction, held below the pages: each act refuses by itself."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.errors import BadDocument, OutOfRange, UnknownName
from blendlab.production import (
    base_lots,
    corrections,
    kitchen_acts,
    kitchen_log,
    outcome,
    pieces,
    pot,
    release,
    sales,
)
from blendlab.production.plausible import Doubtful
from blendlab.recipe import Batch, Dilution, Ref
from blendlab.shelf import Lot, resolve
from blendlab.store import AlreadyWritten, Refused
from blendlab.ui import outcome_rows
from tests.batch import plans_to_try as tries
from tests.production.released import read_and_release
from tests.store.damage import harm

DAY = date(2026, 3, 7)
GIVEN = {"shelf": tries.shelf(), "on": DAY}


@pytest.fixture
def book(tmp_path) -> store.Book:
    return store.open_book(store.Folder(tmp_path))


@pytest.fixture(scope="module")
def sheet():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


@pytest.fixture
def code(book, sheet) -> str:
    return book.start(sheet, DAY, design=tries.design())


def received(book, item: str, grams: float = 5000.0, code: str = "L-1") -> int:
    kind, _, name = item.partition(":")
    return book.receive(Lot(code=code, of=Ref(kind=kind, id=name), name=name), grams)


def until(book, code: str, wanted: str) -> store.BatchPage:
    """Work through the steps as the plan asks for, with named lots, until a step is open."""
    lots: dict[str, int] = {line.item: line.number for line in store.lots(book)}
    while True:
        page = store.batch(book, code)
        now = kitchen_log.stand(page)
        step = now.current
        if step is None or step.id == wanted:
            return page
        if now.line is not None:
            line = kitchen_log.asked_line(page, now.line)
            if line.item not in lots:
                lots[line.item] = received(book, line.item)
            kitchen_log.weigh(book, page, line, line.grams, lots[line.item])
        elif step.kind == "gate":
            kitchen_acts.pass_gate(book, code, step.id, 20.0)
        elif step.id == "pot":
            pot.weigh_empty(book, code, step.id, 800)
        elif step.id == "refill":
            whole = sum(page.weighed.values())
            water = pot.water_line(book, page, tries.shelf())
            lot = lots.get(water.item) if water is not None else None
            pot.fill_up(book, page, step.id, 800 + whole - 31, 31, lot=lot)
        elif step.id == "density":
            kitchen_acts.weigh_foam(book, code, step.id, 100, 62)
        elif step.id == "retain":
            kitchen_acts.retain(book, code, step.id, 30)
        elif step.id == "yield":
            kitchen_acts.close(book, code, step.id, 40, 6.1)
        elif step.id == "ph":
            kitchen_acts.measure_ph(book, code, step.id, 6.1)
        elif step.id == "fill":
            for _ in range(3):
                kitchen_acts.fill_jar(book, code, 75.0)
            kitchen_acts.all_filled(book, code, step.id, page.now.jars, "counted twice")
        else:
            kitchen_acts.tick(book, code, step.id)


@pytest.fixture
def finished(book, code) -> str:
    until(book, code, "none")
    return code


# --- the kitchen --------------------------------------------------------------------------------------


def test_no_step_is_ticked_before_its_turn_nor_twice(book, code):
    with pytest.raises(Refused, match="not the next one"):
        kitchen_acts.tick(book, code, "retain")
    kitchen_acts.tick(book, code, "clean")
    with pytest.raises(AlreadyWritten):
        kitchen_acts.tick(book, code, "clean")
    assert store.batch(book, code).ticked == {"clean"}


def test_what_is_weighed_or_measured_is_not_ticked(book, code):
    page = until(book, code, "whip-gate")
    weighed = next(step.id for step in page.plan.steps if step.kind == "weigh")
    with pytest.raises(Refused):
        kitchen_acts.tick(book, code, weighed)
    with pytest.raises(Refused, match="needs a measured temperature"):
        kitchen_acts.tick(book, code, "whip-gate")
    for measured in ("density", "fill", "retain", "yield"):
        until(book, code, measured)
        with pytest.raises(Refused, match="This step is measured: write down"):
            kitchen_acts.tick(book, code, measured)


def test_a_gate_holds_back_what_is_too_warm_and_keeps_what_was_measured(book, code):
    gate = next(step for step in until(book, code, "whip-gate").plan.steps if step.id == "whip-gate")
    with pytest.raises(kitchen_acts.TooWarm, match=f"above {gate.below_c:g} °C"):
        kitchen_acts.pass_gate(book, code, gate.id, gate.below_c + 0.5)
    page = store.batch(book, code)
    assert gate.id not in page.ticked
    assert [entry.data["celsius"] for entry in page.of("temperature")] == [gate.below_c + 0.5]
    kitchen_acts.pass_gate(book, code, gate.id, gate.below_c)
    assert gate.id in store.batch(book, code).ticked


def test_a_line_is_weighed_in_its_turn_and_from_a_lot_of_its_own_thing(book, code):
    page = store.batch(book, code)
    last = page.now.lines[-1]
    with pytest.raises(Refused, match="not the next line"):
        kitchen_log.weigh(book, page, last, last.grams, None)
    kitchen_acts.tick(book, code, "clean")
    page = store.batch(book, code)
    line = kitchen_log.stand(page).line
    other = received(book, "oil:benzoin")
    assert line.item != "oil:benzoin"
    with pytest.raises(Refused, match="not one of"):
        kitchen_log.weigh(book, page, line, line.grams, other)
    assert store.batch(book, code).weighings == ()


def test_too_much_and_too_little_are_not_written_down_without_an_answer(book, code):
    page = until(book, code, "weigh:base")
    line = kitchen_log.stand(page).line
    assert line.what == "base"
    with pytest.raises(Refused, match="too much: start the cup again, or make the rest bigger"):
        kitchen_log.weigh(book, page, line, line.grams * 1.2, None)
    with pytest.raises(Refused, match="write down the cause"):
        kitchen_log.weigh(book, page, line, line.grams * 0.8, None, "  ")
    assert "base" not in store.batch(book, code).weighed
    kitchen_log.weigh(book, page, line, line.grams * 0.8, None, "the pot was empty")
    assert store.batch(book, code).weighed["base"] == pytest.approx(line.grams * 0.8, abs=1e-4)


def test_a_figure_that_is_none_is_refused_whoever_writes_it(book, code):
    for kind, data in (
        ("ph", {"pH": 15}),
        ("ph", {"pH": "6"}),
        ("density", {"g_ml": 0}),
        ("fill", {"net_g": -1}),
        ("fill", {}),
        ("tick", {"celsius": 10**400}),
        ("deviation", {"enlarge_pct": float("nan")}),
    ):
        with pytest.raises(BadDocument):
            book.write(kind, "x", data, code)
    assert store.batch(book, code).entries == ()


# --- release ------------------------------------------------------------------------------------------


def test_a_batch_with_open_points_is_not_released(book, code):
    with pytest.raises(release.NotReleased) as told:
        read_and_release(book, code, tries.shelf(), DAY)
    ids = {point.id for point in told.value.points}
    assert {"release-lines", "release-ticks", "release-ph", "release-density", "release-fills"} <= ids
    assert all(point.level == "stop" for point in told.value.points)
    assert store.batch(book, code).of("release") == ()


def test_a_whole_record_is_not_enough_where_the_design_has_a_stop(book, finished):
    page = store.batch(book, finished)
    assert release.open_points(page) == ()
    assert any(point.level == "stop" for point in release.points(book, page, tries.shelf(), DAY))
    with pytest.raises(release.NotReleased, match="ssessment"):
        read_and_release(book, finished, tries.shelf(), DAY)


def test_a_batch_is_decided_once(book, finished, monkeypatch):
    monkeypatch.setattr(release, "sale_points", lambda *_: ())  # a design that nothing stops
    read_and_release(book, finished, tries.shelf(), DAY)
    (decision,) = store.batch(book, finished).of("release")
    assert (decision.subject, decision.data["on"]) == ("released for sale", "2026-03-07")
    with pytest.raises(AlreadyWritten):
        read_and_release(book, finished, tries.shelf(), DAY)
    with pytest.raises(AlreadyWritten):
        release.keep_as_test_jars(book, finished, DAY)


def test_a_line_that_cannot_be_read_keeps_a_batch_from_release(book, finished, monkeypatch):
    monkeypatch.setattr(release, "sale_points", lambda *_: ())
    harm(book, "UPDATE entries SET data = '{' WHERE id = (SELECT max(id) FROM entries WHERE kind = 'fill')")
    book.fill(finished, 9, 75.0)
    with pytest.raises(release.NotReleased, match="The record is not whole"):
        read_and_release(book, finished, tries.shelf(), DAY)


def test_a_cooked_base_is_never_released_and_jars_never_become_a_lot(book, code, sheet):
    cooked = book.start(sheet, DAY, kind="base")
    for decide in (
        lambda: release.release(book, cooked, tries.shelf(), DAY),
        lambda: release.keep_as_test_jars(book, cooked, DAY),
    ):
        with pytest.raises(Refused, match="cooked base"):
            decide()
    lot = Lot(code="B-1", of=Ref(kind="base", id="cooked"))
    with pytest.raises(Refused, match="batch of jars"):
        book.finish_base(code, lot, 100.0, {})
    book.finish_base(cooked, lot, 100.0, {})
    with pytest.raises(AlreadyWritten):
        book.finish_base(cooked, lot, 100.0, {})


def test_a_base_that_is_not_cooked_to_its_end_becomes_no_lot(book):
    base = tries.shelf().today("base", "cooked")
    made = base_lots.cooking(base, tries.shelf(), 1000.0, book, DAY)
    code = book.start(made, DAY, kind="base")
    answers = base_lots.cooked_lot(store.batch(book, code), base, {"grams": "900", "code": "B-1"}, book)
    assert "is not finished" in " ".join(answers)
    assert store.lots(book) == ()


def test_a_decision_is_not_written_past_its_rule(book, code):
    for kind in ("release", "sale"):
        with pytest.raises(Refused, match="rules of its own"):
            book.write(kind, "released for sale", {"on": DAY}, code)
    with pytest.raises(Refused):
        book.decide(code, "fine", DAY)


@pytest.mark.parametrize("jars", [float("nan"), float("inf"), -float("inf"), 2.5, -1])
def test_a_count_that_is_none_is_refused_by_every_act_of_the_jars(book, code, jars):
    page = until(book, code, "fill")
    with pytest.raises(Refused, match="whole jars"):
        kitchen_acts.all_filled(book, page.line.code, "fill", jars)
    with pytest.raises(Refused, match="whole jars"):
        sales.sell(book, code, jars, "gift shop", DAY)
    with pytest.raises(Refused, match="whole jars"):
        sales.count(book, code, jars, DAY, "counted")
    with pytest.raises(Refused, match="whole pieces"):
        pieces.receive(book, tries.shelf(), "lid", "j120-70", jars, "LIDS", DAY)


def test_more_jars_than_went_in_are_asked_about_and_told_as_more_not_as_lost(book, code):
    """As many as planned, but each of them heavier."""
    page = until(book, code, "fill")
    went_in, planned = sum(page.weighed.values()), page.now.jars
    for _ in range(3):
        kitchen_acts.fill_jar(book, code, 1.2 * page.now.net_g, "to the brim")
    mean_g = 1.2 * page.now.net_g
    with pytest.raises(Doubtful, match=f"{planned} jars of {mean_g:.1f} g are .* were weighed in"):
        kitchen_acts.all_filled(book, code, "fill", planned)
    kitchen_acts.all_filled(book, code, "fill", planned, "counted twice")
    came = outcome.outcome(until(book, code, "none"))
    rows = dict(outcome_rows.rows(came))
    assert came.balance.lost_g < 0
    assert "lost, the rest" not in rows
    assert rows["more than went in"].startswith(f"about {-came.balance.lost_g:.0f} g, ")
    assert went_in == came.balance.in_g


@pytest.mark.parametrize("cup_ml", [0, -100, float("nan")])
def test_a_cup_of_nothing_weighs_no_foam(book, code, cup_ml):
    until(book, code, "density")
    with pytest.raises(OutOfRange):
        kitchen_acts.weigh_foam(book, code, "density", cup_ml, 62)
    assert store.batch(book, code).of("density") == ()


def test_what_is_left_over_was_not_set_aside_before(book, code):
    page = until(book, code, "retain")
    there = sum(page.weighed.values()) - sum(page.filled_g)
    kitchen_acts.retain(book, code, "retain", there - 100)
    with pytest.raises(Doubtful, match="100 g are not in jars nor set aside"):
        kitchen_acts.close(book, code, "yield", 140, None)
    assert not [entry for entry in store.batch(book, code).of("yield") if entry.subject == "left"]
    kitchen_acts.close(book, code, "yield", 90, None)


# --- sale ---------------------------------------------------------------------------------------------


def test_nothing_is_sold_before_release_nor_of_test_jars(book, code):
    with pytest.raises(Refused, match="not released for sale"):
        sales.sell(book, code, 1, "gift shop", DAY)
    release.keep_as_test_jars(book, code, DAY)
    with pytest.raises(Refused, match="not released for sale"):
        sales.sell(book, code, 1, "gift shop", DAY)
    assert store.batch(book, code).sold == 0


def test_no_more_jars_are_sold_than_were_made(book, code, sheet):
    book.decide(code, store.FOR_SALE, DAY)
    sales.sell(book, code, sheet.jars - 1, "gift shop", DAY)
    with pytest.raises(Refused, match=f"by the book 1 of {sheet.jars} are left"):
        sales.sell(book, code, 2, "market", DAY)
    sales.sell(book, code, 1, " market ", DAY)
    assert store.batch(book, code).sold == sheet.jars
    for jar in range(sheet.jars + 2):
        book.fill(code, jar + 1, 75.0)
    sales.sell(book, code, 2, "", DAY)
    assert [sale.data["to"] for sale in store.batch(book, code).of("sale")] == ["gift shop", "market", ""]


@pytest.mark.parametrize("jars", [0, -1, 1.5])
def test_only_whole_jars_are_sold(book, code, jars):
    book.decide(code, store.FOR_SALE, DAY)
    with pytest.raises(Refused, match="whole jars"):
        sales.sell(book, code, jars, "gift shop", DAY)


# --- corrections --------------------------------------------------------------------------------------


def weighed(book, code: str, lot: int | None = None) -> int:
    page = until(book, code, "weigh:base")
    line = kitchen_log.stand(page).line
    kitchen_log.weigh(book, page, line, line.grams, lot)
    return next(found.number for found in store.batch(book, code).weighings if found.line == "base")


def test_a_correction_says_why_and_stays_with_the_thing(book, code):
    number = weighed(book, code, received(book, "base:cooked"))
    other = received(book, "pigment:ultramarine_blue", code="L-2")
    for why in ("", "   "):
        with pytest.raises(Refused, match="Say why"):
            corrections.correct_weighing(book, code, number, 1980, why, **GIVEN)
    with pytest.raises(Refused, match="not one of"):
        corrections.correct_weighing(book, code, number, 1980, "misread", other, **GIVEN)
    with pytest.raises(UnknownName):
        corrections.correct_weighing(book, code, 999, 1980, "misread", **GIVEN)
    corrections.correct_weighing(book, code, number, 1980, "misread", **GIVEN)
    with pytest.raises(AlreadyWritten):
        corrections.correct_weighing(book, code, number, 1981, "again", **GIVEN)
    assert store.batch(book, code).weighed["base"] == 1980
    assert store.lots(book, "base:cooked")[0].left_g == 5000 - 1980
    assert store.lots(book, "pigment:ultramarine_blue")[0].left_g == 5000


def test_what_was_thrown_away_is_weighed_again_not_corrected(book, code):
    number = weighed(book, code)
    book.throw_away(code, ["base"], "spilt")
    thrown = next(found.number for found in store.batch(book, code).weighings if found.corrects == number)
    with pytest.raises(Refused, match="weighed again"):
        corrections.correct_weighing(book, code, thrown, 100, "still there", **GIVEN)


def test_a_corrected_dilution_draws_what_it_holds_of_the_pure_thing(book):
    """10 % stock: of 20 g weighed, 2 g are pigment; corrected to 30 g, 3 g are."""
    blue, carrier = Ref(kind="pigment", id="ultramarine_blue"), Ref(kind="ingredient", id="light-oil")
    stock = Dilution(of=blue, pct=10, carrier=carrier)
    wanted = tries.design(batch=Batch(jars=24, dilutions=(stock,)))
    made = plan(resolve(wanted, tries.shelf()), tries.LOW_JAR)
    code = book.start(made, DAY)
    line = next(found for found in made.lines if found.item == "pigment:ultramarine_blue")
    assert line.stock_pct == 10
    lot = received(book, line.item, 50.0)
    number = book.weigh(code, line.id, 20.0, planned_g=20.0, lot=lot, draw_g=2.0)
    assert store.lot(book, lot).left_g == 48.0
    corrections.correct_weighing(book, code, number, 30.0, "misread", **GIVEN)
    assert store.lot(book, lot).left_g == 47.0

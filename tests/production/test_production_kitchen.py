"""The ladder of a cup, lines on top, answers to too much, and what the kitchen measures."""

from __future__ import annotations

import threading
from datetime import date

import pytest

from blendlab import store
from blendlab.errors import BadDocument
from blendlab.production import batches, kitchen_acts, kitchen_log
from blendlab.recipe import Batch
from blendlab.store import Refused
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import received, until
from tests.store.damage import harm

DAY = date(2026, 3, 7)


@pytest.fixture
def code(book, sheet) -> str:
    return book.start(sheet, DAY, design=tries.design())


def test_the_ladder_shows_what_is_done_and_what_comes(book, code, sheet):
    cup = next(lines for lines in sheet.cups.values() if len(lines) > 1)
    page = until(book, code, f"weigh:{cup[1].id}")
    rungs, total = kitchen_log.ladder(page, page.now.line(cup[1].id))
    assert [rung.state for rung in rungs] == ["done", "now", *["later"] * (len(cup) - 2)]
    assert rungs[0].grams == page.weighed[cup[0].id]
    assert total == pytest.approx(sum(line.grams for line in cup), abs=0.1)


def test_a_bigger_rest_asks_for_more_of_what_was_weighed(book, code):
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    done = next(other for other in page.now.lines if other.id in page.weighed)
    pct = kitchen_log.enlarge(book, page, line, line.grams * 1.1, None)
    assert pct == pytest.approx(10, abs=0.1)
    page = store.batch(book, code)
    assert page.weighed["base"] == pytest.approx(line.grams * 1.1, rel=1e-6)
    more = page.now.line(done.id)
    assert kitchen_log.on_top(page, more)
    rest = kitchen_log.asked_line(page, more)
    assert rest.grams == pytest.approx(0.1 * done.grams, rel=0.3)
    assert kitchen_log.part_of(page, more) == 2
    with pytest.raises(Refused, match="not the next line"):
        kitchen_log.enlarge(book, page, page.now.lines[-1], 1, None)


def test_a_new_cup_opens_its_lines_again(book, code, sheet):
    cup = next(lines for lines in sheet.cups.values() if len(lines) > 1)
    page = until(book, code, f"weigh:{cup[1].id}")
    line = page.now.line(cup[1].id)
    kitchen_log.start_cup_again(book, page, line, line.grams * 3, None)
    page = store.batch(book, code)
    assert cup[0].id not in page.weighed
    assert kitchen_log.stand(page).line.id == cup[0].id
    assert "thrown away" in page.of("deviation")[-1].data["cause"]


def test_what_a_weighing_means_and_how_much_the_batch_would_grow(book, code):
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    verdict, grown = kitchen_log.judged(page, line, line.grams * 1.2)
    assert verdict.explain
    assert grown == pytest.approx(20, abs=0.1)
    verdict, grown = kitchen_log.judged(page, line, line.grams)
    assert not verdict.explain
    assert grown == 0


def test_a_level_cup_gives_the_density():
    assert kitchen_log.measured_density(100, 62) == 0.62


def test_what_is_taken_of_the_bowl_stands_big_but_for_the_rest(sheet):
    told = {step.id: kitchen_log.big_grams(sheet, step) for step in sheet.steps}
    for portion in sheet.portions:
        assert told[f"take:{portion.tone}"] == (None if portion.rest else portion.take_g)
    assert told["clean"] is None


def test_measured_outside_the_order_is_written_where_it_was_measured(book, code):
    kitchen_acts.measured_later(book, code)
    assert store.batch(book, code).entries == ()
    kitchen_acts.measured_later(book, code, pH=5.5, foam_g_ml=0.63, jar_g=74)
    page = store.batch(book, code)
    assert page.of("ph")[0].data["pH"] == 5.5
    assert page.densities("foam") == (0.63,)
    assert page.filled_g == (74,)


def test_acids_are_measured_in_their_turn(book):
    from blendlab.batch.plan import plan
    from blendlab.shelf import resolve

    made = plan(resolve(tries.design(batch=Batch(jars=24, retained_g=30)), tries.shelf()), tries.LOW_JAR)
    code = book.start(made, DAY, design=tries.design())
    with pytest.raises(Refused, match="not the next one"):
        kitchen_acts.measure_ph(book, code, "ph", 5.5)
    steps = [step.id for step in made.steps]
    if "ph" in steps:
        until(book, code, "ph")
        kitchen_acts.measure_ph(book, code, "ph", 5.5)
        assert "ph" in store.batch(book, code).ticked


def test_a_batch_that_cannot_be_read_hides_no_other_that_runs(book, code, sheet):
    newer = book.start(sheet, DAY, design=tries.design())
    assert batches.at_work(book) == newer
    harm(book, "UPDATE batches SET plan = '{}' WHERE code = ?", newer)
    assert batches.at_work(book) == code
    assert batches.running(book, tries.design()) is None
    with pytest.raises(BadDocument):  # a label is never of an older batch in its place
        batches.made_of(book, tries.design())


# --- all of an act or nothing -----------------------------------------------------------------------------


def nothing_more(book, code, page) -> bool:
    """Whether a batch stands as it stood."""
    after = store.batch(book, code)
    return (after.entries, after.weighings, after.now) == (page.entries, page.weighings, page.now)


@pytest.mark.parametrize(
    ("share", "act"),
    [
        (1.5, lambda *given: kitchen_log.enlarge(*given)),
        (0.5, lambda *given: kitchen_log.weigh(*given, cause="the bag was empty")),
        (1.5, lambda *given: kitchen_log.start_cup_again(*given)),
    ],
    ids=["enlarge", "too little, with its cause", "new cup"],
)
def test_where_the_lot_is_short_nothing_was_written(book, code, share, act):
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    small = received(book, line.item, 0.1 * line.grams, "L-2")
    with pytest.raises(store.Short):
        act(book, page, line, share * line.grams, small)
    assert nothing_more(book, code, page)
    assert store.lot(book, small).left_g == pytest.approx(0.1 * line.grams)


def test_the_rest_is_not_made_bigger_where_the_lots_do_not_hold_its_base(book, code):
    page = until(book, code, "weigh:preservative")
    line, base = page.now.line("preservative"), page.now.line("base")
    (lot,) = store.lots(book, base.item)
    book.throw_away(code, [], "spilt", [(lot.number, lot.left_g - 0.05 * base.grams)])
    more_g, left_g = kitchen_log.base_on_top(book, page, line, 10)
    assert (more_g, left_g) == pytest.approx((0.1 * base.grams, 0.05 * base.grams))
    with pytest.raises(store.Refused, match="g of base; its lots hold"):
        kitchen_log.enlarge(book, page, line, 1.1 * line.grams, None)
    assert kitchen_log.base_on_top(book, page, line, 5)[0] <= left_g + 1e-6


def test_a_bigger_rest_counts_the_base_that_is_still_to_be_weighed(book, code):
    """Too much of an oil, before any base: the whole of the base is asked of its lots."""
    page = until(book, code, "weigh:oil:lavender")
    line, base = page.now.line("oil:lavender"), page.now.line("base")
    received(book, base.item, 1.05 * base.grams)
    more_g, left_g = kitchen_log.base_on_top(book, page, line, 10)
    assert (more_g, left_g) == pytest.approx((1.1 * base.grams, 1.05 * base.grams))
    with pytest.raises(store.Refused, match="g of base; its lots hold"):
        kitchen_log.enlarge(book, page, line, 1.1 * line.grams, None)


def test_a_new_cup_takes_from_both_lots_what_is_thrown_away(book, code):
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    small, full = received(book, line.item, 100, "L-2"), received(book, line.item, 9000, "L-3")
    kitchen_log.start_cup_again(book, page, line, 1.5 * line.grams, small, [full])
    assert store.lot(book, small).left_g == 0
    assert store.lot(book, full).left_g == pytest.approx(9000 + 100 - 1.5 * line.grams)


@pytest.mark.parametrize(
    ("step", "act"),
    [
        ("retain", lambda book, code: kitchen_acts.retain(book, code, "retain", 30)),
        ("yield", lambda book, code: kitchen_acts.close(book, code, "yield", 40, 6.1)),
    ],
)
def test_an_act_that_is_cut_before_its_tick_never_was(book, code, step, act, monkeypatch):
    page = until(book, code, step)

    def cut(*_) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(store.Book, "tick", cut)
    with pytest.raises(KeyboardInterrupt):
        act(book, code)
    monkeypatch.undo()
    assert nothing_more(book, code, page)
    act(book, code)
    assert len(store.batch(book, code).of("yield")) == 1 + (step == "yield")


def test_two_windows_set_aside_once(book, code):
    """Each reads the open step and writes in one transaction: the second finds it ticked."""
    until(book, code, "retain")
    told = []
    together = threading.Barrier(2)

    def window() -> None:
        together.wait()
        try:
            kitchen_acts.retain(book, code, "retain", 30)
        except store.AlreadyWritten as problem:
            told.append(problem)

    windows = [threading.Thread(target=window) for _ in range(2)]
    for each in windows:
        each.start()
    for each in windows:
        each.join()
    assert len(told) == 1
    assert [entry.data["retained_g"] for entry in store.batch(book, code).of("yield")] == [30]

"""The ladder of a cup, lines on top, answers to too much, and what the kitchen measures."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab import store
from blendlab.errors import BadDocument
from blendlab.production import batches, kitchen_acts, kitchen_log
from blendlab.recipe import Batch
from blendlab.store import Refused
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import until
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

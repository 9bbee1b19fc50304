"""The ladder of a cup, lines on top, answers to too much, and what the kitchen measures."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.errors import BadDocument
from blendlab.production import batches, kitchen_acts, kitchen_log
from blendlab.recipe import Batch, Dust, Top
from blendlab.shelf import resolve
from blendlab.store import Refused
from blendlab.units import plain
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


def test_the_open_rung_shows_the_grams_that_are_asked_for_now(book, code):
    """A tenth more of the first oil: the ladder counts what is in and what comes on top, as the line does."""
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    kitchen_log.enlarge(book, page, line, line.grams * 1.1, None)
    page = store.batch(book, code)
    oil = kitchen_log.stand(page).line
    top = kitchen_log.asked_line(page, oil)
    asked = replace(top, grams=top.grams + 1)  # as a bowl might ask for it
    rungs, total = kitchen_log.ladder(page, asked)
    (now,) = (rung for rung in rungs if rung.state == "now")
    assert now.grams == pytest.approx(page.weighed[oil.id] + asked.grams)
    assert now.grams == pytest.approx(oil.grams + 1)
    assert total == pytest.approx(sum(rung.grams for rung in rungs))


def test_only_what_can_be_done_about_too_much_is_offered(book, code):
    page = until(book, code, "weigh:preservative")
    line = page.now.line("preservative")
    with pytest.raises(Refused, match=r"start the cup again, or make the rest bigger\.$"):
        kitchen_log.weigh(book, page, line, round(2 * line.grams, 9), None)
    (lot,) = (lot for lot in store.lots(book) if lot.item == page.now.line("base").item)
    book.move(lot.number, -lot.left_g, "waste", "spilt")
    assert not kitchen_log.can_enlarge(book, page, line, 100.0)
    with pytest.raises(Refused, match=r"start the cup again\.$"):
        kitchen_log.weigh(book, page, line, round(2 * line.grams, 9), None)


def test_dust_beside_the_batch_makes_it_no_bigger(book):
    mica = next(tries.shelf().of("pigment"))
    design = tries.design(top=Top(kind="flat", dust=Dust(pigment=mica.ref, mg_per_cm2=1.0)))
    code = book.start(plan(resolve(design, tries.shelf()), tries.LOW_JAR), DAY, design=design)
    page = until(book, code, f"weigh:dust:{mica.id}")
    line = page.now.line(f"dust:{mica.id}")
    assert not kitchen_log.can_enlarge(book, page, line, 50.0)
    with pytest.raises(Refused, match="not part of the batch"):
        kitchen_log.enlarge(book, page, line, 2 * line.grams, None)
    assert store.batch(book, code).now.batch_g == page.plan.batch_g


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


# --- tones that were taken before the batch was made bigger -------------------------------------------------


def pigments_of(page, tone: str):
    return [line for line in page.plan.lines if line.tone == tone]


def enlarged_at_the_last_tone(book, code, share: float = 1.1) -> store.BatchPage:
    """Too much pigment in the tone that is taken last, after the first was folded."""
    page = store.batch(book, code)
    last = next(portion.tone for portion in page.plan.portions if portion.rest)
    page = until(book, code, f"weigh:{pigments_of(page, last)[0].id}")
    line = page.now.line(pigments_of(page, last)[0].id)
    kitchen_log.enlarge(book, page, line, round(share * line.grams, 9), None)
    return store.batch(book, code)


def test_a_short_base_on_top_names_what_it_was_to_make_up_for(book, code):
    """A tenth too much of a pigment asks for a tenth more of base; with half of that it stays too much."""
    page = enlarged_at_the_last_tone(book, code)
    pigment = max(page.weighed, key=lambda line: page.weighed[line] / page.plan.line(line).grams)
    page = until(book, code, "weigh:base")
    line = kitchen_log.asked_line(page, page.now.line("base"))
    assert kitchen_log.on_top(page, line)
    named = kitchen_log.stays_too_much(page, line, round(line.grams / 2))
    assert page.plan.line(pigment).name in named
    assert kitchen_log.stays_too_much(page, line, line.grams) == ()


def test_a_base_short_at_first_names_nothing_that_follows_it(book, code):
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    assert kitchen_log.smaller_pct(page, line, 0.8 * line.grams) > 0
    assert kitchen_log.stays_too_much(page, line, 0.8 * line.grams) == ()


def test_a_tone_that_was_taken_is_asked_for_what_goes_with_the_bigger_rest(book, code):
    first = next(portion for portion in store.batch(book, code).plan.portions if not portion.rest)
    page = enlarged_at_the_last_tone(book, code)
    page = until(book, code, f"take-1:{first.tone}")
    step = kitchen_log.stand(page).current
    (now,) = (portion for portion in page.now.portions if portion.tone == first.tone)
    assert kitchen_log.big_grams(page.now, step) == pytest.approx(now.take_g - first.take_g)
    assert now.take_g - first.take_g == pytest.approx(0.1 * first.take_g, abs=1)
    assert f"then add {plain(now.take_g - first.take_g, 2)} g to this tone" in step.text
    # what was weighed on top comes before it, its pigment after it: no tone is ever stronger than asked for
    assert page.weighed["base"] == pytest.approx(page.now.line("base").grams)
    (pigment,) = pigments_of(page, first.tone)
    assert page.weighed[pigment.id] == pigment.grams
    page = until(book, code, f"fold-1:{first.tone}")
    assert page.weighed[pigment.id] == pytest.approx(1.1 * pigment.grams, abs=pigment.step_g)
    assert f"{plain(now.scent_g - first.scent_g, 2)} g of the scent" in kitchen_log.stand(page).current.text


def test_the_tone_that_is_at_work_gets_more_too_and_is_folded_once(book, code):
    page = enlarged_at_the_last_tone(book, code)
    last = next(portion for portion in page.now.portions if portion.rest)
    page = until(book, code, f"take-1:{last.tone}")
    assert "about" in kitchen_log.stand(page).current.text
    page = until(book, code, "fill")
    assert f"fold-1:{last.tone}" not in {step.id for step in page.now.steps}


def test_a_batch_made_bigger_twice_asks_for_each_rise_once(book, code):
    page = enlarged_at_the_last_tone(book, code)
    first = next(portion for portion in page.plan.portions if not portion.rest)
    (pigment,) = pigments_of(page, first.tone)
    page = until(book, code, f"weigh:{pigment.id}")
    line = kitchen_log.asked_line(page, page.now.line(pigment.id))
    kitchen_log.enlarge(book, page, line, round(line.grams + 0.2 * pigment.grams, 9), None)
    page = until(book, code, "fill")
    takes = {step.id: step for step in page.now.steps if step.id.startswith("take-")}
    assert {f"take-1:{first.tone}", f"take-2:{first.tone}"} <= set(takes)
    (now,) = (portion for portion in page.now.portions if portion.tone == first.tone)
    own = [step.grams for step_id, step in takes.items() if step_id.endswith(first.tone)]
    assert first.take_g + sum(own) == pytest.approx(now.take_g)
    ticks = {entry.subject: entry for entry in page.of("tick")}
    for step in takes.values():
        assert step.text in {then.text for then in page.told(ticks[step.id]).steps}
    for line in page.now.lines:
        assert page.weighed[line.id] == pytest.approx(line.grams, abs=1.01 * line.step_g)


def test_what_was_ticked_before_a_rise_keeps_its_grams_beside_what_comes_on_top(book, code):
    """ "take 1003 g" beside "then add 107 g" would be 1110 g."""
    before = {step.id: step.text for step in store.batch(book, code).plan.steps}
    page = enlarged_at_the_last_tone(book, code)
    ticked = {step.id: step.text for step in page.now.steps if step.id in page.ticked}
    first = next(portion for portion in page.plan.portions if not portion.rest)
    for step_id in (f"take:{first.tone}", f"fold:{first.tone}"):
        assert ticked[step_id] == before[step_id]


def test_a_batch_that_never_grew_has_no_further_step(book, code):
    page = until(book, code, "fill")
    assert [step.id for step in page.now.steps] == [step.id for step in page.plan.steps]

"""The bowl in the kitchen, and when to order: what the book says of cups, weighings and use."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.batch.stability import due_dates
from blendlab.forms.stability_reading import reading_of
from blendlab.production import (
    bowl,
    judgement,
    kitchen_acts,
    kitchen_log,
    outcome,
    plausible,
    release,
    reorder,
    stability,
)
from blendlab.recipe import Addition, Batch, Ref
from blendlab.shelf import Lot, Shelf, resolve
from blendlab.store import Refused
from blendlab.ui import outcome_rows
from blendlab.units import on_scale, plain
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import received, until

DAY = date(2026, 3, 7)


@pytest.fixture
def book(tmp_path) -> store.Book:
    return store.open_book(store.Folder(tmp_path))


@pytest.fixture
def code(book) -> str:
    sheet = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    return book.start(sheet, DAY, design=tries.design())


def test_cups_are_weighed_in_their_turn_and_say_whip_on_or_stop(book, code):
    with pytest.raises(Refused):
        bowl.weigh_cup(book, code, "whip", 100, 80)
    until(book, code, "whip")
    assert bowl.foam_words(store.batch(book, code)) == ""
    bowl.weigh_cup(book, code, "whip", 100, 80)
    assert bowl.foam_words(store.batch(book, code)).startswith("Cup 1: 0.800 g/ml. Whip on to 0.6")
    bowl.weigh_cup(book, code, "whip", 100, 70, mix_g=105)
    # 105 over 70 g: 50 % overrun, a third of it air
    told = bowl.foam_words(store.batch(book, code))
    assert told.startswith("Cup 2: 0.700 g/ml, overrun 50 %, 33 % of it air. Whip on")
    bowl.weigh_cup(book, code, "whip", 100, 75)
    assert "heavier than the cup before, 0.700 g/ml: the foam collapses." in bowl.foam_words(
        store.batch(book, code)
    )
    bowl.weigh_cup(book, code, "whip", 100, 60)
    assert bowl.foam_words(store.batch(book, code)).endswith("Stop. That is what was planned.")


def test_a_cup_says_how_it_stands_to_the_plan_and_to_the_cup_before(book, code):
    page = until(book, code, "whip")
    target, net_g = page.now.density.g_ml, page.now.net_g
    bowl.weigh_cup(book, code, "whip", 100, 85 * target)
    told = bowl.foam_words(store.batch(book, code))
    assert "Stop. 15 % lighter than planned" in told
    assert f"about {0.85 * net_g:.0f} g, not {plain(net_g, 1)} g" in told
    fills = int((0.96 * page.now.batch_g - 30) / (1.01 * 0.85 * net_g))  # 4 % lost, 30 g held back, 1 % over
    assert fills > page.now.asked
    assert f"The batch then fills about {fills}, not {page.now.asked}." in told
    bowl.weigh_cup(book, code, "whip", 100, 92 * target)
    told = bowl.foam_words(store.batch(book, code))
    assert "heavier than the cup before" in told
    assert "the foam collapses. 8 % lighter than planned" in told
    bowl.weigh_cup(book, code, "whip", 100, 120 * target)
    assert "the foam collapses. 20 % heavier than planned" in bowl.foam_words(store.batch(book, code))


def test_a_jar_is_asked_about_that_its_foam_has_no_room_for(book, code):
    """118.09 ml of foam of 0.56 g/ml are 66 g: 75 g of it would take 134 ml."""
    until(book, code, "density")
    assert bowl.filling_words(store.batch(book, code)) == ""
    kitchen_acts.weigh_foam(book, code, "density", 100, 56)
    page = store.batch(book, code)
    ml = page.now.net_g / page.now.density.g_ml
    assert f"holds about {0.56 * ml:.0f} g, not {plain(page.now.net_g, 1)} g" in bowl.filling_words(page)
    with pytest.raises(
        plausible.Doubtful, match=f"take 134 ml; the jar is filled to {ml:.0f} ml, that is 66 g"
    ):
        kitchen_acts.fill_jar(book, code, 75.0)
    kitchen_acts.fill_jar(book, code, 66.0)
    assert not [point for point in release.open_points(store.batch(book, code)) if "agree" in point.text]
    kitchen_acts.fill_jar(book, code, 85.0, "pressed in")
    (told,) = (point for point in release.open_points(store.batch(book, code)) if "agree" in point.text)
    assert told.level == "caution"
    assert f"75.5 g of foam of 0.56 g/ml take {75.5 / 0.56:.0f} ml" in told.text


def begun(book, *additions: Addition) -> str:
    design = tries.design(batch=Batch(jars=24, additions=additions))
    return book.start(plan(resolve(design, tries.shelf()), tries.LOW_JAR), DAY, design=design)


def test_a_cup_of_a_base_with_oil_stirred_in_is_told_too(book):
    """The oil is in the bowl before the whipping: its cup is the filling."""
    code = begun(book, Addition(ingredient=Ref(kind="ingredient", id="light-oil"), pct=4.0))
    page = until(book, code, "whip")
    assert "addition:light-oil" in page.weighed
    bowl.weigh_cup(book, code, "whip", 100, 100 * 0.85 * page.now.density.g_ml)
    told = bowl.foam_words(store.batch(book, code))
    assert (
        f"15 % lighter than planned: a jar filled as planned holds about {0.85 * page.now.net_g:.0f} g"
        in told
    )


def test_grains_are_folded_in_after_the_cup_and_the_jar_is_told_with_them(book):
    """30 % sugar of 1.587 g/ml: 1 / (0.7 / 0.5 + 0.3 / 1.587) = 0.6293 g/ml with foam of 0.5 g/ml."""
    code = begun(book, Addition(ingredient=Ref(kind="ingredient", id="cane-sugar"), pct=30.0))
    page = until(book, code, "whip")
    assert "addition:cane-sugar" not in page.weighed
    target = page.now.foam_g_ml
    assert page.now.density.g_ml == pytest.approx(1 / (0.7 / target + 0.3 / 1.587))
    assert f"Whip to {target:.2f} g/ml" in kitchen_log.stand(page).current.text
    bowl.weigh_cup(book, code, "whip", 100, 50)
    ml = page.now.net_g / page.now.density.g_ml
    jar_g = ml / (0.7 / 0.5 + 0.3 / 1.587)
    told = bowl.foam_words(store.batch(book, code))
    assert f"a jar filled as planned holds about {jar_g:.0f} g, not {plain(page.now.net_g, 1)} g" in told
    until(book, code, "density")
    kitchen_acts.weigh_foam(book, code, "density", 100, 50)
    page = until(book, code, "fold-grains")
    assert page.weighed["addition:cane-sugar"] == page.now.line("addition:cane-sugar").grams
    assert f"about {jar_g:.0f} g" in bowl.filling_words(page)
    until(book, code, f"take:{page.now.portions[0].tone}")
    told = list(plausible.of_volume(page, round(1.2 * jar_g, 1)))
    assert f"foam of 0.50 g/ml and what is folded in take {1.2 * ml:.0f} ml" in told[0]
    assert f"that is {jar_g:.0f} g of this foam and what is folded in" in told[0]
    assert not list(plausible.of_volume(page, round(jar_g, 1)))


def test_a_jar_may_hold_the_planned_overfill_and_what_two_cups_differ_by(book, code):
    """Foam as planned: a jar has room for its net grams, the overfill on top, and 5 % for its cup."""
    page = until(book, code, "density")
    kitchen_acts.weigh_foam(book, code, "density", 100, 100 * page.now.density.g_ml)
    page = store.batch(book, code)
    over = 1 + page.now.overfill_pct / 100
    assert page.now.overfill_pct > 0
    assert not list(plausible.of_volume(page, page.now.net_g * over * 1.049))
    assert len(list(plausible.of_volume(page, page.now.net_g * over * 1.051))) == 1


def test_a_cup_on_the_way_is_not_the_density_of_the_batch(book, code):
    until(book, code, "whip")
    bowl.weigh_cup(book, code, "whip", 100, 80, mix_g=105)
    assert release.evidence(store.batch(book, code)).density_g_ml is None
    until(book, code, "fill")
    assert release.evidence(store.batch(book, code)).density_g_ml == 0.62


def test_a_bowl_as_planned_says_nothing_and_another_one_what_it_needs(book, code):
    page = until(book, code, "weigh:preservative")
    line = page.now.line("preservative")
    assert bowl.asked(book, page, line, tries.shelf()) == (line, "")
    base = page.now.line("base")
    assert bowl.asked(book, page, base, tries.shelf()) == (base, "")


def with_less_base(book, code, share: float = 0.9) -> store.BatchPage:
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    kitchen_log.weigh(book, page, line, round(line.grams * share), None, "the pail was empty")
    return store.batch(book, code)


def test_less_base_asks_for_less_of_everything_that_follows(book, code):
    page = with_less_base(book, code)
    share = page.weighed["base"] / page.plan.line("base").grams
    assert page.now.line("base").grams == page.weighed["base"]
    seen = []
    for line_id in [line.id for line in page.plan.lines if line.id not in page.asked]:
        page = until(book, code, f"weigh:{line_id}")
        before = page.plan.line(line_id)
        asked, told = bowl.asked(book, page, page.now.line(line_id), tries.shelf())
        assert asked.grams == pytest.approx(before.grams * share, abs=1.01 * before.step_g)
        now, then = (on_scale(grams, before.step_g) for grams in (asked.grams, before.grams))
        assert f"less base than planned: {now} g go with it, not {then} g" in told
        seen.append(asked.what)
    assert seen == ["preservative", "pigment", "pigment"]
    page = until(book, code, "none")
    for portion in page.plan.portions:
        fold = next(step.text for step in page.now.steps if step.id == f"fold:{portion.tone}")
        scent_g = float(re.search(r"([0-9.]+) g of the scent", fold)[1])
        assert scent_g == pytest.approx(portion.scent_g * share, abs=0.01)
    assert not [point for point in release.open_points(page) if "Off without" in point.text]


def test_a_batch_made_smaller_is_judged_as_it_was_designed(book, code):
    """The scent was mixed for the whole batch: what no tone asks for stays in its cup."""
    with_less_base(book, code, 0.8)
    page = until(book, code, "none")
    made = judgement.as_made(book, page, tries.shelf(), DAY).design
    design = tries.design()
    assert made.scent.load_pct == pytest.approx(design.scent.load_pct, rel=0.01)
    assert [share.share_pct for share in made.scent.oils] == pytest.approx([60, 40], rel=0.01)
    for tone, planned in zip(made.tones, design.tones, strict=True):
        assert tone.share_pct == pytest.approx(planned.share_pct, rel=0.01)
        assert tone.doses[0].pct == pytest.approx(planned.doses[0].pct, rel=0.03)


def test_only_a_base_that_is_clearly_short_makes_the_batch_smaller(book, code):
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    assert kitchen_log.smaller_pct(page, line, line.good[0]) == 0
    assert kitchen_log.smaller_pct(page, line, line.grams * 1.2) == 0
    assert kitchen_log.smaller_pct(page, line, line.grams * 0.9) == pytest.approx(10)
    pigment = next(other for other in page.now.lines if other.what == "pigment")
    assert kitchen_log.smaller_pct(page, pigment, pigment.grams * 0.5) == 0


def test_a_base_lot_of_another_percent_asks_for_another_top_up(book, code):
    """Mass balance by hand: base B at 0.7 %, wanted p in the bowl, T = (p - 0.7) B / (100 - p)."""
    lot = Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White")
    book.receive(lot, 5000, {"preservative_pct": [0.7, 0.7]})
    page = until(book, code, "weigh:preservative")
    kept, plan = page.now.line("preservative"), page.now
    asked, told = bowl.asked(book, page, kept, tries.shelf())
    wanted = plan.preservative.target_pct / min(portion.take_g / portion.grams for portion in plan.portions)
    exact = (wanted - 0.7) * page.weighed["base"] / (100 - wanted)
    assert asked.exact_g == pytest.approx(exact)
    assert kept.grams < exact <= asked.grams <= asked.good[1]
    assert "What really went into the bowl asks for" in told


def test_the_percent_of_another_preservative_is_not_taken_for_that_of_the_line(book, code):
    """0.1 % of something else in the lot would ask for 0.9 % of Preservative A on top."""
    lot = Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White")
    book.receive(lot, 5000, {"preservative_pct": [0.1, 0.1], "kept_by": "preservative-b"})
    page = until(book, code, "weigh:preservative")
    kept = page.now.line("preservative")
    asked, told = bowl.asked(book, page, kept, tries.shelf())
    assert asked == kept
    assert f"How much {kept.name} lot C-1 holds is not known" in told


@pytest.mark.parametrize(
    ("pct", "said", "grams"),
    [
        ("unknown", "is not known", None),
        ([1.05, 1.05], "holds enough for 1 % in each tone: write 0 g down", 0.0),
    ],
)
def test_a_base_lot_that_is_unknown_or_rich_enough_is_told(book, code, pct, said, grams):
    lot = Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White")
    book.receive(lot, 5000, {"preservative_pct": pct})
    page = until(book, code, "weigh:preservative")
    kept = page.now.line("preservative")
    asked, told = bowl.asked(book, page, kept, tries.shelf())
    assert said in told
    assert asked.grams == (kept.grams if grams is None else grams)


@pytest.mark.parametrize(("more", "told"), [(-0.1, True), (0.1, False)])
def test_what_lasts_no_longer_than_lead_and_safety_is_to_be_ordered(folder, book, code, more, told):
    used = store.batch(book, code).plan.line("oil:lavender").grams
    at = used * 14 / 28  # common practice: 9 days to come and 5 to spare, of the use of 28 days at least
    book.receive(Lot(code="L-1", of=Ref(kind="oil", id="lavender"), name="Lavender"), used + at + more)
    until(book, code, "stir-scent")
    today = date.today()
    orders = reorder.sentences(folder, book, tries.shelf(), today)
    said = [sentence for sentence in orders if "Lavender" in sentence]
    assert bool(said) is told
    assert all(f"order at {at:.1f} g" in sentence for sentence in said)
    assert reorder.sentences(folder, book, tries.shelf(), today + timedelta(days=200)) == ()


def test_a_base_of_her_own_formula_is_cooked_and_not_ordered(folder, book, code):
    until(book, code, "whip")
    (base,) = store.lots(book, "base:cooked")
    book.move(base.number, 1 - base.left_g, "count", "counted")
    said = " ".join(reorder.sentences(folder, book, tries.shelf(), date.today()))
    assert "Cook Whipped soap base: 1 g left, cook at " in said


def test_a_density_now_says_how_far_the_filling_sank(book, code):
    until(book, code, "none")
    page = store.batch(book, code)
    said, answers = reading_of({"density": "0,70"}, DAY, page, tries.shelf())
    assert not answers
    # 0.62 of 0.70 g/ml: 11.4 % of the height is gone, more than the usual 5 %
    assert said["height_drop_pct"] == pytest.approx(100 * (1 - 0.62 / 0.70))
    assert "height drop 11.4 %, more than 5 %" in said["fails"]
    assert "the net weight stays" in said["note"]
    measured, _ = reading_of({"density": "0.70", "drop": "2"}, DAY, page, tries.shelf())
    assert measured["height_drop_pct"] == 2
    assert measured["fails"] == []
    none, answers = reading_of({"density": "0.70"}, DAY, store.batch(book, code), Shelf(()))
    assert none is None
    assert "never weighed, or its base is gone" in answers[0]


def test_a_warm_reading_stands_for_more_weeks_in_her_unit(book, code):
    log = stability.log_of(store.batch(book, code), DAY)
    warm = next(due for due in due_dates(DAY) if due.test == "warm40" and (due.on - DAY).days == 84)
    assert (
        stability.when(log, warm) == f"{warm.on}, like about 42 weeks at 22 °C, a rule of thumb and no proof"
    )
    assert "71.6 °F" in stability.when(log, warm, "F")
    plain = next(due for due in due_dates(DAY) if due.test == "room")
    assert stability.when(log, plain) == f"{plain.on}"


def poorer(book, code, pct: float) -> store.BatchPage:
    """A lot of base that holds another percent than the sheet took, weighed as the sheet asks."""
    lot = Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White")
    book.receive(lot, 9000, {"preservative_pct": [pct, pct]})
    return until(book, code, "weigh:preservative")


def first_pigment(book, code) -> str:
    """Id of the step that weighs the first pigment."""
    page = store.batch(book, code)
    pigments = {line.id for line in page.plan.lines if line.what == "pigment"}
    return next(step.id for step in page.plan.steps if step.line in pigments)


def weigh_as_asked(book, code, line_id: str = "preservative") -> float:
    """Weigh the open line as the bowl asks for it; returns the grams."""
    page = until(book, code, f"weigh:{line_id}")
    line, _ = bowl.asked(book, page, kitchen_log.asked_line(page, page.now.line(line_id)), tries.shelf())
    kitchen_log.weigh(book, page, line, line.grams, None)
    return line.grams


@pytest.mark.parametrize("pct", [0.7, 1.01])
def test_a_preservative_that_was_weighed_as_the_bowl_asked_is_done(book, code, pct):
    """More or less than the sheet: nothing of it is asked for again."""
    poorer(book, code, pct)
    grams = weigh_as_asked(book, code)
    page = store.batch(book, code)
    assert grams != page.plan.line("preservative").grams
    assert kitchen_log.stand(page).current.id == "stir-preservative"
    assert page.now.line("preservative").grams == grams
    change = grams - page.plan.line("preservative").grams
    assert page.now.batch_g == pytest.approx(page.plan.batch_g + change, abs=0.05)  # the scent follows
    page = until(book, code, "none")
    assert page.weighed["preservative"] == grams
    assert [weighing.part for weighing in page.weighings if weighing.line == "preservative"] == [1]


def test_the_preservative_of_a_short_bowl_is_asked_for_once(book, code):
    with_less_base(book, code)
    until(book, code, "weigh:preservative")
    grams = weigh_as_asked(book, code)
    assert until(book, code, "none").weighed["preservative"] == grams


def test_a_bigger_rest_asks_for_what_is_missing_of_what_the_bowl_asked_for(book, code):
    """T is what the lot's base needs; a tenth more of the batch needs a tenth of T more, not the sheet's."""
    poorer(book, code, 1.01)
    before = weigh_as_asked(book, code)
    page = until(book, code, first_pigment(book, code))
    line = page.now.line(kitchen_log.stand(page).line.id)
    kitchen_log.enlarge(book, page, line, round(line.grams * 1.1, 9), None)
    more = weigh_as_asked(book, code)
    step_g = page.plan.line("preservative").step_g
    assert before + more == pytest.approx(1.1 * before, abs=1.01 * step_g)
    assert until(book, code, "none").weighed["preservative"] == pytest.approx(before + more)


def test_too_much_of_what_the_bowl_asked_for_makes_the_batch_bigger_not_smaller(book, code):
    poorer(book, code, 0.7)
    page = store.batch(book, code)
    line, _ = bowl.asked(book, page, page.now.line("preservative"), tries.shelf())
    grams = round(1.2 * line.grams, 9)
    assert kitchen_log.enlarge(book, page, line, grams, None) == pytest.approx(20, abs=0.06)  # whole grams
    page = store.batch(book, code)
    assert page.now.line("base").grams == pytest.approx(1.2 * page.plan.line("base").grams, rel=0.002)
    assert page.now.line("preservative").grams == pytest.approx(grams, abs=line.step_g)
    assert kitchen_log.remaining(page.now.line("preservative"), page.asked) == 0


def test_a_new_cup_forgets_what_the_bowl_had_asked_for(book, code):
    poorer(book, code, 1.01)
    weigh_as_asked(book, code)
    book.write("deviation", store.batch(book, code).plan.line("preservative").cup, {"cause": "spilt"}, code)
    page = store.batch(book, code)
    assert page.now.line("preservative") == page.plan.line("preservative")


def test_smaller_bigger_and_smaller_again_compose(book, code):
    """0.9 x 1.2 = 1.08 of the sheet; of the base on top, half comes: what is in is all that is asked for."""
    page = with_less_base(book, code)
    planned, first = page.plan.line("base").grams, page.weighed["base"]
    page = until(book, code, first_pigment(book, code))
    line = page.now.line(kitchen_log.stand(page).line.id)
    kitchen_log.enlarge(book, page, line, round(line.grams * 1.2, 9), None)
    page = until(book, code, "weigh:base")
    assert page.now.line("base").grams == pytest.approx(1.2 * first, abs=1)
    top = kitchen_log.asked_line(page, page.now.line("base"))
    assert top.grams == pytest.approx(0.2 * first, abs=1)
    kitchen_log.weigh(book, page, top, round(top.grams / 2), None, "the second pail too")
    page = store.batch(book, code)
    assert page.now.line("base").grams == pytest.approx(page.weighed["base"], abs=1)
    assert page.sized.batch_g / page.plan.batch_g == pytest.approx(page.weighed["base"] / planned, rel=0.002)
    assert "base" not in {step.line for step in kitchen_log.stand(until(book, code, "none")).later}
    assert until(book, code, "none").weighed["base"] == page.weighed["base"]


def test_a_tick_is_told_as_the_kitchen_said_it_then(book, code):
    page = with_less_base(book, code)
    page = until(book, code, "none")
    ticks = {entry.subject: entry for entry in page.of("tick")}
    for portion in page.now.portions:
        step_id = f"take:{portion.tone}"
        texts = {step.id: step.text for step in page.told(ticks[step_id]).steps}
        assert texts[step_id] == next(step.text for step in page.now.steps if step.id == step_id)
        assert texts[step_id] != next(step.text for step in page.plan.steps if step.id == step_id)
    assert page.told(ticks["clean"]) == page.plan
    assert page.told(page.of("deviation")[0]) == page.plan


def test_what_became_of_a_short_batch_is_told_with_what_was_planned(book, code):
    page = with_less_base(book, code)
    came = outcome.outcome(until(book, code, "none"))
    assert (came.planned_g, came.became_g) == (page.plan.batch_g, page.now.batch_g)
    assert came.became_g < 0.91 * came.planned_g
    rows = dict(outcome_rows.rows(came))
    assert rows["Yield"].endswith("% of what it became")
    assert rows["Planned"] == f"{page.plan.batch_g:.0f} g"
    assert rows["became"] == f"{page.now.batch_g:.0f} g: the pail was empty"
    (weighing,) = [weighing for weighing in page.weighings if weighing.line == "base"]
    assert kitchen_log.asked_then(page, weighing) == page.plan.line("base").grams
    other = next(each for each in page.weighings if each.line != "base")
    assert kitchen_log.asked_then(page, other) == other.planned_g


def test_a_second_lot_of_a_short_base_was_asked_nothing_of_its_own(book, code):
    page = until(book, code, "weigh:base")
    line = page.now.line("base")
    first, second = received(book, line.item, 100, "L-2"), received(book, line.item, 9000, "L-3")
    kitchen_log.weigh(book, page, line, round(0.9 * line.grams), first, "spilt", [second])
    page = store.batch(book, code)
    told = [kitchen_log.asked_then(page, each) for each in page.weighings if each.line == "base"]
    assert told == [line.grams, 0]


def test_scent_that_no_tone_asks_for_is_left_over_and_not_lost(book, code):
    """A tenth less base: a tenth of the scent that was mixed stays in its cup."""
    page = with_less_base(book, code)
    scent = {line.id: line for line in page.plan.lines if line.what == "oil"}
    mixed = sum(page.weighed[line] for line in scent)
    used = sum(page.now.line(line).grams for line in scent)
    step_g = max(line.step_g for line in scent.values())
    assert mixed - used == pytest.approx(0.1 * mixed, abs=2 * step_g)
    assert outcome.unused_scent_g(page) == pytest.approx(mixed - used)
    kept = outcome.balance(until(book, code, "none"))
    assert kept.scent_g == pytest.approx(mixed - used)
    assert kept.lost_g == pytest.approx(
        kept.in_g - kept.jars_g - kept.retained_g - kept.left_g - kept.scent_g
    )
    assert dict(outcome_rows.rows(outcome.outcome(until(book, code, "none"))))["scent left over"] == (
        f"{mixed - used:.2f} g"
    )


def test_a_batch_of_its_planned_size_has_no_scent_left_over(book, code):
    came = outcome.outcome(until(book, code, "none"))
    assert came.balance.scent_g == 0
    assert {"became", "scent left over"}.isdisjoint(dict(outcome_rows.rows(came)))

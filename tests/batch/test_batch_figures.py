"""Figures of sheets at their ends: nothing to weigh, a cooked base, a stock in the list, a line off."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.batch import (
    cooking,
    inci,
    kitchen,
    plan_findings,
    preservative,
    record,
    safety_assessment,
    stock,
)
from blendlab.batch.plan import plan
from blendlab.batch.whip import filled_density
from blendlab.codec import decode
from blendlab.recipe import Addition, Batch, Dilution, Ref
from blendlab.shelf import resolve
from tests.batch import plans_to_try as tries
from tests.batch.test_batch_accounts import shelf_with

NEAR = pytest.approx
GLYCERIN = Ref(kind="ingredient", id="glycerin")


def test_a_batch_of_which_nothing_went_in_has_no_lines_and_no_grams():
    made = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR, weighed={})
    assert "nothing-to-weigh" in tries.ids(made.findings)
    assert (made.lines, made.portions, made.steps, made.preservative) == ((), (), (), None)
    assert (made.batch_g, made.jars, made.last_jar_g, made.smallest_g, made.asked) == (0, 0, 0, 0, None)
    # one jar is filled to 118.09 ml all the same
    assert made.net_g == NEAR(118.09 * made.density.g_ml)


def test_tones_of_no_share_are_not_weighed():
    nothing = tuple(replace(tone, share_pct=0) for tone in tries.design().tones)
    made = plan(resolve(tries.design(tones=nothing), tries.shelf()), tries.LOW_JAR)
    assert (made.lines, made.batch_g, made.jars) == ((), 0, 0)


def test_a_cooked_base_fills_no_jar():
    base = tries.shelf().today("base", "cooked")
    made = cooking.cook(base, tries.shelf(), 1500)
    assert (made.jars, made.last_jar_g, made.net_g, made.net_low_g, made.net_high_g) == (0,) * 5
    assert (made.overfill_pct, made.loss_pct, made.retained_g, made.asked) == (0, 0, 0, None)
    assert (made.density, made.preservative, made.portions) == (None, None, ())


def test_a_cooked_base_is_weighed_phase_by_phase():
    base = tries.shelf().today("base", "cooked")
    backwards = replace(base, lines=base.lines[::-1])
    for formula in (base, backwards):
        made = cooking.cook(formula, tries.shelf(), 1500)
        phases = [tries.shelf().today(*line.item.split(":", 1)).phase for line in made.lines]
        assert list(dict.fromkeys(phases)) == [
            phase for phase in ("water", "fat", "dry", "cool", "fold") if phase in phases
        ]
        assert phases == sorted(phases, key=list(dict.fromkeys(phases)).index)
        assert len(set(phases)) > 2


def test_what_a_stock_is_thinned_with_stands_on_the_label():
    """A stock of 10 % is nine tenths glycerin, here less than a gram, on top of the glycerin of the base."""
    yellow = Ref(kind="pigment", id="iron_oxide_yellow")
    asked = tries.design(batch=Batch(jars=5, dilutions=(Dilution(of=yellow, pct=10.0, carrier=GLYCERIN),)))
    resolved = resolve(asked, tries.shelf())
    made = plan(resolved, tries.LOW_JAR)
    assert made.line("pigment:iron_oxide_yellow@cream").carrier_g < 1
    stock = made.line("pigment:iron_oxide_yellow@cream")
    in_base = sum(line.pct for line in resolved.base.lines if line.ingredient.id == "glycerin")
    grams = made.line("base").grams * in_base / 100 + 0.9 * stock.grams
    listed = sum(part.high_pct for part in inci._parts(resolved, made, "EU", {}) if part.name == "Glycerin")
    assert listed == NEAR(100 * grams / made.batch_g)


@pytest.mark.parametrize(("pct", "listed"), [(0.5, True), (0.0, False)])
def test_only_what_is_in_the_jar_stands_on_the_label(pct, listed):
    oil = tries.shelf().today("ingredient", "light-oil")
    asked = tries.design(batch=Batch(jars=24, additions=(Addition(ingredient=oil.ref, pct=pct),)))
    resolved = resolve(asked, tries.shelf())
    names = inci.ingredients(resolved, plan(resolved, tries.LOW_JAR), "EU").names
    assert (oil.components[0].inci in names) is listed


@pytest.mark.parametrize(
    ("base_id", "product", "function"),
    [("cooked", "whipped_soap", "humectant"), ("butter-ivory", "body_butter", "oil")],
)
def test_a_stock_is_made_in_a_humectant_and_without_water_in_an_oil(base_id, product, function):
    """0.02 % of a tone is too little for the scale; a stock of it is offered with its carrier."""
    base = tries.shelf().today("base", base_id)
    design = tries.design(base=base.ref, product=product, batch=Batch(jars=3))
    made = plan(resolve(design, tries.shelf()), tries.LOW_JAR)
    stocks = [thin for finding in made.findings for thin in (finding.act or {}).get("batch.dilutions", ())]
    assert stocks
    for thin in stocks:
        carrier = decode(Dilution, thin).carrier
        assert tries.shelf().today(carrier.kind, carrier.id).function == function


def test_an_amount_too_small_for_its_scale_is_told_in_steps_of_it():
    """0.5 g are fifty steps of 0.01 g; 0.1 g is off by half a step, a twentieth of it, by the step alone."""
    (told,) = plan_findings.line_findings([tries.line(grams=0.1, exact_g=0.1)], 300.0)
    assert "0.1 g of" in told.text
    assert "less than 50 steps of the 0.01 g scale: ±5 % by its step alone" in told.text
    assert "at least 300 g" in told.fix


def test_a_line_is_off_by_a_share_of_what_was_planned():
    """0.55 g in the place of 0.5 g is a tenth more; of nothing planned there is no share."""
    assert record.deviation_pct(0.5, 0.55) == NEAR(10)
    assert record.deviation_pct(0.5, 0.5) == 0
    assert record.deviation_pct(8.0, 6.0) == NEAR(-25)


# --- the kitchen, the stock, the assessment ------------------------------------------------------------


def test_a_step_is_done_open_or_later_and_none_is_lost():
    made = tries.made()
    for count in range(len(made.steps)):
        first = made.steps[:count]
        weighed = {step.line: made.line(step.line).grams for step in first if step.kind == "weigh"}
        there = kitchen.progress(made, weighed, [step.id for step in first if step.kind != "weigh"])
        assert (*there.done, there.current, *there.later) == made.steps
        assert len(there.done) == count
        assert (there.line is None) == (there.current.kind != "weigh")


def test_nothing_asked_for_is_off_by_nothing():
    nothing = tries.line(grams=0.0, good=(0.0, 0.01))
    for grams, within in ((0.0, True), (0.5, False)):
        assert kitchen.judge(nothing, grams) == kitchen.Verdict(0.0, within, False, 0.0)
    assert replace(nothing, wanted_pct=0.0).drift_pct == 0.0
    assert replace(nothing, wanted_pct=0.8, pct=1.0).drift_pct == NEAR(25)


def test_what_is_needed_in_part_of_a_gram_bounds_the_batch_too():
    made = tries.made()
    yellow = made.needs["pigment:iron_oxide_yellow"]
    assert 0 < yellow < 1
    there = stock.enough_for(made, {"pigment:iron_oxide_yellow": yellow / 4, "oil:lavender": 1e6})
    assert (there.batch_g, there.first) == (NEAR(made.batch_g / 4), "yellow iron oxide")


@pytest.mark.parametrize(("assessed", "outside"), [(0.716, True), (0.724, False)])
def test_an_oil_counts_with_its_percent_of_the_jar_against_what_was_assessed(assessed, outside):
    """60 % of a load of 1.2 % are 0.72 % of the jar."""
    resolved = resolve(tries.design(), tries.shelf())
    family = safety_assessment.Family(
        id="f", name="F", assessor="A", on=date(2026, 1, 1), product="whipped_soap", markets=("EU",),
        base=resolved.base.ref, load_pct=1.2, scents={"lavender": assessed, "petitgrain": 1.0},
    )  # fmt: skip
    told = {name for name, _ in safety_assessment._scent(resolved, family)}
    assert told == ({"oil-lavender"} if outside else set())


# --- what is left out, and half a percent --------------------------------------------------------------


def test_a_top_up_that_just_reaches_what_is_allowed_is_within():
    for most, within in ((1.0, True), (0.999, False)):
        made = preservative.top_up_range(1000, 1.0, 1.0, 0, 1.0, most)
        assert (made.topup_g, made.final_pct_high, made.within) == (0.0, 1.0, within)


def test_oils_of_no_load_are_not_weighed():
    quiet = replace(tries.design().scent, load_pct=0.0)
    made = plan(resolve(tries.design(scent=quiet), tries.shelf()), tries.LOW_JAR)
    assert {line.what for line in made.lines} >= {"base", "pigment"}
    assert "oil" not in {line.what for line in made.lines}
    assert not [step for step in made.steps if step.line.startswith("oil:")]


@pytest.mark.parametrize("pct", [0.0, 0.5, 30.0])
def test_sugar_that_is_folded_in_makes_the_filling_heavier(pct):
    """Volumes add up: of 1 g, 1 - p are foam and p are grains of 1.587 g/ml."""
    sugar = replace(tries.shelf().today("ingredient", "cane-sugar"), density_g_ml=1.587)
    shelf = shelf_with(sugar)
    plain, mixed = (
        filled_density(resolve(tries.design(batch=Batch(jars=24, additions=stirred)), shelf))
        for stirred in ((), (Addition(ingredient=sugar.ref, pct=pct),))
    )
    for foam, filled in ((plain.g_ml, mixed.g_ml), (plain.low, mixed.low), (plain.high, mixed.high)):
        assert filled == NEAR(1 / ((1 - pct / 100) / foam + pct / 100 / 1.587))


def test_an_active_of_the_base_alone_is_thinned_by_what_goes_in():
    """0.4 % of the base: by the base's part of the bowl, and the bowl's part of the tone."""
    base = tries.shelf().today("base", "cooked")
    base = replace(base, actives={**base.actives, "benzyl alcohol": 0.4})
    made = plan(resolve(tries.design(base=base.ref), shelf_with(base)), tries.LOW_JAR)
    found = {active.tone: active.pct for active in made.preservative.actives if "enzyl" in active.name}
    bowl = sum(portion.take_g for portion in made.portions)
    assert found == {
        portion.name: NEAR(0.4 * made.line("base").grams / bowl * portion.take_g / portion.grams)
        for portion in made.portions
    }

"""The bounds of an assessment and the open points of a kitchen, each on both of its sides."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.batch import kitchen, release_points, resize, top_up
from blendlab.batch.plan import plan
from blendlab.batch.safety_assessment import Family, outside
from blendlab.codec import decode, encode
from blendlab.errors import OutOfRange
from blendlab.recipe import Addition, Batch, Dose, Scent, Tone
from blendlab.recipe.look import Dust, Top
from blendlab.shelf import resolve
from tests.batch import plans_to_try as tries
from tests.batch.test_batch_accounts import sheet

NEAR = pytest.approx


# --- the assessment ------------------------------------------------------------------------------------


def family(**change) -> Family:
    of = tries.design()
    plain = {
        "id": "soaps", "name": "Soaps", "assessor": "Assessor", "on": date(2026, 1, 1),
        "base": resolve(of, tries.shelf()).base.ref, "product": "whipped_soap", "markets": ("EU",),
        "pigments": {"ultramarine_blue": 0.3, "iron_oxide_yellow": 0.02}, "load_pct": 1.2,
        "scents": {"lavender": 0.72, "petitgrain": 0.48},
        "preservative": "preservative-a", "preservative_pct": (0.9, 1.1),
    }  # fmt: skip
    return Family(**{**plain, **change})


def seen(of=None, pct: float | None = 1.0, **change) -> set[str]:
    resolved = resolve(of or tries.design(), tries.shelf())
    return {found.id.removeprefix("assessment-") for found in outside(resolved, family(**change), pct)}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({}, set()),
        ({"pigments": {"ultramarine_blue": 0.2999, "iron_oxide_yellow": 0.02}}, {"pigment-ultramarine_blue"}),
        ({"pigments": {"ultramarine_blue": 0.3}}, {"pigment-iron_oxide_yellow"}),
        ({"scents": {"lavender": 0.7199, "petitgrain": 0.48}}, {"oil-lavender"}),
        ({"scents": {"lavender": 0.72}}, {"oil-petitgrain"}),
        ({"load_pct": 1.19}, {"load"}),
        ({"load_pct": 1.21}, set()),
        ({"markets": ()}, {"market-EU"}),
    ],
)
def test_a_design_is_held_to_what_was_assessed(change, said):
    assert seen(**change) == said


@pytest.mark.parametrize(
    ("pct", "inside"), [(0.9, True), (0.899, False), (1.1, True), (1.101, False), (None, False)]
)
def test_a_preservative_is_held_to_what_was_assessed(pct, inside):
    assert (seen(pct=pct) == set()) is inside
    assert seen(pct=pct, preservative="") == {"preservative"}


@pytest.mark.parametrize(
    ("additions", "said"), [({}, True), ({"glycerin": 2.0}, False), ({"glycerin": 1.99}, True)]
)
def test_an_addition_is_held_to_what_was_assessed(additions, said):
    glycerin = tries.shelf().today("ingredient", "glycerin")
    of = tries.design()
    stirred = replace(of, batch=replace(of.batch, additions=(Addition(ingredient=glycerin.ref, pct=2.0),)))
    assert seen(stirred, additions=additions) == ({"addition-glycerin"} if said else set())


@pytest.mark.parametrize(
    ("dusts", "said"), [({}, True), ({"mica_white": 0.4}, False), ({"mica_white": 0.39}, True)]
)
def test_a_mica_on_the_top_is_held_to_what_was_assessed(dusts, said):
    mica = tries.shelf().today("pigment", "mica_white")
    of = tries.design(top=Top(dust=Dust(pigment=mica.ref, mg_per_cm2=0.4)))
    assert seen(of, dusts=dusts) == ({"dust-mica_white"} if said else set())
    none = replace(of, top=Top(dust=Dust(pigment=mica.ref, mg_per_cm2=0.0)))
    assert seen(none) == set()


def test_an_assessment_from_before_additions_were_written_down_names_none():
    before = {key: value for key, value in encode(family()).items() if key not in ("additions", "dusts")}
    assert (decode(Family, before).additions, decode(Family, before).dusts) == ({}, {})


def test_what_is_not_in_the_jar_need_not_be_assessed():
    of = tries.design()
    oils = (replace(of.scent.oils[0], share_pct=100.0), replace(of.scent.oils[1], share_pct=0.0))
    lone = replace(of, scent=Scent(load_pct=0.72, oils=oils))
    assert seen(lone, scents={"lavender": 0.72}) == set()
    mica = tries.shelf().today("pigment", "mica_white")
    tone = replace(of.tones[0], doses=(*of.tones[0].doses, Dose(pigment=mica.ref, pct=0.0)))
    assert seen(replace(of, tones=(tone, of.tones[1]))) == set()
    some = replace(tone, doses=(*of.tones[0].doses, Dose(pigment=mica.ref, pct=0.01)))
    assert seen(replace(of, tones=(some, of.tones[1]))) == {"pigment-mica_white"}
    strong = replace(of, scent=replace(of.scent, load_pct=0.6))
    assert seen(strong, scents={"lavender": 0.36}, load_pct=0.6) == {"oil-petitgrain"}


# --- the kitchen ---------------------------------------------------------------------------------------


def test_the_open_step_stands_between_what_is_done_and_what_comes():
    plan = sheet(tries.shelf())
    first, second = plan.steps[:2]
    start = kitchen.progress(plan, {}, ())
    assert (start.done, start.current, start.later) == ((), first, plan.steps[1:])
    following = kitchen.progress(plan, {}, {first.id})
    assert (following.done, following.current, following.later) == ((first,), second, plan.steps[2:])
    everything = kitchen.progress(
        plan, {line.id: line.grams for line in plan.lines}, {s.id for s in plan.steps}
    )
    assert (everything.done, everything.current, everything.later) == (plan.steps, None, ())


def test_a_line_asks_for_half_a_step_and_more():
    line = replace(sheet(tries.shelf()).line("base"), grams=100.0, step_g=0.1)
    assert kitchen.remaining(line, {line.id: 99.95}) == 0.0
    assert kitchen.remaining(line, {line.id: 99.94}) == NEAR(0.06)
    assert kitchen.remaining(line, {line.id: 100.5}) == 0.0
    assert kitchen.remaining(replace(line, grams=0.08), {}) == NEAR(0.08)
    assert kitchen.for_rest(line, {line.id: 100.0}) is line
    rest = kitchen.for_rest(line, {line.id: 60.0})
    assert (rest.grams, rest.display_g, rest.good) == (40.0, 40.0, (39.8, 40.2))


def test_a_top_up_counts_what_really_went_in():
    plan = sheet(tries.shelf((0.8, 0.9)))
    more = top_up.top_up_for(plan, {"base": plan.line("base").grams + 500.0})
    usual = top_up.top_up_for(plan, {})
    shares = [portion.take_g / portion.grams for portion in plan.portions]
    target = plan.preservative.target_pct / min(shares)
    assert more.topup_g - usual.topup_g == NEAR(500 * (target - 0.8) / (100 - target))
    line = plan.line("preservative")
    others = tuple(each for each in plan.lines if each is not line)
    bare = replace(plan, lines=others, steps=())
    assert top_up.top_up_for(bare, {}) is None
    assert top_up.top_up_for(replace(plan, preservative=None), {}) is None


def test_foam_and_water():
    assert kitchen.foam([], 0.6, 1.05).overrun_pct is None
    assert kitchen.foam([0.7], 0.6).air is None
    told = kitchen.foam([0.9, 0.7], 0.6, 1.05)
    assert (told.overrun_pct, told.air) == (NEAR(50), NEAR(1 / 3))
    assert kitchen.water_back(1000, 500, 500) == 1000
    with pytest.raises(OutOfRange):
        kitchen.water_back(1000, 500, 499)


def test_each_open_point_is_named_by_itself():
    plan = sheet(tries.shelf())
    lines = [line.id for line in plan.lines]
    held = [step for step in plan.steps if step.holds]
    full = release_points.Evidence(
        {line.id: line.grams for line in plan.lines}, lines, (), [step.id for step in held], 6.0, 0.6, 3
    )

    def points(**change) -> dict[str, str]:
        found = release_points.open_points(plan, replace(full, **change))
        return {finding.id.removeprefix("release-"): finding.text for finding in found}

    assert points() == {}
    oil = plan.line("oil:lavender")
    assert set(points(weighed={key: grams for key, grams in full.weighed.items() if key != oil.id})) == {
        "lines"
    }
    assert set(points(lots=[name for name in lines if name != oil.id])) == {"lots"}
    off = {**full.weighed, oil.id: 2 * oil.grams}
    assert set(points(weighed=off)) == {"deviations"}
    assert points(weighed=off, explained=[oil.id]) == {}
    assert set(points(ticked=())) == {"ticks"}
    assert set(points(pH=None)) == {"ph"}
    assert set(points(density_g_ml=None)) == {"density"}
    assert "at least 3 filled jars" in points(filled=2)["fills"]


def test_a_pigment_at_its_cap_stays_within_it_in_a_batch_of_every_size():
    shelf = tries.shelf()
    tones = tuple(
        replace(tone, doses=tuple(replace(dose, pct=shelf.find(dose.pigment).cap_pct) for dose in tone.doses))
        for tone in tries.design().tones
    )
    small = tries.design(tones=tones, batch=Batch(jars=2))
    made = plan(resolve(small, shelf), tries.LOW_JAR)
    capped = {line.id for line in made.lines if line.what == "pigment" and line.cap_pct is not None}
    assert capped
    for pct in range(1, 60):
        grown = resize.enlarged(made, [pct])
        masses = {portion.tone: portion.grams for portion in grown.portions}
        for line in (grown.line(name) for name in capped):
            assert line.grams * line.stock_pct <= line.cap_pct * masses[line.tone] * (1 + 1e-9)


def test_a_tone_that_was_taken_stays_and_the_rest_is_what_it_leaves_of_a_lighter_bowl():
    made = sheet(tries.shelf())
    first, rest = sorted(made.portions, key=lambda portion: portion.rest)
    bowl_g = 0.9 * (first.take_g + rest.take_g)
    for taken, first_g in (({first.tone: first.take_g}, first.take_g), ({}, round(0.9 * first.take_g, 1))):
        told = {portion.tone: portion for portion in resize.followed(made, bowl_g, {}, taken).portions}
        assert told[first.tone].take_g == NEAR(first_g)
        assert told[rest.tone].take_g == NEAR(bowl_g - first_g)


def test_of_a_heavier_bowl_the_least_diluted_tone_sets_the_most_preservative():
    """Twice the base with no more scent and pigment in it: each tone holds more of the bowl than planned."""
    made = sheet(tries.shelf((0.5, 1.0)))
    line, base_g = made.line("preservative"), 2 * made.line("base").grams
    weighed = {"base": base_g}
    asked = top_up.asking(made, line, top_up.top_up_for(made, weighed, (0.5, 1.1)), weighed)

    def thickest_pct(topup_g: float) -> float:
        bowl_g = base_g + topup_g
        grown = bowl_g / sum(portion.take_g for portion in made.portions)
        shares = (
            portion.take_g * grown / (portion.take_g * grown + portion.grams - portion.take_g)
            for portion in made.portions
        )
        return (1.1 * base_g + 100 * topup_g) / bowl_g * max(shares)

    most_pct = made.preservative.most_pct
    assert asked.grams > 0
    assert thickest_pct(asked.grams) <= most_pct < thickest_pct(asked.grams + 2 * line.step_g)


def test_a_bigger_portion_is_told_to_the_hundredth_and_taken_on_its_scale():
    plan = sheet(tries.shelf())
    first, rest = sorted(plan.portions, key=lambda portion: portion.rest)
    small = replace(first, grams=99.23, scent_g=1.23, pigment_g=1.0, take_g=97.0)
    grown = resize._grown_portion(small, 1.01, 1.0)
    assert (grown.scent_g, grown.pigment_g, grown.take_g) == (1.24, 1.01, 98.0)
    assert grown.grams == NEAR(98 + 1.24 + 1.01)  # what is taken and folded in, not 1.01 times as much
    assert resize._grown_portion(replace(rest, take_g=97.03), 1.01, 1.0).take_g == 98.0
    assert resize._grown_portion(replace(rest, take_g=97.53), 1.01, 1.0).take_g == 98.51


def test_a_bigger_batch_keeps_what_lies_beside_it():
    plan = sheet(tries.shelf())
    grown = resize.enlarged(plan, [10.0, 10.0])
    assert grown.line("base").exact_g == NEAR(1.21 * plan.line("base").exact_g)
    assert grown.batch_g == NEAR(sum(line.grams for line in grown.lines if not line.beside))
    assert resize.enlarged(plan, [10.0, -100 / 11]).batch_g == NEAR(plan.batch_g, abs=1.1)


def test_a_sheet_of_nothing_holds_nothing():
    mica = tries.shelf().today("pigment", "mica_white")
    full = Tone(id="full", name="Full", share_pct=100, doses=(Dose(pigment=mica.ref, pct=100.0),))
    made = sheet(tries.shelf(), tones=(full,))
    assert (made.jars, made.asked, made.last_jar_g, made.batch_g, made.smallest_g) == (0, None, 0.0, 0.0, 0.0)
    assert (made.lines, made.portions, made.steps, made.preservative) == ((), (), (), None)
    assert made.net_g == NEAR(tries.LOW_JAR.fill_ml * made.density.g_ml)
    assert made.net_low_g == NEAR(tries.LOW_JAR.fill_ml * made.density.low)
    assert made.net_high_g == NEAR(tries.LOW_JAR.fill_ml * made.density.high)

"""Foam by its cups, the top-up for what went in, errors of the scale, stock, what is told of warm jars."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest

from blendlab.batch import formula, kitchen, stability, stock, top_up, weighing, whip
from blendlab.batch.durability import Bound, durability
from blendlab.batch.dusting import pigment_grams, pigment_pct
from blendlab.batch.label import label, net_weight
from blendlab.batch.plan import plan
from blendlab.batch.whip import keep_whipping
from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts.densities import bulk_density
from blendlab.forms import spoons as typed_spoons
from blendlab.forms import swatches
from blendlab.recipe import Addition, Batch, Ref
from blendlab.shelf import resolve
from tests.batch import plans_to_try as tries


@cache
def made():
    stirred = (Addition(ingredient=Ref(kind="ingredient", id="light-oil"), pct=5),)
    return plan(
        resolve(tries.design(batch=Batch(jars=24, additions=stirred)), tries.shelf((0.8, 0.85))),
        tries.LOW_JAR,
    )


# --- the bowl ------------------------------------------------------------------------------------------


def test_the_top_up_for_a_bowl_as_planned_is_that_of_the_sheet():
    line = made().line("preservative")
    asked = top_up.top_up_for(made(), {})
    assert asked.topup_g == pytest.approx(line.exact_g, abs=2 * line.step_g)
    assert asked.within
    weighed = {line.id: line.grams for line in made().lines}
    assert top_up.top_up_for(made(), weighed) == asked


@pytest.mark.parametrize(("base", "oil"), [(1.0, 1.0), (0.9, 1.0), (1.0, 1.3), (1.1, 0.5)])
def test_the_top_up_for_another_bowl_is_its_mass_balance(base, oil):
    """Unknowns: top-up and the mass of the bowl; mass and preservative balance, solved by numpy."""
    sheet = made()
    lines = {line.what: line for line in sheet.lines}
    base_g, oil_g = lines["base"].grams * base, lines["addition"].grams * oil
    diluted = min(portion.take_g / portion.grams for portion in sheet.portions)
    wanted = sheet.preservative.target_pct / diluted
    grams, _ = np.linalg.solve([[1, -1], [100, -wanted]], [-(base_g + oil_g), -0.8 * base_g])
    found = top_up.top_up_for(sheet, {"base": base_g, lines["addition"].id: oil_g})
    assert found.topup_g == pytest.approx(grams, rel=1e-6)
    whole = base_g + oil_g + grams
    assert found.final_pct_high == pytest.approx((0.85 * base_g + 100 * grams) / whole, rel=1e-6)


def test_a_bowl_whose_high_figure_breaks_the_cap_says_so():
    sheet = made()
    tight = replace(sheet, preservative=replace(sheet.preservative, most_pct=0.81))
    assert not top_up.top_up_for(tight, {}).within
    assert top_up.top_up_for(replace(sheet, preservative=None), {}) is None


# --- foam ----------------------------------------------------------------------------------------------


def test_a_cup_says_overrun_and_air():
    # definition: a cup of 105 g of mix weighs 60 g whipped, 75 % overrun; 45 of 105 parts are air
    told = kitchen.foam([0.8, 0.6], 0.62, 1.05)
    assert told.overrun_pct == pytest.approx(75)
    assert told.air == pytest.approx(45 / 105)
    assert kitchen.foam([0.8], 0.62).overrun_pct is None
    assert kitchen.foam([], 0.62, 1.05).overrun_pct is None


@pytest.mark.parametrize(
    ("cups", "on"),
    [
        ([], True),
        ([0.9], True),
        ([0.9, 0.7], True),
        ([0.62], False),
        ([0.9, 0.61], False),
        ([0.7, 0.64, 0.66], False),
        ([0.7, 0.66, 0.66], True),
        ([0.9, 0.7, 0.8, 0.7], True),
    ],
)
def test_whipping_goes_on_until_the_target_or_a_heavier_cup(cups, on):
    assert keep_whipping(cups, 0.62) is on


def test_two_volumes_are_two_cups_turned_round():
    assert whip.overrun(1615, 950) == pytest.approx(70)
    with pytest.raises(OutOfRange):
        whip.overrun(100, 0)


# --- scales --------------------------------------------------------------------------------------------


def test_a_tiny_line_is_told_its_error_without_and_with_a_stock():
    """By hand: half a step of 0.01 g over the grams, and over ten times the grams through a 10 % stock."""
    sheet = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    small = next(
        finding for finding in sheet.findings if finding.id == "small-pigment:iron_oxide_yellow@cream"
    )
    line = sheet.line("pigment:iron_oxide_yellow@cream")
    assert line.step_g in (0.01, 0.001)
    alone = 100 * line.step_g / 2 / line.grams
    assert f"±{alone:.3g} % by its step alone, ±{2 * alone:.3g} % in practice" in small.text
    stock_pct = weighing.stock_for(line.exact_g, line.step_g)
    assert f"its step is ±{alone * stock_pct / 100:.3g} % of it" in small.fix


def test_the_smallest_batch_is_that_of_its_most_demanding_line():
    assert weighing.smallest_batch([(0.03, 0.5), (50, 20)]) == 1667
    assert weighing.smallest_batch([(0.0, 0.5)]) == 0
    assert weighing.smallest_batch([(50.0, 100.0)]) == 200


def test_displays_add_up_by_cup_and_scale():
    fine, gross = tries.SCALES[2], tries.SCALES[0]
    displays = weighing.Displays()
    assert [displays.after("Scent", fine, grams) for grams in (1.1, 2.2)] == [1.1, 3.3]
    assert displays.after("Scent", gross, 5) == 5
    assert displays.after("Bowl", fine, 1) == 1


# --- pigment in a portion ------------------------------------------------------------------------------


@pytest.mark.parametrize("basis", ["finished_portion", "uncoloured"])
@pytest.mark.parametrize("pct", [0.01, 0.4, 12.0])
def test_grams_and_percent_of_a_pigment_are_inverse(basis, pct):
    assert pigment_pct(617, pigment_grams(617, pct, basis), basis) == pytest.approx(pct)


def test_a_percent_is_of_one_of_two_things():
    with pytest.raises(UnknownName):
        pigment_grams(100, 1, "base")
    with pytest.raises(UnknownName):
        pigment_pct(100, 1, "")
    with pytest.raises(OutOfRange):
        pigment_grams(100, 100)


def test_a_swatch_says_what_to_weigh():
    # 20 % of the finished swatch: 12.5 of 62.5 g; on top of 50 g it would be 10 g
    assert "20 % of the finished swatch is 12.5 g in 50 g" in swatches.weights("20 %")
    assert "10 g would be 20 % on top" in swatches.weights("20")
    assert swatches.weights("") == swatches.weights("much") == ""


def test_spoons_say_both_percents():
    sheet = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    line = sheet.line("pigment:ultramarine_blue@deep")
    found, problem = typed_spoons.grams(sheet, line.id, "20", "tbsp_us", False, tries.shelf())
    assert not problem
    portion = next(portion for portion in sheet.portions if portion.tone == "deep")
    white = portion.grams - line.grams
    volume = 20 * 14.78676478125  # US tablespoon, NIST Handbook 44
    heap = bulk_density(tries.shelf().today("pigment", "ultramarine_blue"))
    low, high = volume * heap.low, volume * heap.high
    assert found.pct == pytest.approx(100 * (low * high) ** 0.5 / (white + (low * high) ** 0.5), rel=1e-3)
    assert f"to {100 * high / (white + high):.3g} % of Deep with it" in found.words
    assert f"to {100 * high / white:.3g} % on top" in found.words


# --- stock ---------------------------------------------------------------------------------------------


def test_the_stock_says_the_largest_batch_and_what_ends_first():
    sheet = made()
    needs = sheet.needs
    there = {"oil:lavender": needs["oil:lavender"] * 1.5, "base:cooked": needs["base:cooked"] * 3}
    enough = stock.enough_for(sheet, there)
    assert enough.batch_g == pytest.approx(1.5 * sheet.batch_g)
    assert enough.first == sheet.line("oil:lavender").name
    assert stock.enough_for(sheet, {**there, "base:cooked": 0.0}).batch_g == 0
    assert stock.enough_for(sheet, {}) is None


def test_a_thing_is_ordered_when_it_lasts_no_longer_than_lead_and_safety():
    # common practice: 9 days to come, 5 to spare; 900 g in 90 days are 10 g a day
    used = {"oil:a": 900.0, "oil:b": 900.0, "oil:c": 900.0, "oil:d": 0.0}
    told = stock.to_order(used, 90, {"oil:a": 140.0, "oil:b": 140.1})
    assert told == {"oil:a": 140.0, "oil:c": 140.0}
    with pytest.raises(OutOfRange):
        stock.to_order(used, 0, {})


# --- time ----------------------------------------------------------------------------------------------


def test_a_warm_reading_is_told_as_a_rule_of_thumb():
    filled = date(2026, 3, 7)
    dues = {(due.test, due.on): due for due in stability.due_dates(filled)}
    # rule of thumb: twice as fast per 10 K; 12 weeks at 40 are 12 x 2^1.8 = 41.8 weeks at 22 °C
    warm = stability.warm_words(dues["warm40", filled + timedelta(days=84)], filled)
    assert warm == "like about 42 weeks at 22 °C, a rule of thumb and no proof"
    # one day at 45 is 2^2.3 = 4.9 days at 22 °C
    day = stability.warm_words(dues["warm45", filled + timedelta(days=1)], filled)
    assert day == "like about 5 days at 22 °C, a rule of thumb and no proof"
    assert "71.6 °F" in stability.warm_words(dues["warm40", filled + timedelta(days=84)], filled, "F")
    for test in ("room", "cold", "freeze"):
        due = next(due for key, due in dues.items() if key[0] == test and due.on > filled)
        assert stability.warm_words(due, filled) == ""
    assert stability.warm_words(dues["warm40", filled], filled) == ""


def test_foam_that_sinks_keeps_its_mass():
    drop = stability.fill_drop(100, 0.62, 0.70, 1.05)
    assert (100 - drop.drop_mm) * 0.70 == pytest.approx(100 * 0.62)
    # overrun 69.35 % before, 50 % now: 27.9 % of it is gone
    assert drop.overrun_lost == pytest.approx(1 - 50 / 69.3548, rel=1e-4)
    assert stability.fill_drop(100, 1.05, 1.05, 1.05).overrun_lost == 0
    assert stability.fill_drop(100, 0.62, 0.70, None) == (drop.drop_mm, None)


# --- the label -----------------------------------------------------------------------------------------


def test_a_us_label_says_how_short_one_jar_may_be():
    # NIST Handbook 133, recalled: 5.4 g for a label of 54 to 81 g
    glass = tries.shelf().today("jar", "j120-70")
    assert "no jar may be short by more than 5.4 g" in net_weight("US", [73.0, 74.0, 75.0], glass).basis
    assert "not known here" in net_weight("US", [400.0, 401.0, 402.0], glass).basis
    assert "short" not in net_weight("EU", [73.0, 74.0, 75.0], glass).basis


def test_a_retained_jar_is_kept_half_a_year_longer():
    resolved = resolve(tries.design(), tries.shelf())
    day = date(2026, 3, 7)
    lasts = durability("EU", day, [Bound(date(2027, 3, 31), "12 months")], 6, day)
    told = label(resolved, plan(resolved, tries.LOW_JAR), "EU", lasts=lasts)
    assert told.tasks[-1] == "Keep the retained jar until 2027-09-30."
    assert "retained jar until" not in " ".join(label(resolved, plan(resolved, tries.LOW_JAR), "EU").tasks)


def test_parts_on_a_base_become_percents_of_the_whole():
    # 1 oz of oil on a pound of base: 6.25 parts on 100, 5.88 % of the whole
    assert formula.percents([453.59237, 28.349523125])[1] == pytest.approx(100 / 17)
    with pytest.raises(OutOfRange):
        formula.percents([0.0])


def test_short_stock_is_counted_in_whole_jars_that_share_what_is_held_back():
    sheet = made()
    """Of each size 30 g are held back and 4 % lost; of no oil at all no jar is filled."""
    needed, each = sheet.needs["oil:lavender"], 1.01 * sheet.net_g
    for jars in range(sheet.jars):
        there = needed * (jars * each + 30) / 0.96 / sheet.batch_g
        (told,) = stock.stock_findings(sheet, {"oil:lavender": there})
        assert told.text.endswith(f"Enough for {jars} jar{'' if jars == 1 else 's'}.")
        if jars:
            (told,) = stock.stock_findings(sheet, {"oil:lavender": there - 0.001})
            assert f"Enough for {jars - 1} jar" in told.text
    assert stock.stock_findings(sheet, {"oil:lavender": needed}) == ()


@pytest.mark.parametrize(
    ("cups", "low", "high"),
    [
        ((0.6,), 0.57, 0.63),  # one cup says nothing of a range: 5 % either way, common practice
        ((0.6, 0.62), 0.5795, 0.6405),  # mean 0.61, its 5 % wider than the two
        ((0.5, 0.72), 0.5, 0.72),
        ((0.6, 0.61, 0.62), 0.6, 0.62),  # three cups are her own range
    ],
)
def test_few_cups_are_not_taken_for_the_whole_range(cups, low, high):
    foam = whip.whipped_density(tries.shelf().today("base", "cooked"), 70, cups)
    assert foam.g_ml == pytest.approx(sum(cups) / len(cups))
    assert (foam.low, foam.high) == pytest.approx((low, high))

"""Small arithmetic of stock, time, weight and formulas: figures by hand, edges on both sides."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from blendlab.batch import formula, inci, record, spoons, stability, stock, weighing, weight
from blendlab.batch.filling import batch_for_jars, jars_from_batch, portions
from blendlab.batch.inci import Named
from blendlab.batch.plan import plan
from blendlab.batch.sheet_lines import _note
from blendlab.errors import BlendlabError, OutOfRange
from blendlab.shelf import Scale, resolve
from tests.batch import plans_to_try as tries
from tests.batch.test_batch_accounts import sheet, shelf_with, thing

NEAR = pytest.approx
DAY = date(2026, 3, 7)


def refused(call, *arguments) -> bool:
    try:
        call(*arguments)
    except OutOfRange:
        return True
    return False


# --- stock ---------------------------------------------------------------------------------------------


def test_the_stock_bounds_a_batch_by_what_is_counted_and_needed():
    plan = sheet(tries.shelf())
    need = plan.needs["oil:lavender"]
    assert stock.enough_for(plan, {"oil:lavender": need / 2, "oil:nobody": 0.0}).batch_g == NEAR(
        plan.batch_g / 2
    )
    assert stock.enough_for(plan, {"oil:nobody": 5.0}) is None
    assert stock.enough_for(replace(plan, batch_g=0.0), {"oil:lavender": need}) is None
    assert stock.enough_for(replace(plan, batch_g=0.5), {"oil:lavender": need}).batch_g == NEAR(0.5)
    assert stock.largest_batch([10.0, 1.0], [50.0, 0.5]) == (20.0, 0)
    assert refused(stock.largest_batch, [1.0], [0.0])


def test_a_short_thing_is_told_with_the_jars_it_makes():
    plan = sheet(tries.shelf())
    need = plan.needs["oil:lavender"]
    assert stock.stock_findings(plan, {"oil:lavender": need}) == ()
    (short,) = stock.stock_findings(plan, {"oil:lavender": need / 2, "oil:petitgrain": 1e6})
    assert short.id == "stock-oil:lavender"
    assert f"{need / 2:.2f} g of" in short.text
    assert "Enough for 11 jars" in short.text  # half of 24 jars and 30 g held back: 15 g are missing
    (base,) = stock.stock_findings(plan, {"base:cooked": 1.0})
    assert (short.fix, base.fix) == (
        "Order it or make fewer.",
        "Cook or order more, or make fewer.",
    )


def test_orders_count_days():
    """7 g in 7 days are 1 g a day: for 9 and 5 days 14 g (common practice)."""
    assert stock.to_order({"a": 7.0}, 7, {"a": 14.0}) == {"a": 14.0}
    assert stock.to_order({"a": 7.0}, 7, {"a": 14.1}) == {}
    assert stock.to_order({"a": 0.5}, 0.5, {}) == {"a": 14.0}
    assert stock.to_order({"a": 0.0}, 7, {}) == {}
    assert refused(stock.to_order, {}, 0, {})
    assert refused(stock.to_order, {}, -1, {})


# --- time ----------------------------------------------------------------------------------------------


def test_weeks_in_the_warm():
    assert stability.q10_weeks(4, 32, 22, 2) == NEAR(8)
    assert stability.q10_weeks(4, 22, 32, 2) == NEAR(2)
    assert stability.q10_weeks(4, 42, 22, 0.5) == NEAR(1)
    for wrong in (0, -1):
        assert refused(stability.q10_weeks, 4, 32, 22, wrong)


def test_readings_come_in_the_order_of_their_days():
    due = stability.due_dates(DAY)
    assert [each.on for each in due] == sorted(each.on for each in due)
    assert min(each.on for each in due) == DAY
    last = max(each.on for each in due)
    assert stability.open_readings(DAY, [], DAY - timedelta(days=1)) == ()
    pending = stability.open_readings(DAY, [], last)
    assert {each.test for each in pending} == {each.test for each in due}
    assert {each.on for each in pending} == {DAY}
    assert {each.on for each in stability.open_readings(DAY, [], DAY)} == {DAY}


def test_codes_of_a_day():
    assert record.batch_code(DAY, 0) == "26066A"
    assert record.batch_code(DAY, 23, "X") == "26066Z-X"
    assert record.batch_code(DAY, "B") == "26066B"
    for wrong in (-1, 24, "I", "AB", ""):
        assert refused(record.batch_code, DAY, wrong)
    taken = [record.batch_code(DAY, at) for at in range(23)]
    assert record.next_code(DAY, "", taken) == "26066Z"
    assert record.next_code(DAY, "", taken[1:]) == "26066A"
    with pytest.raises(OutOfRange) as full:
        record.next_code(DAY, "", [*taken, "26066Z-ROSE"])
    assert str(full.value) == "Number of the batch on its day is 25; it must lie between 1 and 24."


@pytest.mark.parametrize(
    ("made", "months", "last"),
    [
        (date(2026, 1, 31), 0, date(2026, 1, 31)),
        (date(2026, 1, 1), 1, date(2026, 2, 28)),
        (date(2026, 11, 30), 1, date(2026, 12, 31)),
        (date(2026, 12, 1), 0, date(2026, 12, 31)),
        (date(2026, 12, 1), 1, date(2027, 1, 31)),
        (date(2026, 3, 7), 12, date(2027, 3, 31)),
    ],
)
def test_best_before_is_the_last_of_a_month(made, months, last):
    assert record.best_before(made, months) == last


def test_yields_and_deviations():
    assert record.batch_yield(2000, 1900, 40) == (NEAR(95), NEAR(60), NEAR(3))
    assert record.batch_yield(0.5, 0.5, 0) == (NEAR(100), 0, 0)
    assert record.deviation_pct(0.5, 0.6) == NEAR(20)
    for wrong in (0, -1):
        assert refused(record.batch_yield, wrong, 1, 0)
        assert refused(record.deviation_pct, wrong, 1)
    assert record.yield_finding(record.batch_yield(1000, 900, 0)) is None
    assert "where it went" not in record.yield_finding(record.batch_yield(1000, 1100, 0)).fix
    told = record.yield_finding(record.batch_yield(1000, 850, 30))
    assert "Filled 85.0 %" in told.text


# --- spoons, scales, jars ------------------------------------------------------------------------------


def test_spoons_and_drops_by_volume():
    """A US teaspoon is 4.92892159375 ml (NIST Handbook 44); heaped 1.3 to 2 times level, common practice."""
    level, heaped = (spoons.spoons(2, 0.3, 0.6, heaped=heap) for heap in (False, True))
    assert level == (NEAR(2 * 4.92892159375 * 0.3), NEAR(2 * 4.92892159375 * 0.6))
    assert heaped[0] > level[0]
    assert heaped[1] > level[1]
    assert level.ratio == NEAR(2)
    assert spoons.drops(30, 20, 0.9) == NEAR(1.35)
    for wrong in (("Keeper", "preservative", False), ("Oil", "oil", True)):
        with pytest.raises(BlendlabError):
            spoons.refuse(*wrong)
    spoons.refuse("Sugar", "addition")


def test_the_finest_scale_that_carries_grams_and_vessel():
    fine = Scale(id="f", name="f", step_g=0.01, capacity_g=500)
    wide = Scale(id="w", name="w", step_g=0.01, capacity_g=800)
    gross = Scale(id="g", name="g", step_g=1, capacity_g=5000)
    tare = weighing.figure("batch", "tare").value
    assert weighing.scale_for(500 - tare, [gross, fine]) is fine
    assert weighing.scale_for(500.01 - tare, [gross, fine]) is gross
    assert weighing.scale_for(1.0, [fine, wide]) is wide
    assert weighing.scale_for(9000, [fine, gross]) is gross
    assert weighing.scale_for(1.0, []) is None


def test_displays_add_up_cup_by_cup():
    fine, gross = tries.SCALES[2], tries.SCALES[0]
    shown = weighing.Displays()
    weighed = (("a", fine, 1.5), ("a", fine, 2.25), ("b", fine, 1.0), ("a", gross, 7.0), ("a", fine, 0.25))
    said = [shown.after(cup, scale, grams) for cup, scale, grams in weighed]
    assert said == [1.5, 3.75, 1.0, 7.0, 4.0]


def test_what_a_scale_can_weigh():
    assert weighing.relative_error(0.5, 0.1) == (NEAR(10), NEAR(20))
    assert weighing.least(0.1, factor=30) == NEAR(3)
    assert weighing.strongest_dilution(0.5, 0.1, 20) == NEAR(25)
    assert weighing.least_usp41(0.1, 0.5) == NEAR(16.4)
    assert weighing.predilution(0.5, 10, 0.1) == (NEAR(5), NEAR(4.5), NEAR(10), NEAR(1))
    assert (weighing.weighable(0.5, 0.5), weighing.weighable(0.499, 0.5)) == (True, False)
    assert weighing.smallest_batch([(0.0, 5.0), (0.5, 0.01)]) == 2
    assert weighing.smallest_batch([(0.5, 0.0101)]) == 3
    assert weighing.smallest_batch([]) == 0
    assert weighing.too_much(0.5, 0.6) == NEAR(20)
    for wrong in (0, -1):
        assert refused(weighing.too_much, wrong, 1)
        assert refused(weighing.relative_error, wrong, 1)


def test_jars_and_grams_at_their_edges():
    """(10 x 50 x 1.02 + 20) / 0.95 g."""
    assert batch_for_jars(10, 50, 0.02, 20, 0.05) == NEAR(530 / 0.95)
    assert batch_for_jars(1, 50, 0, 0, 0) == 50
    assert batch_for_jars(1, 50, 0, 0, 0.5) == 100
    for wrong in (-0.01, 1, 1.01):
        assert refused(batch_for_jars, 1, 50, 0, 0, wrong)
    assert jars_from_batch(100, 0.5, 0, 0, 0) == (200, 0)
    for wrong in (0, -1):
        assert refused(jars_from_batch, 100, wrong, 0, 0, 0)
    assert portions(10, [0.25, 0.25], 1) == (5, 5)
    assert refused(portions, 10, [0, 0], 1)


# --- formulas ------------------------------------------------------------------------------------------


def test_formulas_by_hand():
    soap = thing("soap", active_pct=80.0, water_pct=20.0, density_g_ml=1.25)
    water = thing("water", active_pct=0.0, water_pct=100.0, density_g_ml=1.0)
    dry = thing("dry", active_pct=0.0, water_pct=None, density_g_ml=None)
    parts = ((soap, 25.0), (water, 75.0))
    assert formula.active_surfactant(parts) == NEAR(20)
    assert formula.total_water(parts) == NEAR(80)
    assert formula.base_density(parts) == NEAR(100 / (25 / 1.25 + 75))
    assert formula.total_water((*parts, (dry, 0.0))) == NEAR(80)
    assert formula.total_water((*parts, (dry, 0.5))) is None
    assert formula.base_density((*parts, (dry, 0.0))) is None
    assert formula.base_density(()) is None
    assert formula.scale([25, 75], 0.0) == (0, 0)
    assert formula.scale([25, 75], 0.5) == (NEAR(0.125), NEAR(0.375))
    assert formula.percents([0.25, 0.25]) == (50, 50)
    assert formula.after_dilution(20, 0.25, 0.5) == NEAR(10)
    for wrong in (0, -1):
        assert refused(formula.after_dilution, 20, 1, wrong)
        assert refused(formula.percents, [wrong])
    assert formula.check_sum([99.995])[1]
    assert not formula.check_sum([99.9949])[1]
    assert not formula.check_sum([100.0051])[1]


@pytest.mark.parametrize(
    ("pct", "word"),
    [
        (0.0, "anhydrous"),
        (0.99, "anhydrous"),
        (1.0, "low-water"),
        (4.99, "low-water"),
        (5.0, "water-bearing"),
    ],
)
def test_water_has_three_classes(pct, word):
    assert formula.water_class(pct) == word


# --- the ingredient list -------------------------------------------------------------------------------


def test_a_name_from_several_lines_is_summed_and_unknown_stays_unknown():
    summed = inci._summed([
        Named("A", 1.0, 2.0), Named("B", 0.5, 0.5), Named("A", 0.25, 0.5), Named("B", known=False),
        Named("C", 0.0, 1.0, colour=True), Named("C", 0.0, 0.5, colour=True), Named("A", 0.25, 0.5),
        Named("D", known=False), Named("D", 2.0, 2.0),
    ])  # fmt: skip
    assert summed[0] == Named("A", 1.5, 3.0)
    assert summed[2] == Named("C", 0.0, 1.5, colour=True)
    assert [(named.name, named.known) for named in summed] == [
        ("A", True), ("B", False), ("C", True), ("D", False),
    ]  # fmt: skip
    assert inci._middle(Named("A", 1.0, 2.0)) == 1.5


@pytest.mark.parametrize(
    ("first", "second", "unsure"),
    [
        ((1.5, 2.0), (1.0, 1.5), False),
        ((1.49, 2.0), (1.0, 1.5), True),
        ((0.5, 2.0), (0.2, 0.99), False),
        ((0.5, 2.0), (0.2, 1.0), True),
        ((2.0, 2.0), (2.0, 2.0), False),
        ((0.9, 0.95), (0.0, 1.5), True),  # the later may stand at 1.2 %: then it belongs before the earlier
    ],
)
def test_ranges_that_overlap_above_one_percent(first, second, unsure):
    pairs = list(inci._overlaps([Named("A", *first), Named("B", *second)]))
    assert pairs == ([("A", "B")] if unsure else [])


def test_colours_and_water_as_a_market_names_them():
    assert inci._colour("77891", "EU") == "CI 77891"
    assert inci._colour("Annatto", "EU") == "Annatto"
    assert inci._colour("77891", "US") == "Titanium Dioxide"
    assert inci._colour("99999", "US") == "CI 99999"
    assert [inci._water(name, "US") for name in ("Aqua", "water", "Glycerin")] == [
        "Water",
        "Water",
        "Glycerin",
    ]
    assert [finding.id for finding in inci._unnamed(["CI 99999", "Mica"], "US")] == ["colour-CI 99999"]
    assert list(inci._unnamed(["CI 99999"], "EU")) == []


def test_dust_counts_as_on_every_jar_of_the_batch():
    line = replace(sheet(tries.shelf()).line("base"), beside=True, exact_g=0.3)
    plan = replace(sheet(tries.shelf()), batch_g=1200.0, jars=10, net_g=100.0)
    assert inci._dust_g(line, plan) == NEAR(0.36)
    assert inci._dust_g(replace(line, beside=False), plan) == 0.0
    assert inci._dust_g(line, replace(plan, jars=0)) == 0.0
    assert inci._dust_g(line, replace(plan, jars=1)) == NEAR(3.6)
    assert inci._dust_g(line, replace(plan, net_g=0.0)) == 0.0


# --- weight --------------------------------------------------------------------------------------------


def test_the_lightest_credible_jar():
    """Mean 74, standard deviation 1: 72; never above the lightest that was seen."""
    assert weight.lightest([73, 74, 75]) == NEAR(72)
    assert weight.lightest([74, 74, 74]) == NEAR(74)
    # mean 73.43, standard deviation 1.51: 70.4 is above the lightest
    assert weight.lightest([70, 74, 74, 74, 74, 74, 74]) == 70
    assert weight.lightest([73, 74]) is None


def test_sums_of_the_average_system():
    made = weight.average_check(75, [75.0, 74.0, 76.0])
    assert made == (NEAR(75), 4.5, 0, 0, True)
    checked = weight.average_check(75, [70.0, *([76.0] * 39)])
    assert (checked.below_tne, checked.keeps) == (1, True)
    assert not weight.average_check(75, [70.0, *([76.0] * 38)]).keeps
    assert not weight.average_check(75, [65.0, *([76.0] * 50)]).keeps
    assert refused(weight.average_check, 75, [])


def test_the_panel_of_a_round_jar():
    """40 % of height and circumference (21 CFR 701.10): 0.4 pi 50.8 x 25.4 mm are 0.8 pi square inches."""
    import math

    assert weight.us_panel(50.8, 25.4).area_sq_in == NEAR(0.8 * math.pi)
    assert weight.us_net_weight(0.5) == (0.0, 0)
    assert weight.us_net_weight(28.4) == (1.0, 28)
    assert weight.metric_net_weight(73.999) == 73


def test_a_note_names_the_stock_and_the_care():
    assert _note(100.0, "") == ""
    assert _note(10.0, "") == "weighed as a 10 % dilution"
    assert _note(99.5, "gloves") == "weighed as a 99.5 % dilution; gloves"


def test_a_preservative_found_by_the_actives_of_the_base_is_on_the_list():
    kept = tries.shelf().today("ingredient", "preservative-a")
    base = replace(
        tries.shelf().today("base", "cooked"),
        preservative=None,
        preservative_pct=None,
        actives={"Phenoxyethanol": 0.9},
        lines=(),
        declared=("Aqua",),
    )
    shelf = shelf_with(base)
    design = tries.design(base=base.ref)
    made = plan(resolve(design, shelf), tries.LOW_JAR)
    assert made.line("preservative").item == f"ingredient:{kept.id}"
    names = inci.ingredients(resolve(design, shelf), made, "EU").names
    assert {part.inci for part in kept.components} <= set(names)
    assert inci._preservative(resolve(design, shelf), "another") is None

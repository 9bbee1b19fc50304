"""Formula, whipping, weighing, spoons, money, weights, records, stability against outside figures."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blendlab import units
from blendlab.batch import cost, filling, formula, record, spoons, stability, stock, weighing, weight, whip
from blendlab.errors import BadNumber, OutOfRange
from blendlab.facts.densities import bulk_density
from blendlab.facts.palette import pigments
from blendlab.facts.read import figure
from blendlab.shelf import Scale
from blendlab.units import convert

PARTS = st.lists(st.floats(0.01, 60), min_size=1, max_size=12)


@given(PARTS, st.floats(100, 10_000), st.floats(100, 10_000))
def test_scaling_twice_equals_scaling_once(parts, first, then):
    percents = formula.percents(parts)
    once = formula.scale(percents, then)
    twice = formula.scale(formula.percents(formula.scale(percents, first)), then)
    assert twice == pytest.approx(once)
    assert sum(once) == pytest.approx(then)


@given(PARTS, st.sampled_from([1.0, 0.1, 0.01, 0.005]))
def test_rounded_lines_keep_the_total_and_move_by_less_than_a_step(parts, step):
    rounded = units.round_lines(parts, [step] * len(parts))
    total = Decimal(repr(sum(Decimal(repr(mass)) for mass in parts)).split("'")[1])
    assert abs(float(sum(Decimal(repr(mass)) for mass in rounded) - total)) <= step / 2 + 1e-9
    assert all(abs(mass - exact) < step for mass, exact in zip(rounded, parts, strict=True))


@given(PARTS)
def test_protected_lines_round_up_or_down_as_told(parts):
    steps = [0.1] * (len(parts) + 2)
    grams = [*parts, 0.123, 0.456]
    held = [False] * len(parts) + [True, True]
    ways = ["near"] * len(parts) + ["up", "down"]
    rounded = units.round_lines(grams, steps, held, ways)
    assert rounded[-2:] == (0.2, 0.4)


def test_a_total_of_its_own_is_kept():
    assert sum(units.round_lines([1.0, 1.0, 1.0], [0.1] * 3, total=3.2)) == pytest.approx(3.2)
    assert sum(units.round_lines([1.0, 1.0, 1.0], [0.1] * 3, total=2.8)) == pytest.approx(2.8)


def test_water_classes():
    assert [formula.water_class(pct) for pct in (0.99, 1.0, 4.99, 5.0)] == [
        "anhydrous",
        "low-water",
        "low-water",
        "water-bearing",
    ]


def test_overrun_of_the_textbook_cup():
    # A mix of 1090 g/l whipped to 560 g/l has 94.6 % overrun (weight per volume method, dairy science).
    assert whip.overrun(1090, 560) == pytest.approx(94.64, abs=0.01)
    assert whip.density_from_overrun(1.09, 94.642857) == pytest.approx(0.56)


@given(st.integers(1, 500), st.floats(10, 500), st.floats(0, 0.05), st.floats(0, 100), st.floats(0, 0.2))
def test_jars_and_grams_are_inverse(jars, net, over, kept, loss):
    grams = filling.batch_for_jars(jars, net, over, kept, loss)
    assert filling.jars_from_batch(grams + 1e-6, net, over, kept, loss)[0] == jars


def test_bags_and_bowls():
    assert filling.bags(450) == 1
    assert filling.bags(451) == 2
    assert not filling.mixer_holds(4.81 * 1000, 6000)


@pytest.mark.parametrize(("step", "usual", "protected"), [(1, 20, 50), (0.1, 2, 5), (0.01, 0.2, 0.5)])
def test_smallest_amounts_of_three_scales(step, usual, protected):
    assert weighing.least(step) == pytest.approx(usual)
    assert weighing.least(step, protected=True) == pytest.approx(protected)


def test_the_finest_scale_that_carries_the_vessel_is_taken():
    gross = Scale(id="g", name="gross", step_g=1, capacity_g=5000)
    fine = Scale(id="f", name="fine", step_g=0.01, capacity_g=500)
    tare = figure("batch", "tare").value
    assert weighing.scale_for(500 - tare, (gross, fine)) is fine
    assert weighing.scale_for(501 - tare, (gross, fine)) is gross
    assert weighing.scale_for(9000, (gross, fine)) is gross
    assert weighing.scale_for(1, ()) is None


def test_a_stock_brings_a_line_above_the_smallest_amount():
    stock_pct = weighing.stock_for(0.06, 0.01)
    assert stock_pct == 10.0
    assert weighing.predilution(0.06, stock_pct, 0.01).weigh_g >= weighing.least(0.01)
    assert weighing.stock_for(0.00001, 1.0) is None


def test_spoons_are_a_guess_of_two_and_a_half_times_and_refused_where_it_matters():
    made = spoons.spoons(1, 0.2, 0.5)
    assert made.ratio == pytest.approx(2.5)
    assert spoons.spoons(1, 0.2, 0.5, heaped=True).high_g > made.high_g
    for what, restricted in (("preservative", False), ("oil", True)):
        with pytest.raises(spoons.NotBySpoon):
            spoons.refuse("This", what, restricted)
    spoons.refuse("Mica", "pigment")
    drops = spoons.drops_range(40, 0.9)
    assert drops.low_g < spoons.drops(40, 33, 0.9) < drops.high_g


# Exact by definition: NIST SP 811 appendix B and Handbook 44 appendix C.
@pytest.mark.parametrize(
    ("value", "unit", "to", "wanted"),
    [
        (1, "lb", "g", 453.59237),
        (16, "oz", "lb", 1),
        (1, "gal_us", "fl oz", 128),
        (1, "tbsp_us", "tsp_us", 3),
        (1, "cup_us", "ml", 236.5882365),
        (1, "gal_imp", "fl_oz_imp", 160),
        (1, "in", "mm", 25.4),
        (212, "F", "C", 100),
        (-40, "C", "F", -40),
        (1, "kg", "mg", 1e6),
    ],
)
def test_units(value, unit, to, wanted):
    assert convert(value, unit, to) == pytest.approx(wanted, rel=1e-12)


def test_an_ounce_is_not_a_fluid_ounce():
    for pair in (("oz", "fl oz"), ("oz", "ml"), ("C", "g"), ("furlong", "mm")):
        with pytest.raises(BadNumber):
            convert(1, *pair)


def test_money_is_decimal_and_adds_up():
    price = cost.price_from_margin("3.00", "0.40", "0.10", "0.30", "0.20")
    fee = price.gross * Decimal("0.10")
    left = price.net - fee - Decimal("0.30") - Decimal("3.00")
    assert left == pytest.approx(price.net * Decimal("0.40"), rel=Decimal("1e-20"))
    assert cost.cents("2.005") == Decimal("2.01")
    with pytest.raises(cost.NoPrice):
        cost.price_from_margin(3, "0.9", "0.2")
    assert cost.make_or_buy_kg(5, 6, 100) is None
    assert cost.break_even_jars(100, 3, 2) == 100
    with pytest.raises(cost.NoPrice):
        cost.break_even_jars(100, 2, 2)


@given(st.floats(0.01, 0.95))
def test_margin_and_markup_are_inverse(margin):
    assert float(cost.margin_of_markup(cost.markup_of_margin(margin))) == pytest.approx(margin)


# Directive 76/211/EEC, Annex I, 2.4: the table of tolerable negative errors, at and inside its steps.
@pytest.mark.parametrize(
    ("nominal", "error"),
    [
        (5, 0.5),
        (50, 4.5),
        (75, 4.5),
        (100, 4.5),
        (150, 6.8),
        (200, 9.0),
        (250, 9.0),
        (300, 9.0),
        (400, 12.0),
        (500, 15.0),
        (700, 15.0),
        (1000, 15.0),
        (2000, 30.0),
    ],
)
def test_tolerable_errors(nominal, error):
    assert weight.tolerable_error(nominal) == pytest.approx(error)


# 21 CFR 701.13(i): 1/16 inch up to 5 square inches, 1/8 up to 25, 3/16 up to 100.
@pytest.mark.parametrize(("area", "inch"), [(5, 1 / 16), (5.1, 1 / 8), (25, 1 / 8), (99, 3 / 16)])
def test_us_type_sizes(area, inch):
    assert weight.figure_height("US", area) == pytest.approx(inch * 25.4)


# Directive 76/211/EEC, Annex I, 3.1: 2 mm up to 50 g, 3 mm up to 200 g, 4 mm up to 1000 g, 6 mm above.
@pytest.mark.parametrize(("grams", "mm"), [(50, 2), (51, 3), (200, 3), (201, 4), (1000, 4), (1001, 6)])
def test_metric_figure_heights(grams, mm):
    assert weight.figure_height("EU", grams) == mm == weight.figure_height("GB", grams)


def test_a_label_weight_is_never_rounded_up():
    for grams in (28.3, 28.35, 56.69, 56.70, 113.39, 113.4, 73.2):
        made = weight.us_net_weight(grams)
        assert made.oz * 28.349523125 <= grams + 1e-9
        assert made.g <= grams
    assert weight.metric_net_weight(72.999) == 72


def test_a_label_weight_needs_three_jars():
    assert weight.lightest([73.0, 73.1]) is None
    assert weight.lightest([70.0, 75.0, 80.0]) == pytest.approx(65.0)
    assert weight.lightest([73.0, 73.0, 73.0]) == 73.0


def test_average_check_counts_short_jars():
    forty = [76.0] * 39 + [70.4]
    made = weight.average_check(75, forty)
    assert (made.below_tne, made.below_2tne, made.keeps) == (1, 0, True)
    assert not weight.average_check(75, [*forty[1:], 65.9]).keeps
    with pytest.raises(OutOfRange):
        weight.average_check(75, [])


def test_the_us_table_of_single_jars_says_that_it_is_from_memory():
    grams, source = weight.maximum_variation(113)
    assert grams == pytest.approx(7.2)
    assert "recalled" in source
    assert weight.maximum_variation(35.9)[0] == pytest.approx(3.59)
    assert weight.maximum_variation(36)[0] == 3.6
    assert weight.maximum_variation(317) is None


def test_codes_and_dates():
    assert record.batch_code(date(2026, 12, 31), 23) == "26365Z"
    assert record.batch_code(date(2028, 12, 31), "B", "X") == "28366B-X"
    with pytest.raises(OutOfRange):
        record.batch_code(date(2026, 1, 1), "I")
    with pytest.raises(OutOfRange):
        record.next_code(date(2026, 1, 1), "X", [record.batch_code(date(2026, 1, 1), n) for n in range(24)])
    assert record.best_before(date(2026, 11, 30), 3) == date(2027, 2, 28)
    assert record.best_before(date(2026, 12, 1), 12) == date(2027, 12, 31)


def test_deviations_and_yields_ask_for_a_reason():
    assert record.must_explain(10, 10.11, protected=False)
    assert not record.must_explain(10, 10.1, protected=False)
    assert record.must_explain(10, 10.06, protected=True)
    low = record.batch_yield(1000, 880, 30)
    assert not low.explained
    assert "9.0" in record.yield_finding(low).text or "90" in record.yield_finding(low).text
    assert record.yield_finding(record.batch_yield(1000, 950, 30)) is None


def test_readings_are_due_and_counted():
    filled = date(2026, 3, 7)
    dues = stability.due_dates(filled)
    assert {due.test for due in dues} >= {"room", "warm40", "cold", "light", "foam"}
    assert max(due.on for due in dues) == filled + timedelta(days=365)
    before = stability.open_readings(filled, [], date(2026, 3, 8))
    done = [(due.test, date(2026, 3, 8)) for due in before]
    assert before
    assert stability.open_readings(filled, done, date(2026, 3, 8)) == ()


def test_failures_need_a_reading():
    assert stability.failures(stability.Reading()) == ()
    assert "growth" in stability.not_read(stability.Reading())
    bad = stability.Reading(6, -0.6, 1.5, 4, True, True)
    assert len(stability.failures(bad)) == 6


def test_stock():
    with pytest.raises(OutOfRange):
        stock.largest_batch([1.0], [0.0])


def test_a_heap_of_an_unknown_powder_is_a_wide_guess():
    known = {pigment.id: bulk_density(pigment) for pigment in pigments()}
    assert known["ultramarine_blue"].high == 0.85
    assert known["mica_gold"].low == 0.15
    assert known["chromium_oxide_green"].high / known["chromium_oxide_green"].low > 4

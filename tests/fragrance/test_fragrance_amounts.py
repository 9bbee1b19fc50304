"""Small arithmetic of amounts and loads: worked by hand, and every edge on both of its sides."""

from __future__ import annotations

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.library import demo_oils
from blendlab.fragrance import load, notes, space
from blendlab.fragrance import percent_conversions as amounts
from blendlab.fragrance.dilutions import diluted

NEAR = pytest.approx


# --- percents and grams --------------------------------------------------------------------------------


@pytest.mark.parametrize(("pct", "parts"), [(0, 0), (0.5, 50 / 99.5), (50, 100), (99.5, 19_900)])
def test_parts_on_a_base_and_percent_of_the_whole_are_inverse(pct, parts):
    """p = 100 m / (100 + m), turned round m = 100 p / (100 - p)."""
    assert amounts.parts_of_base(pct) == NEAR(parts)
    assert amounts.pct_of_final(parts) == NEAR(pct)
    with_more = amounts.parts_of_base(pct, other_parts=20)
    assert with_more == NEAR(1.2 * parts)
    assert amounts.pct_of_final(with_more, other_parts=20) == NEAR(pct)


@pytest.mark.parametrize("pct", [-0.5, 100, 100.5])
def test_a_whole_of_fragrance_has_no_base(pct):
    with pytest.raises(OutOfRange):
        amounts.parts_of_base(pct)


@pytest.mark.parametrize("pct", [0.5, 100])
def test_a_dilution_of_anything_up_to_the_pure_oil(pct):
    assert amounts.dilution(2.0, pct) == (NEAR(200 / pct), NEAR(200 / pct - 2))
    assert amounts.diluted_limit(0.01, pct) == NEAR(1 / pct)
    assert amounts.diluted_limit(90, pct) == NEAR(90 if pct == 100 else 100)


@pytest.mark.parametrize("pct", [-0.5, 0, 100.5])
def test_no_dilution_of_nothing_or_more_than_all(pct):
    for told in (lambda: amounts.dilution(1.0, pct), lambda: amounts.diluted_limit(1.0, pct)):
        with pytest.raises(OutOfRange):
            told()


def test_amounts_of_a_batch():
    """1.5 % of 800 g is 12 g; 12 g at 0.8 g/ml are 15 ml, at 30 drops 450."""
    assert amounts.grams(800, 1.5, {"a": 0.75, "b": 0.25}) == {"a": NEAR(9), "b": NEAR(3)}
    assert amounts.drops(12, 0.8, 30) == NEAR(450)
    assert amounts.fragrance_of_final(700, 0.4, 8, 800) == (NEAR(1.0), NEAR(0.35), NEAR(1.35))
    assert amounts.density([2, 3], [0.8, 1.2]) == NEAR(5 / (2 / 0.8 + 3 / 1.2))


@pytest.mark.parametrize(("loss", "part"), [(0, 1), (0.5, 0.995), (50, 0.5), (99.5, 0.005)])
def test_what_a_scent_costs(loss, part):
    """0.6 x 0.2 + 0.4 x 0.5 = 0.32 a gram; 2 % of 300 g are 6 g; an oil of no share has no price."""
    each, whole = amounts.cost({"a": 0.6, "b": 0.4, "c": 0.0}, {"a": 0.2, "b": 0.5}, 300, 2, loss_pct=loss)
    assert (each, whole) == (NEAR(0.32), NEAR(0.32 * 6 / part))


@pytest.mark.parametrize("loss", [-0.5, 100, 100.5])
def test_a_loss_is_a_part(loss):
    with pytest.raises(OutOfRange):
        amounts.cost({"a": 1.0}, {"a": 1.0}, 1, 1, loss_pct=loss)


# --- highest loads -------------------------------------------------------------------------------------


def test_route_a_is_the_least_of_limit_over_share():
    """5 / 0.5 = 10, 2 / 0.25 = 8, 2 / 0.25 = 8: the first of two equal ones is named."""
    shares, limits = {"a": 0.5, "b": 0.25, "c": 0.25}, {"a": 5.0, "b": 2.0, "c": 2.0}
    assert load.min_rule(shares, limits) == load.Most(8.0, "b")
    assert load.min_rule({"a": 0.5, "b": 0.5}, {"a": 0.0, "b": 0.02}) == load.Most(0.0, "a")
    assert load.min_rule({"a": 1.0}, {"a": 100.0}) == load.Most(100.0)
    assert load.min_rule({"a": 0.5, "b": 0.5}, {"a": None, "b": 1.0}) == load.Most(None, "a")
    assert load.min_rule({"a": 0.0, "b": 1.0}, {"a": None, "b": 1.0}) == load.Most(1.0, "b")
    assert load.min_rule({"a": 0.0, "b": 1.0}, {"a": 0.0, "b": 1.0}) == load.Most(1.0, "b")


@pytest.mark.parametrize(
    ("limits", "used", "pct", "governing"),
    [
        ((5.0, 2.0), 0.0, 1 / (0.5 / 5 + 0.5 / 2), "b"),
        ((5.0, 2.0), 0.3, 0.7 / 0.35, "b"),
        ((5.0, 2.0), 1.0, 0.0, "b"),
        ((5.0, 2.0), 1.2, 0.0, "b"),
        ((0.0, 2.0), 0.0, 0.0, "a"),
        ((100.0, 100.0), 0.0, 100.0, "a"),
        ((200.0, 200.0), 0.0, 100.0, "a"),
    ],
)
def test_route_b_is_the_sum_of_used_fractions(limits, used, pct, governing):
    shares = {"a": 0.5, "b": 0.5, "none": 0.0}
    most = load.fraction_rule(shares, dict(zip(shares, limits, strict=False)), used)
    assert (most.pct, most.governing) == (NEAR(pct), governing)


def test_route_b_of_nothing_is_all_that_the_base_leaves():
    assert load.fraction_rule({}, {}) == load.Most(100.0, "")
    assert load.fraction_rule({}, {}, 0.9) == load.Most(100.0, "")
    assert load.fraction_rule({}, {}, 1.0) == load.Most(0.0, "")
    assert load.fraction_rule({"a": 0.3, "b": 0.7}, {"a": 1.0}) == load.Most(None, "b")


def test_a_substance_in_scent_and_product():
    """0.3 x 10 + 0.7 x 2 = 4.4 % of the scent; 2 % of it and 0.01 % of the base: 0.098 %."""
    assert load.content({"a": 0.3, "b": 0.7, "c": 0.0}, {"a": 10, "b": 2}) == NEAR(4.4)
    assert load.content({"a": 0.3, "b": 0.7}, {"a": 10, "b": None}) is None
    assert load.in_product(2, 4.4, 0.01) == NEAR(0.098)
    assert load.in_product(2, 4.4) == NEAR(0.088)


@pytest.mark.parametrize(
    ("inside", "limit", "held", "most"),
    [
        (4.0, 0.05, 0.02, 0.75),
        (4.0, 0.05, 0.05, 0.0),
        (4.0, 0.05, 0.06, 0.0),
        (0.0, 0.05, 0.05, 100.0),
        (0.0, 0.05, 0.06, 0.0),
        (0.5, 0.5, 0.0, 100.0),
        (0.5, 0.6, 0.0, 100.0),
        (0.0, 0.5, 0.0, 100.0),
    ],
)
def test_route_c_leaves_what_the_base_does_not_use(inside, limit, held, most):
    assert load.substance_rule(inside, limit, held) == NEAR(most)


# --- the space of allowed blends -----------------------------------------------------------------------

ROWS = {"half": ([1.0, 0.0], 0.5), "none": ([0.0, 0.25], 0.0), "empty": ([0.0, 0.0], 0.0)}


def test_rows_are_divided_by_their_end_or_their_largest_entry():
    held = space.space(1.0, 2, ROWS, low={0: 0.2}, high={0: 0.7, 1: 3.0})
    assert held.scales().tolist() == [0.5, 0.25, 1.0]
    rows, most = held.scaled()
    assert rows.tolist() == [[2.0, 0.0], [0.0, 1.0], [0.0, 0.0]]
    assert most.tolist() == [1.0, 0.0, 0.0]
    assert (held.low.tolist(), held.high.tolist()) == ([0.2, 0.0], [0.7, 1.0])
    assert held.low_names == {0: "at least some oil 1"}
    assert held.used(np.array([0.4, 0.0])).tolist() == [NEAR(0.8), NEAR(1.0), NEAR(1.0)]


@pytest.mark.parametrize(
    ("grams", "holds", "binding"),
    [
        ([0.5, 0.0], True, ("half", "none", "empty")),
        ([0.51, 0.0], False, ("half", "none", "empty")),
        ([0.49, 0.0], True, ("none", "empty")),
        ([0.49, 0.01], False, ("none", "empty")),
        ([0.2, 0.0], True, ("none", "empty", "least")),
        ([0.21, 0.0], True, ("none", "empty")),
        ([0.19, 0.0], False, ("none", "empty", "least")),
    ],
)
def test_what_holds_and_what_binds(grams, holds, binding):
    held = space.space(1.0, 2, ROWS, low={0: 0.2}, low_names={0: "least"})
    assert held.holds(np.array(grams)) is holds
    assert held.binding(np.array(grams)) == binding


def test_at_another_load_minimums_keep_their_share_and_barred_stays_barred():
    held = space.space(2.0, 3, {}, low={0: 0.5}, high={1: 0.0, 2: 1.0}).at(1.0)
    assert held.total == 1.0
    assert held.low.tolist() == [0.25, 0.0, 0.0]
    assert held.high.tolist() == [1.0, 0.0, 1.0]


# --- notes and dilutions -------------------------------------------------------------------------------


def test_notes_are_weighed_by_share_and_strength():
    """Weights 0.5 x 2, 0.25 and 0.25: a sixth of 1.5 each; tops (1.0 x 0.4 + 0.25) / 1.5."""
    shares = {"a": 0.5, "b": 0.25, "c": 0.25, "d": 0.0}
    told = {"a": (0.4, 0.5, 0.1), "b": (1.0, 0.0, 0.0), "c": None, "d": (0.0, 0.0, 1.0)}
    got = notes.balance(shares, told, {"a": 2.0})
    assert (got.top, got.middle, got.base) == (NEAR(0.65 / 1.5), NEAR(0.5 / 1.5), NEAR(0.1 / 1.5))
    assert got.unknown == NEAR(0.25 / 1.5)
    assert notes.balance({"d": 0.0}, told) == notes.Balance(0.0, 0.0, 0.0, 0.0)


def test_vanillin_of_the_product_is_its_part_of_the_load():
    """2 % of a scent with 0.4 % and 3 %: 0.008 % and 0.06 %."""
    got = notes.vanillin(2.0, 0.4, 3.0)
    assert (got.pct, got.ethyl_pct) == (NEAR(0.008), NEAR(0.06))
    unknown = notes.vanillin(2.0, None, None)
    assert (unknown.pct, unknown.ethyl_pct, unknown.band) == (None, None, "")
    assert "does not say" in unknown.colour


def test_a_dilution_holds_its_part_and_what_the_carrier_brings():
    """10 % of the oil and 90 % of a carrier that holds 2 % of the first substance."""
    oil = demo_oils()[1]
    cas, held = next(iter(oil.constituents.items()))
    thin = diluted(oil, 10, "carrier", "thin", "Thin", {cas: 2.0, "00-00-0": 1.0})
    got = thin.constituents[cas]
    assert got.low == NEAR(0.1 * held.low)
    assert (got.typical, got.high) == (NEAR(0.1 * held.typical + 1.8), NEAR(0.1 * held.high + 1.8))
    new = thin.constituents["00-00-0"]
    assert (new.low, new.typical, new.high) == (0.0, NEAR(0.9), NEAR(0.9))
    for category, limit in oil.sheet.limits.items():
        assert thin.sheet.limits[category] == NEAR(min(100, 10 * limit))
    assert oil.declaration is not None
    for named, row in oil.declaration.rows.items():
        more = 1.8 if named == cas else 0.0
        assert thin.declaration.rows[named].pct == NEAR(0.1 * row.pct + more)
    assert thin.declaration.rows["00-00-0"].pct == NEAR(0.9)
    assert not thin.declaration.rows["00-00-0"].below
    for part in ("vanillin_pct", "ethyl_vanillin_pct"):
        whole = getattr(oil, part)
        assert getattr(thin, part) == (None if whole is None else NEAR(0.1 * whole))


@pytest.mark.parametrize("pct", [-0.5, 0, 100, 100.5])
def test_a_dilution_is_between_nothing_and_all(pct):
    with pytest.raises(OutOfRange):
        diluted(demo_oils()[1], pct, "carrier", "thin", "Thin", {})
    assert diluted(demo_oils()[1], 99.5, "carrier", "thin", "Thin", {}).dilution_pct == 99.5
    assert diluted(demo_oils()[1], 0.5, "carrier", "thin", "Thin", {}).dilution_pct == 0.5

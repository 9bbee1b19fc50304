"""Least shares she asks for: bounds of the search that scale with the load and may be told to give."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from blendlab.fragrance import closest
from blendlab.fragrance.blend import lay_out
from blendlab.fragrance.closest import fits
from blendlab.fragrance.conflict import irreducible
from blendlab.fragrance.relaxation import explain
from blendlab.fragrance.rounding import rounded
from blendlab.fragrance.solver import (
    NoBlend,
    highest_total,
    nearest_even,
    nearest_few,
    nearest_notes,
    scale_down,
)
from blendlab.fragrance.space import space
from blendlab.recipe import Caps
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

SOAP = ("whipped_soap", "EU", TODAY)


def pair(load, shares, **caps):
    """Two oils: A limited to 1 %, B without a limit."""
    parts = (oil("A", sheet(c9=1.0), vanillin_pct=10.0), oil("B", sheet(c9=100.0), vanillin_pct=0.0))
    made, oils = scent(load, *zip(parts, shares, strict=True))
    return replace(made, caps=Caps(**caps)), oils


def test_a_minimum_is_a_share_of_the_load():
    held = space(2.0, 2, {"a": ([1.0, 0.0], 0.3)}, low={0: 0.5})
    assert held.at(1.0).low.tolist() == [0.25, 0.0]
    # a quarter of the load is a: 0.3 / 0.25
    assert highest_total(held) == pytest.approx(1.2)
    with pytest.raises(NoBlend):
        nearest_few(held, [1.0, 1.0])
    assert nearest_few(held.at(1.0), [0.1, 0.9]).grams == pytest.approx([0.25, 0.75])
    assert nearest_even(held.at(1.0), [0.1, 0.9]).grams == pytest.approx([0.25, 0.75])


def test_a_minimum_that_is_just_met_binds():
    held = space(1.0, 2, {}, low={0: 0.25}, low_names={0: "some a"})
    assert nearest_few(held, [0.1, 0.9]).binding == ("some a",)
    assert nearest_few(held, [0.3, 0.7]).binding == ()
    assert not held.holds(np.array([0.24, 0.76]))
    assert held.holds(np.array([0.25, 0.75]))


def test_the_slope_of_a_minimum_is_confirmed_by_solving_again():
    notes = np.array([[1.0, 0, 0], [0, 0, 1.0]])
    low, more = (
        nearest_notes(space(1.0, 2, {}, low={0: grams}), notes, [0.1, 0, 0.9]) for grams in (0.3, 0.301)
    )
    assert low.low_slopes[0] == pytest.approx((more.objective - low.objective) / 0.001, rel=1e-6)
    assert low.low_slopes[0] == pytest.approx(2.0)


def test_the_slope_of_a_row_that_forbids_is_per_unit_of_its_figure():
    def at(most):
        return nearest_few(space(1.0, 2, {"a": ([0.04, 0.0], most)}), [0.5, 0.5])

    # 0.04 x grams <= 0: a unit more lets 25 g more of the oil in, and takes as many of the other
    assert at(0.0).slopes["a"] == pytest.approx(-50.0)
    assert (at(0.001).objective - at(0.0).objective) / 0.001 == pytest.approx(-50.0)


def test_scaling_never_meets_a_minimum_it_misses():
    held = space(1.0, 2, {"a": ([1.0, 0.0], 0.25)}, low={1: 0.6})
    assert scale_down(held, [0.5, 0.5]) == 0.0
    assert scale_down(held, [0.4, 0.6]) == pytest.approx(0.625)


def test_what_has_to_give_is_told_in_its_own_unit():
    tight = space(2.0, 2, {"none of a": ([0.5, 0.0], 0.0), "b": ([0.0, 1.0], 1.5)}, low={0: 0.8})
    assert explain(tight, ["none of a"]).rows == {"none of a": pytest.approx(0.4)}
    both = explain(space(2.0, 2, {"a": ([1.0, 0.0], 0.3)}, low={0: 0.8}), loose_lows=True)
    assert both.lows == {0: pytest.approx(0.3)}
    assert both.rows == {}
    calm = explain(space(2.0, 2, {"a": ([1.0, 0.0], 0.9)}, low={0: 0.8}), ["a"], loose_lows=True)
    assert (calm.rows, calm.lows) == ({}, {})


def test_a_share_below_its_minimum_does_not_fit():
    wish, oils = pair(0.5, (10, 90), least={"a": 20.0})
    assert not fits(wish, lay_out(wish, oils, base(), "whipped_soap", TODAY))
    fine, _ = pair(0.5, (20, 80), least={"a": 20.0})
    assert fits(fine, lay_out(fine, oils, base(), "whipped_soap", TODAY))
    found = closest(wish, oils, base(), *SOAP)
    assert {proposal.way for proposal in found.proposals} == {"few"}
    (proposal,) = found.proposals
    assert [share.share_pct for share in proposal.scent.oils] == [20.0, 80.0]
    assert proposal.binding == ("At least 20 % A",)


def test_a_minimum_lowers_the_load_where_the_limit_asks_for_it():
    # at least half of it is A, and A may be 1 % of the jar: no more than 2 %
    wish, oils = pair(3.0, (50, 50), least={"a": 50.0})
    found = closest(wish, oils, base(), *SOAP)
    assert found.proposals
    for proposal in found.proposals:
        share = proposal.scent.oils[0].share_pct
        assert share >= 50.0
        assert proposal.scent.load_pct * share / 100 <= 1.0
        assert proposal.scent.load_pct >= 1.97


def test_ceiling_and_minimum_are_each_told_what_they_would_have_to_be():
    # 1 % load, 40 % of it A with 10 % vanillin: 0.04 % of the jar; 0.01 % leave room for 10 % of A
    wish, oils = pair(1.0, (40, 60), vanillin_pct=0.01, least={"a": 40.0})
    found = closest(wish, oils, base(), *SOAP)
    assert found.needs == {
        "Your ceiling for vanillin": pytest.approx(0.04),
        "At least 40 % A": pytest.approx(10.0),
    }
    assert set(found.conflict) == {"Your ceiling for vanillin", "At least 40 % A", "the load"}


def test_an_oil_without_a_sheet_cannot_keep_its_minimum():
    parts = (oil("Bare"), oil("B", sheet(c9=100.0)))
    made, oils = scent(1.0, *zip(parts, (50, 50), strict=True))
    found = closest(replace(made, caps=Caps(least={"bare": 10.0})), oils, base(), *SOAP)
    assert found.proposals == ()
    assert set(found.conflict) == {"At least 10 % Bare", "no Bare", "the load"}
    assert found.needs == {"At least 10 % Bare": 0.0}


@pytest.mark.parametrize("load", [1.0, 2.0])
def test_rounding_leaves_a_share_at_its_minimum(load):
    grams = load * np.array([0.333333, 0.666667])
    held = space(load, 2, {"a": ([1.0, 0.0], load)}, low={0: 0.333333 * load})
    assert rounded(held, grams, 500, 0.01).shares_pct == (33.34, 66.66)
    free = space(load, 2, {"a": ([1.0, 0.0], load)})
    assert rounded(free, grams, 500, 0.01).shares_pct == (33.33, 66.67)


@pytest.mark.parametrize(("miss", "fit"), [(0.004, True), (0.006, False)])
def test_notes_within_half_a_point_are_on_the_wish(miss, fit):
    parts = (oil("T", sheet(c9=100.0), notes=(1.0, 0, 0)), oil("B", sheet(c9=100.0), notes=(0, 0, 1.0)))
    made, oils = scent(1.0, *zip(parts, (50, 50), strict=True))
    wish = replace(made, wish=(0.5 + miss, 0.0, 0.5 - miss))
    assert closest(wish, oils, base(), *SOAP).fits is fit


def test_a_change_below_half_a_hundredth_is_none():
    parts = (oil("A", sheet(c9=1.0)), oil("B", sheet(c9=100.0), declaration=declared()))
    made, oils = scent(2.0, *zip(parts, (60, 40), strict=True))
    few = next(each for each in closest(made, oils, base(), *SOAP).proposals if each.way == "few")
    assert [(change.oil, change.before_pct) for change in few.changes] == [("A", 60.0), ("B", 40.0)]
    assert few.largest_pct == max(abs(change.after_pct - change.before_pct) for change in few.changes)


@pytest.mark.parametrize(("load", "names"), [(2.0, ("a", "the load")), (0.8, ())])
def test_a_conflict_counts_the_whole_load(load, names):
    # a allows 0.9 g of both oils together
    assert irreducible(space(load, 2, {"a": ([1.0, 1.0], 0.9), "b": ([1.0, 0.0], 0.1)})) == names


def test_a_share_that_any_row_counts_is_cut_however_wide_the_row():
    wide = space(1.0, 2, {"a": ([1.0, 0.0], 2.0)})
    made = rounded(wide, np.array([0.33337, 0.66663]), 333, 0.01)
    assert made.shares_pct == (33.33, 66.67)
    # 333 g x 1 % x 33.33 % is 1.109889 g, 66.67 % are 2.220111 g
    assert made.grams == (1.10, 2.22)

"""The solver and the closest blend, against other routes."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest
from scipy.optimize import minimize

from blendlab.facts.library import demo_oils
from blendlab.fragrance import check
from blendlab.fragrance.closest import closest
from blendlab.fragrance.relaxation import explain
from blendlab.fragrance.rounding import holds
from blendlab.fragrance.solver import (
    NoBlend,
    highest_total,
    nearest_even,
    nearest_few,
    nearest_notes,
    scale_down,
)
from blendlab.fragrance.space import space
from tests.fragrance.kit import TODAY, base, oil, scent, sheet


def random_space(rng, n=6, m=8, total=1.0):
    rows = {f"r{k}": (rng.uniform(0, 0.05, n), 0.0) for k in range(m)}
    inside = rng.dirichlet(np.ones(n)) * total
    rows = {name: (list(c), float(c @ inside) * rng.uniform(1.0, 1.2)) for name, (c, _) in rows.items()}
    return space(total, n, rows)


@pytest.mark.parametrize("seed", range(12))
def test_even_projection_agrees_with_a_general_solver(seed):
    # second route: sequential quadratic programming (Kraft 1988, as in scipy)
    rng = np.random.default_rng(seed)
    where = random_space(rng)
    wish = rng.dirichlet(np.ones(6))
    found = nearest_even(where, wish)
    rows, most = where.scaled()
    other = minimize(
        lambda x: np.sum((x - wish) ** 2),
        np.full(6, 1 / 6),
        jac=lambda x: 2 * (x - wish),
        bounds=[(0, 1)] * 6,
        constraints=[
            {"type": "eq", "fun": lambda x: x.sum() - 1},
            {"type": "ineq", "fun": lambda x: most - rows @ x},
        ],
        options={"ftol": 1e-14, "maxiter": 500},
    )
    assert found.objective <= other.fun + 1e-9
    assert found.grams == pytest.approx(other.x, abs=2e-5)


@pytest.mark.parametrize("seed", range(8))
def test_answers_keep_every_row(seed):
    rng = np.random.default_rng(seed)
    where = random_space(rng)
    wish = rng.dirichlet(np.ones(6))
    for found in (nearest_even(where, wish), nearest_few(where, wish)):
        assert found.grams.sum() == pytest.approx(1, abs=1e-9)
        assert (found.grams >= -1e-12).all()
        assert (where.rows @ found.grams <= where.most * (1 + 1e-9)).all()
    few, even = nearest_few(where, wish), nearest_even(where, wish)
    assert few.objective <= np.abs(even.grams - wish).sum() + 1e-9
    assert even.objective <= np.square(few.grams - wish).sum() + 1e-9


def test_a_blend_inside_is_its_own_projection():
    where = space(1.0, 3, {"a": ([0.01, 0.0, 0.0], 0.01)})
    wish = [0.2, 0.3, 0.5]
    assert nearest_even(where, wish).grams == pytest.approx(wish, abs=1e-12)
    assert nearest_few(where, wish).objective == pytest.approx(0, abs=1e-9)
    assert scale_down(where, wish) == pytest.approx(1.0)


def test_slopes_are_confirmed_by_solving_again():
    def at(cap):
        return space(1.0, 3, {"coumarin": ([0.02, 0.0, 0.001], cap)})

    shares = np.array([[0, 0, 1.0], [1.0, 0, 0], [0, 1.0, 0]])
    target = [0.2, 0.3, 0.5]
    found = nearest_notes(at(0.004), shares, target)
    step = 1e-6
    again = nearest_notes(at(0.004 + step), shares, target)
    assert found.slopes["coumarin"] < 0
    assert (again.objective - found.objective) / step == pytest.approx(found.slopes["coumarin"], rel=1e-4)


def test_ties_go_to_the_wish():
    shares = np.array([[1.0, 0, 0], [1.0, 0, 0], [0, 0, 1.0]])
    found = nearest_notes(space(1.0, 3, {}), shares, [0.6, 0, 0.4], wish=[0.4, 0.2, 0.4])
    assert found.grams == pytest.approx([0.4, 0.2, 0.4], abs=1e-6)


def test_nothing_fits_is_an_error_and_is_explained():
    where = space(1.0, 2, {"house": ([0.01, 0.02], 0.005)})
    for solve in (nearest_even, nearest_few):
        with pytest.raises(NoBlend):
            solve(where, [0.5, 0.5])
    told = explain(where, ["house"])
    assert told.rows["house"] == pytest.approx(0.01)
    with pytest.raises(NoBlend):
        explain(where, [])


def test_highest_total():
    where = space(100.0, 2, {"a": ([0.5, 0.0], 1.0), "b": ([0.0, 0.25], 1.0)})
    assert highest_total(where) == pytest.approx(6.0)


def wish_over():
    return scent(4.0, (oil("A", sheet(c9=2)), 60), (oil("B", sheet(c9=10)), 25), (oil("C", sheet(c9=40)), 15))


def test_closest_blends_keep_the_ceiling():
    wish, oils = wish_over()
    found = closest(wish, oils, base(), "whipped_soap", "EU", TODAY)
    assert [proposal.way for proposal in found.proposals] == ["scale", "few", "even"]
    for proposal in found.proposals:
        by_id = {each.id: each for each in oils}
        used = [by_id[share.oil.id] for share in proposal.scent.oils]
        again = check(proposal.scent, used, base(), "whipped_soap", "EU", TODAY)
        assert proposal.scent.load_pct <= again.ceiling_pct
        assert sum(share.share_pct for share in proposal.scent.oils) == pytest.approx(100, abs=1e-9)
    scale, few, even = found.proposals
    assert scale.scent.load_pct == 3.04
    assert few.scent.load_pct == even.scent.load_pct == 4.0
    assert len(few.changes) <= len(even.changes)
    assert few.largest_pct >= 0
    assert not scale.changes


def test_a_wish_that_fits_is_left_alone():
    wish, oils = scent(1.0, (oil("A", sheet(c9=2)), 100))
    found = closest(wish, oils, base(), "whipped_soap", "EU", TODAY)
    assert found.fits
    assert found.proposals == ()


def test_an_oil_without_a_sheet_is_left_out_and_told():
    oils = [known for known in demo_oils() if known.id in ("petitgrain", "lavender", "green-stem-accord")]
    wish = scent(1.2, *[(known, 100 / 3) for known in oils])
    found = closest(*wish, base(), "whipped_soap", "EU", TODAY)
    assert set(found.left_out) == {"Green stem accord"}
    assert {proposal.way for proposal in found.proposals} == {"few", "even"}
    for proposal in found.proposals:
        shares = {share.oil.id: share.share_pct for share in proposal.scent.oils}
        assert shares.get("green-stem-accord", 0.0) == 0.0


def test_nothing_can_be_sold_without_any_sheet():
    found = closest(*scent(1.0, (oil("Bare"), 100)), base(), "whipped_soap", "EU", TODAY)
    assert not found.fits
    assert found.proposals == ()


@pytest.mark.parametrize("seed", range(12))
def test_a_tie_is_broken_without_losing_a_note(seed):
    rng = np.random.default_rng(seed)
    where, notes = random_space(rng), rng.dirichlet(np.ones(3), 6)
    target, wish = rng.dirichlet(np.ones(3)), rng.dirichlet(np.ones(6))
    plain, tied = nearest_notes(where, notes, target), nearest_notes(where, notes, target, wish)
    missed = [np.abs(found.grams @ notes - target).sum() for found in (plain, tied)]
    assert missed == pytest.approx([plain.objective] * 2, abs=1e-7)
    assert np.square(tied.grams - wish).sum() <= np.square(plain.grams - wish).sum() + 1e-7


def test_a_row_holds_to_a_billionth_and_no_further():
    where = space(1.0, 2, {"a": ([1.0, 0.0], 0.25)})
    parts = [[Decimal("2.5"), Decimal("7.5")], [Decimal("2.5001"), Decimal("7.4999")]]
    assert [holds(where, grams, 1000.0) for grams in parts] == [True, False]

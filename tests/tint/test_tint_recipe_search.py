"""A wanted colour to recipes: targets that were made, and recipes that cannot be bettered."""

from itertools import combinations

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases, pigments, starter
from blendlab.tint import delta_e_2000, mix
from blendlab.tint.difference import metric
from blendlab.tint.recipe_search import match, problem_of, solve
from blendlab.tint.spectra import lab_of

STARTERS, BASE = pigments(), bases()[0]
FEW = [starter(name) for name in ("iron_oxide_red", "iron_oxide_yellow", "ultramarine_blue", "carbon_black")]


def lab(doses):
    found = [starter(name) for name in doses]
    k, s = np.array([pigment.k for pigment in found]), np.array([pigment.s for pigment in found])
    return lab_of(mix(list(doses.values()), k, s, BASE.k0, BASE.s0)[2])


@pytest.mark.parametrize(
    "doses",
    [
        {"iron_oxide_red": 0.12},
        {"iron_oxide_yellow": 0.2, "ultramarine_blue": 0.1},
        {"iron_oxide_yellow": 0.15, "carbon_black": 0.01, "ultramarine_blue": 0.4},
    ],
)
def test_a_made_colour_is_found_again(doses):
    best = match(lab(doses), FEW, BASE, count=40)
    again = next(recipe for recipe in best if set(recipe.doses) == set(doses))
    assert again.delta_e00 < 0.01
    assert again.doses == pytest.approx(doses, abs=0.002)


def test_the_steps_converge_as_only_right_slopes_do():
    """Newton's law: near a colour that exists the error is squared by each step, so six reach 1e-20."""
    doses = {"iron_oxide_red": 0.1, "iron_oxide_yellow": 0.07, "ultramarine_blue": 0.2}
    problem = problem_of(lab(doses), FEW, BASE)
    x, cost = solve(problem, np.array([[0, 1, 2]]), 0.15, 6)
    assert x[0] == pytest.approx(list(doses.values()), rel=1e-9)
    assert cost[0] < 1e-20


def test_every_match_is_what_it_says():
    for recipe in match((75, 10, 20), STARTERS, BASE):
        assert recipe.lab == pytest.approx(lab(recipe.doses), abs=1e-9)
        assert recipe.delta_e00 == pytest.approx(float(delta_e_2000(recipe.lab, (75, 10, 20))))
        assert all(0 < pct <= starter(name).cap_pct + 1e-9 for name, pct in recipe.doses.items())
        assert sum(recipe.doses.values()) <= 3 + 1e-9


@pytest.mark.parametrize("target", [(80, 15, -10), (55, 30, 10), (70, 60, -40), (30, 0, 0), (88, -3, 20)])
def test_no_better_recipe_is_found_by_another_route(target):
    """Second route: scipy's bounded minimisation of CIEDE2000 itself, set by set, from two starts."""
    from scipy.optimize import minimize

    best = min(recipe.delta_e00 for recipe in match(target, FEW, BASE, count=40))

    def apart(x, chosen):
        k, s = np.array([pigment.k for pigment in chosen]), np.array([pigment.s for pigment in chosen])
        R = mix(np.clip(x, 0, None), k, s, BASE.k0, BASE.s0)[2]
        return float(delta_e_2000(lab_of(R), target))

    for chosen in combinations(FEW, 3):
        bounds = [(0, pigment.cap_pct) for pigment in chosen]
        for share in (0.1, 0.7):
            start = [share * pigment.cap_pct for pigment in chosen]
            found = minimize(apart, start, (chosen,), method="L-BFGS-B", bounds=bounds)
            assert best <= found.fun + 0.05


def test_fewer_pigments_come_first_among_equals():
    found = match(lab({"iron_oxide_red": 0.2}), STARTERS, BASE)
    assert list(found[0].doses) == ["iron_oxide_red"]
    ranks = [(round(2 * recipe.delta_e00), len(recipe.doses)) for recipe in found]
    assert ranks == sorted(ranks)


def test_what_limits_is_named():
    best = match((60, 0, -60), [starter("ultramarine_blue")], BASE)[0]
    assert best.limits == ("ultramarine_blue",)
    held = match((30, 0, 0), FEW, BASE, caps={pigment.id: 5.0 for pigment in FEW}, total_pct=0.1)[0]
    assert "total" in held.limits


def test_doses_in_whole_steps_of_the_scale():
    found = match((80, 12, 8), FEW, BASE, portion_g=50, step_g=0.01)
    for recipe in found:
        grams = np.array(list(recipe.doses.values())) * 50 / 100
        assert grams / 0.01 == pytest.approx(np.round(grams / 0.01), abs=1e-6)
        assert recipe.delta_e00 == pytest.approx(float(delta_e_2000(lab(recipe.doses), (80, 12, 8))))


def test_a_cap_holds_on_the_weighed_dose():
    """0.25 % of 33 g is 0.0825 g: the next step of the scale above is too much, though nearer."""
    red = starter("iron_oxide_red")
    target = lab({red.id: 0.4})
    (held,) = match(target, [red], BASE, most=1, caps={red.id: 0.25}, portion_g=33, step_g=0.01)
    assert held.doses[red.id] * 33 / 100 == pytest.approx(0.08)
    assert held.doses[red.id] <= 0.25
    (free,) = match(target, [red], BASE, most=1, caps={red.id: 0.4}, portion_g=33, step_g=0.01)
    assert free.doses[red.id] * 33 / 100 == pytest.approx(0.13)


def test_the_total_holds_on_the_weighed_doses():
    """At most 0.3 % in all of 33 g is 0.099 g: nine steps of 0.01 g, not the ten that are nearer."""
    for recipe in match((30, 0, 0), FEW, BASE, total_pct=0.3, portion_g=33, step_g=0.01):
        steps = sum(pct * 33 / 100 / 0.01 for pct in recipe.doses.values())
        assert steps == pytest.approx(round(steps), abs=1e-6)
        assert round(steps) <= 9


def test_the_local_metric_is_ciede2000_for_small_steps():
    for colour in ((50, 0, 0), (80, 15, 10), (60, -20, 30), (90, 2, -4)):
        for step in np.eye(3) * 0.01:
            exact = float(delta_e_2000(colour, np.add(colour, step)))
            assert np.linalg.norm(metric(colour) @ step) == pytest.approx(exact, rel=0.02)


def test_wrong_numbers_are_refused():
    with pytest.raises(OutOfRange):
        match((50, 0, 0), FEW, BASE, most=4)
    with pytest.raises(OutOfRange):
        match((50, 0, 0), [], BASE)


def random_targets(count, shelf, seed=41):
    """Colours of four to six pigments of the shelf: within its gamut, but for no three exactly."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        chosen = rng.choice(len(shelf), rng.integers(4, 7), replace=False)
        shares = rng.dirichlet(np.ones(len(chosen)))
        k, s = (np.array([getattr(shelf[at], name) for at in chosen]) for name in ("k", "s"))
        c = shares * [shelf[at].cap_pct for at in chosen]
        yield lab_of(mix(c, k, s, BASE.k0, BASE.s0)[2])


def global_search(target, shelf, seed):
    """Second route: scipy's differential evolution over which three pigments and how much of each."""
    from scipy.optimize import differential_evolution

    k, s = (np.array([getattr(pigment, name) for pigment in shelf]) for name in ("k", "s"))
    caps = np.array([pigment.cap_pct for pigment in shelf])
    n = len(shelf)

    def apart(x):
        which = np.clip(x[:3].astype(int), 0, n - 1)
        c = np.zeros((x.shape[1], n))
        for at, share in zip(which, x[3:], strict=True):
            rows = np.arange(x.shape[1])
            c[rows, at] = np.maximum(c[rows, at], share**2 * caps[at])
        c /= np.maximum(c.sum(axis=1, keepdims=True) / 3.0, 1.0)
        return delta_e_2000(lab_of(mix(c, k, s, BASE.k0, BASE.s0)[2]), target)

    found = differential_evolution(
        apart,
        [(0, n - 1e-9)] * 3 + [(0, 1)] * 3,
        seed=seed,
        popsize=40,
        maxiter=250,
        tol=1e-10,
        vectorized=True,
        updating="deferred",
        polish=False,
    )
    return found.fun


@pytest.mark.slow
def test_no_long_global_search_does_better():
    """20 random targets in the gamut, each against two long searches over all pigments at once."""
    shelf = [pigment for pigment in STARTERS if pigment.group in ("absorbing", "lake", "white")]
    for at, target in enumerate(random_targets(20, shelf)):
        best = min(recipe.delta_e00 for recipe in match(target, shelf, BASE, count=60))
        theirs = min(global_search(target, shelf, seed) for seed in (at, at + 100))
        assert best <= theirs + 0.05


def test_a_short_global_search_does_no_better():
    shelf = [pigment for pigment in STARTERS if pigment.group in ("absorbing", "lake", "white")]
    for at, target in enumerate(random_targets(1, shelf)):
        best = min(recipe.delta_e00 for recipe in match(target, shelf, BASE, count=60))
        assert best <= global_search(target, shelf, at) + 0.05

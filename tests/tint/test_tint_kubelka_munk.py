"""Two-constant mixing: laws that hold for any recipe, and closed forms."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases, pigments
from blendlab.tint import kubelka_munk, mix, see

STARTERS = pigments()
K = np.array([pigment.k for pigment in STARTERS])
S = np.array([pigment.s for pigment in STARTERS])
K0, S0 = np.array(bases()[0].k0), np.array(bases()[0].s0)
BLACK = next(at for at, pigment in enumerate(STARTERS) if pigment.id == "carbon_black")

percents = st.lists(st.floats(0, 3), min_size=len(STARTERS), max_size=len(STARTERS)).map(np.array)


@settings(max_examples=60)
@given(percents, st.randoms(use_true_random=False))
def test_the_order_of_doses_does_not_matter(c, shuffle):
    order = list(range(len(c)))
    shuffle.shuffle(order)
    assert mix(c, K, S, K0, S0)[2] == pytest.approx(mix(c[order], K[order], S[order], K0, S0)[2], rel=1e-12)


def test_the_slope_is_that_of_the_curve():
    """Second route: central differences."""
    q = np.geomspace(1e-4, 20, 60)
    h = 1e-5 * q
    steep = (kubelka_munk.reflectance(q + h) - kubelka_munk.reflectance(q - h)) / (2 * h)
    assert kubelka_munk.reflectance_slope(kubelka_munk.reflectance(q)) == pytest.approx(steep, rel=1e-6)


@settings(max_examples=60)
@given(percents)
def test_reflectance_stays_between_0_and_1(c):
    R = mix(c, K, S, K0, S0)[2]
    assert np.all((R > 0) & (R <= 1))


@settings(max_examples=60)
@given(percents, st.floats(0, 2))
def test_more_black_never_lightens(c, more):
    darker = c.copy()
    darker[BLACK] += more
    L, L_darker = (see(mix(doses, K, S, K0, S0)[2]).lab[0] for doses in (c, darker))
    assert L_darker <= L + 1e-9


@pytest.mark.parametrize("at", range(len(STARTERS)), ids=[pigment.id for pigment in STARTERS])
def test_a_dose_of_nothing_changes_nothing(at):
    plain = mix([0.2], K[[0]], S[[0]], K0, S0)
    more = mix([0.2, 0.0], K[[0, at]], S[[0, at]], K0, S0)
    assert all(np.array_equal(before, other) for before, other in zip(plain, more, strict=True))


def test_a_base_without_doses_is_the_base():
    R = mix([], np.zeros((0, 31)), np.zeros((0, 31)), K0, S0)[2]
    assert pytest.approx(kubelka_munk.reflectance(K0 / S0)) == R


def test_many_recipes_at_once_are_the_same_as_one_by_one():
    c = np.random.default_rng(1).uniform(0, 1, (3, 4, len(STARTERS)))
    together = mix(c, K, S, K0, S0)[2]
    assert together.shape == (3, 4, 31)
    assert together[2, 1] == pytest.approx(mix(c[2, 1], K, S, K0, S0)[2])


def test_a_negative_percent_is_refused():
    with pytest.raises(OutOfRange, match=r"pigment is -0\.1 % of the finished portion"):
        mix([-0.1], K[[0]], S[[0]], K0, S0)


@given(st.floats(1e-9, 1.0))
def test_reflectance_and_k_over_s_are_inverse(R):
    assert float(kubelka_munk.reflectance(kubelka_munk.k_over_s(R))) == pytest.approx(R, rel=1e-7)


@pytest.mark.parametrize("R", [0.0, -0.1, 1.1, float("nan")])
def test_a_reflectance_that_cannot_be_is_refused(R):
    with pytest.raises(OutOfRange):
        kubelka_munk.k_over_s([0.5, R])


@given(st.floats(0, 50), st.floats(0.01, 50), st.floats(0, 1))
def test_a_thick_layer_hides_and_a_thin_one_shows_its_backing(k, s, backing):
    assert float(kubelka_munk.finite(k, s, 0.0, backing)) == pytest.approx(backing)
    thick = float(kubelka_munk.finite(k, s, 1e9, backing))
    assert thick == pytest.approx(float(kubelka_munk.reflectance(k / s)), abs=1e-4)


@given(st.floats(0, 10), st.floats(0, 10), st.floats(0, 1), st.floats(0, 3), st.floats(0, 3))
def test_two_layers_of_one_stuff_are_one_thick_layer(k, s, backing, x, y):
    stacked = kubelka_munk.finite(k, s, x, kubelka_munk.finite(k, s, y, backing))
    assert float(stacked) == pytest.approx(float(kubelka_munk.finite(k, s, x + y, backing)), abs=1e-9)


def test_a_layer_that_only_absorbs_follows_beer_and_lambert():
    assert float(kubelka_munk.finite(0.7, 0.0, 1.3, 0.8)) == pytest.approx(0.8 * np.exp(-2 * 0.7 * 1.3))


def test_a_layer_that_only_scatters_follows_its_closed_form():
    assert float(kubelka_munk.finite(0.0, 2.0, 0.5, 0.2)) == pytest.approx((0.2 + 0.8) / (1 + 0.8))


@given(st.floats(0.001, 1), st.floats(0, 0.1), st.floats(0, 0.8), st.floats(0, 1))
def test_the_surface_and_its_inverse(R, k1, k2, specular):
    seen = kubelka_munk.through_surface(R, k1, k2, specular)
    assert float(kubelka_munk.below_surface(seen, k1, k2, specular)) == pytest.approx(R, rel=1e-6)


def test_wall_contact_runs_from_the_open_surface_to_deeper():
    R = mix([0.3], K[[BLACK]], S[[BLACK]], K0, S0)[2]
    assert np.array_equal(kubelka_munk.behind_wall(R, 0.0), R)
    assert np.array_equal(kubelka_munk.behind_wall(R, None), R)
    steps = [kubelka_munk.behind_wall(R, contact) for contact in (0.0, 0.3, 0.7, 1.0)]
    assert all(np.all(deeper < paler) for paler, deeper in pairwise(steps))
    with pytest.raises(OutOfRange):
        kubelka_munk.behind_wall(R, 1.2)


@pytest.mark.parametrize(
    ("overrun", "factor"), [(50, 0.78), (75, 0.89), (100, 1.0), (125, 1.10), (150, 1.20), (200, 1.39)]
)
def test_foam_scatters_more_with_more_air(overrun, factor):
    """Closed form of l* = 2R (0.14/eps + 1.5) with one bubble size: Vera, Saint-Jalmes, Durian 2001."""
    assert kubelka_munk.foam_factor(overrun, 100) == pytest.approx(factor, abs=0.006)
    low, likely, high = kubelka_munk.foam_range(overrun, 100)
    assert low <= likely <= high
    assert kubelka_munk.foam_range(100, 100) == (1, 1, 1)

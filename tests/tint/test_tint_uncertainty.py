"""Parts and ends of a spread against what each source alone does, worked out by hand."""

import dataclasses
from statistics import NormalDist

import numpy as np
import pytest

from blendlab.facts.palette import bases, pigments, starter
from blendlab.shelf import BANDS
from blendlab.tint.kubelka_munk import foam_factor, mix, reflectance
from blendlab.tint.prediction import tone_recipe
from blendlab.tint.spectra import lab_of
from blendlab.tint.uncertainty import TRIALS, DoseWeighing, alone, spread_of, trials

BASE = bases()[0]
RED, BLUE = starter("iron_oxide_red"), starter("ultramarine_blue")
RECIPE = tone_recipe("t", BASE, [(RED, 0.1), (BLUE, 0.2)])
Z = 1.2815515655446004
"""90 % point of the normal distribution."""


def apart(colour, doses, k0=None, s0=None):
    """CIEDE2000 of colour-science between the recipe and the same with something changed."""
    k, s = (np.array([getattr(pigment, part) for pigment in (RED, BLUE)]) for part in ("k", "s"))
    k0, s0 = (np.array(own if given is None else given) for own, given in ((BASE.k0, k0), (BASE.s0, s0)))
    first, second = (
        lab_of(mix(c, k, s, *base)[2]) for c, base in (((0.1, 0.2), (BASE.k0, BASE.s0)), (doses, (k0, s0)))
    )
    return float(colour.difference.delta_E_CIE2000(first, second))


def test_each_part_is_the_step_to_the_90_percent_point_of_its_source(colour):
    """Strength 0.715 (a factor 2.5), weighing by its step, the whip by 8 % of overrun, the white by 0.4."""
    weighing = DoseWeighing({"t": 50.0}, 0.01)
    parts = spread_of(RECIPE, weighing).parts
    assert parts["strength:iron_oxide_red"] == pytest.approx(apart(colour, (0.1 * 2.5, 0.2)), rel=1e-3)
    assert parts["strength:ultramarine_blue"] == pytest.approx(apart(colour, (0.1, 0.2 * 2.5)), rel=1e-3)
    step = Z * 100 * np.hypot(0.01 / np.sqrt(12), 0.01) / 50
    each = [apart(colour, (0.1 + step, 0.2)), apart(colour, (0.1, 0.2 + step))]
    assert parts["weighing"] == pytest.approx(np.hypot(*each), rel=1e-6)
    white = np.array(BASE.k0) * np.exp(Z * 0.4)
    assert parts["base"] == pytest.approx(apart(colour, (0.1, 0.2), k0=white), rel=1e-6)
    whip = np.full(BANDS, foam_factor(BASE.ref_overrun_pct + Z * 8, BASE.ref_overrun_pct))
    assert parts["overrun"] == pytest.approx(apart(colour, (0.1, 0.2), s0=whip), rel=1e-6)


def test_a_measured_base_varies_less_in_its_white(colour):
    measured = dataclasses.replace(BASE, known="measured")
    parts = spread_of(tone_recipe("t", measured, [(RED, 0.1), (BLUE, 0.2)])).parts
    white = np.array(BASE.k0) * np.exp(Z * 0.08)
    assert parts["base"] == pytest.approx(apart(colour, (0.1, 0.2), k0=white), rel=1e-6)


@pytest.mark.parametrize(("overrun", "least", "most"), [(75.0, 1.0, 1.3), (300.0, 2.0, 40.0)])
def test_the_law_of_the_foam_is_doubted_only_as_far_as_it_is_used(overrun, least, most):
    """At the overrun the base is known at, the exponent does little; far from it, it does most."""
    white = tone_recipe("t", BASE, [])
    whipped = dataclasses.replace(
        white, air=overrun, s0=white.s0 * foam_factor(overrun, BASE.ref_overrun_pct, 1.0)
    )
    own = dataclasses.replace(BASE, foam_power=1.0, foam_power_sd=0.0)
    doubted, sure = (
        trials(recipe, sources=("overrun",)).std(axis=0).mean()
        for recipe in (whipped, dataclasses.replace(whipped, base=own))
    )
    assert least <= doubted / sure <= most


@pytest.mark.parametrize("pigment", pigments(), ids=lambda pigment: pigment.id)
@pytest.mark.parametrize("share", [0.01, 0.3])
def test_the_strong_end_lies_farther_from_the_white_of_the_base(pigment, share):
    recipe = tone_recipe("t", BASE, [(pigment, share * pigment.cap_pct)])
    found = spread_of(recipe, sources=("strength",))
    white = lab_of(reflectance(np.array(BASE.k0) / np.array(BASE.s0)))
    away = [np.linalg.norm(end.lab - white) for end in (found.weak, found.likely, found.strong)]
    assert away == sorted(away)


def test_the_ends_are_the_10_and_90_percent_points_and_the_farther_is_told(colour):
    """One log-normal strength: quantiles in closed form; the end means 2 % of the trials to each side."""
    found = spread_of(tone_recipe("t", BASE, [(RED, 0.1)]), sources=("strength",))
    sd = RED.strength_sd

    def between(low, high):
        at = [NormalDist().inv_cdf((number + 0.5) / TRIALS) for number in range(low, high)]
        doses = 0.1 * np.exp(sd * np.array(at))[:, None]
        return mix(doses, np.array([RED.k]), np.array([RED.s]), BASE.k0, BASE.s0)[2].mean(axis=0)

    assert pytest.approx(between(40, 60), rel=1e-6) == found.weak.R
    assert pytest.approx(between(440, 460), rel=1e-6) == found.strong.R
    ends = [
        colour.difference.delta_E_CIE2000(found.likely.lab, end.lab) for end in (found.weak, found.strong)
    ]
    assert found.delta_e00 == pytest.approx(max(ends))


def test_one_pigment_alone_is_shown_weak_likely_and_strong():
    shown = alone(RED, BASE, 0.1)
    for R, factor in zip(shown, (1 / 2.5, 1.0, 2.5), strict=True):
        exact = tone_recipe("t", BASE, [(RED, 0.1 * factor)]).mixed()[2]
        assert pytest.approx(exact, rel=1e-3) == R

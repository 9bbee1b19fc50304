"""Swatches to a pigment: made with known k and s, found again."""

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases, starter
from blendlab.tint import delta_e_2000, mix
from blendlab.tint.calibration import calibrate
from blendlab.tint.spectra import lab_of

K0, S0 = np.array(bases()[0].k0), np.ones(31)
BASE = mix([], np.zeros((0, 31)), np.zeros((0, 31)), K0, S0)[2]
BLUE = np.array(starter("ultramarine_blue").k)


def swatch(pct, k, s):
    return pct, mix([pct], np.array([k]), np.array([s]), K0, S0)[2]


def test_an_exact_ladder_gives_back_k_and_s():
    s = np.full(31, 0.12)
    found = calibrate(BASE, [swatch(pct, BLUE, s) for pct in (0.1, 0.3, 1.0, 2.0)])
    assert found.k == pytest.approx(BLUE, rel=1e-6, abs=1e-8)
    assert found.s == pytest.approx(s, rel=1e-6)
    assert max(found.residuals) < 1e-4
    assert found.sd == pytest.approx(0.05)


def test_one_exact_swatch_gives_back_k_but_cannot_be_checked():
    found = calibrate(BASE, [swatch(0.3, BLUE, np.zeros(31))])
    assert found.k == pytest.approx(BLUE, rel=1e-9)
    assert found.residuals == ()
    assert found.sd == pytest.approx(0.1)


def test_a_known_shape_gives_one_strength_that_can_be_checked():
    found = calibrate(BASE, [swatch(0.3, 1.7 * BLUE, np.zeros(31))], shape=(BLUE, np.zeros(31)))
    assert found.k == pytest.approx(1.7 * BLUE)
    assert max(found.residuals) < 1e-6


def test_a_wrong_shape_shows_in_its_residual():
    red = np.array(starter("iron_oxide_red").k)
    found = calibrate(BASE, [swatch(0.3, red, np.zeros(31))], shape=(BLUE, np.zeros(31)))
    assert found.residuals[0] > 3


def test_a_noisy_ladder_predicts_between_and_beyond_its_swatches():
    """Noise of 0.001 per band and 0.002 of all bands together; expected below 1 at 0.03 to 2 %."""
    rng = np.random.default_rng(8)
    s = np.full(31, 0.05)
    ladder = []
    for pct in (0.1, 0.3, 1.0):
        _, R = swatch(pct, BLUE, s)
        ladder.append((pct, R + rng.normal(0, 0.001, 31) + rng.normal(0, 0.002)))
    found = calibrate(BASE, ladder)
    for pct in (0.03, 0.2, 0.6, 2.0):
        truth = lab_of(swatch(pct, BLUE, s)[1])
        assert float(delta_e_2000(lab_of(swatch(pct, found.k, found.s)[1]), truth)) < 1


def test_a_ladder_that_was_weighed_badly_spreads_more():
    ladder = [(0.1, swatch(0.1, BLUE, np.zeros(31))[1]), (0.4, swatch(0.15, BLUE, np.zeros(31))[1])]
    found = calibrate(BASE, ladder)
    assert found.sd > 0.2
    assert max(found.residuals) > 1.5


def test_wrong_percents_are_refused():
    for wrong in ([], [(0.0, BASE)], [(-1.0, BASE)], [(101.0, BASE)]):
        with pytest.raises(OutOfRange):
            calibrate(BASE, wrong)

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


def test_doubts_of_an_exact_ladder_in_closed_form():
    """Scatter of 0.05 as for her ladders, pooled with weight 4; none of its own in an exact ladder."""
    for count in (2, 3, 5):
        found = calibrate(BASE, [swatch(pct, BLUE, np.zeros(31)) for pct in np.linspace(0.1, 0.5, count)])
        pooled = 0.05 * np.sqrt(4 / (4 + count - 1))
        assert found.se == pytest.approx(pooled / np.sqrt(count), rel=1e-6)
        assert found.sd == pytest.approx(max(0.05, pooled * np.sqrt(1 + 1 / count)), rel=1e-6)


def test_doubts_of_a_ladder_that_scatters_in_closed_form():
    """Two swatches whose strengths ask for 1 and e^0.4: their spread joins the pool."""
    ladder = [
        (0.1, swatch(0.1, BLUE, np.zeros(31))[1]),
        (0.2, swatch(0.2 * np.exp(0.4), BLUE, np.zeros(31))[1]),
    ]
    found = calibrate(BASE, ladder)
    pooled = np.sqrt((4 * 0.05**2 + 2 * 0.2**2) / 5)
    assert found.se == pytest.approx(pooled / np.sqrt(2), rel=0.03)
    assert found.sd == pytest.approx(pooled * np.sqrt(1.5), rel=0.03)


def test_doubts_of_one_swatch_in_closed_form():
    exact = calibrate(BASE, [swatch(0.3, BLUE, np.zeros(31))], shape=(BLUE, np.zeros(31)))
    assert exact.se == pytest.approx(0.05)
    assert exact.sd == pytest.approx(0.1)
    unknown = calibrate(BASE, [swatch(0.3, BLUE, np.zeros(31))])
    assert (unknown.se, unknown.sd) == (None, pytest.approx(0.1))


@pytest.mark.parametrize("error", [0.5, 2.0])
def test_the_error_of_measuring_becomes_a_doubt_of_the_strength(error):
    """A doubt x in the logarithm moves the colour by the error: slope by central differences."""
    pct, h = 0.3, 1e-3
    ends = [lab_of(swatch(pct * np.exp(side * h), BLUE, np.zeros(31))[1]) for side in (1, -1)]
    added = error / (float(delta_e_2000(*ends)) / (2 * h))
    found = calibrate(BASE, [swatch(pct, BLUE, np.zeros(31))], errors=[error])
    assert found.sd == pytest.approx(np.hypot(0.1, added), rel=0.03)
    twice = calibrate(BASE, [swatch(pct, BLUE, np.zeros(31))] * 2, errors=[error, error])
    assert twice.se == pytest.approx(np.hypot(0.05 * np.sqrt(4 / 5) / np.sqrt(2), added), rel=0.03)


def test_a_ladder_from_one_percent_on_tells_scattering():
    s = np.full(31, 0.1)
    below, from_it = ([swatch(pct, BLUE, s) for pct in (0.1, top)] for top in (0.99, 1.0))
    assert calibrate(BASE, below).way == "ladder"
    assert not calibrate(BASE, below).s.any()
    assert calibrate(BASE, from_it).s == pytest.approx(s, rel=1e-5)


def test_wrong_percents_are_refused():
    for wrong in ([], [(0.0, BASE)], [(-1.0, BASE)], [(101.0, BASE)]):
        with pytest.raises(OutOfRange):
            calibrate(BASE, wrong)

"""A pigment from the screen colour of one swatch gives that colour again."""

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases
from blendlab.tint import pigment_from_hex, see
from blendlab.tint.prediction import tone_recipe
from blendlab.tint.recovery import NoSuchSpectrum, below
from blendlab.tint.spectra import spectrum_to_xyz

BASE = bases()[0]


@pytest.mark.parametrize(
    ("group", "cap", "scatters"),
    [
        ("absorbing", 0.4, 0.0),
        ("lake", 0.2, 0.0),
        ("white", 1.0, 0.0),
        ("filler", 1.0, 0.0),
        ("pearl-absorbing", 2.0, 0.045),
        ("interference", 2.0, 0.045),
    ],
)
@pytest.mark.parametrize(("code", "pct"), [("#d9b48f", 1.0), ("#c8d4e8", 0.3), ("#7a4a3c", 2.0)])
def test_a_swatch_is_met_at_its_percent(group, cap, scatters, code, pct):
    made = pigment_from_hex("mine", "Mine", group, ("77491",), code, pct, BASE)
    assert see(tone_recipe("t", BASE, [(made, pct)]).mixed()[2]).hex == code
    assert (made.cap_pct, made.strength_sd, made.known) == (cap, 0.5, "estimate")
    assert np.array(made.s) == pytest.approx(np.full(31, scatters))
    assert f"screen colour {code} of one swatch at {pct:g} % in {BASE.name}" in made.basis


def test_a_swatch_of_no_pigment_or_lighter_than_the_base_is_answered():
    for pct in (0.0, -1.0):
        with pytest.raises(OutOfRange):
            pigment_from_hex("mine", "Mine", "lake", ("77491",), "#d9b48f", pct, BASE)
    with pytest.raises(NoSuchSpectrum, match="not darker"):
        pigment_from_hex("mine", "Mine", "lake", ("77491",), "#ffffff", 1.0, BASE)


@pytest.mark.parametrize("xyz", [(40, 42, 30), (20, 12, 8), (15, 25, 50), (4, 4, 4), (70, 74, 60)])
@pytest.mark.parametrize(("lamp", "observer"), [("D65", 2), ("A", 10)])
def test_the_recovered_spectrum_has_the_colour_and_the_least_slope(xyz, lamp, observer):
    """Second route: no small change that keeps the colour lowers the total slope of the logistic curve."""
    ceiling = np.full(31, 0.99)
    white = spectrum_to_xyz(ceiling, lamp, observer)
    wanted = np.array(xyz) * white / 100
    R = below(wanted, ceiling, lamp, observer)
    assert spectrum_to_xyz(R, lamp, observer) == pytest.approx(wanted, abs=1e-6)
    assert np.all((R > 0) & (ceiling > R))
    z = np.log(R / (ceiling - R))
    seen = np.array([spectrum_to_xyz(row, lamp, observer) for row in np.diag(R * (1 - R / ceiling))])
    rng = np.random.default_rng(5)
    for _ in range(20):
        step = rng.normal(0, 1e-3, 31)
        step -= seen @ np.linalg.lstsq(seen, step, rcond=None)[0]
        ahead, behind = (np.square(np.diff(z + side * step)).sum() for side in (1, -1))
        assert ahead - behind == pytest.approx(0, abs=2e-6)

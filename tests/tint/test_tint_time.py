"""Browning, pH and what a scent does to colour: by their formulas, on both sides of their edges."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.library import demo_oils
from blendlab.facts.palette import bases, starter
from blendlab.shelf import Blended, resolve
from blendlab.tint import chemistry, inconstancy
from blendlab.tint.browning import browning, fit_browning
from blendlab.tint.browning_findings import band, browning_findings
from blendlab.tint.kubelka_munk import foam_factor, foam_range, k_over_s, reflectance
from blendlab.tint.spectra import WAVELENGTHS, on_grid

NEAR = pytest.approx


def test_browning_by_its_formula():
    """v a exp(-(nm - 400) / 60) (1 - exp(-weeks / 6)) with a = 2 (0.5 to 8): an unmeasured guess."""
    for weeks in (0.5, 4.0, 26.0):
        for how, rate in (("low", 0.5), ("likely", 2.0), ("high", 8.0)):
            wanted = 0.2 * rate * np.exp(-(WAVELENGTHS - 400) / 60) * (1 - np.exp(-weeks / 6))
            assert np.allclose(browning(0.2, weeks, how), wanted)
    assert np.allclose(browning(0.2, 6, rate=3.0)[0], 0.6 * (1 - np.exp(-1)))
    assert not browning(0.0, 6).any()
    assert not browning(0.5, 0).any()
    assert browning(100, 6).any()


@pytest.mark.parametrize(("pct", "weeks"), [(-0.5, 1), (100.5, 1), (0.1, -0.5)])
def test_browning_refuses_what_cannot_be(pct, weeks):
    with pytest.raises(OutOfRange):
        browning(pct, weeks)


def test_her_own_browning_is_a_least_square_of_its_bands():
    """What came on top is 3 times the rule below 500 nm and 1 times above: weights by what is there."""
    fresh = np.full(31, 0.8)
    rate = np.where(WAVELENGTHS < 500, 3.0, 1.0)
    aged = reflectance(k_over_s(fresh) + browning(0.2, 4, rate=1.0) * rate)
    q = k_over_s(aged)
    slope = browning(0.2, 4, rate=1.0) / q
    wanted = float(slope @ (slope * rate) / (slope @ slope))
    assert fit_browning(fresh, aged, 0.2, 4) == NEAR(wanted)
    assert fit_browning(aged, fresh, 0.2, 4) == 0.0
    assert fit_browning(fresh, fresh, 100, 1) == 0.0
    for pct, weeks in ((0, 4), (-1, 4), (100.5, 4), (0.2, 0.99)):
        with pytest.raises(OutOfRange):
            fit_browning(fresh, aged, pct, weeks)
    assert fit_browning(fresh, aged, 0.5, 1) > 0


def test_a_band_is_worse_only_above_its_ph():
    usual = band(0.06, None).effect
    assert band(0.06, 7.0).effect == usual
    assert band(0.06, 7.01).effect == band(0.2, None).effect != usual


@pytest.mark.parametrize(
    ("pH", "level"), [(4.9, "stop"), (5.0, "caution"), (5.9, "caution"), (6.0, ""), (9.0, "")]
)
def test_ultramarine_suffers_in_acid(pH, level, make):
    """Caution below pH 6, stop below 5."""
    blue = starter("ultramarine_blue")
    (tone,) = make({"Tone": {blue.id: 0.1}}).tones
    found = list(chemistry.ph_findings(tone, [blue], replace(bases()[0], pH=pH, anhydrous=False)))
    assert [finding.level for finding in found] == ([level] if level else [])
    assert not list(chemistry.ph_findings(tone, [blue], replace(bases()[0], pH=pH, anhydrous=True)))


def test_contents_of_a_scent_are_summed_over_its_oils():

    oils = [oil for oil in demo_oils() if oil.constituents][:2]
    shares = (30.0, 70.0)
    held = chemistry._held(
        [Blended(oil, pct, at) for at, (oil, pct) in enumerate(zip(oils, shares, strict=True))]
    )
    for cas in {*oils[0].constituents, *oils[1].constituents}:
        parts = [
            pct / 100 * oil.constituents[cas].high
            for oil, pct in zip(oils, shares, strict=True)
            if cas in oil.constituents
        ]
        assert held[cas] == NEAR(sum(parts))
    assert chemistry._sum({"1": 0.5, "2": 0.25}, "1;2;3") == 0.75


def test_browning_is_told_for_the_tone_that_changes_most(make, shelf):
    tones = {"White": {}, "Black": {"carbon_black": 1.0}}
    design = make(tones, weeks=8.0)
    (told,) = browning_findings(resolve(design, shelf), 0.2)
    assert "for White after 8 weeks" in told.text
    (unset,) = browning_findings(resolve(replace(design, weeks=0.0), shelf), 0.2)
    assert "after 12 weeks" in unset.text
    assert not list(browning_findings(resolve(design, shelf), 0.0))
    assert list(browning_findings(resolve(design, shelf), 0.001))
    assert not list(browning_findings(resolve(design, shelf), None))


def test_foam_by_its_law():
    """Path of light by wet + dry / (1 + overrun); the range is that of the exponents."""
    wet, dry = (chemistry.figure("tint", name).value for name in ("foam_wet", "foam_dry"))
    usual = chemistry.figure("tint", "foam_power")

    def path(overrun: float) -> float:
        return wet + dry / (1 + overrun / 100)

    for air, known in ((150, 100), (0, 80), (80, 0)):
        ratio = path(known) / path(air)
        assert foam_factor(air, known) == NEAR(ratio**usual.value)
        assert foam_factor(air, known, 0.5) == NEAR(ratio**0.5)
        powers = sorted(ratio**power for power in usual.range)
        assert foam_range(air, known) == NEAR(tuple(powers))
    for wrong in ((-0.1, 100), (100, -0.1)):
        with pytest.raises(OutOfRange):
            foam_factor(*wrong)
    assert foam_factor(0, 0) == 1.0


def test_a_grid_keeps_its_ends_and_is_straight_between():
    given = on_grid([[0.2, 0.6, 0.4], [0.1, 0.1, 0.5]], [410, 510, 690])
    assert given[0, 0] == given[0, 1] == 0.2
    assert given[0, 6] == NEAR(0.4)
    assert given[0, -1] == 0.4
    assert given[1, -2] == NEAR(0.5)
    with pytest.raises(OutOfRange):
        on_grid([0.2, 0.6], [400, 500, 600])


def test_a_neutral_is_constant_and_two_alike_stay_alike():
    grey, black = np.full(31, 0.5), np.full(31, 0.1)
    assert max(inconstancy.inconstancy(grey).values()) < 0.05
    apart = inconstancy.contrast(grey, black)
    assert apart["D65"] == NEAR(apart["A"], abs=0.05)
    assert max(inconstancy.contrast(grey, grey).values()) == NEAR(0.0, abs=1e-9)

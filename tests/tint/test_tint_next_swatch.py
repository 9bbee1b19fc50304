"""Which swatch to make next: the figures of a suggestion worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest

from blendlab.facts.palette import bases, starter
from blendlab.shelf import Shelf
from blendlab.tint.difference import metric
from blendlab.tint.next_swatch import _bent, calibrate_next
from blendlab.tint.prediction import tone_recipe
from blendlab.tint.spectra import lab_of

BASE = bases()[0]
RED, BLUE = starter("iron_oxide_red"), starter("ultramarine_blue")
LOT, JAR = 0.1, 0.7
"""Doubt of a strength from lot to lot; error of making one jar [Delta E]."""


def slopes(*doses):
    """Steps of about CIEDE2000 [3, n] by the logarithm of each strength, by central differences."""
    recipe = tone_recipe("t", BASE, doses)
    h = 1e-4 * np.eye(len(doses))
    ends = [lab_of(recipe.mixed(np.exp(side * h))[2]) for side in (1, -1)]
    return metric(lab_of(recipe.mixed()[2])) @ ((ends[0] - ends[1]) / 2e-4).T


def width(slope, sd):
    bent = [np.sinh(min(doubt, 1.5)) / (1 + 0.5 * np.sinh(min(doubt, 1.5))) for doubt in sd]
    return float(np.linalg.norm(slope * bent))


def suggested(make, jar, *pigments):
    shelf = Shelf((*pigments, BASE, jar))
    design = make({"Tone": [(pigment, pct) for pigment, pct in zip(pigments, (0.1, 0.2), strict=False)]})
    return {frozenset(swatch.doses): swatch for swatch in calibrate_next([design], shelf, 9)}


def test_a_swatch_of_one_pigment_leaves_the_doubt_of_a_lot(make, jar):
    found = suggested(make, jar, RED, BLUE)
    slope = slopes((RED, 0.1), (BLUE, 0.2))
    sd = RED.strength_sd
    for pigment, left in ((RED, (LOT, sd)), (BLUE, (sd, LOT))):
        swatch = found[frozenset({pigment.id})]
        assert swatch.before == pytest.approx(width(slope, (sd, sd)), rel=2e-3)
        assert swatch.after == pytest.approx(width(slope, left), rel=2e-3)
        assert swatch.tones == 1


def test_a_mixed_swatch_teaches_as_much_as_its_error_allows(make, jar):
    """Posterior of a linear model with normal errors; never less than the doubt of a lot."""
    sd = RED.strength_sd
    swatch = suggested(make, jar, RED, BLUE)[frozenset({RED.id, BLUE.id})]
    slope = slopes((RED, 0.1), (BLUE, 0.2))
    posterior = np.linalg.inv(np.eye(2) / sd**2 + slope.T @ slope / JAR**2)
    left = np.maximum(np.sqrt(np.diag(posterior)), LOT)
    assert np.any(left == LOT) or np.all(left < sd)
    assert swatch.after == pytest.approx(width(slope, left), rel=2e-3)


def test_a_pigment_that_is_known_teaches_nothing(make, jar):
    sure, nearly = (replace(RED, strength_sd=sd) for sd in (0.05, 0.115))
    for known in (sure, nearly):
        assert set(suggested(make, jar, known)) == set()
    assert frozenset({RED.id}) in suggested(make, jar, replace(RED, strength_sd=0.15))


def test_a_sentence_names_one_pigment_or_several(make, jar):
    found = suggested(make, jar, RED, BLUE)
    assert found[frozenset({RED.id})].words.startswith("Measure a swatch of 0.1 % red iron oxide, ")
    both = found[frozenset({RED.id, BLUE.id})].words
    assert both.startswith("Measure one mixed swatch of 0.1 % red iron oxide with 0.2 % ultramarine blue, ")
    assert both.endswith("on average (1 tone narrower).")


@pytest.mark.parametrize("sd", [0.1, 0.5, 1.0, 1.5, 3.0])
def test_a_doubt_in_the_logarithm_takes_at_most_the_whole_strength_away(sd):
    """Half the way between exp(sd) and exp(-sd), shortened so that the strength stays above none."""
    held = min(sd, 1.5)
    step = (np.exp(held) - np.exp(-held)) / 2
    assert _bent(sd) == pytest.approx(step / (1 + step / 2))

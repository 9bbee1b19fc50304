"""The advice for two tones that some eyes hardly tell apart, against every change there is."""

from itertools import product

import numpy as np
import pytest

from blendlab.facts.palette import bases, starter
from blendlab.shelf import resolve
from blendlab.tint import predict
from blendlab.tint.look import Look
from blendlab.tint.pair_findings import clarity, clearer
from blendlab.tint.prediction import tone_recipe

FACTORS = [round(tenth / 10, 1) for tenth in range(-30, 21)]
"""Logarithms of the factors on the doses of a tone: a twentieth to seven times."""
GREEN, RED = ("chromium_oxide_green", 0.2), ("iron_oxide_red", 0.3)


def changed(name, pct):
    """Factor in logarithm -> dose and reflectance, for every factor that stays within the cap."""
    pigment = starter(name)
    doses = {step: pct if step == 0 else round(pct * np.exp(step), 3) for step in FACTORS}
    return {
        step: (dose, tone_recipe("t", bases()[0], [(pigment, dose)]).mixed()[2])
        for step, dose in doses.items()
        if dose <= pigment.cap_pct
    }


@pytest.mark.parametrize(
    ("first", "other"),
    [
        (RED, GREEN),
        (("iron_oxide_red", 0.12), GREEN),
        (("iron_oxide_red", 0.2), ("chromium_oxide_green", 0.4)),
        (("iron_oxide_red", 0.1), ("chromium_oxide_green", 0.1)),
        (("ultramarine_pink", 0.3), ("ultramarine_blue", 0.1)),
    ],
)
def test_the_advice_is_the_smallest_change_that_every_eye_sees(make, shelf, first, other):
    """Second route: every pair of factors tried; to move both tones counts 0.3 more."""
    design = resolve(make({"First": dict([first]), "Other": dict([other])}), shelf)
    look = Look(design, predict(design))
    act, advice, _ = clearer(look, *design.design.tones)
    ours, theirs = changed(*first), changed(*other)
    every = clarity(np.array([[R] for _, R in ours.values()]), np.array([R for _, R in theirs.values()]))
    passing = {
        (a, b): abs(a) + abs(b) + (0.3 if a and b else 0)
        for (a, b), passes in zip(product(ours, theirs), every.passes.ravel(), strict=True)
        if passes
    }
    best = min(passing.values())
    doses = [act.get(f"tones.{at}.doses.0.pct", pct) for at, (_, pct) in enumerate((first, other))]
    steps = [
        next(step for step, (dose, _) in changed(name, pct).items() if dose == chosen)
        for (name, pct), chosen in zip((first, other), doses, strict=True)
    ]
    assert passing[tuple(steps)] == pytest.approx(best)
    for tone, step in zip(("First", "Other"), steps, strict=True):
        word = "paler" if step < 0 else "deeper"
        assert (f"{tone} {word}" in advice) == (step != 0)


def test_no_advice_where_no_change_within_the_caps_does_it(make, shelf):
    design = resolve(make({"White": {}, "Also white": {}}), shelf)
    assert clearer(Look(design, predict(design)), *design.design.tones) is None

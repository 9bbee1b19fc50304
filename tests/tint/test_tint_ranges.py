"""What a figure of a colour may be: at its ends it is reckoned with, a hair beyond it is refused."""

from contextlib import suppress

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases, starter
from blendlab.tint import calibrate, match, mix, vision
from blendlab.tint.browning import browning, fit_browning
from blendlab.tint.kubelka_munk import behind_wall, fit_foam, foam_factor, k_over_s
from blendlab.tint.recovery import NoSuchSpectrum, pigment_from_hex
from blendlab.tint.swatches import from_lab, from_reflectance

HAIR = 0.001
GREY, BASE, RED = np.full(31, 0.5), np.full(31, 0.9), starter("iron_oxide_red")


def dosed(pct):
    return from_reflectance(GREY, {"red": pct})


def from_hex(pct):
    return pigment_from_hex("mine", "Mine", "absorbing", ("77491",), "#b98d72", pct, bases()[0])


def lightness(L):
    with suppress(NoSuchSpectrum):
        from_lab([L, 0, 0], {"red": 0.3}, BASE)


RANGES = {
    "pigment": (lambda x: mix([x], GREY[None], GREY[None], GREY, GREY), (0, HAIR), (-HAIR,)),
    "reflectance": (lambda x: k_over_s([0.5, x]), (HAIR, 0.5, 1), (0, -HAIR, 1 + HAIR)),
    "contact with the wall": (lambda x: behind_wall(GREY, x), (0, 0.5, 1), (-HAIR, 1 + HAIR)),
    "overrun": (lambda x: foam_factor(x, 100), (0, 0.5), (-HAIR,)),
    "overrun it is known at": (lambda x: foam_factor(100, x), (0, 0.5), (-HAIR,)),
    "overrun of a whipped swatch": (lambda x: fit_foam(GREY, BASE, x, 10), (15 + HAIR,), (15, 10)),
    "percent of a ladder": (lambda x: calibrate(BASE, [(x, GREY)]), (HAIR, 0.5, 100), (0, -HAIR, 100 + HAIR)),
    "percent of a swatch": (dosed, (HAIR, 0.5, 100), (0, -HAIR, 100 + HAIR)),
    "percent of a screen colour": (from_hex, (HAIR, 0.5), (0, -HAIR)),
    "lightness": (lightness, (HAIR, 0.5, 100), (0, -HAIR, 100 + HAIR)),
    "vanillin": (lambda x: browning(x, 4), (0, 0.5, 100), (-HAIR, 100 + HAIR)),
    "weeks": (lambda x: browning(0.1, x), (0, 0.5), (-HAIR,)),
    "vanillin of a photo": (
        lambda x: fit_browning(BASE, GREY, x, 4), (HAIR, 0.5, 100), (0, -HAIR, 100 + HAIR),
    ),
    "weeks between photos": (lambda x: fit_browning(BASE, GREY, 0.1, x), (1, 1.5), (1 - HAIR, 0)),
    "severity of an eye": (lambda x: vision.eye_matrix("protan", x), (0, 0.5, 1), (-HAIR, 1 + HAIR)),
    "pigments of a recipe": (lambda x: match([80, 5, 5], [RED], bases()[0], x), (1, 3), (0, 4)),
}  # fmt: skip


@pytest.mark.parametrize("name", RANGES)
def test_a_figure_is_reckoned_with_up_to_its_ends_and_refused_beyond(name):
    reckoned, inside, outside = RANGES[name]
    for value in inside:
        reckoned(value)
    for value in outside:
        with pytest.raises(OutOfRange):
            reckoned(value)

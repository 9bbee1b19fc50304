"""Other lamps: how a tone and the contrast between two tones change, and metamerism where it is defined."""

from __future__ import annotations

from numpy.typing import ArrayLike

from blendlab.facts.read import figure
from blendlab.recipe import LAMPS
from blendlab.tint.appearance import linear_to_lab
from blendlab.tint.arrays import Array
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.seen_colour import see
from blendlab.tint.spectra import lab_of

OTHERS = tuple(lamp for lamp in LAMPS if lamp != "D65")
"""Every lamp but daylight."""


UNDER = {
    "D65": "in daylight",
    "D50": "in warm daylight",
    "A": "under a light bulb",
    "FL2": "under an old fluorescent tube",
    "LED-B3": "under a shop LED",
}
"""Lamp -> where a colour is then seen, in words."""


def adapted_lab(R: ArrayLike, lamp: str) -> Array:
    """Lab [..., 3] of what a spectrum looks like under a lamp, carried to daylight as a screen shows it.

    >>> import numpy as np
    >>> adapted_lab(np.full(31, 1.0), "A").round(1).tolist()
    [100.0, 0.0, 0.0]
    """
    return linear_to_lab(see(R, lamp).linear) + 0.0


def inconstancy(R: ArrayLike) -> dict[str, float]:
    """Colour inconstancy: CIEDE2000 of one spectrum under each lamp from its look in daylight.

    >>> import numpy as np
    >>> inconstancy(np.full(31, 0.5))["A"] < 0.05
    True
    """
    daylight = adapted_lab(R, "D65")
    return {lamp: float(delta_e_2000(adapted_lab(R, lamp), daylight)) for lamp in OTHERS}


def contrast(first_R: ArrayLike, second_R: ArrayLike) -> dict[str, float]:
    """CIEDE2000 between two tones under every lamp, daylight first."""
    return {
        lamp: float(delta_e_2000(adapted_lab(first_R, lamp), adapted_lab(second_R, lamp))) for lamp in LAMPS
    }


def metamerism(R: ArrayLike, standard_R: ArrayLike, lamp: str) -> float | None:
    """Special metamerism index: CIEDE2000 under a lamp of two spectra that match in daylight.

    R, standard_R  reflectance [31]: two recipes, or a recipe and a measured spectrum

    What little they differ by in daylight is taken off in Lab first (CIE 15, additive correction). None
    where they do not match in daylight: then it is a difference, not metamerism.

    >>> import numpy as np
    >>> metamerism(np.full(31, 0.5), np.full(31, 0.3), "A") is None
    True
    """
    daylight = [lab_of(spectrum) for spectrum in (R, standard_R)]
    if delta_e_2000(*daylight) > figure("tint", "matches").value:
        return None
    other = [lab_of(spectrum, lamp) for spectrum in (R, standard_R)]
    return float(delta_e_2000(other[0] - (daylight[0] - daylight[1]), other[1]))


def parting_lamp(R: ArrayLike, standard_R: ArrayLike) -> tuple[str, float] | None:
    """Lamp under which two spectra that match in daylight part most, and the index of `metamerism` there.

    None where they do not match in daylight.

    >>> import numpy as np
    >>> parting_lamp(np.full(31, 0.5), np.full(31, 0.3)) is None
    True
    """
    found = {lamp: metamerism(R, standard_R, lamp) for lamp in OTHERS}
    known = {lamp: index for lamp, index in found.items() if index is not None}
    return max(known.items(), key=lambda lamp_and_index: lamp_and_index[1]) if known else None

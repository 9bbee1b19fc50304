"""What time does to a tone: browning by vanillin, as a rule of thumb with its range."""

from __future__ import annotations

import numpy as np

from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts.tint import constant, constant_range
from blendlab.tint.figures import Array
from blendlab.tint.spectra import WAVELENGTHS

BROWNING = ("low", "likely", "high")
"""How strong the browning is taken: its range is a factor 4 down or up."""


def browning(vanillin_pct: float, weeks: float, how: str = "likely") -> Array:
    """Absorption [31] that vanillin adds, on a base whose scattering is 1.

    vanillin_pct  percent of the finished portion
    weeks         time on the shelf
    how           of `BROWNING`

    An unmeasured guess: only her own photo after four weeks replaces it.
    Raises OutOfRange, UnknownName.

    >>> float(browning(0.1, 0)[0]), float(browning(0.1, 1000)[0].round(2))
    (0.0, 0.2)
    """
    if how not in BROWNING:
        raise UnknownName("browning", how, BROWNING)
    if not 0 <= vanillin_pct <= 100:
        raise OutOfRange("vanillin", vanillin_pct, 0, 100, "% of the finished portion")
    if weeks < 0:
        raise OutOfRange("time on the shelf", weeks, 0, float("inf"), "weeks")
    rate = constant_range("brown_rate")[BROWNING.index(how)]
    shape = np.exp(-(WAVELENGTHS - WAVELENGTHS[0]) / constant("brown_slope"))
    return np.asarray(vanillin_pct * rate * shape * (1.0 - np.exp(-weeks / constant("brown_weeks"))))

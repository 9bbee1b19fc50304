"""What time does to a tone: browning by vanillin, as a rule of thumb with its range."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts.read import figure
from blendlab.tint.arrays import Array
from blendlab.tint.kubelka_munk import measured_k_over_s
from blendlab.tint.spectra import WAVELENGTHS

BROWNING = ("low", "likely", "high")
"""How strong the browning is taken: its range is a factor 4 down or up."""


def browning(vanillin_pct: float, weeks: float, how: str = "likely", rate: float | None = None) -> Array:
    """Absorption [31] that vanillin adds, on a base whose scattering is 1.

    vanillin_pct  percent of the finished portion
    weeks         time on the shelf
    how           of `BROWNING`
    rate          of her own aged photo (`fit_browning`); it leaves no range

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
    if rate is None:
        rate = figure("tint", "brown_rate").range[BROWNING.index(how)]
    return np.asarray(vanillin_pct * rate * _shape() * _grown(weeks))


def _shape() -> Array:
    return np.asarray(np.exp(-(WAVELENGTHS - WAVELENGTHS[0]) / figure("tint", "brown_slope").value))


def _grown(weeks: float) -> float:
    return float(1.0 - np.exp(-weeks / figure("tint", "brown_weeks").value))


def fit_browning(fresh_R: ArrayLike, aged_R: ArrayLike, vanillin_pct: float, weeks: float) -> float:
    """Rate of browning per percent of vanillin from one tone measured fresh and aged.

    fresh_R, aged_R  reflectance [31] of the same tone
    vanillin_pct     percent of the finished portion; weeks between the two

    Raises OutOfRange for no vanillin or less than a week.

    >>> from blendlab.tint.kubelka_munk import k_over_s, reflectance
    >>> fresh = np.full(31, 0.9)
    >>> aged = reflectance(k_over_s(fresh) + browning(0.1, 4, "likely", 3.0))
    >>> round(fit_browning(fresh, aged, 0.1, 4), 6)
    3.0
    """
    if not 0 < vanillin_pct <= 100:
        raise OutOfRange("vanillin", vanillin_pct, 0, 100, "% of the finished portion")
    if weeks < 1:
        raise OutOfRange("time between the two photos", weeks, 1, float("inf"), "weeks")
    q = [measured_k_over_s(R) for R in (fresh_R, aged_R)]
    slope, gained = vanillin_pct * _shape() * _grown(weeks) / q[1], (q[1] - q[0]) / q[1]
    return max(float(slope @ gained / (slope @ slope)), 0.0)

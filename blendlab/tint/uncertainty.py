"""How far the real colour may lie from the predicted one: trials over pigment strengths."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from blendlab.recipe import Design
from blendlab.shelf import Base, Pigment, Shelf
from blendlab.tint.appearance import xyz_to_lab
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.figures import Array, frozen
from blendlab.tint.mixing import mix, reflectance
from blendlab.tint.prediction import Portion, portions
from blendlab.tint.spectra import spectrum_to_xyz, white_point

TRIALS = 500
_WEAK, _STRONG, _AROUND = 0.10, 0.90, 0.02


@dataclass(frozen=True, eq=False)
class Shade:
    """One shade of a tone: reflectance R [31] of the open surface, Lab [3] (D65, 2 degrees)."""

    R: Array
    lab: Array


@dataclass(frozen=True, eq=False)
class Spread:
    """Range of the real colour around the predicted one.

    weak, strong  10 and 90 % points of the trials along the axis they vary on most
    delta_e00     CIEDE2000 from likely to the farther of the two
    inside        share of the trials within delta_e00 of likely, 0 to 1
    """

    weak: Shade
    likely: Shade
    strong: Shade
    delta_e00: float
    inside: float


@cache
def _normal_points() -> Array:
    """Evenly likely points of the normal distribution, so that few trials describe it well."""
    return frozen([NormalDist().inv_cdf((one + 0.5) / TRIALS) for one in range(TRIALS)])


def strengths(pigments: tuple[Pigment, ...]) -> Array:
    """Strength factors [TRIALS, n]; log-normal, the same for a pigment wherever it is used.

    A revision of a pigment seeds its own draws: equal content, equal numbers.

    >>> strengths(()).shape
    (500, 0)
    """
    columns = [
        np.exp(one.strength_sd * np.random.default_rng(int(one.rev, 16)).permutation(_normal_points()))
        for one in pigments
    ]
    return np.stack(columns, axis=-1) if columns else np.ones((TRIALS, 0))


def spread(
    design: Design,
    shelf: Shelf,
    overrun: float | None = None,
    weeks: float | None = None,
    vanillin_pct: float = 0.0,
) -> dict[str, Spread]:
    """The spread of every tone, by tone id; arguments as in `predict`.

    500 trials with the strengths of all pigments drawn log-normally. The white base is taken as it
    is. Raises UnknownName when the base or a pigment is not on the shelf.
    """
    made = portions(design, shelf, overrun, weeks, vanillin_pct)
    return {portion.tone: _spread(portion, trials(portion)) for portion in made}


def trials(portion: Portion) -> Array:
    """Reflectance [TRIALS, 31] of one tone with its strengths drawn."""
    return portion.mixed(strengths(portion.pigments))[2]


def lab_of(R: Array) -> Array:
    """Lab [..., 3] of reflectance [..., 31] in daylight (D65, 2 degrees)."""
    return xyz_to_lab(spectrum_to_xyz(R), white_point())


def _spread(portion: Portion, tried: Array) -> Spread:
    R = portion.mixed()[2]
    likely = Shade(R, lab_of(R))
    labs = lab_of(tried)
    middle = labs.mean(axis=0)
    axis = np.linalg.eigh((labs - middle).T @ (labs - middle))[1][:, -1]
    white = lab_of(reflectance(portion.k0 / portion.s0))
    if axis @ (likely.lab - white) < 0:
        axis = -axis
    order = np.argsort((labs - middle) @ axis, kind="stable")
    weak, strong = (_around(tried, order, quantile) for quantile in (_WEAK, _STRONG))
    delta = max(float(delta_e_2000(likely.lab, one.lab)) for one in (weak, strong))
    inside = float(np.mean(delta_e_2000(labs, likely.lab) <= delta + 1e-9))
    return Spread(weak, likely, strong, delta, inside)


def _around(tried: Array, order: NDArray[np.intp], quantile: float) -> Shade:
    """Mean of the trials around one point of the order."""
    low, high = (round((quantile + side * _AROUND) * TRIALS) for side in (-1, 1))
    R = tried[order[low:high]].mean(axis=0)
    return Shade(R, lab_of(R))


def alone(pigment: Pigment, base: Base, pct: float) -> Array:
    """Reflectance [3, 31] of one pigment alone in a base: weak, likely, strong.

    pct  percent of the finished portion; the ends are the 10 and 90 % points of its strength

    >>> from blendlab.facts.palette import bases, starter
    >>> alone(starter("ultramarine_blue"), bases()[0], 0.3).shape
    (3, 31)
    """
    factor = np.exp(
        pigment.strength_sd * np.array([NormalDist().inv_cdf(one) for one in (_WEAK, 0.5, _STRONG)])
    )
    return mix(pct * factor[:, None], np.array([pigment.k]), np.array([pigment.s]), base.k0, base.s0)[2]

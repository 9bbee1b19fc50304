"""Whatever she can measure of a swatch -> reflectance of its open surface, with the error of the way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts.read import figure, number, table
from blendlab.recipe import LAMPS
from blendlab.shelf import SURFACES, Swatch
from blendlab.tint.appearance import decode, from_hex, lab_to_xyz, linear_to_xyz
from blendlab.tint.arrays import Array
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.kubelka_munk import below_surface, finite, reflectance, through_surface
from blendlab.tint.readings import GEOMETRIES
from blendlab.tint.recovery import NoSuchSpectrum, below
from blendlab.tint.spectra import lab_of, spectrum_to_xyz, white_point

SURFACE_WORDS = {"open": "open", "glass": "through glass", "film": "through film"}
SPECULAR = {"in": 1.0, "out": 0.0}
"""Whether the instrument takes the mirror reflection in, as share of it."""
_NEARLY_WHITE, _PALER = 0.999, 1.05
_DEEPEST_MM = 30


def open_surface(R: ArrayLike, surface: str = "open", specular: str = "out") -> Array:
    """Reflectance [..., 31] that the open, matt surface would have.

    surface   of `SURFACES`: glass or film must lie on the swatch without air between
    specular  "in" or "out": whether the mirror reflection was measured with it

    Raises UnknownName.

    >>> float(open_surface(0.274, "glass").round(2))
    0.5
    """
    if surface not in SURFACES:
        raise UnknownName("surface", surface, SURFACES)
    if specular not in SPECULAR:
        raise UnknownName("mirror reflection", specular, SPECULAR)
    seen = np.asarray(R, dtype=float)
    if surface == "open":
        return seen
    k1, k2 = figure("tint", "wall_k1").value, figure("tint", "wall_k2").value
    return np.clip(below_surface(seen, k1, k2, SPECULAR[specular]), 0.0, 1.0)


def from_reflectance(
    R: ArrayLike,
    doses: Mapping[str, float],
    surface: str = "open",
    specular: str = "out",
    geometry: str = "unknown",
) -> Swatch:
    """A swatch measured with a spectrophotometer.

    R  reflectance [31], 0 to 1, as the instrument gave it

    Raises UnknownName, OutOfRange for reflectance that cannot lie under such a surface.
    """
    if geometry not in GEOMETRIES:
        raise UnknownName("geometry", geometry, GEOMETRIES)
    words = f"spectrum, {GEOMETRIES[geometry]}, mirror reflection {specular}, {SURFACE_WORDS[surface]}"
    return _swatch(open_surface(R, surface, specular), doses, "spectrum", surface, 0.0, words)


def from_lab(
    lab: ArrayLike,
    doses: Mapping[str, float],
    base_R: ArrayLike,
    lamp: str = "D65",
    observer: int = 2,
    surface: str = "open",
    specular: str = "out",
) -> Swatch:
    """A swatch known as Lab under a lamp for an observer, through the smoothest spectrum of that colour.

    Raises NoSuchSpectrum when nothing in that base has the colour, OutOfRange for the lightness.

    >>> white = np.full(31, 0.9)
    >>> made = from_lab([80, 10, 10], {"red": 0.3}, white, "D50", 10)
    >>> made.error > from_lab([80, 10, 10], {"red": 0.3}, white).error
    True
    """
    L = float(np.asarray(lab, dtype=float)[0])
    if not 0 < L <= 100:
        raise OutOfRange("lightness L*", L, 0, 100, "")
    xyz = lab_to_xyz(lab, white_point(lamp, observer))
    R = open_surface(recovered(xyz, _seen_through(base_R, surface), lamp, observer), surface, specular)
    error, words = recovery_error(lamp, observer), f"Lab, {LAMPS[lamp]}, {observer} degrees"
    return _swatch(R, doses, "lab", surface, error, f"{words}, {SURFACE_WORDS[surface]}")


def from_hex_code(code: str, doses: Mapping[str, float], base_R: ArrayLike, surface: str = "open") -> Swatch:
    """A swatch known as a screen colour only: an estimate whatever it was picked with."""
    R = recovered(100 * linear_to_xyz(decode(from_hex(code))), _seen_through(base_R, surface))
    words = f"screen colour {code}, {SURFACE_WORDS[surface]}"
    return _swatch(open_surface(R, surface), doses, "hex", surface, figure("tint", "hex_error").value, words)


def from_photo(
    linear: ArrayLike,
    doses: Mapping[str, float],
    base_R: ArrayLike,
    error: float,
    words: str,
    surface: str = "open",
) -> Swatch:
    """A swatch read off a photograph: linear sRGB [3] after the card was applied."""
    R = recovered(100 * linear_to_xyz(linear), _seen_through(base_R, surface))
    return _swatch(open_surface(R, surface), doses, "photo", surface, error, words)


def recovered(xyz: ArrayLike, ceiling: ArrayLike, lamp: str = "D65", observer: int = 2) -> Array:
    """Smoothest reflectance [31] of a colour: below the base, or else below a perfect white.

    Raises NoSuchSpectrum.
    """
    try:
        return below(xyz, ceiling, lamp, observer)
    except NoSuchSpectrum:
        if np.asarray(xyz)[1] > _PALER * spectrum_to_xyz(ceiling, lamp, observer)[1]:
            raise
        return below(xyz, np.full(np.shape(ceiling), _NEARLY_WHITE), lamp, observer)


def recovery_error(lamp: str, observer: int) -> float:
    """CIEDE2000 that going through a recovered spectrum adds on average, in daylight for 2 degrees.

    Raises UnknownName.

    >>> recovery_error("D65", 2)
    0.0
    """
    errors = _errors()
    if (lamp, observer) not in errors:
        raise UnknownName(
            "lamp and observer", f"{lamp}, {observer} degrees", [f"{a}, {b}" for a, b in errors]
        )
    return errors[lamp, observer]


@cache
def _errors() -> dict[tuple[str, int], float]:
    rows = table("tint/recovery_error")
    return {(row["lamp"], int(row["observer_deg"])): number(row, "mean") for row in rows}


def _seen_through(base_R: ArrayLike, surface: str) -> Array:
    R = np.asarray(base_R, dtype=float)
    if surface == "open":
        return R
    return through_surface(R, figure("tint", "wall_k1").value, figure("tint", "wall_k2").value)


def _swatch(R: Array, doses: Mapping[str, float], how: str, surface: str, error: float, words: str) -> Swatch:
    wrong = [pct for pct in doses.values() if not 0 < pct <= 100]
    if wrong:
        raise OutOfRange("percent of a swatch", wrong[0], 0, 100, "% of the finished portion")
    return Swatch(
        doses=dict(doses),
        R=tuple(float(value) for value in np.asarray(R)),
        how=how,
        surface=surface,
        error=error,
        words=words,
    )


def hiding_mm(K: ArrayLike, S: ArrayLike) -> int:
    """Whole millimetres from which on a swatch hides a black ground, at most 30.

    K, S  of the swatch [31], on a base whose scattering is 1

    Worked out for the weakest scattering that a whipped base is likely to have.

    >>> hiding_mm(np.full(31, 0.006), np.ones(31))
    3
    """
    weakest = min(figure("tint", "foam_scattering").range)
    depths = np.arange(1, _DEEPEST_MM + 1)[:, None]
    absorbed, scattered = weakest * np.asarray(K, dtype=float), weakest * np.asarray(S, dtype=float)
    shown = delta_e_2000(
        lab_of(finite(absorbed, scattered, depths, 0.0)), lab_of(reflectance(absorbed / scattered))
    )
    hidden = shown <= figure("tint", "backing_seen").value
    return int(np.argmax(hidden)) + 1 if hidden.any() else _DEEPEST_MM


def mean_of(swatches: Sequence[Swatch]) -> Array:
    """Mean reflectance [31] of repeated readings."""
    return np.asarray(np.mean([swatch.R for swatch in swatches], axis=0))

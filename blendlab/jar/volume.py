"""Volumes of jars and tops. Lengths in mm, volumes in ml, masses in g, densities in g/ml."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from math import asin, inf, pi, sqrt

import numpy as np

from blendlab.errors import OutOfRange

ML = 1000.0
"""Cubic millimetres in a millilitre."""

SHARED = "shared"


def _fillet(corner: float, radius: float, height: float) -> float:
    """Cubic mm of a quarter-round ring zone of the outer `radius`, from its widest circle to `height`."""
    neck = radius - corner
    root = sqrt(max(0.0, corner * corner - height * height))
    arc = asin(min(1.0, height / corner)) if corner else 0.0
    square = corner * corner * height - height**3 / 3
    return pi * (neck * neck * height + neck * (height * root + corner * corner * arc) + square)


def fill_ml(radius: float, level: float, corner: float = 0.0) -> float:
    """Volume of a round jar up to `level`, with a quarter-round corner at the bottom.

    Integral of pi r(z)^2 over the corner, a cylinder above it.

    >>> round(fill_ml(33.75, 33, 4), 3)
    117.381
    """
    if level <= corner:
        return (_fillet(corner, radius, corner) - _fillet(corner, radius, corner - level)) / ML
    return (_fillet(corner, radius, corner) + pi * radius * radius * (level - corner)) / ML


def level_mm(radius: float, ml: float, corner: float = 0.0) -> float:
    """Height at which `ml` stand in a round jar: the inverse of `fill_ml`.

    >>> round(level_mm(33.75, 70 / 0.62, 4), 4)
    31.7488
    """
    if ml < 0:
        raise OutOfRange("volume", ml, 0, inf, "ml")
    above = (ml - fill_ml(radius, corner, corner)) * ML / (pi * radius * radius)
    return corner + above if above >= 0 else bisect(lambda z: fill_ml(radius, z, corner) - ml, 0.0, corner)


def bisect(rising: Callable[[float], float], low: float, high: float) -> float:
    """Zero of a function that rises between `low` and `high`, to double precision."""
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < 0 else (low, middle)
    return (low + high) / 2


def frustum_ml(bottom: float, top: float, height: float) -> float:
    """Volume of a cone frustum.

    >>> round(frustum_ml(30, 36, 50), 3)
    171.531
    """
    return pi * height * (bottom * bottom + bottom * top + top * top) / 3 / ML


def frustum_level_mm(bottom: float, top: float, height: float, ml: float) -> float:
    """Height at which `ml` stand in a frustum of the given height; a cylinder in the limit."""
    slope = (top - bottom) / height
    if abs(top - bottom) < 1e-6:
        return ml * ML / (pi * bottom * bottom)
    return float(np.cbrt(bottom**3 + 3 * slope * ml * ML / pi) - bottom) / slope


def profile_ml(points: Sequence[tuple[float, float]]) -> float:
    """Volume of a solid of revolution whose profile is a line through (z, r).

    >>> round(profile_ml([(0, 30), (4, 34), (60, 34), (68, 28), (75, 28)]), 3)
    257.728
    """
    return sum(
        frustum_ml(below[1], above[1], above[0] - below[0]) for below, above in itertools.pairwise(points)
    )


def round_shoulder_ml(
    radius: float, body_height: float, shoulder: float, neck_height: float, corner: float = 0.0
) -> float:
    """Volume of a jar with a quarter-round shoulder and a neck; the neck is narrower by `shoulder`.

    >>> round(round_shoulder_ml(34, 55, 6, 9, 4), 1)
    241.4
    """
    neck = radius - shoulder
    above = (_fillet(shoulder, radius, shoulder) + pi * neck * neck * neck_height) / ML
    return fill_ml(radius, body_height, corner) + above


def cap_ml(radius: float, height: float) -> float:
    """Volume of a spherical cap: a dome, or what a pushed-up bottom takes away.

    >>> round(cap_ml(24, 4), 5)
    3.65263
    """
    return pi * height * (3 * radius * radius + height * height) / 6 / ML


def rosette_ml(radius: float, peak: float, fraction: float) -> float:
    """Volume of a piped star as a fraction of the cap of the same base and peak."""
    return cap_ml(radius, peak) * fraction


def top_ml(kind: str, radius: float, peak: float, fraction: float) -> float:
    """Volume of a flat, dome or star top by closed formulas."""
    if kind == "flat":
        return 0.0
    return cap_ml(radius, peak) if kind == "dome" else rosette_ml(radius, peak, fraction)


def fill_shares(
    shares: Sequence[float], fill: float, top: float, top_tone: int | str
) -> tuple[tuple[float, ...], bool]:
    """Shares inside the fill that keep the shares of the whole jar when one tone makes the top.

    Returns the shares and whether they can be had: a negative share means that there is less of
    the top's tone than the top needs.

    >>> fill_shares([0.5, 0.5], 100, 20, 0)
    ((0.4, 0.6), True)
    """
    taken = [top if index == top_tone else 0.0 for index in range(len(shares))]
    if top_tone == SHARED:
        taken = [share * top for share in shares]
    inside = tuple(
        round((share * (fill + top) - gone) / fill, 15) for share, gone in zip(shares, taken, strict=True)
    )
    return inside, min(inside) >= 0


def tone_grams(
    shares: Sequence[float],
    densities: Sequence[float],
    fill: float,
    top: float,
    top_tone: int | str = SHARED,
    overfill: float = 0.0,
) -> tuple[float, ...]:
    """Grams of each tone: its share of the fill, plus the top, at its own density.

    shares    volume shares inside the fill
    top_tone  index of the tone of the top, or "shared": split as the fill
    overfill  added to every gram, as a fraction
    """
    tops = [top if index == top_tone else 0.0 for index in range(len(shares))]
    if top_tone == SHARED:
        tops = [share * top for share in shares]
    return tuple(
        (share * fill + above) * density * (1 + overfill)
        for share, above, density in zip(shares, tops, densities, strict=True)
    )


def clearance_mm(headspace: float, lid_inner: float, peak: float) -> float:
    """Room between the peak of a top and the inside of the lid; negative when it touches.

    >>> clearance_mm(7, 6, 20)
    -7
    """
    return headspace + lid_inner - peak

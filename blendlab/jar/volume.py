"""Volumes of jars and tops. Lengths in mm, volumes in ml, masses in g, densities in g/ml."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import asin, pi, sqrt

import numpy as np

from blendlab.recipe import SHARED

ML = 1000.0
"""Cubic millimetres in a millilitre."""


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


def corner_loss_ml(radius: float, corner: float) -> float:
    """What a quarter-round corner at the bottom takes from a square one.

    >>> round(corner_loss_ml(33.75, 4), 6)
    0.708851
    """
    return fill_ml(radius, corner) - fill_ml(radius, corner, corner)


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


def cap_ml(radius: float, height: float) -> float:
    """Volume of a spherical cap: a dome.

    >>> round(cap_ml(24, 4), 5)
    3.65263
    """
    return pi * height * (3 * radius * radius + height * height) / 6 / ML


def volume_shares(masses: Sequence[float], densities: Sequence[float]) -> tuple[tuple[float, ...], float]:
    """Shares by volume of tones given by mass, and the density of the whole in g/ml.

    >>> shares, density = volume_shares([50, 50], [0.62, 0.55])
    >>> [round(share, 4) for share in shares], round(density, 4)
    ([0.4701, 0.5299], 0.5829)
    """
    volumes = [mass / density for mass, density in zip(masses, densities, strict=True)]
    total = sum(volumes)
    return tuple(volume / total for volume in volumes), sum(masses) / total


def wedge_angles(masses: Sequence[float], densities: Sequence[float]) -> tuple[float, ...]:
    """Angles of wedges in degrees: geometry speaks volume, scales speak mass.

    >>> [round(angle, 3) for angle in wedge_angles([50, 50], [0.62, 0.55])]
    [169.231, 190.769]
    """
    return tuple(360.0 * share for share in volume_shares(masses, densities)[0])


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

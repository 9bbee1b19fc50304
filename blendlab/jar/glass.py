"""What a clear wall does to the view: angles, magnification, reflection. mm and degrees, air outside."""

from __future__ import annotations

from math import asin, cos, radians, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray


def apparent_radius(outer: float, inner: float, n: float, wetted: bool = True) -> float:
    """Half width at which the content of a round jar is seen, orthographic.

    A ray keeps n r sin(angle) (Bouguer's invariant), so wetted content is seen up to n x inner
    radius, at most to the outside; dry content behind an air film up to its own radius.

    >>> apparent_radius(36, 34.25, 1.52), round(apparent_radius(35, 22, 1.49), 2)
    (36, 32.78)
    """
    return min(outer, n * inner if wetted else inner)


def wall_angle(x: Any, outer: float, inner: float, n: float) -> NDArray[np.float64]:
    """Angle on the inside wall, in degrees from the middle, that is seen at the offset `x`.

    x  mm from the axis, any shape, at most the apparent radius

    >>> round(float(wall_angle(20, 36, 34.25, 1.52)), 3)
    34.903
    """
    x = np.asarray(x, dtype=float)
    terms = [np.arcsin(np.clip(x / length, -1, 1)) for length in (outer, n * inner, n * outer)]
    return np.asarray(np.degrees(terms[0] + terms[1] - terms[2]))


def visible_half_angle(outer: float, inner: float, n: float, wetted: bool = True) -> float:
    """Half of the wall that is seen from one side, in degrees."""
    return float(wall_angle(apparent_radius(outer, inner, n, wetted), outer, inner, n))


def centre_magnification(outer: float, inner: float, n: float) -> float:
    """How much wider the middle of the wall looks than without a jar.

    >>> round(centre_magnification(35, 22, 1.49), 5)
    1.13914
    """
    return (1 / inner) / (1 / outer + 1 / (n * inner) - 1 / (n * outer))


def fresnel(angle: float, n: float) -> tuple[float, float, float]:
    """Reflection at a clear surface: across, along and unpolarised (Fresnel), from air.

    angle  degrees from the normal

    >>> round(fresnel(0, 1.5)[2], 4)
    0.04
    """
    i = radians(angle)
    t = asin(sin(i) / n)
    across = ((cos(i) - n * cos(t)) / (cos(i) + n * cos(t))) ** 2
    along = ((n * cos(i) - cos(t)) / (n * cos(i) + cos(t))) ** 2
    return across, along, (across + along) / 2

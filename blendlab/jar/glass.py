"""What a clear wall does to the view: angles, magnification, reflection. mm and degrees, air outside."""

from __future__ import annotations

from functools import lru_cache
from math import asin, cos, radians, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
STEPS = 720
"""Steps of the wall around the jar in which shares of a picture are counted."""


def apparent_radius(outer: float, inner: float, n: float, wetted: bool = True) -> float:
    """Half width at which the content of a round jar is seen, orthographic.

    A ray keeps n r sin(angle) (Bouguer's invariant), so wetted content is seen up to n x inner
    radius, at most to the outside; dry content behind an air film up to its own radius.

    >>> apparent_radius(36, 34.25, 1.52), round(apparent_radius(35, 22, 1.49), 2)
    (36, 32.78)
    """
    return min(outer, n * inner if wetted else inner)


def wall_angle(x: Any, outer: float, inner: float, n: float) -> Array:
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


def share_interval(start: Any, stop: Any, turn: float, outer: float, inner: float, n: float) -> Array:
    """Share of the width of a level front picture that the wall between two angles takes.

    start, stop  degrees anticlockwise, any shape, stop at or above start
    turn         degrees: the angle of the wall that faces the viewer

    >>> float(share_interval(0, 180, 30, 36, 36, 1.0).round(4))
    0.75
    """
    edges, places = _front(outer, inner, n)
    low, high = (_lapped(angle - turn, edges, places) for angle in (start, stop))
    return high - low


@lru_cache(maxsize=64)
def _front(outer: float, inner: float, n: float) -> tuple[Array, Array]:
    """Angles once round from the back, and the share of the picture's width up to each of them."""
    reach = apparent_radius(outer, inner, n)
    x = np.linspace(-reach, reach, 4001)
    edges = np.asarray(np.arange(STEPS + 1) * (360.0 / STEPS) - 180.0, dtype=float)
    places = np.interp(edges, wall_angle(x, outer, inner, n), x)
    return edges, np.asarray(np.concatenate([[0.0], np.cumsum(np.diff(places) / (2 * reach))]), dtype=float)


def _lapped(angle: Any, edges: Array, places: Array) -> Array:
    """Cumulated width up to an angle that may have gone round: one more for each lap."""
    laps = np.floor((angle + 180.0) / 360.0)
    return np.asarray(laps + np.interp(angle - 360.0 * laps, edges, places))


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

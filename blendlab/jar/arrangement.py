"""How tones sit in a jar: the formulas of edges, shares and patterns.

Angles in degrees, anticlockwise seen from above, 0 towards the viewer; lengths in mm; shares 0..1.
Tones are counted from the bottom to the top, anticlockwise, or from the inside to the outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise
from math import cos, pi, radians, sin, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from blendlab.errors import OutOfRange
from blendlab.jar.volume import bisect, fill_ml, frustum_level_mm, frustum_ml, level_mm

Array = NDArray[np.float64]
HANDS = {"right": 1, "left": -1}
EDGE = 1e-12
"""A point on an edge belongs to the next tone, also when rounding pulls it back by this much."""


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
    """Angles of wedges in degrees: geometry speaks volume, scales speak mass."""
    return tuple(360.0 * share for share in volume_shares(masses, densities)[0])


def cumulated(shares: Sequence[float]) -> tuple[float, ...]:
    """Edges of a row of shares, from 0 to exactly 1."""
    edges = [0.0, *accumulate(shares)]
    return tuple(edge / edges[-1] for edge in edges)


def layer_edges(
    shares: Sequence[float], bottom: float, top: float, height: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Inner edges of layers in a tapered jar, and the share of the wall each layer takes.

    shares  by volume, any sum

    >>> [round(edge, 3) for edge in layer_edges([1, 1, 1], 30, 36, 50)[0]]
    [18.777, 35.243]
    """
    whole = frustum_ml(bottom, top, height)
    inner = tuple(frustum_level_mm(bottom, top, height, edge * whole) for edge in cumulated(shares)[1:-1])
    levels = (0.0, *inner, height)
    slope = (top - bottom) / height
    areas = [(2 * bottom + slope * (low + high)) * (high - low) for low, high in pairwise(levels)]
    return inner, tuple(area / sum(areas) for area in areas)


def layer_edges_fillet(
    shares: Sequence[float], radius: float, height: float, corner: float = 0.0
) -> tuple[float, ...]:
    """Inner edges of layers in a straight jar with a rounded bottom corner.

    >>> [round(edge, 3) for edge in layer_edges_fillet([0.1, 0.4, 0.5], 33.75, 33, 4)]
    [3.478, 16.599]
    """
    whole = fill_ml(radius, height, corner)
    return tuple(level_mm(radius, edge * whole, corner) for edge in cumulated(shares)[1:-1])


def core_buried(share: float, radius: float, height: float, core_height: float) -> tuple[float, float, float]:
    """Radius of a core, its share of the wall, and of what is seen from above.

    A core lower than the fill is buried: it is seen from nowhere.

    >>> core_buried(0.25, 30, 60, 60)
    (15.0, 0.0, 0.25)
    """
    inner = share * height / core_height
    if not 0 <= inner <= 1:
        raise OutOfRange("share of the core", share, 0, core_height / height, "of the fill")
    return radius * sqrt(inner), 0.0, inner if core_height >= height else 0.0


def chord_views(share: float) -> tuple[float, float, float, float]:
    """A slice cut by a straight plane: offset/radius, share of the wall, of the front facing it, from above.

    >>> [round(part, 4) for part in chord_views(0.195501)]
    [0.5, 0.3333, 0.866, 0.1955]
    """
    angle = bisect(lambda theta: theta - sin(theta) - 2 * pi * share, 0.0, 2 * pi)
    return cos(angle / 2), angle / (2 * pi), sin(min(angle, pi) / 2), share


def chord_tone(offset: float, direction: float, phi: float, r: float) -> int:
    """1 inside the slice beyond `offset`, else 0; offset and r as shares of the radius.

    >>> chord_tone(0.5, 20, 70, 1.0), chord_tone(0.5, 20, 85, 1.0)
    (1, 0)
    """
    return int(r * cos(radians(phi - direction)) > offset)


def layer_tone(edges: Sequence[float], z: float) -> int:
    """Index of the layer at height `z`."""
    return sum(1 for edge in edges if z + EDGE >= edge)


def core_tone(core: float, r: float) -> int:
    """0 inside the core, 1 around it; both radii in one unit."""
    return int(r + EDGE >= core)


def pattern_tone(shares: Sequence[float], u: float) -> int:
    """Index of the tone at the place `u` of a pattern that repeats after 1."""
    return min(layer_tone(cumulated(shares)[1:-1], u % 1.0), len(shares) - 1)


def pattern_u(phi: Any, z_over_h: Any, start: float, turns: float = 0.0, hand: int = 1) -> Any:
    """Place in the pattern of wedges (turns 0) or of a helix; whole numbers are one repeat.

    hand  1: stripes rise to the right in front; -1: to the left

    >>> round(pattern_u(30, 0.2, 0, 2, 1), 4)
    -0.3167
    """
    return (phi - start) / 360.0 - hand * turns * z_over_h


def wavy_edge(
    edge: float,
    amplitudes: Sequence[float],
    orders: Sequence[int],
    phases: Sequence[float],
    phi: Any,
    r_over_R: Any,
) -> Any:
    """Height of a wavy edge: its mean over phi is `edge` at every radius, so volumes stay.

    >>> round(wavy_edge(25, [1.2, 0.7], [2, 3], [40, 100], 35, 0.6), 3)
    25.342
    """
    height = np.asarray(edge, dtype=float)
    for amplitude, order, phase in zip(amplitudes, orders, phases, strict=True):
        height = height + amplitude * np.power(r_over_R, order) * np.sin(np.radians(order * phi + phase))
    return float(height) if height.ndim == 0 else height


def turn_shift(pitch: float, turn: float, hand: int = 1) -> float:
    """How far a helix seems to move up when the jar itself turns anticlockwise seen from above.

    >>> turn_shift(30, 90)
    -7.5
    """
    return -hand * pitch * turn / 360.0


def seen_shares(
    wall_area: float, wall: Sequence[float], top_area: float, top: Sequence[float]
) -> tuple[float, ...]:
    """Shares of everything that is seen, wall and top weighted by their areas."""
    total = wall_area + top_area
    return tuple((wall_area * side + top_area * above) / total for side, above in zip(wall, top, strict=True))


def fade_fraction(z_over_h: Any, centre: float, width: float) -> Any:
    """Fraction of the upper tone of a fade at a height: a smooth step.

    >>> round(float(fade_fraction(0.6, 0.5, 0.5)), 3)
    0.784
    """
    u = np.clip((z_over_h - centre) / width + 0.5, 0.0, 1.0)
    return u * u * (3.0 - 2.0 * u)


def fade_mean(centre: float, width: float) -> float:
    """Share of the upper tone in the whole of a fade: the integral of `fade_fraction`.

    >>> round(fade_mean(0.15, 0.6), 6)
    0.841797
    """

    def area(z: float) -> float:
        u = (z - centre) / width + 0.5
        inside = min(max(u, 0.0), 1.0)
        return width * (inside**3 - inside**4 / 2 + max(u - 1.0, 0.0))

    return area(1.0) - area(0.0)


def fade_centre(share: float, width: float) -> float:
    """Centre of a fade whose upper tone has the given share; the inverse of `fade_mean`.

    >>> round(fade_centre(0.9, 0.8), 5)
    0.04604
    """
    return bisect(lambda centre: share - fade_mean(centre, width), -width / 2, 1 + width / 2)


def fade_mix(K_a: Any, S_a: Any, K_b: Any, S_b: Any, fraction: Any) -> Array:
    """Reflectance of two tones truly mixed by mass: K and S are added, never the colours.

    R = 1/(1 + q + sqrt(q(q + 2))) with q = K/S (Kubelka & Munk 1931).

    >>> fade_mix([0.4], [1.0], [0.01], [1.05], 0.5).round(4).tolist()
    [0.5367]
    """
    K_a, S_a, K_b, S_b = (np.asarray(each, dtype=float) for each in (K_a, S_a, K_b, S_b))
    q = ((1 - fraction) * K_a + fraction * K_b) / ((1 - fraction) * S_a + fraction * S_b)
    return np.asarray(1.0 / (1.0 + q + np.sqrt(q * (q + 2.0))))

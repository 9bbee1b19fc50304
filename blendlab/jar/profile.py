"""The inside of a round jar as a profile: volumes, levels and the radius at a height all read it."""

from __future__ import annotations

import itertools
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import cos, inf, pi, sin, sqrt
from typing import Any

import numpy as np

from blendlab import shelf
from blendlab.errors import OutOfRange
from blendlab.jar.volume import frustum_level_mm, frustum_ml

ARC = 24
"""Straight pieces of a rounded corner or shoulder: they miss less than 0.01 % of a jar's volume."""


LEAST = 0.05
"""Roundings and necks below this are none [mm]."""


@dataclass(frozen=True)
class Profile:
    """Radius by height, straight between its points.

    z, r    heights that rise from 0 and the radii there [mm]
    corner  height of the rounded corner at the bottom
    factor  measured volume by computed volume; 1 until the jar was filled with water
    """

    z: tuple[float, ...]
    r: tuple[float, ...]
    corner: float = 0.0
    factor: float = 1.0

    @property
    def height(self) -> float:
        """From the inside bottom to the rim."""
        return self.z[-1]

    @property
    def mouth(self) -> float:
        """Radius at the rim."""
        return self.r[-1]

    @cached_property
    def widest(self) -> float:
        """Largest radius."""
        return max(self.r)

    @cached_property
    def body(self) -> tuple[tuple[float, float], ...]:
        """The pieces that are wall, without a rounded bottom corner: (z, r) from the bottom on."""
        points = [(z, r) for z, r in zip(self.z, self.r, strict=True) if z >= self.corner]
        (low, a), (high, b) = points[:2]
        foot = a - (b - a) / (high - low) * low
        return ((0.0, foot), *points[1 if low == 0 else 0 :])

    @property
    def foot(self) -> float:
        """Radius that the wall would have at the bottom without the rounded corner."""
        return self.body[0][1]

    @cached_property
    def straight(self) -> bool:
        """Whether the wall stands upright from the corner to the rim."""
        return self.foot == self.mouth == self.widest

    @cached_property
    def _held(self) -> tuple[float, ...]:
        points = list(zip(self.z, self.r, strict=True))
        pieces = [frustum_ml(a[1], b[1], b[0] - a[0]) for a, b in itertools.pairwise(points)]
        return tuple(self.factor * ml for ml in itertools.accumulate([0.0, *pieces]))

    def radius(self, z: Any) -> Any:
        """Radius at heights in mm, any shape."""
        return np.interp(z, self.z, self.r)

    def wall_radius(self, z: Any) -> Any:
        """Radius of the wall at heights, the rounded bottom corner left out."""
        heights, radii = zip(*self.body, strict=True)
        return np.interp(z, heights, radii)

    def ml(self, z: float) -> float:
        """Volume up to a height.

        >>> round(Profile((0.0, 50.0), (30.0, 36.0)).ml(50), 3)
        171.531
        """
        piece = min(bisect_right(self.z, z), len(self.z) - 1) - 1
        low, high = self.z[piece : piece + 2]
        a, b = self.r[piece : piece + 2]
        at = a + (b - a) * (z - low) / (high - low)
        return self._held[piece] + self.factor * frustum_ml(a, at, z - low)

    def level(self, ml: float) -> float:
        """Height at which a volume stands; the inverse of `ml`.

        Raises OutOfRange below 0; above the rim the last piece goes on.

        >>> round(Profile((0.0, 50.0), (30.0, 36.0)).level(171.531), 2)
        50.0
        """
        if ml < 0:
            raise OutOfRange("volume", ml, 0, inf, "ml")
        piece = min(bisect_right(self._held, ml), len(self.z) - 1) - 1
        low, high = self.z[piece : piece + 2]
        a, b = self.r[piece : piece + 2]
        return low + frustum_level_mm(a, b, high - low, (ml - self._held[piece]) / self.factor)


def _corner(radius: float, corner: float) -> list[tuple[float, float]]:
    angles = [pi / 2 * step / ARC for step in range(ARC)]
    return [(corner * (1 - cos(angle)), radius - corner + corner * sin(angle)) for angle in angles]


def _shoulder(radius: float, start: float, round_: float) -> list[tuple[float, float]]:
    angles = [pi / 2 * step / ARC for step in range(1, ARC + 1)]
    return [(start + round_ * sin(angle), radius - round_ + round_ * cos(angle)) for angle in angles]


@lru_cache(maxsize=128)
def _drawn(
    inner: float, height: float, corner: float, bottom: float, shoulder: float, neck: float
) -> Profile:
    """Points of a jar from its measures; what does not fit together is made to fit."""
    corner, shoulder, neck = (each if each > LEAST else 0.0 for each in (corner, shoulder, neck))
    radius, foot = inner / 2, bottom / 2
    round_ = min(shoulder, 0.6 * radius, 0.6 * height)
    neck = min(neck, 0.6 * (height - round_)) if round_ else 0.0
    body = height - round_ - neck
    corner = min(corner, 0.9 * body, 0.9 * foot)
    at_corner = foot + (radius - foot) * corner / body
    points = [*_corner(at_corner, corner), (corner, at_corner)] if corner else [(0.0, foot)]
    points.append((body, radius))
    points += _shoulder(radius, body, round_) if round_ else []
    points += [(height, radius - round_)] if neck else []
    z, r = zip(*points, strict=True)
    return Profile(z, r, corner)


def profile(jar: shelf.Jar) -> Profile:
    """The profile of a jar of the shelf, its volumes scaled to the water it takes if that was weighed.

    >>> from blendlab.facts.jars import jars
    >>> plain = profile(jars()[5])
    >>> round(plain.ml(plain.height), 1)
    132.4
    """
    bottom = jar.inner_mm if jar.bottom_inner_mm is None else jar.bottom_inner_mm
    drawn = _drawn(jar.inner_mm, jar.height_mm, jar.corner_mm, bottom, jar.shoulder_mm, jar.neck_mm)
    if jar.water_g is None:
        return drawn
    return Profile(drawn.z, drawn.r, drawn.corner, jar.water_g / drawn.ml(drawn.height))


def inner_from_water(water_g: float, height_mm: float) -> float:
    """Inside diameter of a straight jar from the water it takes and its inside height, mm.

    >>> round(inner_from_water(132.4, 37), 1)
    67.5
    """
    if min(water_g, height_mm) <= 0:
        raise OutOfRange("water and height", min(water_g, height_mm), 0, inf, "g and mm")
    return sqrt(4000 * water_g / (pi * height_mm))


def scale_factor(jar: shelf.Jar) -> float:
    """Water that the jar takes by what its measures say; 1 while it was not filled."""
    return profile(jar).factor

"""Marble: one field folded by shears, cut at levels so that the wall shows the shares."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import pi
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from blendlab import recipe
from blendlab.errors import Finding
from blendlab.facts.read import figure
from blendlab.jar.arrangements.rule import Array, Asked, BagStar, between
from blendlab.jar.texture import Field

if TYPE_CHECKING:
    from blendlab.jar.filled_jar import Layout
    from blendlab.jar.solid import Solid

FOLDS = 5
TRIES = 8
POINTS = 12000
AROUND = 900
"""Columns of the rolled-out wall on which the field is kept."""

WIDTH = 0.55
"""Wavelength of the unfolded stripes, as a share of the diameter."""


class Marble(BagStar):
    """Folded stripes; `seed` is one of many patterns."""

    word, noun = "Marble", "marble of"
    asked = (Asked("Another pattern", "seed", press=True),)
    around = True

    def coverage(self, solid: Solid, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        """Share of each tone at a place: its value of the field between the levels of the tones."""
        pattern = cut(solid)
        if np.ndim(r) == 0 and r == 1:
            value = on_wall(phi, z, solid.radius, solid.height, pattern.seed)
        else:
            angle, away = np.radians(phi), r * solid.radius
            value = field(away * np.sin(angle), away * np.cos(angle), z, 2 * solid.radius, pattern.seed)
        foot = np.hypot(dphi * np.radians(r * solid.radius), dz) * slope(2 * solid.radius)
        levels = pattern.top if np.min(z) >= solid.height else pattern.wall
        return between(value, levels, np.maximum(foot, 1e-6))

    def told(self, figures: recipe.Arrangement) -> str:
        """A marble and which of its patterns."""
        return f"marble {figures.seed}"

    def findings(self, layout: Layout) -> Iterator[Finding]:
        """The wall shows the shares; the inside of this pattern may differ by a point or two."""
        inside = cut(layout.solid).inside
        tone, held = max(
            zip(layout.tones, inside, strict=True), key=lambda pair: abs(pair[0].wall_pct - 100 * pair[1])
        )
        if abs(tone.wall_pct - 100 * held) < figure("jar", "marble_difference").value:
            return
        yield Finding(
            "note",
            "marble_inside",
            "look.arrangement",
            f"The wall of this marble shows {tone.wall_pct:.1f} % {tone.name}; inside, the drawn pattern "
            f"holds {100 * held:.1f} %. Grams follow the design's {tone.weight_pct:.0f} % by weight.",
            "Another pattern number moves it by a point or two.",
            "area shares of a section are volume shares on average (Delesse 1847)",
        )


class Pattern(NamedTuple):
    """The field of one marble and where it parts its tones.

    seed       of the field itself
    wall, top  rising levels between tones, last tone lowest
    inside     share of each tone inside; one jar is a small sample: on the wall the shares are exact,
               inside they are off by about a point
    """

    seed: int
    wall: tuple[float, ...]
    top: tuple[float, ...]
    inside: tuple[float, ...]


@lru_cache(maxsize=64)
def _folds(seed: int) -> tuple[Any, ...]:
    """Directions, shear directions and phases of the folds, and the direction of the stripes."""
    rng = np.random.default_rng(seed)
    along = rng.standard_normal((FOLDS, 3))
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    across = np.cross(along, rng.standard_normal((FOLDS, 3)))
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    stripes = rng.standard_normal(3)
    return along, across, rng.uniform(0, 2 * pi, FOLDS), stripes / np.linalg.norm(stripes)


def field(x: Any, y: Any, z: Any, diameter: float, seed: int) -> Field:
    """The field at points in mm, -1 to 1; every fold is a shear, so that it keeps volume."""
    along, across, phases, stripes = _folds(seed)
    kind = np.result_type(x, y, z, np.float32)
    p = [np.asarray(axis, dtype=kind) for axis in (x, y, z)]
    for k in range(FOLDS):
        wave = 2 * pi / (0.75 * diameter * 0.8**k)
        place = sum(kind.type(wave * a) * axis for a, axis in zip(along[k], p, strict=True))
        push = np.sin(place + kind.type(phases[k]), dtype=kind) * kind.type(0.20 * diameter * 0.86**k)
        p = [axis + kind.type(b) * push for axis, b in zip(p, across[k], strict=True)]
    place = sum(kind.type(2 * pi / (WIDTH * diameter) * n) * axis for n, axis in zip(stripes, p, strict=True))
    return np.asarray(np.sin(place), dtype=kind)


@lru_cache(maxsize=8)
def _wall(radius: float, height: float, seed: int) -> Field:
    """The field on the rolled-out wall: rows from the bottom up, columns from -180 degrees."""
    phi = (np.arange(AROUND, dtype=np.float32) * np.float32(2 * pi / AROUND) - np.float32(pi))[None, :]
    z = np.linspace(0, height, max(2, round(height * AROUND / (2 * pi * radius))), dtype=np.float32)
    x, y = np.float32(radius) * np.sin(phi), np.float32(radius) * np.cos(phi)
    return field(x, y, z[:, None], 2 * radius, seed)


def on_wall(phi: Any, z: Any, radius: float, height: float, seed: int) -> Field:
    """The field on the wall, bilinear on a grid that is worked out once; degrees and mm."""
    grid = _wall(radius, height, seed)
    rows = len(grid)
    column = np.mod((phi + 180.0) * (AROUND / 360.0), AROUND)
    row = np.clip(z * ((rows - 1) / height), 0, rows - 1.001)
    left, below = column.astype(np.int32), row.astype(np.int32)
    a, b = column - left, row - below
    left, next_ = left % AROUND, (left + 1) % AROUND
    flat = grid.reshape(-1)
    start = below * AROUND
    low = np.take(flat, start + left) * (1 - a) + np.take(flat, start + next_) * a
    high = np.take(flat, start + AROUND + left) * (1 - a) + np.take(flat, start + AROUND + next_) * a
    return np.asarray(low * (1 - b) + high * b)


def slope(diameter: float) -> float:
    """Usual steepness of the field, per mm."""
    return 2 * pi / (WIDTH * diameter)


def cut(solid: Solid) -> Pattern:
    """The pattern of a solid whose inside is nearest to its wall."""
    return _cut(solid.shares, solid.radius, solid.height, solid.figures.seed)


@lru_cache(maxsize=64)
def _cut(shares: tuple[float, ...], radius: float, height: float, seed: int) -> Pattern:
    rng = np.random.default_rng(seed)
    phi, z = rng.uniform(0, 2 * pi, POINTS), rng.uniform(0, height, POINTS)
    r = radius * np.sqrt(rng.uniform(0, 1, POINTS))
    steps = np.cumsum(shares[::-1])[:-1].clip(0, 1)
    tried = []
    for number in range(TRIES):
        own = 100 * seed + number
        levels = _levels(own, radius, height, steps)
        values = np.sort(field(r * np.sin(phi), r * np.cos(phi), z, 2 * radius, own))
        held = np.searchsorted(values, levels) / POINTS
        tried.append((float(np.abs(held - steps).max(initial=0)), own, levels, held))
    _, own, levels, held = min(tried, key=lambda pattern: pattern[0])
    top = field(r * np.sin(phi), r * np.cos(phi), np.full(POINTS, height), 2 * radius, own)
    inside = np.diff([0.0, *held, 1.0])[::-1]
    return Pattern(own, levels, tuple(np.quantile(top, steps).tolist()), tuple(inside.tolist()))


def _levels(seed: int, radius: float, height: float, steps: Any) -> tuple[float, ...]:
    """Quantiles of the field over the whole wall."""
    phi = (np.arange(240) + 0.5) * (2 * pi / 240)
    z = ((np.arange(80) + 0.5) * (height / 80))[:, None]
    wall = field(radius * np.sin(phi), radius * np.cos(phi), z, 2 * radius, seed)
    return tuple(np.quantile(wall, steps).tolist())


RULE = Marble()

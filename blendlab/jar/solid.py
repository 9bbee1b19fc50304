"""One solid, read by grams, pictures and shares: which tone is at (phi, r, z).

Tones are counted in the order of the design's list: layers and fades from the top down, wedges and
helix anticlockwise, slices from the side they look to, cores from the inside. Angles in degrees,
lengths in mm; coverages are shares 0..1 that sum to 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import pi
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from blendlab.jar import glass
from blendlab.jar.arrangements import RULES, PassageRule, Rule
from blendlab.jar.arrangements.rule import TOP_FOOT
from blendlab.jar.glass import STEPS
from blendlab.jar.profile import Profile
from blendlab.jar.top import Top
from blendlab.recipe import SHARED, Arrangement

Array = NDArray[np.float64]
ROWS = 200
"""Rows of the wall from the bottom to the edge of the fill in which shares are counted."""


class Figures(NamedTuple):
    """The figures of `recipe.Arrangement` that shape a solid, by the same names."""

    start_deg: float
    turns: float
    hand: str
    width: float
    wave_mm: float
    tilt_mm: float
    seed: int
    core_height: float


def figures(arrangement: Arrangement) -> Figures:
    """What of an arrangement can be looked up by."""
    return Figures(*(getattr(arrangement, name) for name in Figures._fields))


@dataclass(frozen=True)
class Solid:
    """Content of a round jar; its fields are the geometry and nothing else.

    kind, figures  the arrangement; which figures count depends on the kind
    shares      by volume inside the fill, in the order of the list
    top_shares  by volume of a top piped in all tones
    top_tone    index of the tone of the top, or "shared"
    profile     the inside of the jar; height: edge of the fill above its bottom
    outer, n    largest outside radius and refractive index of the wall
    """

    kind: str
    figures: Figures
    shares: tuple[float, ...]
    top_shares: tuple[float, ...]
    top_tone: int | str
    top: Top
    profile: Profile
    height: float
    outer: float
    n: float

    @property
    def rule(self) -> Rule:
        """The rule of the arrangement."""
        return RULES[self.kind]

    @property
    def radius(self) -> float:
        """Largest inside radius."""
        return self.profile.widest

    @property
    def wall(self) -> float:
        """Thickness of the wall."""
        return self.outer - self.radius

    @property
    def straight(self) -> bool:
        """Whether the wall stands upright."""
        return self.profile.straight

    @property
    def mixes(self) -> bool:
        """Whether two or more tones pass into each other, drawn by their place on a way."""
        return isinstance(self.rule, PassageRule) and len(self.shares) > 1

    @property
    def mixed_above(self) -> bool:
        """Whether the top shows the one mix that has been reached at the edge of the fill."""
        shared = self.top_tone == SHARED and self.top.kind != "star"
        return isinstance(self.rule, PassageRule) and shared

    def path(self, z: Any) -> Any:
        """Place of a height on the way of tones that mix: 0 the lowest tone, n - 1 the highest."""
        assert isinstance(self.rule, PassageRule), f"tones in {self.kind} do not pass into each other"
        return self.rule.path(self, z)

    def coverage(self, phi: Any, r: Any, z: Any, dphi: Any = 0.0, dz: Any = 0.0) -> Array:
        """Share of each tone around a point of the fill, shape (tones, ...).

        phi, r, z  degrees, share of the inside radius, mm
        dphi, dz   size of what is averaged over: degrees, and mm up the wall or outward
        """
        shape = np.broadcast(phi, r, z).shape
        if len(self.shares) == 1:
            return self.alone(0, shape)
        return _spread(self.rule.coverage(self, phi, r, z, dphi, dz), shape)

    def top_coverage(self, phi: Any, r: Any, dphi: Any = 0.0, dr: Any = TOP_FOOT) -> Array:
        """Share of each tone at a point of the top, shape (tones, ...).

        phi, r    degrees and share of the inside radius: tones piped together swirl towards the peak
        dphi, dr  size of what is averaged over, degrees and mm
        """
        shape = np.broadcast(phi, r).shape
        if self.top_tone != SHARED or len(self.shares) == 1:
            return self.alone(0 if self.top_tone == SHARED else int(self.top_tone), shape)
        drawn = self.rule.star if self.top.kind == "star" else self.rule.above
        return _spread(drawn(self, phi, r, dphi, dr), shape)

    def alone(self, tone: int, shape: tuple[int, ...]) -> Array:
        """One tone covers everything, shape (tones, ...)."""
        covered = np.zeros((len(self.shares), *shape))
        covered[tone] = 1.0
        return covered


def _spread(covered: Array, shape: tuple[int, ...]) -> Array:
    """Coverages over a whole shape, of which the rule has read only what it needs."""
    missing = len(shape) + 1 - covered.ndim
    held = covered.reshape(len(covered), *[1] * missing, *covered.shape[1:])
    return np.broadcast_to(held, (len(covered), *shape))


@lru_cache(maxsize=64)
def wall_profile(solid: Solid) -> Array:
    """Share of each tone on the wall by angle: shape (tones, STEPS), columns from -180 degrees on."""
    phi = (np.arange(STEPS) + 0.5) * (360.0 / STEPS) - 180.0
    z = (np.arange(ROWS) + 0.5) * (solid.height / ROWS)
    covered = solid.coverage(phi[None, :], 1.0, z[:, None], 360.0 / STEPS, solid.height / ROWS)
    weights = solid.profile.wall_radius(z)
    found = np.einsum("tzp,z->tp", covered, weights / weights.sum())
    found.flags.writeable = False
    return np.asarray(found)


def wall_shares(solid: Solid) -> tuple[float, ...]:
    """Share of each tone on the unrolled wall."""
    return tuple(wall_profile(solid).mean(axis=1).tolist())


def picture_shares(solid: Solid, turn: float) -> tuple[float, ...]:
    """Share of each tone in a level front view of the wall, through the glass, at a turn in degrees."""
    edges = np.arange(STEPS + 1) * (360.0 / STEPS) - 180.0
    seen = glass.share_interval(edges[:-1], edges[1:], turn, solid.outer, solid.radius, solid.n)
    return tuple((wall_profile(solid) @ seen).tolist())


@lru_cache(maxsize=64)
def above_shares(solid: Solid) -> tuple[float, ...]:
    """Share of each tone in the view from above: rings of one area each."""
    steps, rings = 360, 120
    phi = (np.arange(steps) + 0.5) * (360.0 / steps)
    r = np.sqrt((np.arange(rings) + 0.5) / rings)[:, None]
    breadth = solid.top.radius / (2 * rings * r)
    return tuple(solid.top_coverage(phi, r, 360.0 / steps, breadth).mean(axis=(1, 2)).tolist())


def areas(solid: Solid) -> tuple[float, float]:
    """Area of the unrolled wall up to the edge of the fill and of the top from above [mm2]."""
    z = (np.arange(ROWS) + 0.5) * (solid.height / ROWS)
    wall = 2 * pi * float(solid.profile.wall_radius(z).mean()) * solid.height
    return wall, pi * solid.top.radius**2


def seen_shares(
    wall_area: float, wall: Sequence[float], top_area: float, top: Sequence[float]
) -> tuple[float, ...]:
    """Shares of everything that is seen, wall and top weighted by their areas.

    >>> seen_shares(30, [0, 1], 10, [0.2, 0.8])
    (0.05, 0.95)
    """
    total = wall_area + top_area
    return tuple((wall_area * side + top_area * above) / total for side, above in zip(wall, top, strict=True))

"""One solid, read by grams, pictures and shares: which tone is at (phi, r, z).

Tones are counted in the order of the design's list: layers and fades from the top down, wedges and
helix anticlockwise, slices from the side they look to, cores from the inside. Angles in degrees,
lengths in mm; coverages are shares 0..1 that sum to 1.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from blendlab.facts.read import figure
from blendlab.jar import arrangement, glass, marble
from blendlab.jar.profile import Profile
from blendlab.jar.projection import coverage_1d
from blendlab.jar.top import Top
from blendlab.jar.volume import SHARED

Array = NDArray[np.float64]
STACKED = ("layers", "fade")
CUT = ("chord", "core", "marble")
WAVE = ((1, 0.5), (2, 0.3), (3, 0.2))
"""Orders of a wavy edge and their parts of its amplitude."""

LEAN_TO = 35.0
"""Phase of the tilt of layers in degrees: they stand highest at the right of the front."""

TOP_FOOT = 0.35
"""Width of the edge between two tones on the top [mm]."""

STEPS = 720
"""Steps of the wall around the jar in which shares are counted."""


@dataclass(frozen=True)
class Solid:
    """Content of a round jar; its fields are the geometry and nothing else.

    shares      by volume inside the fill, in the order of the list
    top_shares  by volume of a top piped in all tones
    top_tone    index of the tone of the top, or "shared"
    profile     the inside of the jar; height: edge of the fill above its bottom
    outer, n    largest outside radius and refractive index of the wall
    tilt        how much higher the edges of layers stand on one side
    buried      height of a core as a share of the fill
    """

    kind: str
    shares: tuple[float, ...]
    top_shares: tuple[float, ...]
    top_tone: int | str
    top: Top
    profile: Profile
    height: float
    outer: float
    n: float
    start: float
    turns: float
    hand: int
    width: float
    wave: float
    tilt: float
    seed: int
    buried: float

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

    @cached_property
    def edges(self) -> tuple[float, ...]:
        """Inner edges of layers from the bottom up."""
        whole = self.profile.ml(self.height)
        rising = arrangement.cumulated(self.shares[::-1])[1:-1]
        return tuple(self.profile.level(edge * whole) for edge in rising)

    @cached_property
    def passages(self) -> tuple[tuple[float, float], ...]:
        """Centre and width of each passage of a fade from the bottom up, as shares of the fill.

        Between three and more tones a passage is no wider than the tone it passes into, so that
        never more than two tones mix.
        """
        rising = self.shares[::-1]
        above = [1.0 - edge for edge in arrangement.cumulated(rising)[1:-1]]
        found = []
        for index, share in enumerate(above):
            beside = rising[max(1, index) : min(len(rising) - 1, index + 2)]
            width = max(min([self.width, *beside]), 0.02)
            found.append((arrangement.fade_centre(share, width), width))
        return tuple(found)

    @property
    def one_fade_above(self) -> bool:
        """Whether the top shows the mix that a fade has reached at the edge of the fill."""
        return self.kind == "fade" and self.top_tone == SHARED and self.top.kind != "star"

    def path(self, z: Any) -> Any:
        """Place of a height on the way of a fade: 0 the lowest tone, n - 1 the highest, not yet smooth."""
        level = z / self.height
        if len(self.profile.z) > 2 or not self.straight:
            levels = np.linspace(0, self.height, 400)
            volumes = [self.profile.ml(one) for one in levels]
            level = np.interp(z, levels, np.array(volumes) / volumes[-1])
        steps = [
            np.clip((level - centre) / width + 0.5, 0.0, 1.0, dtype=np.asarray(level).dtype)
            for centre, width in self.passages
        ]
        return sum(steps, np.zeros_like(level))

    def coverage(self, phi: Any, r: Any, z: Any, dphi: Any = 0.0, dz: Any = 0.0) -> Array:
        """Share of each tone around a point of the fill, shape (tones, ...).

        phi, r, z  degrees, share of the inside radius, mm
        dphi, dz   size of what is averaged over, degrees and mm
        """
        if len(self.shares) == 1:
            return np.ones((1, *np.broadcast(phi, r, z).shape))
        if self.kind == "layers":
            return self._layers(phi, r, z, dz)
        if self.kind == "fade":
            level = np.broadcast_to(z, np.broadcast(phi, r, z).shape)
            return fade_shares(self.path(level), len(self.shares))
        if self.kind in CUT:
            return self._cut(phi, r, z, dphi, dz)
        turns = self.turns if self.kind == "helix" else 0.0
        u = arrangement.pattern_u(phi, z / self.height, self.start, turns, self.hand)
        foot = np.hypot(dphi / 360.0, turns * dz / self.height)
        return coverage_1d(u, foot, arrangement.cumulated(self.shares))

    def _cut(self, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        """Slices, rings around a core, or a marble: each tone between two levels of one field."""
        if self.kind == "marble":
            return self._marble(phi, r, z, dphi, dz)
        phi, r, z = np.broadcast_arrays(phi, r, z)
        if self.kind == "core":
            return self._core(r, z, dz)
        angle = np.radians(phi - self.start)
        foot = np.hypot(r * np.sin(angle) * np.radians(dphi), 1e-6)
        return coverage_1d(r * np.cos(angle), foot, self.slices, periodic=False)[::-1]

    def _marble(self, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        seed, levels, above, _ = marble.cut(self.shares, self.radius, self.height, self.seed)
        if np.ndim(r) == 0 and r == 1:
            value = marble.on_wall(phi, z, self.radius, self.height, seed)
        else:
            angle, away = np.radians(phi), r * self.radius
            value = marble.field(away * np.sin(angle), away * np.cos(angle), z, 2 * self.radius, seed)
        foot = np.hypot(dphi * np.radians(r * self.radius), dz) * marble.slope(2 * self.radius)
        return marble.coverage(value, above if np.min(z) >= self.height else levels, foot)

    def _core(self, r: Any, z: Any, dz: Any) -> Array:
        """Rings round a core; above a buried core lies the outermost tone alone."""
        foot = dz / self.radius
        inner = np.minimum(np.array(arrangement.cumulated(self.shares)) / self.buried, 1.0)
        radii = [*np.sqrt(inner[:-1]).tolist(), 1.0]
        rings = coverage_1d(r, foot, radii, periodic=False)
        if self.buried >= 1.0:
            return rings
        rings = np.array(rings)
        below = np.clip(0.5 + (self.buried * self.height - z) / np.maximum(dz, 1e-9), 0.0, 1.0)
        rings *= below
        rings[-1] += 1 - below
        return rings

    @cached_property
    def slices(self) -> list[float]:
        """Edges of parallel slices, as shares of the radius, the last tone first."""
        rising = arrangement.cumulated(self.shares[::-1])[1:-1]
        return [-1.0, *(arrangement.chord_views(1.0 - share)[0] for share in rising), 1.0]

    def _layers(self, phi: Any, r: Any, z: Any, dz: Any) -> Array:
        levels = (0.0, *self.edges, self.height)
        foot = np.maximum(dz, 1e-9)
        over = [np.ones(np.broadcast(phi, r, z).shape, dtype=np.result_type(z))]
        for index, edge in enumerate(self.edges):
            room = 0.45 * min(edge - levels[index], levels[index + 2] - edge)
            lean = max(0.0, min(self.tilt / 2, room))
            amplitude = max(0.0, min(self.wave, room - lean))
            phases = [LEAN_TO, *np.random.default_rng(31 + index).uniform(0, 360, len(WAVE)).tolist()]
            orders = [1, *(order for order, _ in WAVE)]
            parts = [lean, *(amplitude * part for _, part in WAVE)]
            height = arrangement.wavy_edge(edge, parts, orders, phases, phi, r)
            height = np.asarray(height, dtype=np.result_type(z))
            over.append(np.clip(0.5 + (z - height) / foot, 0.0, 1.0))
        over.append(np.zeros_like(over[0]))
        return np.stack([low - high for low, high in itertools.pairwise(over)][::-1])

    def top_coverage(self, phi: Any, r: Any, dphi: Any = 0.0) -> Array:
        """Share of each tone at a point of the top, shape (tones, ...).

        phi, r  degrees and share of the inside radius: tones piped together swirl towards the peak
        dphi    size of what is averaged over, degrees
        """
        shape = np.broadcast(phi, r).shape
        stacked = self.kind in STACKED and self.top.kind != "star"
        if self.top_tone != SHARED or len(self.shares) == 1 or (stacked and self.kind == "layers"):
            covered = np.zeros((len(self.shares), *shape))
            covered[0 if self.top_tone == SHARED else self.top_tone] = 1.0
            return covered
        if stacked:
            mix = fade_shares(self.path(np.float64(self.height)), len(self.shares))
            return np.broadcast_to(mix.reshape(-1, *[1] * len(shape)), (len(self.shares), *shape))
        if self.kind in CUT and self.top.kind != "star":
            return self.coverage(phi, r, self.height, dphi, TOP_FOOT)
        swirl = figure("jar", "star_swirl").value * (1.0 - r) if self.top.kind == "star" else 0.0
        turns = self.turns if self.kind == "helix" else 0.0
        around = np.broadcast_to(phi, shape)
        u = arrangement.pattern_u(around, 1.0, self.start, turns, self.hand) - self.hand * swirl
        return coverage_1d(u, dphi / 360.0, arrangement.cumulated(self.top_shares))


def marbled(solid: Solid) -> tuple[float, ...]:
    """Share of each tone inside a marble as it is drawn; the wall has the shares of the design."""
    return marble.cut(solid.shares, solid.radius, solid.height, solid.seed)[3]


def fade_shares(path: Any, count: int) -> Array:
    """Mass fractions on the way of a fade, shape (count, ...), the highest tone first."""
    below = np.clip(np.floor(path), 0, max(count - 2, 0))
    upper = arrangement.fade_fraction(path - below, 0.5, 1.0)
    rising = [
        np.where(below == tone, 1 - upper, 0) + np.where(below == tone - 1, upper, 0) for tone in range(count)
    ]
    return np.stack(rising[::-1])


@lru_cache(maxsize=64)
def wall_profile(solid: Solid) -> Array:
    """Share of each tone on the wall by angle: shape (tones, STEPS), columns from -180 degrees on."""
    phi = (np.arange(STEPS) + 0.5) * (360.0 / STEPS) - 180.0
    rows = 200
    z = (np.arange(rows) + 0.5) * (solid.height / rows)
    covered = solid.coverage(phi[None, :], 1.0, z[:, None], 360.0 / STEPS, solid.height / rows)
    covered = np.broadcast_to(covered, (len(solid.shares), rows, STEPS))
    weights = solid.profile.wall_radius(z)
    found = np.einsum("tzp,z->tp", covered, weights / weights.sum())
    found.flags.writeable = False
    return np.asarray(found)


def wall_shares(solid: Solid) -> tuple[float, ...]:
    """Share of each tone on the unrolled wall."""
    return tuple(wall_profile(solid).mean(axis=1).tolist())


@lru_cache(maxsize=64)
def _front_weights(outer: float, inner: float, n: float) -> Array:
    """Part of the picture's width that each step of the wall takes at turn 0; their sum is 1."""
    reach = glass.apparent_radius(outer, inner, n)
    x = np.linspace(-reach, reach, 4001)
    angles = glass.wall_angle(x, outer, inner, n)
    edges = np.arange(STEPS + 1) * (360.0 / STEPS) - 180.0
    places = np.interp(edges, angles, x)
    return np.asarray(np.diff(places) / (2 * reach))


def picture_shares(solid: Solid, turn: float) -> tuple[float, ...]:
    """Share of each tone in a level front view of the wall, through the glass, at a turn in degrees."""
    weights = _front_weights(solid.outer, solid.radius, solid.n)
    edges = np.arange(STEPS) * (360.0 / STEPS) - 180.0
    whole = np.concatenate([[0.0], np.cumsum(weights)])
    lap = np.arange(STEPS + 1) * (360.0 / STEPS) - 180.0
    low, high = (_lapped(edges + step - turn, lap, whole) for step in (0.0, 360.0 / STEPS))
    return tuple((wall_profile(solid) @ (high - low)).tolist())


def _lapped(angle: Any, lap: Any, whole: Any) -> Array:
    """Cumulated width up to an angle that may have gone round: one more for each lap."""
    turns = np.floor((angle + 180.0) / 360.0)
    return np.asarray(turns + np.interp(angle - 360.0 * turns, lap, whole))


@lru_cache(maxsize=64)
def above_shares(solid: Solid) -> tuple[float, ...]:
    """Share of each tone in the view from above."""
    steps, rings = 720, 60
    phi = (np.arange(steps) + 0.5) * (360.0 / steps)
    r = np.sqrt((np.arange(rings) + 0.5) / rings)[:, None]
    return tuple(solid.top_coverage(phi, r, 360.0 / steps).mean(axis=(1, 2)).tolist())

"""Layers: tones over each other, with wavy or tilted edges."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from blendlab.jar.arrangements.rule import Array, Asked, BagStar, between, cumulated
from blendlab.jar.profile import Profile

if TYPE_CHECKING:
    from blendlab.jar.solid import Solid

WAVE = ((1, 0.5), (2, 0.3), (3, 0.2))
"""Orders of a wavy edge and their parts of its amplitude."""

LEAN_TO = 35.0
"""Phase of the tilt of layers in degrees: they stand highest at the right of the front."""


class Layers(BagStar):
    """The first tone lies uppermost; `wave_mm` and `tilt_mm` shape the edges and leave the volumes."""

    word, noun, order = "Layers", "layers of", ", top first"
    asked = (Asked("Wave of the edge, mm", "wave_mm"), Asked("Tilt of the edge, mm", "tilt_mm"))
    stacked = True

    def coverage(self, solid: Solid, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        """Share of each tone at a height, between the edges that stand there."""
        level = np.broadcast_to(z, np.broadcast(phi, r, z).shape)
        return between(level, _heights(solid, phi, r, level.dtype), np.maximum(dz, 1e-9))

    def above(self, solid: Solid, phi: Any, r: Any, dphi: Any, dr: float) -> Array:
        """The first tone alone."""
        return solid.alone(0, ())

    def by_hand(self, solid: Solid, names: Sequence[str]) -> str:
        """How high each layer stands: equal heights are not equal grams."""
        each = (f"{name} {high:.1f} mm" for name, high in zip(names, heights(solid), strict=True))
        return f"Layers in a jar, top first: {', '.join(each)}."


def heights(solid: Solid) -> tuple[float, ...]:
    """Mean height of each layer [mm], the uppermost first."""
    levels = (0.0, *edges(solid), solid.height)
    return tuple(above - below for below, above in itertools.pairwise(levels))[::-1]


def edges(solid: Solid) -> tuple[float, ...]:
    """Mean heights of the inner edges from the bottom up [mm]."""
    return _edges(solid.profile, solid.height, solid.shares)


@lru_cache(maxsize=256)
def _edges(profile: Profile, height: float, shares: tuple[float, ...]) -> tuple[float, ...]:
    whole = profile.ml(height)
    return tuple(profile.level(edge * whole) for edge in cumulated(shares[::-1])[1:-1])


def _heights(solid: Solid, phi: Any, r: Any, kind: Any) -> Iterator[Any]:
    """Height of each inner edge at a place, from the bottom up; waves stay within their layers."""
    means = edges(solid)
    levels = (0.0, *means, solid.height)
    for index, edge in enumerate(means):
        room = 0.45 * min(edge - levels[index], levels[index + 2] - edge)
        lean = max(0.0, min(solid.figures.tilt_mm / 2, room))
        amplitude = max(0.0, min(solid.figures.wave_mm, room - lean))
        phases = [LEAN_TO, *np.random.default_rng(31 + index).uniform(0, 360, len(WAVE)).tolist()]
        orders = [1, *(order for order, _ in WAVE)]
        parts = [lean, *(amplitude * part for _, part in WAVE)]
        yield np.asarray(wavy_edge(edge, parts, orders, phases, phi, r), dtype=kind)


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


RULE = Layers()

"""Core: tones inside each other, the first in the middle; a low core is buried."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from blendlab.errors import Finding
from blendlab.jar.arrangements.rule import Array, Asked, BagStar, cumulated
from blendlab.jar.projection import coverage_1d
from blendlab.recipe import SHARED

if TYPE_CHECKING:
    from blendlab.jar.filled_jar import Layout
    from blendlab.jar.solid import Solid


class Core(BagStar):
    """Rings round a core that is `core_height` of the fill high; above it lies the outermost tone alone."""

    word, noun = "Core", "core of"
    asked = (Asked("Height of the core, share of the filling", "core_height"),)
    inside = True

    def coverage(self, solid: Solid, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        """Share of each ring at a radius and a height, whatever the angle."""
        _, r, z = np.broadcast_arrays(phi, r, z)
        rings = np.array(ringed(radii(solid), r, dz / solid.radius))
        buried = height(solid)
        if buried < 1.0:
            below = np.clip(0.5 + (buried * solid.height - z) / np.maximum(dz, 1e-9), 0.0, 1.0)
            rings *= below
            rings[-1] += 1 - below
        return rings

    def phrase(self, solid: Solid, listed: str) -> str:
        """A core below the edge of the fill is buried."""
        return f"{'buried ' if height(solid) < 1 else ''}{super().phrase(solid, listed)}"

    def findings(self, layout: Layout) -> Iterator[Finding]:
        """A core shows from above only, a buried one nowhere."""
        inner, solid = layout.tones[0], layout.solid
        nowhere = height(solid) < 1 or (solid.top_tone != SHARED and inner.above_pct == 0)
        where = "nowhere from outside" if nowhere else "from above only"
        yield Finding(
            "note",
            "core_not_seen",
            "look.arrangement",
            f"{inner.name} is a core of {inner.weight_pct:.0f} % by weight: it shows {where}, "
            "not on the wall.",
            "The cut jar shows it; put it in a line of the description.",
            "geometry of the jar that is drawn",
        )


def height(solid: Solid) -> float:
    """Height of the core as a share of the fill; never so low that it would be wider than the jar."""
    return min(1.0, max(solid.figures.core_height, 1.0 - solid.shares[-1] + 1e-9))


def radii(solid: Solid) -> tuple[float, ...]:
    """Outer radii of the core and its rings, as shares of the inside radius: the lower, the wider."""
    inner = np.minimum(np.array(cumulated(solid.shares)) / height(solid), 1.0)
    return (*np.sqrt(inner[1:-1]).tolist(), 1.0)


def ringed(outer: Sequence[float], r: Any, dr: Any) -> Array:
    """Share of each ring around a radius; all radii in one unit, the last is that of the jar.

    >>> ringed([0.5, 1.0], np.array([0.3, 0.7]), 0.01).round(6).tolist()
    [[1.0, 0.0], [0.0, 1.0]]
    """
    return coverage_1d(r, dr, [0.0, *outer], periodic=False)


RULE = Core()

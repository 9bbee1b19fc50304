"""Fade: tones over each other that pass into the next, mixed as matter and not as light."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np

from blendlab.jar.arrangements.rule import Array, Asked, PassageRule, cumulated
from blendlab.jar.volume import bisect

if TYPE_CHECKING:
    from blendlab.jar.solid import Solid


class Fade(PassageRule):
    """The first tone lies uppermost; `width` is the height of a passage as a share of the fill."""

    word, noun, order = "Fade", "fade from", ", top first"
    asked = (Asked("Height of the passage, share of the filling", "width"),)
    stacked = True

    def coverage(self, solid: Solid, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        """Share by mass of each tone at a height."""
        return fade_shares(self.path(solid, z), len(solid.shares))

    def above(self, solid: Solid, phi: Any, r: Any, dphi: Any, dr: float) -> Array:
        """The mix that the fade has reached at the edge of the fill."""
        return fade_shares(self.path(solid, np.float64(solid.height)), len(solid.shares))

    def path(self, solid: Solid, z: Any) -> Any:
        """Place of a height on the way of the fade, not yet smooth: 0 the lowest tone, n - 1 the highest."""
        level = z / solid.height
        if len(solid.profile.z) > 2 or not solid.straight:
            levels = np.linspace(0, solid.height, 400)
            volumes = [solid.profile.ml(height) for height in levels]
            level = np.interp(z, levels, np.array(volumes) / volumes[-1])
        steps = [
            np.clip((level - centre) / width + 0.5, 0.0, 1.0, dtype=np.asarray(level).dtype)
            for centre, width in passages(solid.shares, solid.figures.width)
        ]
        return sum(steps, np.zeros_like(level))


@lru_cache(maxsize=64)
def passages(shares: tuple[float, ...], widest: float) -> tuple[tuple[float, float], ...]:
    """Centre and width of each passage of a fade from the bottom up, as shares of the fill.

    Between three and more tones a passage is no wider than the tone it passes into, so that
    never more than two tones mix.
    """
    rising = shares[::-1]
    above = [1.0 - edge for edge in cumulated(rising)[1:-1]]
    found = []
    for index, share in enumerate(above):
        beside = rising[max(1, index) : min(len(rising) - 1, index + 2)]
        width = max(min([widest, *beside]), 0.02)
        found.append((fade_centre(share, width), width))
    return tuple(found)


def fade_shares(path: Any, count: int) -> Array:
    """Mass fractions on the way of a fade, shape (count, ...), the highest tone first.

    >>> fade_shares(np.array([0.0, 0.5, 1.0]), 2).tolist()
    [[0.0, 0.5, 1.0], [1.0, 0.5, 0.0]]
    """
    below = np.clip(np.floor(path), 0, max(count - 2, 0))
    upper = fade_fraction(path - below, 0.5, 1.0)
    rising = [
        np.where(below == tone, 1 - upper, 0) + np.where(below == tone - 1, upper, 0) for tone in range(count)
    ]
    return np.stack(rising[::-1])


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


RULE = Fade()

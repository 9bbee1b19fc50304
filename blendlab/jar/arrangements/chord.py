"""Chord: parallel slices cut by straight planes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import acos, pi, sin
from typing import TYPE_CHECKING, Any

import numpy as np

from blendlab.jar.arrangements.rule import Array, Asked, BagStar, cumulated
from blendlab.jar.projection import coverage_1d
from blendlab.jar.volume import bisect

if TYPE_CHECKING:
    from blendlab.jar.solid import Solid


class Chord(BagStar):
    """The first slice looks to `start_deg`."""

    word, noun = "Chord", "slices of"
    asked = (Asked("Looks to, degrees", "start_deg"),)
    around = True

    def coverage(self, solid: Solid, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        """Share of each slice at a place, whatever the height."""
        return sliced(cuts(solid.shares), phi - solid.figures.start_deg, r, dphi)


def sliced(offsets: Sequence[float], angle: Any, r: Any, dangle: Any) -> Array:
    """Share of each slice between planes at rising offsets from the axis, the outermost slice first.

    offsets  and r as shares of the radius; angle: from the direction that the first slice looks to

    >>> sliced([0.5], np.array([50.0, 65.0]), 1.0, 0.01).round(6).tolist()
    [[1.0, 0.0], [0.0, 1.0]]
    """
    turn = np.radians(angle)
    foot = np.hypot(r * np.sin(turn) * np.radians(dangle), 1e-6)
    return coverage_1d(r * np.cos(turn), foot, [-1.0, *offsets, 1.0], periodic=False)[::-1]


@lru_cache(maxsize=64)
def cuts(shares: tuple[float, ...]) -> tuple[float, ...]:
    """Rising offsets of the planes that part slices of given volumes, as shares of the radius.

    >>> [round(cut, 4) for cut in cuts((0.195501, 0.804499))]
    [0.5]
    """
    return tuple(_offset(1.0 - below) for below in cumulated(shares[::-1])[1:-1])


def _offset(share: float) -> float:
    """Offset of the plane beyond which a slice has a share."""
    return bisect(lambda offset: share - beyond(offset), -1.0, 1.0)


def beyond(offset: float) -> float:
    """Share of a circle beyond a straight cut at an offset from its middle, in radii.

    >>> round(beyond(0.5), 6)
    0.195501
    """
    theta = 2 * acos(offset)
    return (theta - sin(theta)) / (2 * pi)


RULE = Chord()

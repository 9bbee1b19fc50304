"""What every arrangement says of itself, and the pieces that several of them are made of.

Angles in degrees, anticlockwise seen from above, 0 towards the viewer; heights in mm; coverages are
shares 0..1 that sum to 1, shape (tones, ...), in the order of the design's list.
"""

from __future__ import annotations

import itertools
from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from itertools import accumulate
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from blendlab import recipe
from blendlab.errors import Finding
from blendlab.facts.read import figure
from blendlab.jar.projection import coverage_1d

if TYPE_CHECKING:
    from blendlab.jar.filled_jar import Layout
    from blendlab.jar.solid import Solid

Array = NDArray[np.float64]
HANDS = {"right": 1, "left": -1}
TOP_FOOT = 0.35
"""Width of the edge between two tones on the top [mm]."""


class Asked(NamedTuple):
    """A figure of `recipe.Arrangement` that counts, and how the page asks for it.

    press  True: a button that takes the next number, for a figure that means nothing by itself
    """

    label: str
    name: str
    press: bool = False


class Rule(ABC):
    """One arrangement: where its tones are, how it is told, what is asked for.

    word     its name on the page
    noun     what its tones make, for the sentence: "layers of teal (50 %) and cream (50 %) by weight"
    order    what the sentence adds about the order of the list, or ""
    asked    the figures that count
    around   its tones change on the way around the jar, so that their edges wander along the wall
    stacked  one tone, or one mix, lies uppermost and makes a flat or domed top
    piped    its tones may lie side by side in one piping bag
    inside   its wall shows one tone: a jar cut open shows it
    """

    word: str
    noun: str
    order: str = ""
    asked: tuple[Asked, ...] = ()
    around: bool = False
    stacked: bool = False
    piped: bool = False
    inside: bool = False

    @abstractmethod
    def coverage(self, solid: Solid, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        """Share of each tone around a point of the fill; r as a share of the inside radius.

        dphi, dz  size of what is averaged over: degrees, and mm up the wall or outward
        """

    def above(self, solid: Solid, phi: Any, r: Any, dphi: Any, dr: float) -> Array:
        """Share of each tone on a flat or domed top: what lies at the edge of the fill.

        dr  size outward of what is averaged over [mm]
        """
        return self.coverage(solid, phi, r, solid.height, dphi, dr)

    def star(self, solid: Solid, phi: Any, r: Any, dphi: Any, dr: float) -> Array:
        """Share of each tone on a star piped in all tones: the top, swirled towards the peak."""
        return self.above(solid, phi - 360.0 * swirl(solid, r), r, dphi, dr)

    def phrase(self, solid: Solid, listed: str) -> str:
        """The arrangement of two or more tones that are listed with their percents, for the sentence."""
        return f"{self.noun} {listed} by weight{self.order}"

    def told(self, figures: recipe.Arrangement) -> str:
        """The arrangement in a word or two, with the figures that set two of its kind apart."""
        return self.word.lower()

    def by_hand(self, solid: Solid, names: Sequence[str]) -> str:
        """What to measure while one jar of the named tones is filled, in a sentence, or ""."""
        return ""

    def findings(self, layout: Layout) -> Iterable[Finding]:
        """What she is told about two or more tones in this arrangement."""
        return ()


def cumulated(shares: Sequence[float]) -> tuple[float, ...]:
    """Edges of a row of shares, from 0 to exactly 1.

    >>> cumulated([1, 1, 2])
    (0.0, 0.25, 0.5, 1.0)
    """
    edges = [0.0, *accumulate(shares)]
    return tuple(edge / edges[-1] for edge in edges)


def between(value: Any, levels: Iterable[Any], foot: Any) -> Array:
    """Share of each tone where a field has a value and levels part the tones, the highest tone first.

    levels  rising, numbers or fields; foot: width of an edge, above 0

    >>> between(np.array([1.0, 5.0]), [2.0, 4.0], 0.1).tolist()
    [[0.0, 1.0], [0.0, 0.0], [1.0, 0.0]]
    """
    over = [np.ones_like(value)]
    over += [np.clip(0.5 + (value - level) / foot, 0.0, 1.0) for level in levels]
    over.append(np.zeros_like(value))
    return np.stack([low - high for low, high in itertools.pairwise(over)][::-1])


def swirl(solid: Solid, r: Any) -> Any:
    """How far the tones of a star are turned between the wall and the peak, in turns."""
    return HANDS[solid.figures.hand] * figure("jar", "star_swirl").value * (1.0 - r)


def one_bag(solid: Solid, phi: Any, dphi: Any, moved: Any = 0.0) -> Array:
    """Tones piped together from one bag, each a wedge of it; `moved` in turns."""
    u = (phi - solid.figures.start_deg) / 360.0 - moved
    return coverage_1d(u, dphi / 360.0, cumulated(solid.top_shares))


class BagStar(Rule):
    """An arrangement that no tip can pipe: its star is made of wedges from one bag."""

    def star(self, solid: Solid, phi: Any, r: Any, dphi: Any, dr: float) -> Array:
        """Share of each tone on a star: wedges from one bag, swirled towards the peak."""
        return one_bag(solid, phi, dphi, swirl(solid, r))


class PassageRule(BagStar):
    """An arrangement whose neighbours pass into each other, mixed in K and S along a way."""

    @abstractmethod
    def path(self, solid: Solid, z: Any) -> Any:
        """Place of a height on that way: 0 the lowest tone, n - 1 the highest."""

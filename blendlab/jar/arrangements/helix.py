"""Helix: wedges that wind up the jar."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan, degrees, pi
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from blendlab import recipe
from blendlab.jar.arrangements.rule import HANDS, Array, Asked, Rule, cumulated, one_bag
from blendlab.jar.projection import coverage_1d

if TYPE_CHECKING:
    from blendlab.jar.solid import Solid

COUNTS = {1.0: "one turn", 2.0: "two turns", 3.0: "three turns", 4.0: "four turns"}


class Helix(Rule):
    """Stripes that wind `turns` times over the fill; right-handed ones rise to the right in front."""

    word, noun = "Spiral", "spiral of"
    asked = (
        Asked("Turns", "turns"),
        Asked("Begins at, degrees", "start_deg"),
        Asked("Rises to the", "hand"),
    )
    around = piped = True

    def coverage(self, solid: Solid, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        """Share of each tone at an angle and a height, whatever the radius."""
        pitch, hand = solid.height / solid.figures.turns, HANDS[solid.figures.hand]
        level = z - moved_up(pitch, solid.figures.start_deg - phi, hand)
        return coverage_1d(-hand * level / pitch, np.hypot(dphi / 360.0, dz / pitch), cumulated(solid.shares))

    def above(self, solid: Solid, phi: Any, r: Any, dphi: Any, dr: float) -> Array:
        """The wedges that the stripes have become at the edge of the fill."""
        return one_bag(solid, phi, dphi, HANDS[solid.figures.hand] * solid.figures.turns)

    def phrase(self, solid: Solid, listed: str) -> str:
        """Hand and turns belong to a spiral."""
        figures = solid.figures
        turns = COUNTS.get(figures.turns, f"{figures.turns:g} turns")
        return f"{figures.hand}-handed {super().phrase(solid, listed)}, {turns}"

    def by_hand(self, solid: Solid, names: Sequence[str]) -> str:
        """How far a turn climbs, and how high each stripe stands on the wall."""
        pitch = solid.height / solid.figures.turns
        each = [stripe(solid.height, pitch, 2 * solid.radius, share) for share in solid.shares]
        high = ", ".join(f"{name} {own.high_mm:.1f} mm" for name, own in zip(names, each, strict=True))
        return (
            f"Spiral in a jar: {each[0].turns:g} turns, each climbs {pitch:.1f} mm, at "
            f"{each[0].angle_deg:.0f}°; stripes on the wall: {high}."
        )

    def told(self, figures: recipe.Arrangement) -> str:
        """A spiral with its turns and its hand."""
        return f"spiral {figures.turns:g} turns, {figures.hand}"


class Stripe(NamedTuple):
    """A stripe that winds up the wall: turns, its height on the wall [mm], its climb [degrees]."""

    turns: float
    high_mm: float
    angle_deg: float


def stripe(fill_mm: float, pitch_mm: float, inner_mm: float, share: float) -> Stripe:
    """Stripe of one tone in a helix; pitch: height of one turn, inner: diameter.

    >>> round(stripe(60, 20, 68.5, 0.5).angle_deg, 3)
    5.31
    """
    return Stripe(fill_mm / pitch_mm, pitch_mm * share, degrees(atan(pitch_mm / (pi * inner_mm))))


def moved_up(pitch: float, turn: Any, hand: int = 1) -> Any:
    """How far a helix seems to move up when the jar turns anticlockwise seen from above; mm and degrees.

    >>> moved_up(30, 90)
    -7.5
    """
    return -hand * pitch * turn / 360.0


RULE = Helix()

"""Wedges: tones side by side around the axis; two of them are halves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from blendlab.jar.arrangements.rule import Array, Asked, Rule, cumulated
from blendlab.jar.projection import coverage_1d

if TYPE_CHECKING:
    from blendlab.jar.solid import Solid


class Wedges(Rule):
    """Angles are shares by volume, the first tone from `start_deg` on, anticlockwise."""

    word, noun = "Wedges", "wedges of"
    asked = (Asked("Begins at, degrees", "start_deg"),)
    around = piped = True

    def coverage(self, solid: Solid, phi: Any, r: Any, z: Any, dphi: Any, dz: Any) -> Array:
        """Share of each tone at an angle, whatever the radius and the height."""
        return coverage_1d((phi - solid.figures.start_deg) / 360.0, dphi / 360.0, cumulated(solid.shares))

    def phrase(self, solid: Solid, listed: str) -> str:
        """Two wedges are halves."""
        return f"halves of {listed} by weight" if len(solid.shares) == 2 else super().phrase(solid, listed)


RULE = Wedges()

"""An arrangement that the app does not have: wedges that come round several times."""

from __future__ import annotations

from blendlab.jar.arrangements.rule import Asked, Rule, cumulated
from blendlab.jar.projection import coverage_1d


class Petals(Rule):
    """All tones as narrow wedges, `turns` times round the jar."""

    word, noun = "Petals", "petals of"
    asked = (Asked("Times round", "turns"), Asked("First petal at, degrees", "start_deg"))
    around = True

    def coverage(self, solid, phi, r, z, dphi, dz):
        """Share of each tone at an angle, whatever the radius and the height."""
        times = round(solid.figures.turns)
        u = times * (phi - solid.figures.start_deg) / 360.0
        return coverage_1d(u, times * dphi / 360.0, cumulated(solid.shares))


RULE = Petals()

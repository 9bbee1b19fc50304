"""Tones side by side in one piping bag: how many bags, and what goes into each side."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf, pi

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.jar.filled_jar import Layout
from blendlab.jar.volume import ML, tone_grams, wedge_angles
from blendlab.recipe import SHARED


@dataclass(frozen=True)
class Side:
    """One tone in the bag: grams in each bag, grams of it that one jar takes, and its angle round the bag."""

    id: str
    name: str
    bag_g: float
    jar_g: float
    angle_deg: float


@dataclass(frozen=True)
class Bags:
    """Bags for a number of jars; a top in one tone is not among them.

    count   bags, each filled alike
    bag_g   grams in one bag
    jar_ml  volume that one jar takes from the bag
    """

    count: int
    bag_g: float
    jar_ml: float
    sides: tuple[Side, ...]


def bags(layout: Layout, bag_ml: float, jars: int = 1, overfill_pct: float = 0.0) -> Bags:
    """Bags for so many jars whose filling is piped from one bag.

    Angles of the sides are shares by volume; a bag is filled by weight, so each side has its grams.

    overfill_pct  what every jar takes more than its net weight

    Raises OutOfRange for a bag or a number of jars of 0 or less.
    """
    for what, value, unit in (("bag", bag_ml, "ml"), ("jars", jars, "jars")):
        if value <= 0:
            raise OutOfRange(what, value, 0, inf, unit)
    solid, more = layout.solid, overfill_pct / 100
    density = [layout.densities.get(tone.id, 0.0) for tone in layout.tones]
    above = layout.top_ml if solid.top_tone == SHARED else 0.0
    takes = tone_grams(solid.shares, density, layout.fill_ml, above, overfill=more)
    whole = (layout.fill_ml + above) * (1 + more)
    count = max(1, ceil(round(whole * jars / bag_ml, 9)))
    angles = wedge_angles(takes, [value or 1.0 for value in density])
    sides = tuple(
        Side(tone.id, tone.name, grams * jars / count, grams, angle)
        for tone, grams, angle in zip(layout.tones, takes, angles, strict=True)
    )
    return Bags(count, sum(side.bag_g for side in sides), whole, sides)


def rope_mm(volume_ml: float, tip_mm: float) -> float:
    """Length of the rope that comes out of a round tip.

    >>> round(rope_mm(118.1, 16), 1)
    587.4
    """
    if tip_mm <= 0:
        raise OutOfRange("tip", tip_mm, 0, inf, "mm")
    return 4 * volume_ml * ML / (pi * tip_mm**2)


def rope_turns(fill_mm: float, tip_mm: float) -> float:
    """Turns of a filling laid as a rope: every coil is one turn and stands 0.8 of the tip's width high.

    >>> round(rope_turns(51, 14), 2)
    4.55
    """
    if tip_mm <= 0:
        raise OutOfRange("tip", tip_mm, 0, inf, "mm")
    return fill_mm / (figure("jar", "rope_overlap").value * tip_mm)

"""Tones side by side in one piping bag: how many bags, and what goes into each side."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.jar.filling import Layout


@dataclass(frozen=True)
class Side:
    """One tone in the bag: grams in each bag, and grams of it that one jar takes from the bag."""

    id: str
    name: str
    bag_g: float
    jar_g: float


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


def bags(layout: Layout, bag_ml: float, jars: int = 1) -> Bags:
    """Bags for so many jars whose filling is piped from one bag.

    Angles of the sides are shares by volume; a bag is filled by weight, so each side has its grams.

    Raises OutOfRange for a bag or a number of jars of 0 or less.
    """
    for what, value, unit in (("bag", bag_ml, "ml"), ("jars", jars, "jars")):
        if value <= 0:
            raise OutOfRange(what, value, 0, inf, unit)
    solid = layout.solid
    piped = [share * layout.fill_ml for share in solid.shares]
    if solid.top_tone == "shared":
        piped = [tone.ml for tone in layout.tones]
    whole = sum(piped)
    count = max(1, ceil(round(whole * jars / bag_ml, 9)))
    sides = []
    for tone, ml in zip(layout.tones, piped, strict=True):
        grams = ml * tone.grams / tone.ml if tone.ml else 0.0
        sides.append(Side(tone.id, tone.name, grams * jars / count, grams))
    return Bags(count, sum(side.bag_g for side in sides), whole, tuple(sides))


def rope_turns(fill_mm: float, tip_mm: float) -> float:
    """Turns of a filling laid as a rope: every coil is one turn and stands 0.8 of the tip's width high.

    >>> round(rope_turns(51, 14), 2)
    4.55
    """
    if tip_mm <= 0:
        raise OutOfRange("tip", tip_mm, 0, inf, "mm")
    return fill_mm / (figure("jar", "rope_overlap").value * tip_mm)

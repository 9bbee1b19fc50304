"""Round jars."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from blendlab.codec import choice, number, text
from blendlab.shelf.item import Item


@dataclass(frozen=True, kw_only=True)
class Jar(Item):
    """A round jar. Millimetres; `height_mm` from the inside bottom to the rim.

    outer_mm, inner_mm  diameters where the jar is widest
    corner_mm    fillet between wall and bottom; 0 until measured
    bottom_inner_mm  inside diameter at the bottom of a tapered jar; None = straight
    shoulder_mm  radius of a quarter-round shoulder, neck_mm: height of the neck above it; 0 = none
    water_g      water it takes to the brim, weighed; volumes are scaled to it
    lid          flat or domed; lid_inner_mm: height inside it above the rim
    wall_contact 0..1: how far the wetted wall deepens the tone; None = unknown (drawn as 0)
    """

    kind: ClassVar[str] = "jar"
    nominal_ml: float = number(1, 5000, "ml")
    outer_mm: float = number(10, 300, "mm")
    inner_mm: float = number(10, 300, "mm")
    height_mm: float = number(5, 400, "mm")
    base_mm: float = number(0.5, 30, "mm", default=3.0)
    corner_mm: float = number(0, 40, "mm", default=0.0)
    headspace_mm: float = number(0, 100, "mm", default=4.0)
    material: str = choice(
        ("glass", "acrylic", "polyester", "polystyrene", "polypropylene"), default="polyester"
    )
    lid_inner_mm: float = number(0, 80, "mm", default=6.0)
    lid: str = choice(("flat", "domed"), default="flat")
    bottom_inner_mm: float | None = number(10, 300, "mm", default=None)
    shoulder_mm: float = number(0, 80, "mm", default=0.0)
    neck_mm: float = number(0, 200, "mm", default=0.0)
    water_g: float | None = number(1, 5000, "g", default=None)
    wall_contact: float | None = number(0, 1, "", default=None)
    basis: str = text(300, default="")
    price_each: float | None = number(0, 10_000, "per jar with lid", default=None)

"""Jars to start from, refractive indices of their walls, and the habits the picture assumes."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from blendlab import shelf
from blendlab.errors import UnknownName
from blendlab.facts.read import number, table

if TYPE_CHECKING:
    from collections.abc import Mapping

JARS = "jar/jars.csv"
MATERIALS = "jar/materials.csv"
PRACTICE = "jar/practice.csv"


@cache
def jars() -> tuple[shelf.Jar, ...]:
    """Round jars of the trade, smallest first; typical geometry, to be measured by her.

    >>> len(jars()), jars()[0].nominal_ml
    (18, 30.0)
    """
    return tuple(_jar(row) for row in table(JARS))


def _jar(row: Mapping[str, str]) -> shelf.Jar:
    return shelf.Jar(
        id=row["id"].lower(),
        name=row["label"],
        nominal_ml=number(row, "nominal_ml"),
        outer_mm=number(row, "outer_mm"),
        inner_mm=number(row, "inner_mm"),
        height_mm=number(row, "height_mm"),
        base_mm=number(row, "base_mm"),
        corner_mm=number(row, "corner_mm"),
        headspace_mm=number(row, "headspace_mm"),
        lid_inner_mm=number(row, "lid_inner_mm"),
        lid=row["lid"],
        bottom_inner_mm=number(row, "bottom_inner_mm") if row["bottom_inner_mm"] else None,
        shoulder_mm=number(row, "shoulder_mm"),
        neck_mm=number(row, "neck_mm"),
        material=row["material"],
        basis=row["source"],
    )


@cache
def refractive_index(material: str) -> float:
    """Refractive index of the wall of a jar.

    >>> refractive_index("glass")
    1.52
    """
    found = {row["material"]: number(row, "n") for row in table(MATERIALS)}
    if material not in found:
        raise UnknownName("wall material", material, found)
    return found[material]


@cache
def habit(name: str) -> float:
    """One figure of practice by name, in the unit its row states.

    >>> habit("star_peak")
    20.0
    """
    found = {row["name"]: number(row, "value") for row in table(PRACTICE)}
    if name not in found:
        raise UnknownName("habit", name, found)
    return found[name]

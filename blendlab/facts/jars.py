"""Jars to start from: round ones of the trade, in usual sizes."""

from __future__ import annotations

from functools import cache

from blendlab import shelf
from blendlab.facts.read import Row, number, table


@cache
def jars() -> tuple[shelf.Jar, ...]:
    """Round jars of the trade, smallest first; typical geometry, to be measured by her.

    >>> len(jars()), jars()[0].nominal_ml
    (18, 30.0)
    """
    return tuple(_jar(row) for row in table("jar/jars"))


def _jar(row: Row) -> shelf.Jar:
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
        shoulder_mm=number(row, "shoulder_mm"),
        neck_mm=number(row, "neck_mm"),
        material=row["material"],
        basis=row["source"],
    )

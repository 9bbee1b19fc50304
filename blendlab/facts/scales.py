"""The two scales of the demo shelf."""

from __future__ import annotations

from blendlab.facts.read import number, table
from blendlab.shelf import Scale


def scales() -> tuple[Scale, ...]:
    """A kitchen scale and a fine scale.

    >>> [scale.step_g for scale in scales()]
    [1.0, 0.01]
    """
    return tuple(
        Scale(
            id=row["id"],
            name=row["name"],
            step_g=number(row, "step_g"),
            capacity_g=number(row, "capacity_g"),
        )
        for row in table("batch/scales.csv")
    )

"""Matrices and levels of the colour tables, each read once."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from blendlab.errors import UnknownName
from blendlab.facts.read import number, table

Array = NDArray[np.float64]


@cache
def matrix(name: str) -> Array:
    """One matrix [3, 3] of the colour tables, rows as printed in its source.

    Raises UnknownName.
    """
    rows = [row for row in table("tint/matrices") if row["id"] == name]
    if not rows:
        raise UnknownName("matrix", name, dict.fromkeys(row["id"] for row in table("tint/matrices")))
    return frozen([[number(row, column) for column in ("c1", "c2", "c3")] for row in rows])


def frozen(values: object) -> Array:
    """The values as a read-only array, so that a cached one cannot be changed by a caller."""
    array = np.array(values, dtype=float)
    array.setflags(write=False)
    return array

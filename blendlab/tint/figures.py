"""Figures of the colour tables as numbers and read-only arrays, each read once."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from blendlab.errors import UnknownName
from blendlab.facts.read import maybe_number, number, table

Array = NDArray[np.float64]


def constant(name: str) -> float:
    """Value of one constant of the colour tables.

    >>> constant("mica_cap")
    2.0
    """
    return number(_constants()[name], "value")


def constant_range(name: str) -> tuple[float, float, float]:
    """Low, likely and high value of one constant.

    >>> constant_range("brown_rate")
    (0.5, 2.0, 8.0)
    """
    row = _constants()[name]
    likely = number(row, "value")
    low, high = maybe_number(row, "low"), maybe_number(row, "high")
    return (likely if low is None else low), likely, (likely if high is None else high)


def source(name: str) -> str:
    """Where a constant comes from."""
    return _constants()[name]["source"]


@cache
def _constants() -> dict[str, dict[str, str]]:
    return {row["id"]: dict(row) for row in table("tint/constants.csv")}


@cache
def matrix(name: str) -> Array:
    """One matrix [3, 3] of the colour tables, rows as printed in its source.

    Raises UnknownName.
    """
    rows = [row for row in table("tint/matrices.csv") if row["id"] == name]
    if not rows:
        raise UnknownName("matrix", name, dict.fromkeys(row["id"] for row in table("tint/matrices.csv")))
    return frozen([[number(row, column) for column in ("c1", "c2", "c3")] for row in rows])


def frozen(values: object) -> Array:
    """The values as a read-only array, so that a cached one cannot be changed by a caller."""
    array = np.array(values, dtype=float)
    array.setflags(write=False)
    return array

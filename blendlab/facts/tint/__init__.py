"""Constants of the colour tables."""

from __future__ import annotations

from functools import cache

from blendlab.facts.read import maybe_number, number, table


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

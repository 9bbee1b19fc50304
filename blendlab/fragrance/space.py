"""Blends that are allowed, as grams of oil in 100 g of product.

Every limit is one row: grams @ rows <= most. Rows are divided by their right-hand side before a
solver sees them, because limits of 1e-4 would drown in its tolerances.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
BINDS = 1e-7
"""A row binds when less than this share of it is free."""
DUST = 1e-9
"""What a solver leaves over a row, as a share of it, or of an oil, in grams."""


@dataclass(frozen=True)
class Space:
    """Blends that are allowed.

    total      grams of all oils in 100 g of product, the load; more than 0
    rows       shape (m, n); most: shape (m,); names of the rows
    low        least grams of each oil, shape (n,); high: most, shape (n,)
    low_names  position of an oil -> name of its minimum
    """

    total: float
    rows: Floats
    most: Floats
    names: tuple[str, ...]
    low: Floats
    high: Floats
    low_names: Mapping[int, str] = field(default_factory=dict)

    def scales(self) -> Floats:
        """What each row is divided by: its right-hand side, or its largest entry where that is 0."""
        scale = np.where(self.most > 0, self.most, np.abs(self.rows).max(axis=1, initial=0.0))
        return np.asarray(np.where(scale > 0, scale, 1.0))

    def scaled(self) -> tuple[Floats, Floats]:
        """Rows near 1. A row of 0 forbids what it counts."""
        scale = self.scales()
        return self.rows / scale[:, None], self.most / scale

    def used(self, grams: Floats) -> Floats:
        """Share of each row that some grams use, shape (m,)."""
        rows, most = self.scaled()
        return np.asarray(rows @ grams - most + 1.0)

    def holds(self, grams: Floats) -> bool:
        """Whether some grams keep every row and every minimum."""
        return bool((self.used(grams) <= 1 + DUST).all() and (grams >= self.low - DUST).all())

    def binding(self, grams: Floats) -> tuple[str, ...]:
        """Names of the rows that some grams use up, and of the minimums they just meet."""
        rows = [name for name, share in zip(self.names, self.used(grams), strict=True) if share > 1 - BINDS]
        at_least = [name for at, name in self.low_names.items() if grams[at] <= self.low[at] * (1 + BINDS)]
        return (*rows, *at_least)

    def at(self, total: float) -> Space:
        """The space at another load: what is barred stays barred, minimums keep their share."""
        low = self.low * total / self.total
        return replace(self, total=total, low=low, high=np.where(self.high > 0, total, 0.0))


def space(
    total: float,
    count: int,
    rows: Mapping[str, tuple[Sequence[float], float]],
    low: Mapping[int, float] | None = None,
    high: Mapping[int, float] | None = None,
    low_names: Mapping[int, str] | None = None,
) -> Space:
    """The space of blends of `count` oils.

    rows       name -> (one factor an oil, most): sum(factor x grams) <= most
    low, high  position of an oil -> grams

    >>> space(1.0, 2, {"coumarin": ([0.01, 0.0], 0.004)}).names
    ('coumarin',)
    """
    least, most = np.zeros(count), np.full(count, total)
    for position, grams in (low or {}).items():
        least[position] = grams
    for position, grams in (high or {}).items():
        most[position] = min(total, grams)
    named = {at: (low_names or {}).get(at, f"at least some oil {at + 1}") for at in (low or {})}
    table = np.array([factors for factors, _ in rows.values()], float).reshape(len(rows), count)
    ends = np.array([end for _, end in rows.values()], float)
    return Space(total, table, ends, tuple(rows), least, most, named)

"""What her own rows would have to be for a blend to exist: the least relaxation that lets one through."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from blendlab.fragrance.solver import NoBlend, solve
from blendlab.fragrance.space import DUST, Space


@dataclass(frozen=True)
class Relaxation:
    """Rows and minimums with the least value they would need; both empty when nothing has to give.

    rows  row -> the least right-hand side that lets a blend through
    lows  position of an oil -> the minimum that would still fit, grams in 100 g of product
    """

    rows: Mapping[str, float]
    lows: Mapping[int, float]


def explain(space_: Space, loose_rows: Sequence[str] = (), loose_lows: bool = False) -> Relaxation:
    """Least relaxation, relative to each row or minimum, that makes a space non-empty; raises NoBlend.

    loose_rows  rows of her own that may give; law, Standards and sheets are never among them
    loose_lows  whether the minimums may give

    >>> from blendlab.fragrance.space import space
    >>> tight = space(1.0, 2, {"house cap": ([0.01, 0.01], 0.005)})
    >>> round(explain(tight, ["house cap"]).rows["house cap"], 9)
    0.01
    """
    rows, most = space_.scaled()
    n, lows = len(space_.low), np.flatnonzero(space_.low > 0)
    every = np.vstack([rows, -np.eye(n)[lows] / space_.low[lows, None]])
    ends = np.concatenate([most, -np.ones(len(lows))])
    loose = np.array([*(name in loose_rows for name in space_.names), *[loose_lows] * len(lows)], bool)
    slack = -np.eye(len(every))[:, loose]
    cost = np.concatenate([np.zeros(n), np.ones(slack.shape[1])])
    bounds = [*((0, high) for high in space_.high), *[(0, None)] * slack.shape[1]]
    total = np.array([space_.total])
    found = solve(cost, np.hstack([every, slack]), ends, 1.0 - cost[None, :], total, bounds)
    if found.status != 0:
        raise NoBlend(space_.names)
    gives = np.zeros(len(every))
    gives[loose] = found.x[n:]
    rest = zip(space_.names, space_.most, space_.scales(), gives, strict=False)
    return Relaxation(
        {name: float(end + scale * by) for name, end, scale, by in rest if by > DUST},
        {
            int(at): float(space_.low[at] * (1 - by))
            for at, by in zip(lows, gives[len(rows) :], strict=True)
            if by > DUST
        },
    )

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
    n, m = len(space_.low), len(rows)
    loose = np.array([name in loose_rows for name in space_.names], bool)
    slack = -np.eye(m)[:, loose]
    lows = np.flatnonzero(space_.low > 0) if loose_lows else np.zeros(0, int)
    floor = np.zeros((len(lows), n + slack.shape[1] + len(lows)))
    for line, position in enumerate(lows):
        floor[line, position] = -1.0 / space_.low[position]
        floor[line, n + slack.shape[1] + line] = -1.0
    wide = np.vstack([np.hstack([rows, slack, np.zeros((m, len(lows)))]), floor])
    ends = np.concatenate([most, -np.ones(len(lows))])
    whole = np.concatenate([np.ones(n), np.zeros(wide.shape[1] - n)])[None, :]
    least = np.where(np.isin(np.arange(n), lows), 0.0, space_.low)
    bounds = [*zip(least, space_.high, strict=True), *[(0, None)] * (wide.shape[1] - n)]
    cost = np.concatenate([np.zeros(n), np.ones(wide.shape[1] - n)])
    found = solve(cost, wide, ends, whole, np.array([space_.total]), bounds)
    if found.status != 0:
        raise NoBlend(space_.names)
    gives = found.x[n:]
    opened = {
        space_.names[row]: float(space_.most[row] + scale * by)
        for row, scale, by in zip(np.flatnonzero(loose), space_.scales()[loose], gives, strict=False)
        if by > DUST
    }
    lowered = {
        int(position): float(space_.low[position] * (1 - by))
        for position, by in zip(lows, gives[slack.shape[1] :], strict=True)
        if by > DUST
    }
    return Relaxation(opened, lowered)

"""Linear and quadratic programs over grams of oil in 100 g of product.

Every limit is one row: grams @ rows <= most. Rows are divided by their right-hand side before a
solver sees them, because limits of 1e-4 would drown in its tolerances.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from blendlab.errors import BlendlabError

Floats = NDArray[np.float64]
BINDS = 1e-7
"""A row binds when less than this share of it is free."""


class NoBlend(BlendlabError, ValueError):
    """No blend meets every row at this load.

    >>> str(NoBlend(("Eugenol",)))
    'No blend meets every row; in the way: Eugenol.'
    """

    def __init__(self, rows: Sequence[str] = ()) -> None:
        self.rows = tuple(rows)
        told = f"; in the way: {', '.join(self.rows)}" if self.rows else ""
        super().__init__(f"No blend meets every row{told}.")


@dataclass(frozen=True)
class Space:
    """Blends that are allowed.

    total   grams of all oils in 100 g of product, the load
    rows    shape (m, n); most: shape (m,); names of the rows
    low     least grams of each oil, shape (n,); high: most, shape (n,)
    """

    total: float
    rows: Floats
    most: Floats
    names: tuple[str, ...]
    low: Floats
    high: Floats

    def scaled(self) -> tuple[Floats, Floats]:
        """Rows near 1. A row of 0 forbids what it counts: its own scale is its largest entry."""
        scale = np.where(self.most > 0, self.most, np.abs(self.rows).max(axis=1, initial=0.0))
        scale = np.where(scale > 0, scale, 1.0)
        return self.rows / scale[:, None], self.most / scale

    def used(self, grams: Floats) -> Floats:
        """Share of each row that some grams use, shape (m,)."""
        rows, most = self.scaled()
        return np.asarray(rows @ grams - most + 1.0)

    def binding(self, grams: Floats) -> tuple[str, ...]:
        """Names of the rows that some grams use up."""
        return tuple(
            name for name, share in zip(self.names, self.used(grams), strict=True) if share > 1 - BINDS
        )


def space(
    total: float,
    count: int,
    rows: Mapping[str, tuple[Sequence[float], float]],
    low: Mapping[int, float] | None = None,
    high: Mapping[int, float] | None = None,
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
    table = np.array([factors for factors, _ in rows.values()], float).reshape(len(rows), count)
    return Space(total, table, np.array([end for _, end in rows.values()], float), tuple(rows), least, most)


@dataclass(frozen=True)
class Answer:
    """Grams of each oil in 100 g of product.

    objective  what was minimised
    binding    rows that are used up
    slopes     row -> change of the objective per unit of its right-hand side
    low_slopes position of an oil at its minimum -> change of the objective per gram more
    """

    grams: Floats
    objective: float
    binding: tuple[str, ...]
    slopes: Mapping[str, float] = field(default_factory=dict)
    low_slopes: Mapping[int, float] = field(default_factory=dict)


def _solve(cost: Floats, rows: Floats, most: Floats, same: Floats, equal: Floats, bounds: Any) -> Any:
    from scipy.optimize import linprog

    return linprog(
        cost,
        A_ub=rows if len(rows) else None,
        b_ub=most if len(rows) else None,
        A_eq=same,
        b_eq=equal,
        bounds=bounds,
        method="highs",
        options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10},
    )


def _deviation_lp(space_: Space, same: Floats, equal: Floats, weights: Floats) -> Answer:
    """Least sum weights |same @ x - equal| over the space; raises NoBlend."""
    n, d = len(space_.low), len(equal)
    rows, most = space_.scaled()
    wide = np.hstack([rows, np.zeros((len(rows), 2 * d))])
    split = np.hstack([same, -np.eye(d), np.eye(d)])
    whole = np.concatenate([np.ones(n), np.zeros(2 * d)])[None, :]
    bounds = [*zip(space_.low, space_.high, strict=True), *[(0, None)] * (2 * d)]
    cost = np.concatenate([np.zeros(n), weights, weights])
    found = _solve(cost, wide, most, np.vstack([split, whole]), np.append(equal, space_.total), bounds)
    if found.status != 0:
        raise NoBlend()
    grams = np.asarray(found.x[:n])
    duals = found.ineqlin.marginals if len(rows) else np.zeros(0)
    slopes = {
        name: float(dual * (scaled / raw if raw else 1.0))
        for name, dual, scaled, raw in zip(space_.names, duals, most, space_.most, strict=True)
        if dual
    }
    lows = {one: float(found.lower.marginals[one]) for one in range(n) if space_.low[one] > 0}
    return Answer(grams, float(found.fun), space_.binding(grams), slopes, lows)


def nearest_notes(
    space_: Space, note_shares: Floats, target: Sequence[float], wish: Sequence[float] | None = None
) -> Answer:
    """Blend whose top, middle and base come nearest to a target, by the sum of absolute deviations.

    note_shares  shape (n, 3); target: three shares, sum 1
    wish         among equally good blends take the one nearest to these grams

    Raises NoBlend.

    >>> two = space(1.0, 2, {})
    >>> nearest_notes(two, np.array([[1.0, 0, 0], [0, 0, 1.0]]), [0.25, 0, 0.75]).grams.round(6).tolist()
    [0.25, 0.75]
    """
    same = np.asarray(note_shares, float).T / space_.total
    found = _deviation_lp(space_, same, np.asarray(target, float), np.ones(3))
    if wish is None:
        return found
    held = _holding(space_, same, np.asarray(target, float), found.objective)
    tied = nearest_even(held, wish)
    return Answer(tied.grams, found.objective, space_.binding(tied.grams), found.slopes, found.low_slopes)


def _holding(space_: Space, same: Floats, target: Floats, objective: float) -> Space:
    """The space in which every signed sum of deviations stays at the optimum."""
    signs = np.array([[a, b, c] for a in (1, -1) for b in (1, -1) for c in (1, -1)], float)
    room = objective + 1e-9 + signs @ target
    return Space(
        space_.total,
        np.vstack([space_.rows, signs @ same]),
        np.concatenate([space_.most, room]),
        (*space_.names, *(f"notes {one}" for one in range(len(signs)))),
        space_.low,
        space_.high,
    )


def notes_of(space_: Space, grams: Floats, note_shares: Floats) -> Floats:
    """Top, middle and base of some grams, shares of the load, shape (3,)."""
    return np.asarray(grams @ np.asarray(note_shares, float) / space_.total)


def nearest_few(space_: Space, wish: Sequence[float], weights: Sequence[float] | None = None) -> Answer:
    """Allowed blend nearest to a wish by absolute changes: few oils move. Raises NoBlend."""
    n = len(space_.low)
    scale = np.ones(n) if weights is None else np.asarray(weights, float)
    return _deviation_lp(space_, np.eye(n), np.asarray(wish, float), scale)


def nearest_even(space_: Space, wish: Sequence[float], weights: Sequence[float] | None = None) -> Answer:
    """Allowed blend nearest to a wish by squared changes: the change is spread. Raises NoBlend.

    A least-distance problem solved by non-negative least squares (Lawson and Hanson 1974, chapter 23),
    then polished on its active rows.

    >>> nearest_even(space(1.0, 2, {"a": ([1.0, 0.0], 0.3)}), [0.5, 0.5]).grams.round(9).tolist()
    [0.3, 0.7]
    """
    from scipy.linalg import null_space

    n = len(space_.low)
    wanted = np.asarray(wish, float)
    root = np.sqrt(np.ones(n) if weights is None else np.asarray(weights, float))
    rows, most = space_.scaled()
    edges = np.vstack([rows, np.eye(n), -np.eye(n)]) / root
    room = np.concatenate([most, space_.high, -space_.low]) - edges @ (root * wanted)
    across = 1.0 / root
    start = across * (space_.total - wanted.sum()) / (across @ across)
    basis = null_space(across[None, :])
    y = _least_distance(-(edges @ basis), -(room - edges @ start))
    grams = np.clip(wanted + (start + basis @ y) / root, space_.low, space_.high)
    return Answer(grams, float((root * (grams - wanted)) @ (root * (grams - wanted))), space_.binding(grams))


def _least_distance(c: Floats, d: Floats) -> Floats:
    """Shortest y with c @ y >= d; raises NoBlend when there is none."""
    from scipy.optimize import nnls

    length = np.linalg.norm(c, axis=1)
    flat = length < 1e-14
    if np.any(d[flat] > 1e-9):
        raise NoBlend()
    c, d = c[~flat] / length[~flat, None], d[~flat] / length[~flat]
    if np.all(d <= 0):
        return np.zeros(c.shape[1])
    wall = np.vstack([c.T, d])
    goal = np.zeros(len(wall))
    goal[-1] = 1.0
    weights, rest = nnls(wall, goal)
    residual = wall @ weights - goal
    if rest < 1e-9 or abs(residual[-1]) < 1e-12:
        raise NoBlend()
    y = -residual[:-1] / residual[-1]
    active = weights > 0
    polished = np.linalg.lstsq(c[active], d[active], rcond=None)[0]
    return np.asarray(polished if np.all(c @ polished >= d - 1e-10) else y)


def scale_down(space_: Space, wish: Sequence[float]) -> float:
    """Highest load at which the shares of a wish keep every row, at most the load of the space.

    >>> scale_down(space(1.0, 2, {"a": ([1.0, 0.0], 0.25)}), [0.5, 0.5])
    0.5
    """
    grams = np.asarray(wish, float)
    used = space_.rows @ grams
    with np.errstate(divide="ignore", invalid="ignore"):
        ratios = np.where(used > 0, space_.most / used, np.inf)
        caps = np.where(grams > space_.high, space_.high / grams, np.inf)
    factor = min(1.0, float(ratios.min(initial=np.inf)), float(caps.min(initial=np.inf)))
    return max(0.0, factor) * float(grams.sum())


def highest_total(space_: Space) -> float:
    """Highest load of any blend in the space, its own load left aside."""
    rows, most = space_.scaled()
    n = len(space_.low)
    bounds = [
        (low, None if high >= space_.total else high)
        for low, high in zip(space_.low, space_.high, strict=True)
    ]
    found = _solve(-np.ones(n), rows, most, np.zeros((1, n)), np.zeros(1), bounds)
    return float("inf") if found.status == 3 else (0.0 if found.status else -float(found.fun))


@dataclass(frozen=True)
class Relaxation:
    """What stands in the way: rows and minimums with the least value they would need.

    feasible  whether nothing has to give
    rows      row -> the least right-hand side that lets a blend through
    lows      position of an oil -> the minimum that would still fit
    cause     names of the rows and positions of the minimums that meet
    """

    feasible: bool
    rows: Mapping[str, float]
    lows: Mapping[int, float]


def explain(space_: Space, loose_rows: Sequence[str], loose_lows: bool = False) -> Relaxation:
    """Least relaxation, relative to each row, that makes a space non-empty.

    loose_rows  house rows that may give; law, Standards and sheets are never among them

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
    found = _solve(cost, wide, ends, whole, np.array([space_.total]), bounds)
    if found.status != 0:
        raise NoBlend(space_.names)
    give = found.x[n : n + slack.shape[1]]
    scale = np.where(most > 0, space_.most / np.where(most > 0, most, 1.0), 1.0)[loose]
    opened = {
        name: float(end + more * by)
        for name, end, more, by in zip(
            np.array(space_.names, object)[loose], space_.most[loose], give, scale, strict=True
        )
        if more > 1e-9
    }
    lowered = {
        int(position): float(space_.low[position] * (1 - more))
        for position, more in zip(lows, found.x[n + slack.shape[1] :], strict=True)
        if more > 1e-9
    }
    return Relaxation(not opened and not lowered, opened, lowered)

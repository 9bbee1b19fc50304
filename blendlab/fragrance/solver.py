"""The allowed blend nearest to a wish, and the highest load: linear and quadratic programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from blendlab.errors import BlendlabError
from blendlab.fragrance.space import DUST, Floats, Space


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
class Nearest:
    """Grams of each oil in 100 g of product.

    objective   what was minimised
    binding     rows that are used up and minimums that are just met
    slopes      row -> change of the objective per unit of its right-hand side
    low_slopes  position of an oil with a minimum -> change of the objective per gram more
    """

    grams: Floats
    objective: float
    binding: tuple[str, ...]
    slopes: Mapping[str, float] = field(default_factory=dict)
    low_slopes: Mapping[int, float] = field(default_factory=dict)


def solve(cost: Floats, rows: Floats, most: Floats, same: Floats, equal: Floats, bounds: Any) -> Any:
    """A linear program by HiGHS with tolerances below the smallest limit."""
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


def _deviation_lp(space_: Space, same: Floats, equal: Floats, weights: Floats) -> Nearest:
    """Least sum weights |same @ x - equal| over the space; raises NoBlend."""
    n, d = len(space_.low), len(equal)
    rows, most = space_.scaled()
    wide = np.hstack([rows, np.zeros((len(rows), 2 * d))])
    split = np.hstack([same, -np.eye(d), np.eye(d)])
    whole = np.concatenate([np.ones(n), np.zeros(2 * d)])[None, :]
    bounds = [*zip(space_.low, space_.high, strict=True), *[(0, None)] * (2 * d)]
    cost = np.concatenate([np.zeros(n), weights, weights])
    found = solve(cost, wide, most, np.vstack([split, whole]), np.append(equal, space_.total), bounds)
    if found.status != 0:
        raise NoBlend()
    grams = np.asarray(found.x[:n])
    duals = found.ineqlin.marginals if len(rows) else np.zeros(0)
    slopes = {
        name: float(dual / scale)
        for name, dual, scale in zip(space_.names, duals, space_.scales(), strict=True)
        if dual
    }
    lows = {at: float(found.lower.marginals[at]) for at in space_.low_names}
    return Nearest(grams, float(found.fun), space_.binding(grams), slopes, lows)


def nearest_notes(
    space_: Space, note_shares: Floats, target: Sequence[float], wish: Sequence[float] | None = None
) -> Nearest:
    """Blend whose top, middle and base come nearest to a target, by the sum of absolute deviations.

    note_shares  shape (n, 3); target: three shares, sum 1
    wish         among equally good blends take the one nearest to these grams

    Raises NoBlend.

    >>> from blendlab.fragrance.space import space
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
    return Nearest(tied.grams, found.objective, space_.binding(tied.grams), found.slopes, found.low_slopes)


def _holding(space_: Space, same: Floats, target: Floats, objective: float) -> Space:
    """The space in which every signed sum of deviations stays at the optimum."""
    signs = np.array([[a, b, c] for a in (1, -1) for b in (1, -1) for c in (1, -1)], float)
    room = objective + DUST + signs @ target
    return replace(
        space_,
        rows=np.vstack([space_.rows, signs @ same]),
        most=np.concatenate([space_.most, room]),
        names=(*space_.names, *(f"notes {number}" for number in range(len(signs)))),
    )


def nearest_few(space_: Space, wish: Sequence[float]) -> Nearest:
    """Allowed blend nearest to a wish by absolute changes: few oils move. Raises NoBlend."""
    n = len(space_.low)
    return _deviation_lp(space_, np.eye(n), np.asarray(wish, float), np.ones(n))


def nearest_even(space_: Space, wish: Sequence[float]) -> Nearest:
    """Allowed blend nearest to a wish by squared changes: the change is spread. Raises NoBlend.

    A least-distance problem solved by non-negative least squares (Lawson and Hanson 1974, chapter 23),
    then polished on its active rows.

    >>> from blendlab.fragrance.space import space
    >>> nearest_even(space(1.0, 2, {"a": ([1.0, 0.0], 0.3)}), [0.5, 0.5]).grams.round(9).tolist()
    [0.3, 0.7]
    """
    from scipy.linalg import null_space

    n = len(space_.low)
    wanted = np.asarray(wish, float)
    rows, most = space_.scaled()
    edges = np.vstack([rows, np.eye(n), -np.eye(n)])
    level = wanted + (space_.total - wanted.sum()) / n
    room = np.concatenate([most, space_.high, -space_.low]) - edges @ level
    basis = null_space(np.ones((1, n)))
    y = _least_distance(-(edges @ basis), -room)
    grams = np.clip(level + basis @ y, space_.low, space_.high)
    return Nearest(grams, float((grams - wanted) @ (grams - wanted)), space_.binding(grams))


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
    """Highest load at which the shares of a wish keep every row, at most the load of the wish.

    0 when a share lies below its minimum: scaling never raises a share.

    >>> from blendlab.fragrance.space import space
    >>> scale_down(space(1.0, 2, {"a": ([1.0, 0.0], 0.25)}), [0.5, 0.5])
    0.5
    """
    grams = np.asarray(wish, float)
    if (grams * space_.total < space_.low * grams.sum() - DUST).any():
        return 0.0
    used = space_.rows @ grams
    with np.errstate(divide="ignore", invalid="ignore"):
        ratios = np.where(used > 0, space_.most / used, np.inf)
        caps = np.where(grams > space_.high, space_.high / grams, np.inf)
    factor = min(1.0, float(ratios.min(initial=np.inf)), float(caps.min(initial=np.inf)))
    return max(0.0, factor) * float(grams.sum())


def highest_total(space_: Space) -> float:
    """Highest load of any blend in the space, its own load left aside; minimums keep their share."""
    rows, most = space_.scaled()
    n = len(space_.low)
    least = np.flatnonzero(space_.low > 0)
    part = space_.low[least] / space_.total
    rows = np.vstack([rows, part[:, None] - np.eye(n)[least]])
    most = np.concatenate([most, np.zeros(len(least))])
    bounds = [(0, None if high >= space_.total else high) for high in space_.high]
    found = solve(-np.ones(n), rows, most, np.zeros((1, n)), np.zeros(1), bounds)
    return float("inf") if found.status == 3 else (0.0 if found.status else -float(found.fun))

"""A wanted colour to recipes: every set of at most three pigments, solved at once.

Levenberg and Marquardt, in steps of about CIEDE2000, with the doses held between 0 and their caps:
a dose that sits on a bound and wants to leave it is frozen for that step. "Nothing nearer exists"
holds in the model only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.shelf import Base, Pigment
from blendlab.tint.appearance import KNEE, cube_root, opponent
from blendlab.tint.arrays import Array
from blendlab.tint.difference import delta_e_2000, metric
from blendlab.tint.kubelka_munk import reflectance, reflectance_slope
from blendlab.tint.spectra import lab_of, weights, white_point

_CHUNK = 256
_FIRST, _LATER, _KEPT, _POLISHED = 10, 40, 200, 24
_STARTS = (0.01, 0.15, 0.9)


@dataclass(frozen=True, eq=False)
class Match:
    """One recipe: percents of the finished portion by pigment id, its Lab, CIEDE2000 to the target.

    limits  ids of pigments that stand on their cap, and "total" when all together do
    """

    doses: Mapping[str, float]
    lab: Array
    delta_e00: float
    limits: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Problem:
    """Target Lab with its metric, pigments k and s [n, 31], base k0, s0, caps [n] and total in percent."""

    target: Array
    metric: Array
    k: Array
    s: Array
    k0: Array
    s0: Array
    caps: Array
    total: float


def match(
    target: ArrayLike,
    pigments: Sequence[Pigment],
    base: Base,
    most: int = 3,
    caps: Mapping[str, float] | None = None,
    total_pct: float | None = None,
    portion_g: float | None = None,
    step_g: float = 0.01,
    count: int = 12,
) -> tuple[Match, ...]:
    """Recipes for a colour, the best first: nearer by half a Delta E, then fewer pigments.

    target     Lab (D65, 2 degrees) of the open surface
    most       pigments in a recipe, 1 to 3
    caps       pigment id -> highest percent; else the cap of the pigment
    total_pct  highest percent of all together; None = the most a base bears unchanged
    portion_g  mass of the portion [g]: doses are then rounded to what the scale can show
    step_g     step of that scale [g]

    Raises OutOfRange for `most` outside 1 to 3, or no pigment.

    >>> from blendlab.facts.palette import bases, starter
    >>> reds = [starter("iron_oxide_red"), starter("iron_oxide_yellow")]
    >>> best = match([82.399, 13.8755, 6.2719], reds, bases()[0])[0]
    >>> {name: round(pct, 2) for name, pct in best.doses.items()}, round(best.delta_e00, 1)
    ({'iron_oxide_red': 0.3}, 0.0)
    """
    if not 1 <= most <= 3:
        raise OutOfRange("pigments in a recipe", most, 1, 3, "pigments")
    if not pigments:
        raise OutOfRange("pigments to choose from", 0, 1, float("inf"), "pigments")
    problem = problem_of(target, pigments, base, caps, total_pct)
    found: list[Match] = []
    for size in range(1, min(most, len(pigments)) + 1):
        found += _best_of_size(problem, pigments, size, portion_g, step_g)
    found = [recipe for recipe in found if all(pct > 1e-6 for pct in recipe.doses.values())]
    return tuple(sorted(found, key=_rank)[:count])


def problem_of(
    target: ArrayLike,
    pigments: Sequence[Pigment],
    base: Base,
    caps: Mapping[str, float] | None = None,
    total_pct: float | None = None,
) -> Problem:
    """The numbers of a search; arguments as in `match`."""
    return Problem(
        np.asarray(target, dtype=float),
        metric(target),
        np.array([pigment.k for pigment in pigments]),
        np.array([pigment.s for pigment in pigments]),
        np.array(base.k0),
        np.array(base.s0),
        np.array([(caps or {}).get(pigment.id, pigment.cap_pct) for pigment in pigments]),
        figure("tint", "solids_cap").value if total_pct is None else total_pct,
    )


def _rank(recipe: Match) -> tuple[float, int, float]:
    return round(recipe.delta_e00 * 2.0) / 2.0, len(recipe.doses), recipe.delta_e00


def _best_of_size(
    problem: Problem, pigments: Sequence[Pigment], size: int, portion_g: float | None, step_g: float
) -> list[Match]:
    sets = np.array(list(combinations(range(len(pigments)), size)))
    x, cost = solve(problem, sets, 0.15, _FIRST)
    kept = np.argsort(cost, kind="stable")[:_KEPT]
    sets, x, cost = sets[kept], x[kept], cost[kept]
    for start in _STARTS:
        again, again_cost = solve(problem, sets, start, _LATER)
        better = again_cost < cost
        x[better], cost[better] = again[better], again_cost[better]
    apart = delta_e_2000(labs_of(problem, sets, x), problem.target)
    kept = np.argsort(apart, kind="stable")[:_POLISHED]
    sets, x = sets[kept], polish(problem, sets[kept], x[kept])
    if portion_g is not None:
        x = _to_scale(problem, sets, x, 100.0 * step_g / portion_g)
    lab = labs_of(problem, sets, x)
    apart = delta_e_2000(lab, problem.target)
    return [
        Match(
            {pigments[at].id: float(pct) for at, pct in zip(chosen, doses, strict=True)},
            lab[row],
            float(apart[row]),
            _limits(problem, pigments, chosen, doses),
        )
        for row, (chosen, doses) in enumerate(zip(sets, x, strict=True))
    ]


def _limits(
    problem: Problem, pigments: Sequence[Pigment], chosen: NDArray[np.intp], doses: Array
) -> tuple[str, ...]:
    capped = [
        pigments[at].id
        for at, pct in zip(chosen, doses, strict=True)
        if pct >= problem.caps[at] * (1.0 - 1e-6)
    ]
    return (*capped, "total") if doses.sum() >= problem.total * (1.0 - 1e-6) else tuple(capped)


def solve(problem: Problem, sets: NDArray[np.intp], start: float, steps: int) -> tuple[Array, Array]:
    """Doses [sets, n] and squared distance, in chunks that fit the cache."""
    parts = [
        _solve_chunk(problem, sets[at : at + _CHUNK], start, steps) for at in range(0, len(sets), _CHUNK)
    ]
    return np.concatenate([x for x, _ in parts]), np.concatenate([cost for _, cost in parts])


def _solve_chunk(problem: Problem, sets: NDArray[np.intp], start: float, steps: int) -> tuple[Array, Array]:
    k, s, caps = problem.k[sets], problem.s[sets], problem.caps[sets]
    x = inside(caps * start, caps, problem.total)
    f, J = _residual(problem, k, s, x)
    cost = (f * f).sum(axis=1)
    damping = np.full(len(sets), 1e-2)
    for _ in range(steps):
        tried = inside(x + _step(f, J, x, caps, damping), caps, problem.total)
        f_new, J_new = _residual(problem, k, s, tried)
        cost_new = (f_new * f_new).sum(axis=1)
        better = cost_new < cost
        x[better], f[better], J[better] = tried[better], f_new[better], J_new[better]
        cost = np.where(better, cost_new, cost)
        damping = np.clip(np.where(better, damping / 5.0, damping * 6.0), 1e-9, 1e9)
    return x, cost


def inside(x: Array, caps: Array, total: float) -> Array:
    """Doses [..., n] between 0 and their caps [..., n], scaled down where they add up to more than `total`.

    >>> inside(np.array([0.4, 0.9]), np.array([0.6, 0.6]), 0.5).round(6).tolist()
    [0.2, 0.3]
    """
    held = np.clip(x, 0.0, caps)
    over = np.maximum(held.sum(axis=-1, keepdims=True) / total, 1.0)
    return np.asarray(held / over)


def _step(f: Array, J: Array, x: Array, caps: Array, damping: Array) -> Array:
    size = x.shape[1]
    A = np.einsum("bin,bim->bnm", J, J)
    g = np.einsum("bin,bi->bn", J, f)
    frozen = ((x <= 0.0) & (g > 0.0)) | ((x >= caps) & (g < 0.0))
    free = ~frozen
    A *= free[:, :, None] & free[:, None, :]
    diagonal = np.einsum("bnn->bn", A)
    scale = np.where(frozen, 1.0, diagonal + 1e-12)
    A += (np.where(frozen, 1.0, scale * damping[:, None] + 1e-9))[:, :, None] * np.eye(size)
    return np.asarray(-np.linalg.solve(A, (g * free)[:, :, None])[:, :, 0])


def _residual(problem: Problem, k: Array, s: Array, x: Array) -> tuple[Array, Array]:
    """Distance to the target in about CIEDE2000 [b, 3] and its slopes by dose [b, 3, n]."""
    S = np.einsum("bn,bnl->bl", x, s) + problem.s0
    q = (np.einsum("bn,bnl->bl", x, k) + problem.k0) / S
    R = reflectance(q)
    slope = reflectance_slope(R) / S
    W, white = weights(), white_point()
    dR = slope[:, None, :] * (k - q[:, None, :] * s)
    ratio, dratio = (R @ W) / white, (dR @ W) / white
    f = cube_root(ratio)
    df = dratio / (3.0 * np.maximum(f, KNEE) ** 2)[:, None]
    lab, dlab = opponent(f), np.moveaxis(opponent(df), -1, 1)
    lab[:, 0] -= 16.0
    return (lab - problem.target) @ problem.metric.T, problem.metric @ dlab


def labs_of(problem: Problem, sets: NDArray[np.intp], x: Array) -> Array:
    """Lab [..., 3] of doses [..., b, n]."""
    S = np.einsum("...bn,bnl->...bl", x, problem.s[sets]) + problem.s0
    q = (np.einsum("...bn,bnl->...bl", x, problem.k[sets]) + problem.k0) / S
    return lab_of(reflectance(q))


def polish(problem: Problem, sets: NDArray[np.intp], x: Array) -> Array:
    """The same doses moved to the least CIEDE2000 by a shrinking search around them."""
    caps = problem.caps[sets]
    moves = np.array(list(product((-1.0, 0.0, 1.0), repeat=sets.shape[1])))
    reach = np.full(len(sets), 0.05)
    for _ in range(24):
        tried = inside(x + moves[:, None, :] * (reach[:, None] * caps), caps, problem.total)
        apart = delta_e_2000(labs_of(problem, sets, tried), problem.target)
        best = np.argmin(apart, axis=0)
        stay = apart[len(moves) // 2] <= apart.min(axis=0) + 1e-12
        x = tried[best, np.arange(len(sets))]
        reach = np.where(stay, reach / 2.5, reach)
    return x


def _to_scale(problem: Problem, sets: NDArray[np.intp], x: Array, step: float) -> Array:
    """Doses in whole steps of the scale: the nearest, or one step up or down of any, whichever fits."""
    caps = problem.caps[sets]
    moves = np.array(list(product((0.0, -1.0, 1.0), repeat=sets.shape[1])))
    tried = (np.round(x / step) + moves[:, None, :]) * step
    fits = np.all((tried >= 0.0) & (tried <= caps + 1e-9), axis=-1)
    fits &= tried.sum(axis=-1) <= problem.total + 1e-9
    apart = delta_e_2000(labs_of(problem, sets, np.maximum(tried, 0.0)), problem.target)
    best = np.argmin(np.where(fits, apart, np.inf), axis=0)
    return np.asarray(np.maximum(tried, 0.0)[best, np.arange(len(sets))])

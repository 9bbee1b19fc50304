"""What a shelf can reach: the colours round a target by hue and lightness, worked out in chunks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, combinations, product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from blendlab.shelf import Base, Pigment
from blendlab.tint.appearance import polar
from blendlab.tint.arrays import Array
from blendlab.tint.difference import delta_e_2000, metric
from blendlab.tint.recipe_search import Problem, inside, labs_of, problem_of, solve

HUE_STEPS = (-60.0, -40.0, -20.0, 0.0, 20.0, 40.0, 60.0)
LIGHT_STEPS = (14.0, 7.0, 0.0, -7.0, -14.0)
"""Columns by hue [degrees] and rows by lightness L* around the target."""

_GREY = 8.0
_CHUNK, _KEPT, _STEPS = 300, 6, 30
_POINTS = {1: (0.02, 0.05, 0.1, 0.2, 0.35, 0.55, 0.8, 1.0), 2: (0.05, 0.15, 0.4, 1.0), 3: (0.08, 0.3, 1.0)}
"""Shares of each cap that are tried, by the number of pigments."""


@dataclass(frozen=True, eq=False)
class Cell:
    """One colour of the map.

    hue_step, light_step  its place round the target
    wanted                Lab of that place
    lab, doses            the nearest colour the shelf reaches, and its percents of the portion
    delta_e00             CIEDE2000 between the two
    """

    hue_step: float
    light_step: float
    wanted: Array
    lab: Array
    doses: Mapping[str, float]
    delta_e00: float


@dataclass(frozen=True, eq=False)
class Reach:
    """The map as far as it is worked out: share done 0 to 1, cells row by row, lightest row first."""

    done: float
    cells: tuple[Cell, ...]

    @property
    def nearest(self) -> Cell:
        """The nearest colour to the target that was found for any place: the cell of the target itself."""
        return next(cell for cell in self.cells if not cell.hue_step and not cell.light_step)


def places(target: ArrayLike) -> Array:
    """Lab [35, 3] of the places round a target; a target near grey is given a little chroma to turn.

    >>> places([80.0, 20.0, 0.0]).shape
    (35, 3)
    """
    L, C, hue = polar(target)
    around = max(float(C), _GREY)
    found = []
    for light, turn in product(LIGHT_STEPS, HUE_STEPS):
        chroma = float(C) if not turn and not light else around
        angle = np.radians(hue + turn)
        found.append([np.clip(L + light, 5.0, 99.0), chroma * np.cos(angle), chroma * np.sin(angle)])
    return np.array(found)


def reach(target: ArrayLike, pigments: Sequence[Pigment], base: Base) -> Iterator[Reach]:
    """The map in chunks: each time a share more is done and the cells come nearer.

    target  Lab (D65, 2 degrees)

    Recipes have one to three pigments, each up to its own cap.

    >>> from blendlab.facts.palette import bases, pigments
    >>> *_, last = reach([85.0, 10.0, 8.0], pigments()[:5], bases()[0])
    >>> last.done, len(last.cells)
    (1.0, 35)
    """
    wanted = places(target)
    problem = problem_of(target, pigments, base)
    best = _Best(wanted)
    every = [(size, np.array(list(combinations(range(len(pigments)), size)))) for size in _POINTS]
    total, done = sum(len(sets) for _, sets in every), 0
    for size, sets in every:
        shares = np.array(list(product(_POINTS[size], repeat=size)))
        for start in range(0, len(sets), _CHUNK):
            part = sets[start : start + _CHUNK]
            best.look(problem, part, shares)
            done += len(part)
            yield Reach(0.9 * done / total, best.cells(pigments))
    best.settle(problem)
    yield Reach(1.0, best.cells(pigments))


@dataclass(frozen=True, eq=False)
class _Recipe:
    """Places of its pigments on the shelf, their percents of the portion, its Lab."""

    chosen: tuple[int, ...]
    x: Array
    lab: Array


class _Best:
    """The few recipes that come nearest to each place, out of all that were tried for any of them."""

    def __init__(self, wanted: Array) -> None:
        self.wanted = wanted
        self.kept: list[list[_Recipe]] = [[] for _ in wanted]

    def look(self, problem: Problem, sets: NDArray[np.intp], shares: Array) -> None:
        """Try every share of the caps on a chunk of sets."""
        caps = problem.caps[sets]
        x = inside(caps * shares[:, None, :], caps, problem.total)
        labs = labs_of(problem, sets, x)
        found = []
        for place in self.wanted:
            away = ((labs - place) ** 2).sum(axis=-1)
            point = away.argmin(axis=0)
            for column in np.argsort(away.min(axis=0))[:_KEPT]:
                tried = point[column], column
                found.append(_Recipe(tuple(sets[column].tolist()), x[tried], labs[tried]))
        self._keep(found)

    def settle(self, problem: Problem) -> None:
        """Solve the kept sets of each place for it."""
        found = []
        for place, kept in zip(self.wanted, self.kept, strict=True):
            here = replace(problem, target=place, metric=metric(place))
            for recipe in kept:
                sets = np.array([recipe.chosen])
                x, _ = solve(here, sets, 0.15, _STEPS)
                found.append(_Recipe(recipe.chosen, x[0], labs_of(problem, sets, x)[0]))
        self._keep(found)

    def _keep(self, found: Sequence[_Recipe]) -> None:
        """For each place the nearest recipe of each of the nearest sets, by CIEDE2000."""
        known = {(each.chosen, each.x.tobytes()): each for each in chain(*self.kept, found)}
        recipes = list(known.values())
        apart = delta_e_2000(np.array([each.lab for each in recipes]), self.wanted[:, None])
        for at, row in enumerate(apart):
            best: dict[tuple[int, ...], _Recipe] = {}
            for index in np.argsort(row, kind="stable"):
                best.setdefault(recipes[index].chosen, recipes[index])
                if len(best) == _KEPT:
                    break
            self.kept[at] = list(best.values())

    def cells(self, pigments: Sequence[Pigment]) -> tuple[Cell, ...]:
        """The best of each place."""
        found = []
        for (light, turn), place, (best, *_) in zip(
            product(LIGHT_STEPS, HUE_STEPS), self.wanted, self.kept, strict=True
        ):
            doses = {
                pigments[index].id: float(pct)
                for index, pct in zip(best.chosen, best.x, strict=True)
                if pct > 1e-4
            }
            apart = float(delta_e_2000(best.lab, place))
            found.append(Cell(turn, light, place, best.lab, doses, apart))
        return tuple(found)

"""What a shelf can reach: the colours round a target by hue and lightness, worked out in chunks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from blendlab.shelf import Base, Pigment
from blendlab.tint.appearance import polar
from blendlab.tint.arrays import Array
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.recipe_search import Problem, labs_of, problem_of, solve

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
        """The cell of the target itself."""
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


def reach(target: ArrayLike, pigments: Sequence[Pigment], base: Base, most: int = 3) -> Iterator[Reach]:
    """The map in chunks: each time a share more is done and the cells come nearer.

    target  Lab (D65, 2 degrees)
    most    pigments in a recipe, 1 to 3; each up to its own cap

    >>> from blendlab.facts.palette import bases, pigments
    >>> *_, last = reach([85.0, 10.0, 8.0], pigments()[:8], bases()[0], most=2)
    >>> last.done, len(last.cells)
    (1.0, 35)
    """
    wanted = places(target)
    problem = problem_of(target, pigments, base)
    best = _Best(wanted)
    sizes = range(1, min(most, len(pigments)) + 1)
    every = [(size, np.array(list(combinations(range(len(pigments)), size)))) for size in sizes]
    total, done = sum(len(sets) for _, sets in every), 0
    for size, sets in every:
        shares = np.array(list(product(_POINTS[size], repeat=size)))
        for start in range(0, len(sets), _CHUNK):
            part = sets[start : start + _CHUNK]
            best.look(problem, part, shares)
            done += len(part)
            yield Reach(0.9 * done / total, best.cells(problem, pigments))
    best.settle(problem)
    yield Reach(1.0, best.cells(problem, pigments))


class _Best:
    """The best few sets for each place, with their doses."""

    def __init__(self, wanted: Array) -> None:
        self.wanted = wanted
        self.kept: list[list[tuple[float, tuple[int, ...], Array]]] = [[] for _ in wanted]

    def look(self, problem: Problem, sets: NDArray[np.intp], shares: Array) -> None:
        """Try every share of the caps on a chunk of sets."""
        x = problem.caps[sets] * shares[:, None, :]
        x = x / np.maximum(x.sum(axis=-1, keepdims=True) / problem.total, 1.0)
        labs = labs_of(problem, sets, x)
        for at, place in enumerate(self.wanted):
            away = ((labs - place) ** 2).sum(axis=-1)
            point = away.argmin(axis=0)
            near = away.min(axis=0)
            order = np.argsort(near)[:_KEPT]
            found = [
                (float(near[column]), tuple(sets[column].tolist()), x[point[column], column])
                for column in order
            ]
            self.kept[at] = sorted([*self.kept[at], *found], key=lambda each: each[0])[:_KEPT]

    def settle(self, problem: Problem) -> None:
        """Solve the kept sets of each place for it."""
        for at, place in enumerate(self.wanted):
            here = replace(problem, target=place, metric=np.eye(3))
            better = []
            for _, chosen, _ in self.kept[at]:
                x, cost = solve(here, np.array([chosen]), 0.15, _STEPS)
                better.append((float(cost[0]), chosen, x[0]))
            self.kept[at] = sorted([*self.kept[at], *better], key=lambda each: each[0])[:_KEPT]

    def cells(self, problem: Problem, pigments: Sequence[Pigment]) -> tuple[Cell, ...]:
        """The best of each place."""
        found = []
        for (light, turn), place, kept in zip(
            product(LIGHT_STEPS, HUE_STEPS), self.wanted, self.kept, strict=True
        ):
            _, chosen, x = kept[0]
            lab = labs_of(problem, np.array([chosen]), x[None])[0]
            doses = {
                pigments[index].id: float(pct) for index, pct in zip(chosen, x, strict=True) if pct > 1e-4
            }
            found.append(Cell(turn, light, place, lab, doses, float(delta_e_2000(lab, place))))
        return tuple(found)

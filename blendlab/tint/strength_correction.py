"""Made colours teach strengths: one mixed swatch corrects several pigments; which swatch teaches most."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.recipe import Design
from blendlab.shelf import Base, Pigment, Shelf, resolve
from blendlab.tint.arrays import Array
from blendlab.tint.difference import delta_e_2000, metric
from blendlab.tint.kubelka_munk import mix
from blendlab.tint.prediction import tone_recipes
from blendlab.tint.spectra import lab_of

_FARTHEST = 3.0
"""Corrections stay within this many standard deviations."""
_STEP = 1e-3


@dataclass(frozen=True, eq=False)
class Made:
    """A colour that was made.

    doses  pigment id -> percent of the portion
    lab    measured Lab (D65, 2 degrees) of the open surface
    error  CIEDE2000 that the way of measuring adds
    """

    doses: Mapping[str, float]
    lab: ArrayLike
    error: float = 0.0


@dataclass(frozen=True, eq=False)
class Corrected:
    """Strengths as the made colours ask for them.

    factors     pigment id -> factor on its strength
    sd          pigment id -> standard deviation of its logarithm after the correction
    before      CIEDE2000 of each made colour from what was predicted
    after       the same with the corrected strengths
    at_bound    pigments whose correction stopped at its bound; they want a swatch of their own
    """

    factors: Mapping[str, float]
    sd: Mapping[str, float]
    before: tuple[float, ...]
    after: tuple[float, ...]
    at_bound: tuple[str, ...] = field(default=())

    def apply(self, pigment: Pigment) -> Pigment:
        """The pigment with its corrected strength."""
        if pigment.id not in self.factors:
            return pigment
        factor = self.factors[pigment.id]
        k, s = (tuple(factor * value for value in each) for each in (pigment.k, pigment.s))
        return replace(
            pigment,
            k=k,
            s=s,
            strength_sd=min(self.sd[pigment.id], 3.0),
            basis=f"{pigment.basis}; strength corrected x {factor:.2f} by a test jar"[:400],
        )


def correct(made: Sequence[Made], pigments: Sequence[Pigment], base: Base) -> Corrected:
    """Strengths of the pigments from colours made of one or several of them.

    Bounded least squares: the strengths move from what is known of each, held by its spread, towards
    the colours, held by the error of measuring and of making one jar.

    Raises OutOfRange for no made colour.

    >>> from blendlab.facts.palette import bases, starter
    >>> red, base = starter("iron_oxide_red"), bases()[0]
    >>> R = mix([0.45], np.array([red.k]), np.array([red.s]), base.k0, base.s0)[2]
    >>> round(correct([Made({red.id: 0.3}, lab_of(R))], [red], base).factors[red.id], 1)
    1.5
    """
    if not made:
        raise OutOfRange("made colours", 0, 1, float("inf"), "swatches")
    used = [pigment for pigment in pigments if any(pigment.id in each.doses for each in made)]
    problem = _Problem(made, used, base)
    if not used:
        apart = problem.apart(np.zeros(0))
        return Corrected({}, {}, apart, apart)
    from scipy.optimize import least_squares

    prior = problem.prior
    limit = _FARTHEST * prior
    found = least_squares(problem.missed, np.zeros(len(used)), bounds=(-limit, limit), x_scale=prior)
    ids = [pigment.id for pigment in used]
    sd = np.sqrt(np.diag(np.linalg.inv(found.jac.T @ found.jac)))
    bound = tuple(name for name, x, most in zip(ids, found.x, limit, strict=True) if abs(x) > 0.999 * most)
    return Corrected(
        dict(zip(ids, map(float, np.exp(found.x)), strict=True)),
        dict(zip(ids, map(float, np.maximum(sd, figure("tint", "ladder_sd").value)), strict=True)),
        problem.apart(np.zeros(len(used))),
        problem.apart(found.x),
        bound,
    )


class _Problem:
    """Residuals in standard deviations: each made colour [3], then how far each strength moved."""

    def __init__(self, made: Sequence[Made], pigments: Sequence[Pigment], base: Base) -> None:
        self.c = np.array(
            [[swatch.doses.get(each.id, 0.0) for each in pigments] for swatch in made], dtype=float
        )
        shape = (len(pigments), len(base.k0))
        self.k, self.s = (
            np.reshape([getattr(pigment, name) for pigment in pigments], shape) for name in ("k", "s")
        )
        self.base = base
        self.lab = np.array([np.asarray(swatch.lab, dtype=float) for swatch in made])
        self.prior = np.array(
            [max(pigment.strength_sd, figure("tint", "ladder_sd").value) for pigment in pigments]
        )
        jar = figure("tint", "jar_error").value
        self.scale = np.array(
            [metric(lab) / np.hypot(swatch.error, jar) for lab, swatch in zip(self.lab, made, strict=True)]
        )

    def seen(self, x: Array) -> Array:
        """Lab [made, 3] with strengths changed by exp(x)."""
        return lab_of(mix(self.c * np.exp(x), self.k, self.s, self.base.k0, self.base.s0)[2])

    def missed(self, x: Array) -> Array:
        away = np.einsum("mij,mj->mi", self.scale, self.seen(x) - self.lab)
        return np.concatenate([away.ravel(), x / self.prior])

    def apart(self, x: Array) -> tuple[float, ...]:
        return tuple(map(float, delta_e_2000(self.seen(x), self.lab)))


@dataclass(frozen=True)
class Suggestion:
    """A swatch worth making.

    doses   pigment id -> percent: one pigment, or the doses of a tone as one mixed swatch
    names   of the pigments
    before  spread over her saved tones, mean CIEDE2000
    after   the same once this swatch is measured
    tones   how many tones it narrows
    """

    doses: Mapping[str, float]
    names: tuple[str, ...]
    before: float
    after: float
    tones: int

    @property
    def words(self) -> str:
        """The swatch as a sentence with its numbers."""
        what = " with ".join(
            f"{pct:.2g} % {name}" for name, pct in zip(self.names, self.doses.values(), strict=True)
        )
        kind = "one mixed swatch" if len(self.doses) > 1 else "a swatch"
        return (
            f"Measure {kind} of {what}: the spread of your cards falls "
            f"from Delta E {self.before:.1f} to {self.after:.1f} on average ({self.tones} tones narrower)."
        )


def calibrate_next(designs: Iterable[Design], shelf: Shelf, count: int = 3) -> tuple[Suggestion, ...]:
    """The swatches that would cut the spread of saved cards most, the best first.

    Pigments are taken as the shelf knows them today. First order in the logarithm of the strengths, cut
    where a pigment can no more than vanish.
    """
    tones = [each for design in designs for each in _slopes(design, shelf)]
    if not tones:
        return ()
    sd = {pigment.id: pigment.strength_sd for each in tones for pigment in each.pigments}
    names = {pigment.id: pigment.name for each in tones for pigment in each.pigments}
    now = _widths(tones, sd)
    tried = {}
    for doses, learned in _candidates(tones, sd):
        then = _widths(tones, {**sd, **learned})
        tried[tuple(sorted(doses.items()))] = Suggestion(
            doses,
            tuple(names[name] for name in doses),
            float(now.mean()),
            float(then.mean()),
            int((now - then > 0.05).sum()),
        )
    useful = [swatch for swatch in tried.values() if swatch.before - swatch.after > 0.01]
    return tuple(sorted(useful, key=lambda swatch: (round(swatch.after, 2), len(swatch.doses)))[:count])


@dataclass(frozen=True, eq=False)
class _Tone:
    """Pigments of a tone, their percents, and steps of about CIEDE2000 by logarithm of strength [3, n]."""

    pigments: tuple[Pigment, ...]
    c: Array
    slope: Array


def _slopes(design: Design, shelf: Shelf) -> list[_Tone]:
    today = Shelf(shelf.items)
    used = [design.base, design.jar, *(dose.pigment for tone in design.tones for dose in tone.doses)]
    if not all(today.has(ref) for ref in used):
        return []
    found = []
    for recipe in tone_recipes(resolve(design, today)):
        if not recipe.c.any():
            continue
        likely = lab_of(recipe.mixed()[2])
        steps = np.exp(_STEP * np.eye(recipe.c.size))
        slope = (lab_of(recipe.mixed(steps)[2]) - likely) / _STEP
        found.append(_Tone(recipe.pigments, recipe.c, metric(likely) @ slope.T))
    return found


def _widths(tones: Sequence[_Tone], sd: Mapping[str, float]) -> Array:
    """Spread of each tone, root of the mean square in CIEDE2000."""
    return np.array(
        [
            np.sqrt(
                sum(
                    float(each.slope[:, at] @ each.slope[:, at]) * _bent(sd[pigment.id]) ** 2
                    for at, pigment in enumerate(each.pigments)
                )
            )
            for each in tones
        ]
    )


def _bent(sd: float) -> float:
    """A doubt in the logarithm as a doubt of the strength that cannot fall below none."""
    return float(np.sinh(min(sd, 1.5)) / (1.0 + 0.5 * np.sinh(min(sd, 1.5))))


def _candidates(
    tones: Sequence[_Tone], sd: Mapping[str, float]
) -> Iterable[tuple[dict[str, float], dict[str, float]]]:
    """Doses of a swatch and the doubts it would leave."""
    alone = figure("tint", "lot_sd").value
    for each in tones:
        for at, pigment in enumerate(each.pigments):
            if sd[pigment.id] > 1.2 * alone and each.c[at] > 0:
                yield {pigment.id: float(each.c[at])}, {pigment.id: alone}
        if len(each.pigments) > 1 and len({pigment.id for pigment in each.pigments}) == len(each.pigments):
            prior = np.array([sd[pigment.id] for pigment in each.pigments])
            taught = each.slope.T @ each.slope / figure("tint", "jar_error").value ** 2
            left = np.sqrt(np.diag(np.linalg.inv(np.diag(1.0 / prior**2) + taught)))
            ids = [pigment.id for pigment in each.pigments]
            learned = {name: float(max(x, alone)) for name, x in zip(ids, left, strict=True)}
            if any(learned[name] < sd[name] for name in ids):
                yield (
                    dict(zip(ids, map(float, each.c), strict=True)),
                    {name: min(learned[name], sd[name]) for name in ids},
                )

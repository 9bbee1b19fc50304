"""Made colours teach strengths: one mixed swatch corrects several pigments."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.shelf import Base, Pigment
from blendlab.tint.arrays import Array
from blendlab.tint.difference import delta_e_2000, metric
from blendlab.tint.kubelka_munk import mix
from blendlab.tint.spectra import lab_of

_FARTHEST = 3.0
"""Corrections stay within this many standard deviations."""


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

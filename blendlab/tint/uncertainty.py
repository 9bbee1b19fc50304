"""How far the real colour may lie from the predicted one: trials over all that varies."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from blendlab.facts.read import figure
from blendlab.shelf import Base, Pigment, Resolved
from blendlab.tint.arrays import Array, frozen
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.kubelka_munk import mix, reflectance
from blendlab.tint.prediction import ToneRecipe, tone_recipes
from blendlab.tint.spectra import lab_of

TRIALS = 500
SOURCES = ("strength", "weighing", "overrun", "base")
"""What a colour varies by from batch to batch."""
_WEAK, _STRONG, _AROUND = 0.10, 0.90, 0.02


@dataclass(frozen=True, eq=False)
class Shade:
    """One shade of a tone: reflectance R [31] of the open surface, Lab [3] (D65, 2 degrees)."""

    R: Array
    lab: Array


@dataclass(frozen=True, eq=False)
class Spread:
    """Range of the real colour around the predicted one.

    weak, strong  10 and 90 % points of the trials along the axis they vary on most
    delta_e00     CIEDE2000 from likely to the farther of the two
    inside        share of the trials within delta_e00 of likely, 0 to 1
    parts         what each source alone would spread, CIEDE2000 at its 90 % point; "strength" by pigment
                  as "strength:<id>", then "weighing", "overrun" and "base"
    """

    weak: Shade
    likely: Shade
    strong: Shade
    delta_e00: float
    inside: float
    parts: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class DoseWeighing:
    """How the pigments are weighed.

    portion_g  grams of each portion, by tone id
    step_g     step of the scale; repeat_g its repeatability, None = as its step
    """

    portion_g: Mapping[str, float]
    step_g: float
    repeat_g: float | None = None

    def sd_pct(self, tone: str) -> float:
        """Standard deviation of one dose in percent of the portion; 0 for a portion without grams.

        >>> round(DoseWeighing({"rose": 100.0}, 0.01).sd_pct("rose"), 4)
        0.0104
        """
        grams = self.portion_g.get(tone, 0.0)
        repeat = self.step_g if self.repeat_g is None else self.repeat_g
        return 100.0 * float(np.hypot(self.step_g / np.sqrt(12.0), repeat)) / grams if grams > 0 else 0.0


@cache
def _normal_points() -> Array:
    """Evenly likely points of the normal distribution, so that few trials describe it well."""
    return frozen([NormalDist().inv_cdf((trial + 0.5) / TRIALS) for trial in range(TRIALS)])


@cache
def _draws(seed: str) -> Array:
    """The points [TRIALS] in an order of their own: equal seed, equal numbers."""
    number = int(hashlib.sha256(seed.encode()).hexdigest()[:12], 16)
    return frozen(np.random.default_rng(number).permutation(_normal_points()))


def strengths(pigments: tuple[Pigment, ...]) -> Array:
    """Strength factors [TRIALS, n]; log-normal, the same for a pigment wherever it is used.

    A revision of a pigment seeds its own draws: equal content, equal numbers.

    >>> strengths(()).shape
    (500, 0)
    """
    columns = [np.exp(pigment.strength_sd * _draws(pigment.rev)) for pigment in pigments]
    return np.stack(columns, axis=-1) if columns else np.ones((TRIALS, 0))


def spread(
    resolved: Resolved,
    overrun: float | None = None,
    weeks: float | None = None,
    vanillin_pct: float = 0.0,
    weighing: DoseWeighing | None = None,
    sources: Collection[str] = SOURCES,
) -> dict[str, Spread]:
    """The spread of every tone, by tone id; arguments as in `predict`.

    weighing  how the doses are weighed; None leaves weighing out
    sources   of `SOURCES`: what is drawn

    500 trials with the strengths of all pigments drawn log-normally, doses weighed on that scale, the
    whip and the white of the base varying as they do from batch to batch.
    """
    made = tone_recipes(resolved, overrun, weeks, vanillin_pct)
    return {recipe.tone: spread_of(recipe, weighing, sources) for recipe in made}


def spread_of(
    recipe: ToneRecipe, weighing: DoseWeighing | None = None, sources: Collection[str] = SOURCES
) -> Spread:
    """The spread of one recipe; arguments as in `spread`."""
    return _spread(recipe, trials(recipe, weighing, sources), _parts(recipe, weighing, sources))


def trials(
    recipe: ToneRecipe, weighing: DoseWeighing | None = None, sources: Collection[str] = SOURCES
) -> Array:
    """Reflectance [TRIALS, 31] of one tone with what varies drawn."""
    c = np.broadcast_to(recipe.c, (TRIALS, recipe.c.size))
    if "strength" in sources:
        c = c * strengths(recipe.pigments)
    if weighing and "weighing" in sources:
        noise = [_draws(f"weighing {recipe.tone} {at}") for at in range(recipe.c.size)]
        c = np.maximum(c + weighing.sd_pct(recipe.tone) * np.reshape(noise, (-1, TRIALS)).T, 0.0)
    k0, s0 = recipe.k0, recipe.s0
    seed = recipe.base.rev
    if "base" in sources:
        k0 = k0 * np.exp(_base_sd(recipe) * _draws(f"base {seed}"))[:, None]
    if "overrun" in sources:
        s0 = s0 * _foam(recipe, _draws(f"overrun {seed}"), _draws(f"foam {seed}"))[:, None]
    return mix(c, recipe.k, recipe.s, k0, s0)[2]


def _base_sd(recipe: ToneRecipe) -> float:
    return figure("tint", "base_sd_measured" if recipe.base.known == "measured" else "base_sd_estimate").value


def _foam(recipe: ToneRecipe, whip: Array, law: Array) -> Array:
    """Factors on the scattering the portion has: another whip, and the law itself as far as it is used."""
    wet, dry = figure("tint", "foam_wet").value, figure("tint", "foam_dry").value
    air = np.maximum(recipe.air + figure("tint", "overrun_sd").value * whip, 0.0)
    power = figure("tint", "foam_power").value if recipe.base.foam_power is None else recipe.base.foam_power

    def path(overrun: Array | float) -> Array:
        return np.asarray(wet + dry / (1.0 + np.asarray(overrun) / 100.0))

    sd = (
        figure("tint", "foam_power_sd").value * power
        if recipe.base.foam_power is None
        else recipe.base.foam_power_sd
    )
    used = power + sd * law
    reference = path(recipe.base.ref_overrun_pct)
    return np.asarray((reference / path(air)) ** used / (reference / path(recipe.air)) ** power)


def _parts(recipe: ToneRecipe, weighing: DoseWeighing | None, sources: Collection[str]) -> dict[str, float]:
    """CIEDE2000 of a step to the 90 % point of each source alone."""
    z = NormalDist().inv_cdf(_STRONG)
    n = recipe.c.size
    rows: dict[str, tuple[Array, Array, Array]] = {}
    for at, pigment in enumerate(recipe.pigments if "strength" in sources else ()):
        c = recipe.c.copy()
        c[at] *= np.exp(z * pigment.strength_sd)
        rows[f"strength:{pigment.id}"] = c, recipe.k0, recipe.s0
    if weighing and n and "weighing" in sources:
        step = z * weighing.sd_pct(recipe.tone)
        worst = [recipe.c + step * np.eye(n)[at] for at in range(n)]
        rows |= {f"weighing:{at}": (c, recipe.k0, recipe.s0) for at, c in enumerate(worst)}
    if "overrun" in sources:
        one_z = np.array([z])
        rows["overrun"] = recipe.c, recipe.k0, recipe.s0 * _foam(recipe, one_z, np.zeros(1))
    if "base" in sources:
        rows["base"] = recipe.c, recipe.k0 * np.exp(z * _base_sd(recipe)), recipe.s0
    likely = lab_of(recipe.mixed()[2])
    found = {
        name: float(delta_e_2000(lab_of(mix(c, recipe.k, recipe.s, k0, s0)[2]), likely))
        for name, (c, k0, s0) in rows.items()
    }
    doses = [found.pop(name) for name in list(found) if name.startswith("weighing:")]
    return {**found, "weighing": float(np.hypot.reduce(doses))} if doses else found


def _spread(recipe: ToneRecipe, tried: Array, parts: Mapping[str, float]) -> Spread:
    R = recipe.mixed()[2]
    likely = Shade(R, lab_of(R))
    labs = lab_of(tried)
    middle = labs.mean(axis=0)
    axis = np.linalg.eigh((labs - middle).T @ (labs - middle))[1][:, -1]
    white = lab_of(reflectance(recipe.k0 / recipe.s0))
    if axis @ (likely.lab - white) < 0:
        axis = -axis
    order = np.argsort((labs - middle) @ axis, kind="stable")
    weak, strong = (_around(tried, order, quantile) for quantile in (_WEAK, _STRONG))
    delta = max(float(delta_e_2000(likely.lab, end.lab)) for end in (weak, strong))
    inside = float(np.mean(delta_e_2000(labs, likely.lab) <= delta + 1e-9))
    return Spread(weak, likely, strong, delta, inside, parts)


def _around(tried: Array, order: NDArray[np.intp], quantile: float) -> Shade:
    """Mean of the trials around one point of the order."""
    low, high = (round((quantile + side * _AROUND) * TRIALS) for side in (-1, 1))
    R = tried[order[low:high]].mean(axis=0)
    return Shade(R, lab_of(R))


def alone(pigment: Pigment, base: Base, pct: float) -> Array:
    """Reflectance [3, 31] of one pigment alone in a base: weak, likely, strong.

    pct  percent of the finished portion; the ends are the 10 and 90 % points of its strength

    >>> from blendlab.facts.palette import bases, starter
    >>> alone(starter("ultramarine_blue"), bases()[0], 0.3).shape
    (3, 31)
    """
    factor = np.exp(
        pigment.strength_sd * np.array([NormalDist().inv_cdf(quantile) for quantile in (_WEAK, 0.5, _STRONG)])
    )
    return mix(pct * factor[:, None], np.array([pigment.k]), np.array([pigment.s]), base.k0, base.s0)[2]

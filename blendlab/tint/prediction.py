"""A design with its items to the spectrum of every tone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from blendlab.shelf import BANDS, Base, Pigment, Resolved
from blendlab.tint.arrays import Array
from blendlab.tint.browning import browning
from blendlab.tint.kubelka_munk import behind_wall, foam_factor, mix


@dataclass(frozen=True, eq=False)
class Tint:
    """One tone predicted: K, S, R of the open surface, R_wall behind the wetted wall, [31] each.

    known  "measured" when the base and every pigment are measured, else "estimate"
    """

    K: Array
    S: Array
    R: Array
    R_wall: Array
    known: str


@dataclass(frozen=True, eq=False)
class ToneRecipe:
    """What one tone is mixed of: percents [n], k and s [n, 31], and its base k0, s0 [31].

    air  overrun in percent that s0 holds for
    """

    tone: str
    base: Base
    air: float
    pigments: tuple[Pigment, ...]
    c: Array
    k: Array
    s: Array
    k0: Array
    s0: Array

    def mixed(self, strength: Array | float = 1.0) -> tuple[Array, Array, Array]:
        """K, S, R [..., 31] with the strength of each pigment changed [..., n]."""
        return mix(self.c * strength, self.k, self.s, self.k0, self.s0)


def tone_recipe(tone: str, base: Base, doses: Iterable[tuple[Pigment, float]]) -> ToneRecipe:
    """The recipe of one tone in a base as it is known: fresh, and at its own overrun.

    doses  each pigment with its percent of the finished portion

    >>> from blendlab.facts.palette import bases, starter
    >>> tone_recipe("rose", bases()[0], [(starter("iron_oxide_red"), 0.3)]).k.shape
    (1, 31)
    """
    dosed = tuple(doses)
    pigments = tuple(pigment for pigment, _ in dosed)
    return ToneRecipe(
        tone,
        base,
        base.ref_overrun_pct,
        pigments,
        np.array([pct for _, pct in dosed], dtype=float),
        np.array([pigment.k for pigment in pigments]).reshape(-1, BANDS),
        np.array([pigment.s for pigment in pigments]).reshape(-1, BANDS),
        np.array(base.k0),
        np.array(base.s0),
    )


def tone_recipes(
    resolved: Resolved,
    overrun: float | None = None,
    weeks: float | None = None,
    vanillin_pct: float = 0.0,
    how_brown: str = "likely",
) -> Iterator[ToneRecipe]:
    """The recipes of a design in the order of its tones; arguments as in `predict`."""
    base, design = resolved.base, resolved.design
    air = next(pct for pct in (overrun, design.batch.overrun_pct, base.ref_overrun_pct) if pct is not None)
    brown = browning(vanillin_pct, design.weeks if weeks is None else weeks, how_brown, base.brown_rate)
    whip = foam_factor(air, base.ref_overrun_pct, base.foam_power)
    for tone in resolved.tones:
        plain = tone_recipe(tone.id, base, ((dose.pigment, dose.pct) for dose in tone.doses))
        yield replace(plain, air=air, k0=plain.k0 + brown, s0=plain.s0 * whip)


def predict(
    resolved: Resolved,
    overrun: float | None = None,
    weeks: float | None = None,
    vanillin_pct: float = 0.0,
    how_brown: str = "likely",
) -> dict[str, Tint]:
    """The tint of every tone, by tone id.

    overrun       percent; None = of the batch, else the overrun at which the base is known
    weeks         time on the shelf; None = of the design
    vanillin_pct  vanillin in the finished portion [%]
    how_brown     "low", "likely" or "high" end of the browning, a rule of thumb

    >>> from blendlab.facts.palette import bases
    >>> from blendlab.recipe import Design, Tone
    >>> from blendlab.shelf import Jar, Shelf, resolve
    >>> jar = Jar(id="j", name="j", nominal_ml=120, outer_mm=72, inner_mm=68, height_mm=40)
    >>> shelf = Shelf((bases()[0], jar))
    >>> white = Tone(id="white", name="White", share_pct=100)
    >>> design = Design(
    ...     id="d", name="D", product="whipped_soap", tones=(white,), jar=jar.ref, base=bases()[0].ref
    ... )
    >>> round(float(predict(resolve(design, shelf))["white"].R[-1]), 3)
    0.905
    """
    measured_base = resolved.base.known == "measured"
    contact = resolved.jar.wall_contact
    tints = {}
    for recipe in tone_recipes(resolved, overrun, weeks, vanillin_pct, how_brown):
        K, S, R = recipe.mixed()
        measured = measured_base and all(pigment.known == "measured" for pigment in recipe.pigments)
        wall = behind_wall(R, contact)
        tints[recipe.tone] = Tint(K, S, R, wall, "measured" if measured else "estimate")
    return tints

"""Whipping: overrun and the density of the whipped base."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf
from statistics import fmean
from typing import TYPE_CHECKING

from blendlab.codec import Noun
from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases
from blendlab.facts.read import figure

if TYPE_CHECKING:
    from blendlab.shelf import Base, Resolved
    from blendlab.shelf.resolved import Stirred

GRAINS = "sugar"
"""Function of a raw material that is folded into the foam as grains, after the whipping."""


@dataclass(frozen=True)
class Density(Noun):
    """Density of the whipped base: the value to plan with, its range, and whether it was weighed.

    cups  how many cups of her book it is the mean and the range of; 0 = it comes from elsewhere
    """

    g_ml: float
    low: float
    high: float
    weighed: bool
    cups: int = 0


def overrun(more: float, less: float) -> float:
    """Overrun [%] from two cups or two volumes.

    more, less  mass of one level cup of the mix and of the whipped mass, or their densities; or volume
                of one mass after whipping and before it

    >>> round(overrun(262.5, 154.4), 3), overrun(1615, 950)
    (70.013, 70.0)
    """
    if less <= 0:
        raise OutOfRange("Whipped cup", less, 0, inf, "")
    return (more - less) / less * 100


def density_from_overrun(density_mix: float, overrun_pct: float) -> float:
    """Density of the whipped mass [g/ml] from that of the mix [g/ml] and the overrun [%].

    The inverse of `overrun`.

    >>> round(density_from_overrun(1.05, 70), 4)
    0.6176
    """
    return density_mix / (1 + overrun_pct / 100)


def air_fraction(overrun_pct: float) -> float:
    """Share of air in the volume, 0 to 1.

    >>> round(air_fraction(70), 4)
    0.4118
    """
    return overrun_pct / (100 + overrun_pct)


def density_after_fold_in(foam: float, solid_share: float, solid_true: float) -> float:
    """Density [g/ml] after grains were folded into foam, no foam lost.

    solid_share  share of the grains in the whole mass, 0 to 1
    solid_true   density of one grain, not of the heap

    >>> round(density_after_fold_in(0.62, 0.3, 1.587), 4)
    0.7587
    """
    if not 0 <= solid_share <= 1:
        raise OutOfRange("Share of solids", solid_share, 0, 1, "of the mass")
    return 1 / ((1 - solid_share) / foam + solid_share / solid_true)


def whipped_density(base: Base, overrun_pct: float | None, cups: Sequence[float] = ()) -> Density:
    """Density to plan with: her weighed cup if there is one, else her book's, else from the overrun.

    cups  densities of level cups that her book holds of this base, whipped alike [g/ml]; their mean is
          planned with, they are the range: before the third, not less than two cups of one foam may differ

    >>> from blendlab.facts.palette import bases
    >>> whipped_density(bases()[0], 70).weighed
    False
    """
    if base.density_whipped_g_ml is not None:
        return Density(base.density_whipped_g_ml, base.density_whipped_g_ml, base.density_whipped_g_ml, True)
    if cups:
        mean, few = fmean(cups), len(cups) < figure("batch", "foam_cups").low
        apart = figure("batch", "cups_differ").value / 100 if few else 0.0
        return Density(mean, min(*cups, mean * (1 - apart)), max(*cups, mean * (1 + apart)), True, len(cups))
    overrun = base.ref_overrun_pct if overrun_pct is None else overrun_pct
    row = figure("batch", "whipped_density")
    mix = taken_mix(base)
    likely = row.value if mix is None else density_from_overrun(mix, overrun)
    return Density(likely, min(likely, row.low), max(likely, row.high), False)


def taken_mix(base: Base) -> float | None:
    """Density before whipping [g/ml]: that of the base, else an estimate for its kind, else None."""
    if base.density_mix_g_ml is not None:
        return base.density_mix_g_ml
    return next((each.density_mix_g_ml for each in bases() if each.product == base.product), None)


def foam_density(resolved: Resolved) -> Density:
    """Density of the whipped base as its cup is weighed, before grains are folded in."""
    return whipped_density(resolved.base, resolved.design.batch.overrun_pct, resolved.cups)


def grains(resolved: Resolved) -> Iterator[Stirred]:
    """Additions that are folded into the foam as grains."""
    return (part for part in resolved.additions if part.ingredient.function == GRAINS and part.pct > 0)


def filled_density(resolved: Resolved) -> Density:
    """Density of what goes into the jars: the whipped base after sugar was folded in.

    A cup is weighed before that.
    """
    foam = foam_density(resolved)
    for ingredient, pct in grains(resolved):
        grain = ingredient.density_g_ml or figure("batch/densities", "sucrose crystal").value
        likely, low, high = (
            density_after_fold_in(density, pct / 100, grain) for density in (foam.g_ml, foam.low, foam.high)
        )
        foam = replace(foam, g_ml=likely, low=low, high=high)
    return foam


def with_other_foam(filled: float, planned: float, cup: float, foam_share: float) -> float:
    """Density [g/ml] of the filling with foam of another density in it, what is folded in as planned.

    filled, planned  densities of the filling and of its foam as planned; cup  of the foam that there is
    foam_share       share of the foam in the mass of the filling, 0 to 1

    >>> with_other_foam(0.62, 0.62, 0.56, 1.0)
    0.56
    >>> sugared, foam = density_after_fold_in(0.62, 0.3, 1.587), density_after_fold_in(0.5, 0.3, 1.587)
    >>> round(with_other_foam(sugared, 0.62, 0.5, 0.7) - foam, 12)
    0.0
    """
    return round(1 / (1 / filled + foam_share * (1 / cup - 1 / planned)), 12)


def keep_whipping(densities: Sequence[float], target: float) -> bool:
    """Whether to whip on after cups weighed minute by minute [g/ml].

    Stop at the target density, or when a cup is heavier than the one before: the foam collapses.

    >>> keep_whipping([0.9, 0.75], 0.62), keep_whipping([0.7, 0.64, 0.66], 0.62)
    (True, False)
    """
    if not densities:
        return True
    rising = len(densities) > 1 and densities[-1] > densities[-2]
    return densities[-1] > target and not rising

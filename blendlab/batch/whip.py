"""Whipping: overrun and the density of the whipped base."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from blendlab.facts.read import number, table

if TYPE_CHECKING:
    from blendlab.shelf import Base


class Density(NamedTuple):
    """Density of the whipped base: the value to plan with, its range, and whether it was weighed."""

    g_ml: float
    low: float
    high: float
    weighed: bool


def density_from_overrun(density_mix: float, overrun_pct: float) -> float:
    """Density of the whipped mass [g/ml] from that of the mix [g/ml] and the overrun [%].

    Follows from the definition of overrun by weight, (w_mix - w_whipped) / w_whipped.

    >>> round(density_from_overrun(1.05, 70), 4)
    0.6176
    """
    return density_mix / (1 + overrun_pct / 100)


def whipped_density(base: Base, overrun_pct: float | None) -> Density:
    """Density to plan with: her weighed cup if there is one, else from the overrun with its range.

    >>> from blendlab.facts.palette import bases
    >>> whipped_density(bases()[0], 70).weighed
    False
    """
    if base.density_whipped_g_ml is not None:
        return Density(base.density_whipped_g_ml, base.density_whipped_g_ml, base.density_whipped_g_ml, True)
    overrun = base.ref_overrun_pct if overrun_pct is None else overrun_pct
    (row,) = (one for one in table("batch/practice.csv") if one["id"] == "whipped_density_unweighed")
    likely = density_from_overrun(base.density_mix_g_ml, overrun)
    return Density(likely, min(likely, number(row, "low")), max(likely, number(row, "high")), False)

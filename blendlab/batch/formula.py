"""What a formula adds up to: sum, grams, active surfactant, water, density.

Percents are of the base or of the finished product, as each function says; grams are exact here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import fsum, inf

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.fragrance.percent_conversions import density
from blendlab.shelf import Stirred

SUM_TOLERANCE = 0.005
"""A sum may miss 100 % by this much: float dust only."""

Part = tuple[float, float]
"""A mass or a percent, and the density or percent that belongs to it."""


def check_sum(percents: Sequence[float], tolerance: float = SUM_TOLERANCE) -> tuple[float, bool]:
    """Sum of percents, and whether it is 100 within the tolerance.

    >>> check_sum([30, 14, 26, 18, 10.7, 0.1, 1.0, 0.25])
    (100.05, False)
    """
    total = round(fsum(percents), 10)
    return total, round(abs(total - 100), 10) <= tolerance


def scale(percents: Sequence[float], batch_g: float) -> tuple[float, ...]:
    """Grams of each line of a batch, not rounded.

    >>> scale([30, 70], 1500)
    (450.0, 1050.0)
    """
    if batch_g < 0:
        raise OutOfRange("Batch", batch_g, 0, inf, "g")
    return tuple(pct * batch_g / 100 for pct in percents)


def percents(grams: Sequence[float]) -> tuple[float, ...]:
    """Percents of lines in grams: of the base, or of the finished product when base and additions are lines.

    >>> [round(pct, 3) for pct in percents([1000, 62.5, 25, 4])]
    [91.617, 5.726, 2.29, 0.366]
    """
    whole = fsum(grams)
    if whole <= 0:
        raise OutOfRange("Batch", whole, 0, inf, "g")
    return tuple(100 * mass / whole for mass in grams)


def weighted(parts: Iterable[Part]) -> float:
    """Sum of percent x inner percent / 100: active surfactant or water in a formula.

    >>> weighted([(26.0, 85), (18.0, 30)])
    27.5
    """
    return fsum(pct * inner for pct, inner in parts) / 100


def after_dilution(pct: float, base_g: float, final_g: float) -> float:
    """Percent of the finished product of what was `pct` of the base.

    >>> round(after_dilution(27.5, 1000, 1110), 4)
    24.7748
    """
    if final_g <= 0:
        raise OutOfRange("Finished mass", final_g, 0, inf, "g")
    return pct * base_g / final_g


def mix_density(parts: Sequence[Part]) -> float:
    """Density of a mix of (grams, true density): volumes are taken to add up. A weighed cup wins."""
    return density([mass for mass, _ in parts], [own for _, own in parts])


def water_class(water_pct: float) -> str:
    """Class of a water content: "anhydrous", "low-water" or "water-bearing".

    The last two want a preservative.

    >>> water_class(0.4), water_class(3), water_class(42)
    ('anhydrous', 'low-water', 'water-bearing')
    """
    bounds = figure("batch", "water_class")
    if water_pct < bounds.low:
        return "anhydrous"
    return "low-water" if water_pct < bounds.high else "water-bearing"


def active_surfactant(parts: Sequence[Stirred]) -> float:
    """Active surfactant of a base, percent of the base; fatty acids do not count."""
    return weighted((pct, ingredient.active_pct) for ingredient, pct in parts)


def total_water(parts: Sequence[Stirred]) -> float | None:
    """Water of a base, percent of the base; None when one ingredient does not say."""
    there = [(pct, ingredient.water_pct) for ingredient, pct in parts if pct > 0]
    known = [(pct, water) for pct, water in there if water is not None]
    return weighted(known) if len(known) == len(there) else None


def base_density(parts: Sequence[Stirred]) -> float | None:
    """Density of the unwhipped base [g/ml]; None when one ingredient does not say."""
    told = [(pct, ingredient.density_g_ml) for ingredient, pct in parts]
    known = [(pct, own) for pct, own in told if own is not None]
    return mix_density(known) if known and len(known) == len(told) else None

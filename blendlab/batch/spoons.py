"""Spoons and drops, taken at the door only: they become grams with a range, or are refused."""

from __future__ import annotations

from typing import NamedTuple

from blendlab.errors import BlendlabError
from blendlab.facts.read import figure
from blendlab.units import convert


class NotBySpoon(BlendlabError, ValueError):
    """A line that must be weighed."""

    def __init__(self, name: str, why: str) -> None:
        self.name, self.why = name, why
        super().__init__(f"{name} must be weighed in grams: {why}.")


class Spooned(NamedTuple):
    """Grams of a spoonful or of drops: low and high."""

    low_g: float
    high_g: float

    @property
    def ratio(self) -> float:
        """How many times the high figure is the low one."""
        return self.high_g / self.low_g


def refuse(name: str, what: str, restricted: bool = False) -> None:
    """Raise NotBySpoon for a preservative or a restricted oil."""
    if what == "preservative":
        raise NotBySpoon(name, "a spoon of preservative may be twice the dose or half of it")
    if restricted:
        raise NotBySpoon(name, "its amount is limited on skin")


def spoons(
    count: float, bulk_low: float, bulk_high: float, unit: str = "tsp_us", heaped: bool = False
) -> Spooned:
    """Grams in some spoons of powder of a bulk density [g/ml], level unless heaped.

    >>> made = spoons(1, 0.2, 0.5)
    >>> round(made.low_g, 3), round(made.high_g, 3), made.ratio
    (0.986, 2.464, 2.5)
    """
    volume = convert(count, unit, "ml")
    heap = figure("batch", "heaped_spoon") if heaped else None
    return Spooned(
        volume * bulk_low * (heap.low if heap else 1.0), volume * bulk_high * (heap.high if heap else 1.0)
    )


def drops(count: float, per_ml: float, density_g_ml: float) -> float:
    """Grams of some drops.

    >>> round(drops(40, 20, 0.97), 6)
    1.94
    """
    return count / per_ml * density_g_ml


def drops_range(count: float, density_g_ml: float) -> Spooned:
    """Grams of drops of an oil: nobody knows the dropper.

    >>> made = drops_range(40, 0.9)
    >>> round(made.low_g, 2), round(made.high_g, 2)
    (0.9, 1.44)
    """
    per_ml = figure("batch", "drops_oil")
    return Spooned(drops(count, per_ml.high, density_g_ml), drops(count, per_ml.low, density_g_ml))

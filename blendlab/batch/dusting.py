"""Grams of pigment in a portion and on the tops."""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from blendlab.errors import OutOfRange, UnknownName

BASES = ("finished_portion", "uncoloured")


def pigment_grams(uncoloured_g: float, pct: float, basis: str = "finished_portion") -> float:
    """Grams of pigment for an uncoloured portion.

    pct    percent of the finished portion (pigment included), or of the uncoloured portion
    basis  "finished_portion" or "uncoloured"

    >>> round(pigment_grams(617, 0.4), 3), round(pigment_grams(617, 0.4, "uncoloured"), 3)
    (2.478, 2.468)
    """
    if basis not in BASES:
        raise UnknownName("basis", basis, BASES)
    if basis == "uncoloured":
        return uncoloured_g * pct / 100
    if not 0 <= pct < 100:
        raise OutOfRange("Pigment", pct, 0, 100, "% of the finished portion")
    return uncoloured_g * pct / (100 - pct)


class Dusting(NamedTuple):
    """Area of a top [cm2], dust on one jar [mg], and on all of them [g]."""

    area_cm2: float
    mg_per_jar: float
    total_g: float


def dusting(inner_mm: float, mg_per_cm2: float, jars: int) -> Dusting:
    """Mica on flat tops. Too little to weigh jar by jar: weigh the shaker before and after.

    >>> round(dusting(67.5, 0.35, 24).total_g, 4)
    0.3006
    """
    area = pi * inner_mm**2 / 400
    each = area * mg_per_cm2
    return Dusting(area, each, each * jars / 1000)

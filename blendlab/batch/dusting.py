"""Pigment in a portion, in grams and in percent, and on the tops."""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from blendlab.errors import OutOfRange, UnknownName

BASES = ("finished_portion", "uncoloured")
"""What a percent of pigment is of: the portion with the pigment in it, or the portion before."""


def pigment_grams(uncoloured_g: float, pct: float, basis: str = "finished_portion") -> float:
    """Grams of pigment for an uncoloured portion.

    pct    percent of the finished portion (pigment included), or of the uncoloured portion
    basis  "finished_portion" or "uncoloured"

    >>> round(pigment_grams(617, 0.4), 3), round(pigment_grams(617, 0.4, "uncoloured"), 3)
    (2.478, 2.468)
    """
    _check_basis(basis)
    if basis == "uncoloured":
        return uncoloured_g * pct / 100
    if not 0 <= pct < 100:
        raise OutOfRange("Pigment", pct, 0, 100, "% of the finished portion")
    return uncoloured_g * pct / (100 - pct)


def pigment_pct(uncoloured_g: float, pigment_g: float, basis: str = "finished_portion") -> float:
    """Percent that some pigment makes in an uncoloured portion: the inverse of `pigment_grams`.

    >>> round(pigment_pct(617, 2.478), 3), round(pigment_pct(617, 2.468, "uncoloured"), 3)
    (0.4, 0.4)
    """
    _check_basis(basis)
    return 100 * pigment_g / (uncoloured_g + (pigment_g if basis == "finished_portion" else 0.0))


def _check_basis(basis: str) -> None:
    if basis not in BASES:
        raise UnknownName("basis", basis, BASES)


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

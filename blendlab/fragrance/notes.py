"""Where a scent lies between top and base, and how much vanillin it brings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from blendlab.facts.browning import vanillin_band
from blendlab.fragrance.load import in_product
from blendlab.fragrance.thresholds import exact

Triple = tuple[float, float, float]


@dataclass(frozen=True)
class Balance:
    """Shares of top, middle and base, and of oils whose notes are not known; they add up to 1."""

    top: float
    middle: float
    base: float
    unknown: float = 0.0


def balance(
    shares: Mapping[str, float],
    note_shares: Mapping[str, Triple | None],
    strength: Mapping[str, float] | None = None,
) -> Balance:
    """Top, middle and base of a scent, by weight or weighted by how strong each oil smells.

    strength  relative odour strength of an oil, 0.1 to 10; 1 where it is not given

    >>> balance({"lavender": 0.5, "orange": 0.5}, {"lavender": (0.4, 0.6, 0.0), "orange": (1.0, 0.0, 0.0)})
    Balance(top=0.7, middle=0.3, base=0.0, unknown=0.0)
    """
    weights = {name: share * (strength or {}).get(name, 1.0) for name, share in shares.items() if share > 0}
    whole = sum(weights.values())
    if whole == 0:
        return Balance(0.0, 0.0, 0.0)
    parts = [0.0, 0.0, 0.0]
    unknown = 0.0
    for name, weight in weights.items():
        own = note_shares.get(name)
        if own is None:
            unknown += weight
            continue
        for position, share in enumerate(own):
            parts[position] += weight * share
    top, middle, low = (round(part / whole, 12) for part in parts)
    return Balance(top, middle, low, round(unknown / whole, 12))


@dataclass(frozen=True)
class Vanillin:
    """Vanillin and ethyl vanillin, percent of the finished product; None = an oil cannot say.

    band    band by vanillin alone, or "" when it is not known
    colour  what common practice expects, in words; unmeasured in a syndet base
    """

    pct: float | None
    ethyl_pct: float | None
    band: str
    colour: str


def vanillin(load_pct: float, in_scent_pct: float | None, ethyl_in_scent_pct: float | None) -> Vanillin:
    """Vanillin in the product and its band (common practice).

    >>> vanillin(2.0, 5.6, 1.2).band
    '0.1-0.3'
    """
    pct = None if in_scent_pct is None else in_product(load_pct, in_scent_pct)
    ethyl = None if ethyl_in_scent_pct is None else in_product(load_pct, ethyl_in_scent_pct)
    if pct is None:
        return Vanillin(None, ethyl, "", "an oil does not say how much vanillin it holds")
    band = vanillin_band(exact(pct))
    return Vanillin(pct, ethyl, band.bounds, band.effect)

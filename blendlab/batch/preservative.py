"""How much preservative tops up what was added after the base was made. It keeps the percent;
that this preserves the jar only a challenge test shows.

Percents are of one and the same preservative on both sides; actives have their own ledger.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import NamedTuple

from blendlab.codec import Noun
from blendlab.errors import OutOfRange
from blendlab.facts.read import figure


class TopUp(NamedTuple):
    """Grams to add, grams of the base, the finished mass, and its percent of preservative."""

    topup_g: float
    base_g: float
    final_g: float
    final_pct: float


def _checked(target: float, strength: float) -> None:
    if not 0 <= target < strength <= 100:
        raise OutOfRange("Wanted preservative", target, 0, strength, "% of the finished product")


def _missing(mass_g: float, held: float, target_pct: float, gain_pct: float) -> float:
    """Grams that bring a mass to a percent: what is missing of it, by what each gram gains."""
    return max(0.0, (target_pct * mass_g - held) / gain_pct)


def top_up_open(
    base_g: float,
    base_pct: float,
    additions_g: float,
    target_pct: float,
    strength_pct: float = 100.0,
    additions_pct: float = 0.0,
) -> TopUp:
    """Top-up when the finished mass may grow: base and additions are given.

    base_pct, additions_pct  preservative they hold already; strength_pct  of what tops up

    T = max(0, (p_f (B + A) - p_b B - p_a A) / (c - p_f)), a mass balance.

    >>> round(top_up_open(1000, 1.0, 90, 1.0).topup_g, 6)
    0.909091
    """
    _checked(target_pct, strength_pct)
    held = base_pct * base_g + additions_pct * additions_g
    grams = _missing(base_g + additions_g, held, target_pct, strength_pct - target_pct)
    final = base_g + additions_g + grams
    return TopUp(grams, base_g, final, (held + strength_pct * grams) / final if final else 0.0)


def top_up_fixed(
    final_g: float,
    base_pct: float,
    additions_g: float,
    target_pct: float,
    strength_pct: float = 100.0,
    additions_pct: float = 0.0,
) -> TopUp:
    """Top-up when the finished mass is given and the base makes room for it.

    >>> round(top_up_fixed(1500, 1.0, 150, 1.0).topup_g, 5)
    1.51515
    """
    _checked(target_pct, strength_pct)
    if base_pct >= strength_pct:
        raise OutOfRange("Preservative in the base", base_pct, 0, strength_pct, "% of the base")
    held = base_pct * (final_g - additions_g) + additions_pct * additions_g
    grams = _missing(final_g, held, target_pct, strength_pct - base_pct)
    base = final_g - additions_g - grams
    final = base_pct * base + additions_pct * additions_g + strength_pct * grams
    return TopUp(grams, base, final_g, final / final_g)


def blend_cap(
    fractions_pct: Mapping[str, float],
    limits_pct: Mapping[str, float],
    existing_pct: Mapping[str, float] | None = None,
) -> float:
    """Highest percent of a blend in the finished product: min over actives of (L - e) / f.

    fractions_pct  active -> percent of the blend
    limits_pct     active -> highest percent in the finished product; actives without one do not count
    existing_pct   active -> percent already there from the base, the scent, dispersions

    Infinite when no active has a limit, negative when what is there already breaks one.

    >>> round(blend_cap({"a": 90, "b": 10}, {"a": 1.0}, {"a": 0.25}), 6)
    0.833333
    """
    there = existing_pct or {}
    rooms = [
        (limits_pct[name] - there.get(name, 0.0)) / fraction * 100
        for name, fraction in fractions_pct.items()
        if name in limits_pct and fraction > 0
    ]
    return min(rooms, default=inf)


class RangeTopUp(NamedTuple):
    """Top-up of a base known by a range: sized on its low bound, checked on its high bound."""

    topup_g: float
    final_pct_low: float
    final_pct_high: float
    within: bool


def top_up_range(
    base_g: float,
    low_pct: float,
    high_pct: float,
    additions_g: float,
    target_pct: float,
    max_pct: float,
    strength_pct: float = 100.0,
) -> RangeTopUp:
    """Top-up when only a range of the base's percent is known.

    >>> top_up_range(1000, 0.8, 1.0, 90, 1.0, 1.111111).within
    False
    """
    sized = top_up_open(base_g, low_pct, additions_g, target_pct, strength_pct)
    high = (high_pct * base_g + strength_pct * sized.topup_g) / sized.final_g
    return RangeTopUp(sized.topup_g, sized.final_pct, high, high <= max_pct)


def acid_equivalent(salt_pct: float, g_mol_acid: float, g_mol_salt: float) -> float:
    """Percent of the acid that a salt counts as.

    >>> round(acid_equivalent(0.5, 122.12, 144.11), 6)
    0.423704
    """
    if g_mol_salt <= 0:
        raise OutOfRange("Molar mass", g_mol_salt, 0, inf, "g/mol")
    return salt_pct * g_mol_acid / g_mol_salt


def undissociated(pH: float, pKa: float) -> float:
    """Share of an acid that is not split, and so preserves: 1 / (1 + 10^(pH - pKa)).

    >>> round(undissociated(5.0, 4.19), 5)
    0.13411
    """
    return 1 / (1 + 10 ** (pH - pKa))


@dataclass(frozen=True)
class Gate(Noun):
    """Highest temperature of the product [C] when something goes in, and who says so."""

    below_c: float
    source: str


def gate(own_sheet_c: float | None, of: str = "its supplier") -> Gate:
    """Temperature gate of a preservative: its own sheet, else 40 C.

    of  whose sheet says it: the preservative, or the base it is in

    >>> gate(None).below_c, gate(60).below_c
    (40.0, 60)
    """
    if own_sheet_c is not None:
        return Gate(own_sheet_c, f"sheet of {of}")
    return Gate(figure("batch", "preservative_gate").value, figure("batch", "preservative_gate").source)

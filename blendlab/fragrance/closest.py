"""The closest blend within every limit: three answers to a wish that is over one of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

import numpy as np

from blendlab.fragrance.advice import floored
from blendlab.fragrance.blend import SHEETS, Blend, lay_out
from blendlab.fragrance.load import FULL
from blendlab.fragrance.solver import Answer, NoBlend, Space, highest_total, nearest_even, nearest_few, space
from blendlab.recipe import OilShare, Scent
from blendlab.shelf import Base, Oil
from blendlab.units import round_lines

Way = Literal["scale", "few", "even"]
STEP_PCT = 0.01
ROOM = 1 - 5e-4
"""Part of every row that is used, so that shares rounded to 0.01 % still keep it."""


@dataclass(frozen=True)
class Change:
    """Share of one oil before and after, percent of the scent."""

    oil: str
    before_pct: float
    after_pct: float


@dataclass(frozen=True)
class Proposal:
    """One blend within every limit.

    way      "scale" (all shares kept, lower load), "few" (few shares move) or "even" (change is spread)
    scent    shares and load, rounded so that every row still holds
    changes  oils whose share moves, largest first; `largest_pct` in points
    binding  rows that are used up
    """

    way: Way
    scent: Scent
    changes: tuple[Change, ...]
    largest_pct: float
    binding: tuple[str, ...]


@dataclass(frozen=True)
class Closest:
    """Answer of `closest`.

    fits       the wish keeps every limit already
    proposals  up to three ways; empty when no blend of these oils can be sold
    left_out   oils that cannot be in a blend for sale, with the sentence why
    """

    fits: bool
    proposals: tuple[Proposal, ...]
    left_out: Mapping[str, str]


def closest(scent: Scent, oils: Sequence[Oil], base: Base, product: str, market: str, on: date) -> Closest:
    """Nearest blends of the same oils that keep every limit.

    Arguments and errors as `check`. Limits are never offered for relaxing; a blend whose load cannot
    be reached gets the highest one that can.

    >>> from blendlab.facts.library import demo_oils
    >>> white = Base(id="w", name="White", product="body_butter", k0=(0.0,) * 31, s0=(1.0,) * 31,
    ...     known="estimate", basis="", ref_overrun_pct=100, density_mix_g_ml=1.0, own_fragrance_pct=0)
    >>> oils = [one for one in demo_oils() if one.id in ("lavender", "fresh-citrus-accord")]
    >>> shares = tuple(OilShare(oil=one.ref, share_pct=50) for one in oils)
    >>> wish = Scent(load_pct=12, oils=shares)
    >>> found = closest(wish, oils, white, "body_butter", "EU", date(2026, 11, 25))
    >>> [(one.way, one.scent.load_pct) for one in found.proposals]
    [('scale', 8.68), ('few', 12), ('even', 12)]
    """
    blend = lay_out(scent, oils, base, product, market, on)
    ceiling, _ = blend.most()
    left_out = {
        name: sheet.text for name, sheet in zip(blend.names, blend.sheets, strict=True) if not sheet.limit_pct
    }
    if ceiling is not None and scent.load_pct <= ceiling:
        return Closest(True, (), left_out)
    if not blend.oils or blend.used is None or blend.used >= 1:
        return Closest(False, (), left_out)

    proposals = []
    if ceiling:
        lower = floored(ceiling)
        proposals.append(_proposal("scale", scent, blend, blend.shares, lower, (blend.most()[1],)))
    room = _space(blend)
    total = min(scent.load_pct, floored(highest_total(room)))
    ways: tuple[tuple[Way, Callable[[Space, Sequence[float]], Answer]], ...] = (
        ("few", nearest_few),
        ("even", nearest_even),
    )
    for way, solve in ways if total > 0 else ():
        try:
            answer = solve(replace(room, total=total, high=np.minimum(room.high, total)), _wish(blend, total))
        except NoBlend:
            continue
        shares = [one / 100 for one in _rounded(answer.grams / total)]
        most = blend.mixed(shares).most()[0] or 0.0
        load = total if total <= most else floored(most)
        proposals.append(_proposal(way, scent, blend, shares, load, answer.binding))
    return Closest(False, tuple(proposals), left_out)


def _wish(blend: Blend, total: float) -> list[float]:
    return [share * total for share in blend.shares]


def _rounded(shares: Iterable[float]) -> tuple[float, ...]:
    """Shares in percent, rounded to 0.01 so that they still add up to 100."""
    exact = [max(0.0, 100.0 * float(one)) for one in shares]
    return round_lines(exact, [STEP_PCT] * len(exact))


def _space(blend: Blend) -> Space:
    """Every row of a blend; an oil without a usable sheet gets nothing."""
    limits = [sheet.limit_pct or 0.0 for sheet in blend.sheets]
    rows: dict[str, tuple[Sequence[float], float]] = {
        SHEETS: ([1.0 / one if one else 0.0 for one in limits], 1.0 - (blend.used or 0.0))
    }
    for row in blend.constraints:
        if row.pct is not None and row.limit.use.act == "limit":
            factors = [(one or 0.0) / 100.0 for one in row.contents_pct]
            rows[f"{row.name} ({row.kind})"] = (factors, max(0.0, row.pct - row.base_pct))
    barred = {position: 0.0 for position, one in enumerate(limits) if not one}
    made = space(FULL, len(limits), rows, high=barred)
    return replace(made, most=made.most * ROOM)


def _proposal(
    way: Way, scent: Scent, blend: Blend, shares: Sequence[float], load: float, binding: tuple[str, ...]
) -> Proposal:
    pairs = zip(blend.names, blend.shares, shares, strict=True)
    moved = [Change(name, 100 * before, 100 * after) for name, before, after in pairs]
    moved = [one for one in moved if abs(one.after_pct - one.before_pct) > STEP_PCT / 2]
    moved.sort(key=lambda one: -abs(one.after_pct - one.before_pct))
    largest = abs(moved[0].after_pct - moved[0].before_pct) if moved else 0.0
    oils = tuple(
        OilShare(oil=oil.ref, share_pct=100 * share) for oil, share in zip(blend.oils, shares, strict=True)
    )
    if way == "scale":
        oils = scent.oils
    return Proposal(way, replace(scent, load_pct=load, oils=oils), tuple(moved), largest, binding)

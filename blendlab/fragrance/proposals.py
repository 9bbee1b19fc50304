"""What a search for the closest blend answers: proposals, what moves, what stands in the way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from blendlab.fragrance.notes import Balance
from blendlab.recipe import Scent

Way = Literal["scale", "few", "even", "notes"]


@dataclass(frozen=True)
class Change:
    """Share of one oil before and after, percent of the scent."""

    oil: str
    before_pct: float
    after_pct: float

    @property
    def pct(self) -> float:
        """By how much it moves, points of percent."""
        return abs(self.after_pct - self.before_pct)


@dataclass(frozen=True)
class Relaxed:
    """What a tenth more of one of her own ceilings would bring, found by solving again.

    most, tried  the ceiling now and as tried, in `unit`
    what         what moves: "largest change", "distance to the wished notes" or "load"
    before, after  of what moves; points of percent, or percent of the finished product for a load
    """

    name: str
    most: float
    tried: float
    unit: str
    what: str
    before: float
    after: float


@dataclass(frozen=True)
class Proposal:
    """One blend within every limit that is listed and every sheet.

    way      "scale" (all shares kept, lower load), "few" (few shares move), "even" (change is spread)
             or "notes" (nearest to the wished notes)
    scent    shares and load, on steps of 0.01 %
    grams    oil -> grams in the batch, on the step of the scale; restricted oils are rounded down
    changes  oils whose share moves, largest first; `largest_pct` in points
    binding  rows that are used up
    notes    top, middle, base of the blend, as the wish counts them
    relaxed  what her own ceilings cost
    """

    way: Way
    scent: Scent
    grams: Mapping[str, float]
    changes: tuple[Change, ...]
    largest_pct: float
    binding: tuple[str, ...]
    notes: Balance
    relaxed: tuple[Relaxed, ...] = ()


@dataclass(frozen=True)
class Closest:
    """Answer of `closest`.

    fits       the wish keeps every limit, every ceiling of hers and her notes already
    proposals  up to four ways; empty when no blend of these oils can be sold
    left_out   oils that cannot be in a blend for sale, with the sentence why
    conflict   rows that cannot hold together at the load asked for; each could be left out alone
    needs      her own ceiling or least share -> what it would have to be for that load, alone or with
               the others of its sort
    """

    fits: bool
    proposals: tuple[Proposal, ...]
    left_out: Mapping[str, str]
    conflict: tuple[str, ...] = ()
    needs: Mapping[str, float] | None = None

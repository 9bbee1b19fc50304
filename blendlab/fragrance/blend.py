"""A scent laid out for arithmetic: oils that are in it, their sheets, and every row that limits it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import fsum

from blendlab.errors import BlendlabError, OutOfRange
from blendlab.facts.products import Product, categories_of, product, strictest
from blendlab.fragrance.constraints import Constraint, constraints, own_constraints
from blendlab.fragrance.load import FULL, fraction_rule, min_rule
from blendlab.fragrance.percent_conversions import grams
from blendlab.fragrance.sheets import SheetState, sheet_state
from blendlab.recipe import Scent
from blendlab.shelf import Base, Oil

TOLERANCE_PCT = 0.005
NOTHING_PCT = 1e-9
"""A share below this is none."""
TIE = 1e-12
SHEETS = "All sheets together"
BASE = "the base's own fragrance"
BINDING = ("standard", "sum", "law")


class SharesOff(BlendlabError, ValueError):
    """Shares of a scent that do not add up to 100 %.

    >>> str(SharesOff(99.0))
    'Shares add up to 99.0 % of the scent; they must add up to 100 %.'
    """

    def __init__(self, got: float) -> None:
        self.got = got
        super().__init__(f"Shares add up to {got:.1f} % of the scent; they must add up to 100 %.")


@dataclass(frozen=True)
class Blend:
    """Oils with a share above 0, their sheets and all rows, for one product, market and day.

    shares   fractions of the scent, sum 1; empty for an empty scent
    used     fraction of the sheets already used by the base's own fragrance; None = it has no figure
    product  the kind of product; sold as several kinds, the stricter of each
    house    rows of her own; they never lower the ceiling for sale
    """

    product: Product
    category: str
    oils: tuple[Oil, ...]
    shares: tuple[float, ...]
    sheets: tuple[SheetState, ...]
    constraints: tuple[Constraint, ...]
    used: float | None
    load_pct: float
    house: tuple[Constraint, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the oils, made different where two are alike."""
        seen: dict[str, int] = {}
        names = []
        for oil in self.oils:
            seen[oil.name] = seen.get(oil.name, 0) + 1
            names.append(oil.name if seen[oil.name] == 1 else f"{oil.name} ({seen[oil.name]})")
        return tuple(names)

    def limits(self) -> dict[str, float | None]:
        """Usable sheet figure of each oil."""
        return {name: sheet.limit_pct for name, sheet in zip(self.names, self.sheets, strict=True)}

    def by_name(self) -> dict[str, float]:
        """Share of each oil."""
        return dict(zip(self.names, self.shares, strict=True))

    def grams(self, load_pct: float) -> list[float]:
        """Grams of each oil in 100 g of product at a load."""
        return list(grams(100.0, load_pct, self.by_name()).values())

    def route_a(self) -> tuple[float | None, str]:
        """Route A: each oil within its own sheet."""
        most = min_rule(self.by_name(), self.limits())
        return most.pct, most.governing

    def route_b(self) -> tuple[float | None, str]:
        """Route B: used fractions of all sheets, the base's among them; and the oil or base that governs."""
        if self.used is None:
            return None, BASE
        most = fraction_rule(self.by_name(), self.limits(), self.used)
        return most.pct, most.governing

    def tightest(self, kinds: Sequence[str] = BINDING) -> tuple[float, str] | None:
        """Lowest of the highest loads by rows of some kinds, and its row; None when no row has a figure."""
        rows = [row for row in self.constraints if row.kind in kinds and row.limiting]
        loads = [(row.most(self.shares), row.name) for row in rows]
        return min(loads, key=lambda found: found[0], default=None) if self.oils else None

    def most(self) -> tuple[float | None, str]:
        """Ceiling for sale and what decides: route B, lowered by every row with a figure.

        A row that allows just as much as the sheets is named before them: it says more.
        """
        if not self.oils:
            return None, ""
        sheets, governing = self.route_b()
        if sheets is None:
            return None, governing
        row = self.tightest()
        if row is None or row[0] >= FULL or row[0] > sheets * (1 + TIE):
            return sheets, SHEETS
        return min(sheets, row[0]), row[1]

    def without(self, position: int) -> Blend:
        """The blend with nothing of one oil, the other shares renormalised."""
        rest = 1.0 - self.shares[position]
        shares = tuple(0.0 if at == position else share / rest for at, share in enumerate(self.shares))
        return replace(self, shares=shares)


def lay_out(
    scent: Scent,
    oils: Sequence[Oil],
    base: Base,
    kind: str,
    on: date,
    category: str | None = None,
    made_on: date | None = None,
) -> Blend:
    """The scent with its sheets and rows.

    oils      aligned with scent.oils
    category  another category than the product's own
    made_on   the day the oils are used; None = `on`

    Raises SharesOff, UnknownName for the product, OutOfRange when oils and shares differ in number.
    """
    merged = _merged(scent, oils)
    inside = tuple(oil for oil, _ in merged)
    kinds = [product(name) for name in (kind, *scent.also_kinds)]
    of = strictest(kinds)
    wanted = [category] if category else categories_of(kinds)
    return Blend(
        product=of,
        category=wanted[0],
        oils=inside,
        shares=tuple(share for _, share in merged),
        sheets=tuple(_tightest([sheet_state(oil, made_on or on, each) for each in wanted]) for oil in inside),
        constraints=constraints(inside, base, of, wanted, on),
        used=_used_by_base(base, wanted),
        load_pct=scent.load_pct,
        house=own_constraints(scent.caps, inside, base, of.rinse),
    )


def _merged(scent: Scent, oils: Sequence[Oil]) -> list[tuple[Oil, float]]:
    """Oils that have a share, each revision once, with its fraction of the scent."""
    if len(oils) != len(scent.oils):
        raise OutOfRange("Number of oils", len(oils), len(scent.oils), len(scent.oils), "oils")
    total = fsum(share.share_pct for share in scent.oils)
    if scent.oils and total > 0 and abs(total - 100.0) > TOLERANCE_PCT + 1e-9:
        raise SharesOff(total)
    merged: dict[str, tuple[Oil, float]] = {}
    for oil, share in zip(oils, scent.oils, strict=True):
        if share.share_pct > NOTHING_PCT:
            held = merged.get(oil.rev, (oil, 0.0))[1]
            merged[oil.rev] = (oil, min(1.0, held + share.share_pct / total))
    return list(merged.values())


def _tightest(states: Sequence[SheetState]) -> SheetState:
    return min(states, key=lambda state: -1.0 if state.limit_pct is None else state.limit_pct)


def _used_by_base(base: Base, categories: Sequence[str]) -> float | None:
    """Fraction of its own sheet that the base's fragrance uses; None when it has no figure.

    An amount that is not known is told as a finding of its own, and stops leave-on products there.
    """
    if not base.own_fragrance_pct:
        return 0.0
    limits = [base.own_sheet.limits.get(category) if base.own_sheet else None for category in categories]
    known = [limit for limit in limits if limit]
    return base.own_fragrance_pct / min(known) if len(known) == len(limits) else None

"""A scent laid out for arithmetic: oils that are in it, their sheets, and every row that limits it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import fsum

from blendlab.errors import BlendlabError, OutOfRange
from blendlab.facts.law import laws
from blendlab.facts.limits import ENGINE_USE, Limit
from blendlab.facts.products import Product, categories_of, product, strictest
from blendlab.facts.standards import standards
from blendlab.fragrance.contents import high_pct, in_base, phototoxic
from blendlab.fragrance.load import FULL, fraction_rule, min_rule, substance_rule
from blendlab.fragrance.own_caps import house_rows
from blendlab.fragrance.sheets import SheetState, sheet_state
from blendlab.recipe import Scent
from blendlab.shelf import Base, Oil

TOLERANCE_PCT = 0.005
BASE = "the base's own fragrance"


class SharesOff(BlendlabError, ValueError):
    """Shares of a scent that do not add up to 100 %.

    >>> str(SharesOff(99.0))
    'Shares add up to 99.0 % of the scent; they must add up to 100 %.'
    """

    def __init__(self, got: float) -> None:
        self.got = got
        super().__init__(f"Shares add up to {got:.1f} % of the scent; they must add up to 100 %.")


@dataclass(frozen=True)
class Constraint:
    """One row: load x sum(share x content) / 100 + base stays at or below `pct`.

    contents_pct  per oil, percent of the oil; None = unknown. In a sum row the unit is percent of
                  the sum per percent of the oil in the product, times 100
    pct           highest percent of the finished product, or None without a figure
    kind          "standard", "law", "sum" or "house"
    unit          of what is used and of the limit
    """

    name: str
    kind: str
    contents_pct: tuple[float | None, ...]
    base_pct: float
    pct: float | None
    limit: Limit
    unit: str = "%"

    def in_scent(self, shares: Sequence[float]) -> float:
        """Known percent of the substance in the scent."""
        return fsum(s * c for s, c in zip(shares, self.contents_pct, strict=True) if c)

    def used(self, shares: Sequence[float], load_pct: float) -> float:
        """Known percent in the finished product."""
        return load_pct * self.in_scent(shares) / 100.0 + self.base_pct

    def most(self, shares: Sequence[float]) -> float:
        """Highest load within this row; the whole product when the row does not bind."""
        if self.pct is None or self.limit.use.act != "limit":
            return FULL
        return substance_rule(self.in_scent(shares), self.pct, self.base_pct) or 0.0


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

    def most(self) -> tuple[float | None, str]:
        """Ceiling for sale and the name of its row: route B, lowered by every row with a figure."""
        if not self.oils:
            return None, ""
        if self.used is None:
            return None, BASE
        sheets = fraction_rule(self.by_name(), self.limits(), self.used)
        if sheets.pct is None:
            return None, sheets.governing
        best, name = sheets.pct, SHEETS
        for row in self.constraints:
            load = row.most(self.shares)
            if load < best:
                best, name = load, row.name
        return best, name

    def without(self, position: int) -> Blend:
        """The blend without one oil, the other shares renormalised."""
        rest = 1.0 - self.shares[position]
        return self.mixed([share / rest * (one != position) for one, share in enumerate(self.shares)])

    def mixed(self, shares: Sequence[float]) -> Blend:
        """The same oils in other shares, fractions that add up to 1; a share of 0 drops out."""
        keep = [one for one, share in enumerate(shares) if share > 0]

        def kept(rows: tuple[Constraint, ...]) -> tuple[Constraint, ...]:
            return tuple(
                replace(row, contents_pct=tuple(row.contents_pct[one] for one in keep)) for row in rows
            )

        return replace(
            self,
            oils=tuple(self.oils[one] for one in keep),
            shares=tuple(shares[one] for one in keep),
            sheets=tuple(self.sheets[one] for one in keep),
            constraints=kept(self.constraints),
            house=kept(self.house),
        )

    def route_a(self) -> tuple[float | None, str]:
        """Route A: each oil within its own sheet."""
        most = min_rule(self.by_name(), self.limits())
        return most.pct, most.governing


SHEETS = "All sheets together"


def lay_out(
    scent: Scent,
    oils: Sequence[Oil],
    base: Base,
    kind: str,
    market: str,
    on: date,
    category: str | None = None,
) -> Blend:
    """The scent with its sheets and rows.

    oils      aligned with scent.oils
    category  another category than the product's own

    Raises SharesOff, UnknownName for the product, OutOfRange when oils and shares differ in number.
    """
    if len(oils) != len(scent.oils):
        raise OutOfRange("Number of oils", len(oils), len(scent.oils), len(scent.oils), "oils")
    total = fsum(one.share_pct for one in scent.oils)
    if scent.oils and total > 0 and abs(total - 100.0) > TOLERANCE_PCT + 1e-9:
        raise SharesOff(total)
    merged: dict[str, tuple[Oil, float]] = {}
    for oil, share in zip(oils, scent.oils, strict=True):
        if share.share_pct > 0:
            held = merged.get(oil.rev, (oil, 0.0))[1]
            merged[oil.rev] = (oil, held + share.share_pct / total)
    inside = tuple(oil for oil, _ in merged.values())
    kinds = [product(one) for one in (kind, *scent.also_kinds)]
    of = strictest(kinds)
    wanted = [category] if category else categories_of(kinds)
    return Blend(
        product=of,
        category=wanted[0],
        oils=inside,
        shares=tuple(share for _, share in merged.values()),
        sheets=tuple(_tightest([sheet_state(oil, on, one) for one in wanted]) for oil in inside),
        constraints=_constraints(inside, base, of, wanted, on),
        used=_used_by_base(base, wanted),
        load_pct=scent.load_pct,
        house=tuple(
            Constraint(name, "house", contents, brought, most, HER_OWN, unit)
            for name, contents, brought, most, unit in house_rows(scent.caps, inside, base, of.rinse)
        ),
    )


HER_OWN = Limit("", "standard", (), None, ENGINE_USE["block"], "", "your own ceiling", "")


def _tightest(states: Sequence[SheetState]) -> SheetState:
    return min(states, key=lambda one: -1.0 if one.limit_pct is None else one.limit_pct)


def _used_by_base(base: Base, categories: Sequence[str]) -> float | None:
    """Fraction of its own sheet that the base's fragrance uses; None when it has no figure.

    An amount that is not known is told as a finding of its own, and stops leave-on products there.
    """
    if not base.own_fragrance_pct:
        return 0.0
    limits = [base.own_sheet.limits.get(one) if base.own_sheet else None for one in categories]
    known = [one for one in limits if one]
    return base.own_fragrance_pct / min(known) if len(known) == len(limits) else None


def _constraints(
    oils: Sequence[Oil], base: Base, of: Product, categories: Sequence[str], on: date
) -> tuple[Constraint, ...]:
    limits = [one for each in categories for one in standards(each)] + list(laws(of.scopes, on))
    brought = in_base(base)
    touched = {cas for oil in oils for cas in _numbers(oil)} | set(brought)
    rows: dict[tuple[str, str, str], Constraint] = {}
    photo: dict[str, Limit] = {}
    for limit in limits:
        if touched.isdisjoint(limit.cas):
            continue
        if limit.photo:
            held_photo = photo.get(limit.name)
            if held_photo is None or (limit.pct or 0.0) < (held_photo.pct or 0.0):
                photo[limit.name] = limit
            continue
        row = Constraint(
            name=limit.name,
            kind=limit.kind,
            contents_pct=tuple(high_pct(oil, limit.cas) for oil in oils),
            base_pct=fsum(pct for cas, pct in brought.items() if cas in limit.cas),
            pct=limit.pct,
            limit=limit,
        )
        key = (limit.name, limit.kind, limit.use.act)
        held = rows.get(key)
        if held is None or held.pct is None or (row.pct is not None and row.pct < held.pct):
            rows[key] = row
    if photo:
        rows["photo", "sum", "limit"] = _photo_row(oils, brought, list(photo.values()))
    return tuple(row for row in rows.values() if any(row.contents_pct) or row.base_pct)


def _numbers(oil: Oil) -> set[str]:
    numbers = {oil.cas, *oil.constituents} - {""}
    return numbers | set(oil.declaration.rows) if oil.declaration else numbers


def _photo_row(oils: Sequence[Oil], base: Mapping[str, float], limits: Sequence[Limit]) -> Constraint:
    """Sum rule of the phototoxic oils: percent of the sum, at most 100."""

    def of(oil: Oil, limit: Limit) -> float:
        if oil.cas in limit.cas and not phototoxic(oil):
            return 0.0
        return (high_pct(oil, limit.cas) or 0.0) / (limit.pct or 1.0)

    contents = tuple(100.0 * fsum(of(oil, limit) for limit in limits if limit.pct) for oil in oils)
    brought = fsum(
        100.0 * pct / limit.pct
        for limit in limits
        if limit.pct
        for cas, pct in base.items()
        if cas in limit.cas
    )
    weakest = min(limits, key=lambda one: one.use.verified)
    return Constraint("Phototoxic oils together", "sum", contents, brought, 100.0, weakest, "% of their sum")

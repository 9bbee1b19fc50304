"""Every row that limits a scent: Standards, law, the sum of the phototoxic oils, her own ceilings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import fsum

from blendlab.facts.law import laws
from blendlab.facts.limits import ENGINE_USE, Limit
from blendlab.facts.products import Product
from blendlab.facts.standards import standards
from blendlab.fragrance.contents import at_least, high_pct, in_base, phototoxic
from blendlab.fragrance.load import FULL, in_product, substance_rule
from blendlab.fragrance.own_caps import own_rows
from blendlab.recipe import Caps
from blendlab.shelf import Base, Oil

HER_OWN = Limit("", "standard", (), None, ENGINE_USE["block"], "", "your own ceiling", "")
PHOTOTOXIC = "Phototoxic oils together"


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

    @property
    def limiting(self) -> bool:
        """Whether the row has a figure that lowers a ceiling."""
        return self.pct is not None and self.limit.use.act == "limit"

    def in_scent(self, shares: Sequence[float]) -> float:
        """Known percent of the substance in the scent."""
        return fsum(share * pct for share, pct in zip(shares, self.contents_pct, strict=True) if pct)

    def used(self, shares: Sequence[float], load_pct: float) -> float:
        """Known percent in the finished product."""
        return in_product(load_pct, self.in_scent(shares), self.base_pct)

    def most(self, shares: Sequence[float]) -> float:
        """Highest load within this row; the whole product when the row does not bind."""
        if self.pct is None or not self.limiting:
            return FULL
        return substance_rule(self.in_scent(shares), self.pct, self.base_pct)


def constraints(
    oils: Sequence[Oil], base: Base, of: Product, categories: Sequence[str], on: date
) -> tuple[Constraint, ...]:
    """Rows of Standards and law that touch these oils or this base; of one name the lowest figure."""
    limits = [limit for category in categories for limit in standards(category)] + list(laws(of.scopes, on))
    brought = in_base(base)
    touched = {cas for oil in oils for cas in _numbers(oil)} | set(brought)
    touching = [limit for limit in limits if not touched.isdisjoint(limit.cas)]
    rows: dict[tuple[str, str, str], Constraint] = {}
    photo: dict[str, Limit] = {}
    for limit in touching:
        if limit.photo:
            photo[limit.name] = _lower(photo.get(limit.name), limit)
        else:
            row = _row(limit, oils, brought)
            key = (row.name, row.kind, limit.use.act)
            rows[key] = _tighter(rows.get(key), row)
    summed = [photo_row(oils, brought, list(photo.values()))] if photo else []
    return tuple(row for row in (*rows.values(), *summed) if any(row.contents_pct) or row.base_pct)


def _row(limit: Limit, oils: Sequence[Oil], brought: Mapping[str, float]) -> Constraint:
    inside = tuple(high_pct(oil, limit.cas) for oil in oils)
    base_pct = fsum(pct for cas, pct in brought.items() if cas in limit.cas)
    return Constraint(limit.name, limit.kind, inside, base_pct, limit.pct, limit)


def _tighter(held: Constraint | None, row: Constraint) -> Constraint:
    if held is None or held.pct is None:
        return row
    return row if row.pct is not None and row.pct < held.pct else held


def _lower(held: Limit | None, limit: Limit) -> Limit:
    return limit if held is None or at_least(limit.pct) < at_least(held.pct) else held


def _numbers(oil: Oil) -> set[str]:
    numbers = {oil.cas, *oil.constituents} - {""}
    return numbers | set(oil.declaration.rows) if oil.declaration else numbers


def photo_row(oils: Sequence[Oil], brought: Mapping[str, float], limits: Sequence[Limit]) -> Constraint:
    """Sum rule of the phototoxic oils: use / limit x 100 added up, at most 100.

    brought  CAS -> percent of the finished product from the base

    IFRA guidance on citrus and other furocoumarin-containing oils.

    >>> bergamot = Oil(id="b", name="Bergamot", group="essential_oil", cas="8007-75-8")
    >>> rule = Limit("Bergamot oil", "standard", ("8007-75-8",), 0.4, ENGINE_USE["block"], "", "", "")
    >>> photo_row([bergamot], {}, [rule]).used([1.0], 0.3)
    75.0
    """
    figured = [(limit, 100.0 / limit.pct) for limit in limits if limit.pct]

    def of(oil: Oil) -> float:
        parts = []
        for limit, per_pct in figured:
            exempt = oil.cas in limit.cas and not phototoxic(oil)
            parts.append(0.0 if exempt else at_least(high_pct(oil, limit.cas)) * per_pct)
        return fsum(parts)

    from_base = fsum(
        pct * per_pct for limit, per_pct in figured for cas, pct in brought.items() if cas in limit.cas
    )
    weakest = min(limits, key=lambda limit: limit.use.verified)
    contents = tuple(of(oil) for oil in oils)
    return Constraint(PHOTOTOXIC, "sum", contents, from_base, 100.0, weakest, "% of their sum")


def own_constraints(caps: Caps, oils: Sequence[Oil], base: Base, rinse: str) -> tuple[Constraint, ...]:
    """Her own ceilings; they never lower the ceiling for sale."""
    return tuple(
        Constraint(name, "house", contents, brought, most, HER_OWN, unit)
        for name, contents, brought, most, unit in own_rows(caps, oils, base, rinse)
    )

"""Fragrance allergens that a label must name: groups, registry numbers, lists by market and day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Literal

from blendlab.errors import UnknownName
from blendlab.facts.limits import split
from blendlab.facts.read import Row, maybe_day, number, table

List = Literal["none", "old", "new", "pending"]
LISTS: tuple[List, ...] = ("none", "old", "new", "pending")


@dataclass(frozen=True)
class Allergen:
    """One name of the list: every registry number whose percents are summed under it.

    old        already on the list of 2003
    natural    an oil or extract rather than a substance
    leave_on   declared above this percent of a product that stays on the skin
    rinse_off  declared above this percent of a product that is rinsed off
    """

    name: str
    entry: int
    cas: frozenset[str]
    old: bool
    natural: bool
    leave_on: float
    rinse_off: float
    source: str

    def above(self, rinse: str) -> float:
        """Threshold for "leave_on" or "rinse_off", percent of the finished product."""
        return self.rinse_off if rinse == "rinse_off" else self.leave_on


@cache
def allergens() -> tuple[Allergen, ...]:
    """Names in force, in the order of the list; the prohibited ones are not among them.

    >>> len(allergens()), sum(allergen.old for allergen in allergens())
    (81, 24)
    """
    more: dict[str, set[str]] = {}
    for row in table("fragrance/allergens_cas"):
        more.setdefault(row["inci_label_name"], set()).add(row["cas_number"])
    for row in table("fragrance/cas_aliases"):
        if row["maps_to_eu_label_name"]:
            more.setdefault(row["maps_to_eu_label_name"], set()).add(row["cas"])
    return tuple(
        Allergen(
            name=row["inci_label_name"],
            entry=int(number(row, "annex_iii_entry")),
            cas=frozenset(split(row["cas_numbers"])) | more.get(row["inci_label_name"], set()),
            old=row["list_origin"].startswith("original_2003"),
            natural=row["kind"] != "substance",
            leave_on=number(row, "declare_above_leave_on_percent"),
            rinse_off=number(row, "declare_above_rinse_off_percent"),
            source=row["source"],
        )
        for row in table("fragrance/allergens")
    )


@cache
def by_name() -> Mapping[str, Allergen]:
    """Allergens by label name."""
    return {allergen.name: allergen for allergen in allergens()}


@cache
def by_cas() -> Mapping[str, Allergen]:
    """Substances by registry number. Oils are left out: a number alone never names an oil."""
    return {cas: allergen for allergen in allergens() if not allergen.natural for cas in allergen.cas}


@cache
def natural_cas() -> Mapping[str, tuple[str, ...]]:
    """Registry numbers of oils and extracts -> the label names they are printed under."""
    found: dict[str, tuple[str, ...]] = {}
    for allergen in allergens():
        if allergen.natural:
            for cas in allergen.cas:
                found[cas] = (*found.get(cas, ()), allergen.name)
    return found


def list_for(market: str, on: date) -> List:
    """Which list holds for a jar first placed on that market that day.

    "none": nothing to name; "old": the names of 2003; "new": all; "pending": a rule is announced.
    Raises UnknownName for a market without rows.

    >>> list_for("EU", date(2026, 7, 31)), list_for("EU", date(2026, 8, 1)), list_for("US", date(2026, 8, 1))
    ('old', 'new', 'pending')
    """
    rows = _rows(market)
    if not rows:
        raise UnknownName("market", market, {row["market"] for row in table("fragrance/markets")})
    for row in rows:
        start, end = maybe_day(row, "from_date"), maybe_day(row, "until_date")
        if (start is None or start <= on) and (end is None or on <= end):
            return _list(row)
    return "none"


def _rows(market: str) -> list[Row]:
    return [row for row in table("fragrance/markets") if row["market"] == market]


def _list(row: Row) -> List:
    if row["list"] not in LISTS:
        raise row.bad(f'list is "{row["list"]}"; one of {", ".join(LISTS)}')
    return LISTS[LISTS.index(row["list"])]


def list_days(market: str) -> tuple[tuple[date, bool], ...]:
    """Days on which the list of a market changes; True for the last day an older label may be sold.

    >>> list_days("EU")
    ((datetime.date(2026, 8, 1), False), (datetime.date(2028, 7, 31), True))
    """
    rows = _rows(market)
    placed = [(start, False) for row in rows[1:] if (start := maybe_day(row, "from_date"))]
    sold = [(end, True) for row in rows if (end := maybe_day(row, "sold_until"))]
    return tuple(sorted([*placed, *sold]))


def sold_until(market: str, which: List) -> date | None:
    """Last day on which a jar named by an older list may be sold on a market.

    >>> sold_until("EU", "old")
    datetime.date(2028, 7, 31)
    """
    return next((maybe_day(row, "sold_until") for row in _rows(market) if row["list"] == which), None)


def source_of(market: str, which: List) -> str:
    """Where the rule of a market comes from."""
    return next((row["source"] for row in _rows(market) if row["list"] == which), "")

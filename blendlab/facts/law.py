"""Figures of EU law on scents, peroxide rules of raw materials, and words that decide a rule."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache

from blendlab.facts.limits import Limit, split, use_of
from blendlab.facts.products import scopes_in
from blendlab.facts.read import Row, day, maybe_day, number, table


@cache
def laws(scopes: frozenset[str], on: date) -> tuple[Limit, ...]:
    """Figures of EU law for products of these scopes, in force on that day; the smallest per name.

    >>> {limit.name: limit.pct for limit in laws(frozenset({"rinse_off"}), date(2026, 11, 26))}["Isoeugenol"]
    0.02
    """
    smallest: dict[tuple[str, str], Limit] = {}
    for row in table("fragrance/law_limits"):
        use, start = use_of(row), maybe_day(row, "valid_from")
        if not _applies(row, scopes) or use.act not in ("limit", "advice") or (start and start > on):
            continue
        limit = _limit(row)
        held = smallest.get((limit.name, use.act))
        if held is None or (held.pct or 0) > (limit.pct or 0):
            smallest[limit.name, use.act] = limit
    return tuple(smallest.values())


def _applies(row: Row, scopes: frozenset[str]) -> bool:
    applies = scopes_in(row, "applies_to")
    if not applies:
        raise row.bad("applies_to is empty")
    return bool(applies & scopes and row["limit_percent"])


def _limit(row: Row) -> Limit:
    group = row["sum_group"]
    return Limit(
        name=f"{group.capitalize()} together" if group else row["substance"],
        kind="law",
        cas=split(row["cas_numbers"]),
        pct=number(row, "limit_percent"),
        use=use_of(row),
        scope=row["product_scope"],
        source=row["source"],
        checked_on=row["checked_on"],
    )


@cache
def law_days(scopes: frozenset[str]) -> tuple[tuple[date, str], ...]:
    """Days from which a figure of law holds for products of these scopes, and what it limits.

    >>> law_days(frozenset({"rinse_off"}))
    ((datetime.date(2026, 5, 1), 'Hexyl salicylate'),)
    """
    dated = [row for row in table("fragrance/law_limits") if row["valid_from"] and _applies(row, scopes)]
    return tuple(sorted({(day(row, "valid_from"), row["substance"]) for row in dated}))


@cache
def peroxides() -> Mapping[str, tuple[str, float, str]]:
    """Raw materials with a peroxide rule: CAS -> name, highest mmol/l, source.

    >>> peroxides()["5989-27-5"][1]
    20.0
    """
    return {
        cas: (row["substance"], number(row, "peroxide_max_mmol_l"), row["source"])
        for row in table("fragrance/law_limits")
        if row["peroxide_max_mmol_l"]
        for cas in split(row["cas_numbers"])
    }


@cache
def plant_parts() -> Mapping[str, bool]:
    """Words for the part of the plant -> whether such an oil counts in the phototoxic sum.

    >>> plant_parts()["peel_expressed"], plant_parts()["peel_distilled"]
    (True, False)
    """
    return {row["word"]: row["counts_in_phototoxic_sum"] == "yes" for row in table("fragrance/plant_parts")}


@cache
def small_children() -> Mapping[str, str]:
    """Substances to keep from children under three: CAS -> word.

    >>> small_children()["76-22-2"]
    'camphor'
    """
    return {row["cas"]: row["word"] for row in table("fragrance/children")}

"""IFRA Standards: their figures by category, which of them restrict a use, the current amendment."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from typing import NamedTuple

from blendlab.facts.limits import ENGINE_USE, Limit, split, use_of
from blendlab.facts.read import Row, day, maybe_number, number, table


class Amendment(NamedTuple):
    """An amendment of the Standards: when it was notified, months until new and existing scents follow."""

    number: int
    notified: date
    months_new: int
    months_existing: int


@cache
def current_amendment() -> Amendment:
    """The latest amendment that is known here.

    >>> current_amendment().number, current_amendment().months_existing
    (51, 28)
    """
    row = table("fragrance/amendments")[-1]
    return Amendment(
        int(number(row, "amendment")),
        day(row, "notified"),
        int(number(row, "months_new")),
        int(number(row, "months_existing")),
    )


@cache
def restricted() -> tuple[tuple[str, frozenset[str]], ...]:
    """Standards of the index that restrict a use (types with R): material and registry numbers."""
    return tuple(
        (row["material"], frozenset(split(row["cas_numbers"])))
        for row in table("fragrance/ifra_index")
        if "R" in row["standard_type"].split("-")
    )


@cache
def standards(category: str) -> tuple[Limit, ...]:
    """IFRA Standards as they stand for one category: a limit, a question, or nothing at all.

    A figure of the category goes before the row for all; figures of a later amendment go first.

    >>> [limit.pct for limit in standards("9") if limit.name == "Rose ketones"]
    [0.084]
    """
    chosen: dict[str, Row] = {}
    last: dict[str, Row] = {}
    for row in table("fragrance/ifra_limits"):
        use_of(row)
        if not row["cas_numbers"]:
            continue
        last[row["material"]] = row
        if row["category"] in (category, "(all)"):
            held = chosen.get(row["material"])
            if held is None or _rank(row) > _rank(held):
                chosen[row["material"]] = row
    limits = [_standard(row) for row in chosen.values()]
    limits += [_question(row) for material, row in last.items() if material not in chosen]
    covered = {cas for row in last.values() for cas in split(row["cas_numbers"])}
    limits += _only_indexed(covered)
    return tuple(limit for limit in limits if limit.use.act != "nothing")


def _only_indexed(covered: set[str]) -> list[Limit]:
    """Standards known by their index line only: prohibited ones bind, restricted ones are questions."""
    found = []
    for row in table("fragrance/ifra_index"):
        rest = tuple(cas for cas in split(row["cas_numbers"]) if cas not in covered)
        kinds = row["standard_type"].split("-")
        if rest and kinds == ["P"]:
            found.append(replace(_question(row), cas=rest, pct=0.0, use=ENGINE_USE["block"]))
        elif rest and ("R" in kinds or "P" in kinds):
            found.append(replace(_question(row), cas=rest))
    return found


def _question(row: Row) -> Limit:
    """A restriction without a figure for this category."""
    return Limit(
        name=row["material"],
        kind="standard",
        cas=split(row["cas_numbers"]),
        pct=None,
        use=ENGINE_USE["ask_certificate"],
        scope="(all)",
        source=row["source"],
        checked_on=row["checked_on"],
    )


def _rank(row: Row) -> tuple[bool, float]:
    return row["category"] != "(all)", maybe_number(row, "amendment") or 0


def _standard(row: Row) -> Limit:
    return Limit(
        name=row["material"],
        kind="standard",
        cas=split(row["cas_numbers"]),
        pct=maybe_number(row, "limit_percent"),
        use=use_of(row),
        scope=row["category"],
        source=row["source"],
        checked_on=row["checked_on"],
        photo=row["critical_effect"] == "phototoxicity" and "oil" in row["material"].split(),
    )

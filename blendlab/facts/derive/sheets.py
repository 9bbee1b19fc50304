"""Invented sheets: the highest percent of an oil in a product by its highest contents.

limit of the oil = min over restricted substances of 100 x limit of the substance / highest content,
cut to 0.01 % and never above 100 %. The limit of a substance is the smaller of the figure listed for
the category and the upper bound NESIL x category factor; the bound may lower a limit, never raise one.

`python -m blendlab.facts.derive.sheets` writes the categories of demo_sheets.csv again.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from decimal import ROUND_FLOOR, Decimal
from functools import cache
from pathlib import Path

from blendlab.facts.library import oil
from blendlab.facts.limits import categories, split, standards
from blendlab.facts.read import table

DEMO = "fragrance/demo_sheets.csv"
WHOLE = Decimal(100)


@cache
def substance_limits(category: str) -> tuple[tuple[frozenset[str], Decimal], ...]:
    """Groups of registry numbers with their limit in one category, percent of the finished product."""
    listed = [
        (frozenset(one.cas), Decimal(repr(one.pct)))
        for one in standards(category)
        if one.pct is not None and not one.photo
    ]
    factor = {row["category"]: row["pct_per_100"] for row in table("fragrance/nesil_factors.csv")}[category]
    if not factor:
        return tuple(listed)
    bounds = [
        (_group(row["cas"]), Decimal(factor) * Decimal(row["nesil_ug_cm2"]) / 100)
        for row in table("fragrance/nesil.csv")
    ]
    return tuple(listed + bounds)


@cache
def _group(cas: str) -> frozenset[str]:
    """The registry numbers that a Standard sums with this one."""
    for row in table("fragrance/ifra_limits.csv"):
        if cas in split(row["cas_numbers"]):
            return frozenset(split(row["cas_numbers"]))
    return frozenset({cas})


def limit(library_id: str, category: str) -> Decimal:
    """Highest percent of a library oil in a product of one category.

    >>> limit("FO11", "5A")
    Decimal('23.33')
    """
    inside = oil(library_id).constituents
    best = WHOLE
    for group, most in substance_limits(category):
        held = sum((Decimal(repr(one.high)) for cas, one in inside.items() if cas in group), Decimal(0))
        if held > 0:
            best = min(best, WHOLE * most / held)
    return best.quantize(Decimal("0.01"), ROUND_FLOOR).normalize()


def row_of(library_id: str) -> dict[str, float]:
    """Category -> limit of a library oil."""
    return {category: float(limit(library_id, category)) for category in categories()}


def derived() -> list[dict[str, str]]:
    """Rows of the demo sheets with their categories worked out again."""
    return [_row(row) for row in table(DEMO)]


def _row(row: Mapping[str, str]) -> dict[str, str]:
    if not row["oil_id"]:
        return dict(row)
    return {**row, **{f"cat_{one}": f"{pct:g}" for one, pct in row_of(row["oil_id"]).items()}}


def main() -> None:
    """Write the demo sheets again."""
    rows = derived()
    path = Path(__file__).parents[1] / DEMO
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    for row in rows:
        print(row["oil"], {one: row[f"cat_{one}"] for one in ("5A", "9")})


if __name__ == "__main__":
    main()

"""Invented sheets: the highest percent of an oil in a product by its highest contents.

limit of the oil = min over restricted substances of 100 x limit of the substance / highest content,
cut to 0.01 % and never above 100 %. The limit of a substance is the smaller of the figure listed for
the category and the upper bound NESIL x category factor; the bound may lower a limit, never raise one.

Derive the categories again: `python -m blendlab.facts.derive.sheets > new.csv`.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from decimal import ROUND_FLOOR, Decimal
from functools import cache
from io import StringIO

from blendlab.facts.library import oil
from blendlab.facts.limits import split
from blendlab.facts.products import categories
from blendlab.facts.read import Row, table
from blendlab.facts.standards import standards

DEMO = "fragrance/demo_sheets"
WHOLE = Decimal(100)


@cache
def substance_limits(category: str) -> tuple[tuple[frozenset[str], Decimal], ...]:
    """Groups of registry numbers with their limit in one category, percent of the finished product."""
    listed = [
        (frozenset(standard.cas), Decimal(repr(standard.pct)))
        for standard in standards(category)
        if standard.pct is not None and not standard.photo
    ]
    factor = {row["category"]: row["pct_per_100"] for row in table("fragrance/nesil_factors")}[category]
    if not factor:
        return tuple(listed)
    bounds = [
        (_group(row["cas"]), Decimal(factor) * Decimal(row["nesil_ug_cm2"]) / 100)
        for row in table("fragrance/nesil")
    ]
    return tuple(listed + bounds)


@cache
def _group(cas: str) -> frozenset[str]:
    """The registry numbers that a Standard sums with this one."""
    for row in table("fragrance/ifra_limits"):
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
        held = sum((Decimal(repr(part.high)) for cas, part in inside.items() if cas in group), Decimal(0))
        if held > 0:
            best = min(best, WHOLE * most / held)
    return best.quantize(Decimal("0.01"), ROUND_FLOOR).normalize()


def row_of(library_id: str) -> dict[str, float]:
    """Category -> limit of a library oil."""
    return {category: float(limit(library_id, category)) for category in categories()}


def rows() -> Iterator[str]:
    """Lines of the table."""
    kept = table(DEMO)
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([f"{column}*" if column == "oil" else column for column in kept[0]])
    writer.writerows(_cells(row) for row in kept)
    yield from out.getvalue().splitlines()


def _cells(row: Row) -> list[str]:
    if not row["oil_id"]:
        return list(row.values())
    limits = {f"cat_{category}": f"{pct:g}" for category, pct in row_of(row["oil_id"]).items()}
    return [limits.get(column, cell) for column, cell in row.items()]


if __name__ == "__main__":
    print("\n".join(rows()))

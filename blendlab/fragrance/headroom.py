"""Headroom rows of a scent: how much of every limit is used, tightest first."""

from __future__ import annotations

from blendlab.fragrance.blend import SHEETS, Blend
from blendlab.fragrance.constraints import Constraint
from blendlab.fragrance.load import FULL
from blendlab.fragrance.result import Head
from blendlab.fragrance.thresholds import exact
from blendlab.shelf import Oil

SHEET = "supplier's sheet"


def rows(blend: Blend, market: str) -> tuple[Head, ...]:
    """All rows: over, then without a figure, then least free."""
    found = [_head(SHEETS, "sheets", blend, blend.load_pct, blend.route_b()[0])] if blend.oils else []
    for name, oil, share, sheet in zip(blend.names, blend.oils, blend.shares, blend.sheets, strict=True):
        if sheet.limit_pct is None or sheet.limit_pct < FULL:
            found.append(_head(name, "sheet", blend, share * blend.load_pct, sheet.limit_pct, oil))
    for row in blend.constraints:
        if row.limit.use.act == "limit" or unanswered(blend, row):
            found.append(row_of(row, blend, market))
    found += [row_of(row, blend, market) for row in blend.house]
    usual = blend.product.usual_high_pct
    if blend.oils and usual is not None:
        found.append(_usual(blend, usual))
    return tuple(sorted(found, key=_order))


def unanswered(blend: Blend, row: Constraint) -> bool:
    """Whether an oil that bears a restricted material has no usable sheet to answer for it."""
    bearing = [
        sheet.limit_pct is None for sheet, pct in zip(blend.sheets, row.contents_pct, strict=True) if pct
    ]
    return any(bearing) or (row.base_pct > 0 and not blend.used)


def row_of(row: Constraint, blend: Blend, market: str) -> Head:
    """What a blend uses of one row."""
    verified = row.limit.use.verified and (row.kind != "law" or market == "EU")
    return Head.of(
        row.name,
        row.kind,
        exact(row.used(blend.shares, blend.load_pct)),
        row.pct,
        verified,
        row.limit.source,
        row.limit.checked_on,
        row.limit.scope,
        at_least=any(pct is None for pct in row.contents_pct),
        unit=row.unit,
    )


def _usual(blend: Blend, most: float) -> Head:
    name = f"Usual for {blend.product.name.replace('_', ' ')}"
    return Head.of(name, "practice", blend.load_pct, most, True, "common practice", "", blend.category, False)


def _order(row: Head) -> tuple[int, float]:
    if row.free_share is None:
        return 1, 0.0
    return (0 if row.over and row.binds else 2), row.free_share


def _head(
    name: str, kind: str, blend: Blend, used: float, limit: float | None, oil: Oil | None = None
) -> Head:
    source, issued = SHEET, ""
    if oil is not None and oil.sheet is not None:
        source = f"{SHEET} {oil.sheet.document}".strip()
        issued = oil.sheet.issued.isoformat() if oil.sheet.issued else ""
    return Head.of(name, kind, used, limit, True, source, issued, blend.category, at_least=limit is None)

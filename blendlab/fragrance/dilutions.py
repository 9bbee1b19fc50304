"""A dilution as an oil of its own: contents shrink, the sheet's figure grows, the carrier counts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from blendlab.errors import OutOfRange
from blendlab.fragrance.percent_conversions import diluted_limit
from blendlab.shelf import Constituent, Declaration, Declared, Oil, Sheet


def diluted(
    oil: Oil, pct: float, carrier: str, item_id: str, name: str, holds: Mapping[str, float] | None
) -> Oil:
    """An oil thinned with a carrier.

    pct    percent of the pure oil in the dilution
    holds  CAS -> percent of the carrier of what is restricted or to be named; {} = nothing of either by
           its sheet; None = not known, so that the declaration of the dilution stays open

    Contents become content x pct / 100 (plus what the carrier brings), sheet figures limit / pct x 100
    up to 100 %, but never more than the carrier leaves open.

    >>> from blendlab.facts.library import demo_oils
    >>> thin = diluted(demo_oils()[1], 10, "fractionated coconut oil", "p10", "Petitgrain 10 %", {})
    >>> thin.sheet.limits["2"], thin.declaration.complete
    (64.0, True)
    """
    if not 0 < pct < 100:
        raise OutOfRange("Dilution", pct, 0, 100, "% of the pure oil")
    part, brought = pct / 100.0, holds or {}
    return replace(
        oil,
        id=item_id,
        name=name,
        sheet=_sheet(oil.sheet, pct),
        declaration=_declaration(oil.declaration, part, brought, holds is not None),
        constituents=_constituents(oil.constituents, part, brought, carrier),
        vanillin_pct=None if oil.vanillin_pct is None else oil.vanillin_pct * part,
        ethyl_vanillin_pct=None if oil.ethyl_vanillin_pct is None else oil.ethyl_vanillin_pct * part,
        price_per_g=None,
        density_g_ml=None,
        peroxide_mmol_l=None,
        cas="",
        dilution_of=oil.ref,
        dilution_pct=pct,
        carrier=carrier,
    )


def _sheet(sheet: Sheet | None, pct: float) -> Sheet | None:
    if sheet is None:
        return None
    limits = {category: diluted_limit(limit, pct) for category, limit in sheet.limits.items()}
    return replace(sheet, limits=limits)


def _declaration(
    said: Declaration | None, part: float, brought: Mapping[str, float], known: bool
) -> Declaration | None:
    if said is None:
        return None
    rows = {cas: Declared(pct=row.pct * part, below=row.below) for cas, row in said.rows.items()}
    for cas, pct in brought.items():
        held = rows.get(cas, Declared(pct=0.0))
        rows[cas] = Declared(pct=held.pct + pct * (1 - part), below=held.below)
    return replace(said, rows=rows, complete=said.complete and known)


def _constituents(
    inside: Mapping[str, Constituent], part: float, brought: Mapping[str, float], carrier: str
) -> dict[str, Constituent]:
    thinned = {
        cas: replace(held, low=held.low * part, typical=held.typical * part, high=held.high * part)
        for cas, held in inside.items()
    }
    for cas, pct in brought.items():
        more = pct * (1 - part)
        held = thinned.get(cas, Constituent(name=cas, low=0.0, typical=0.0, high=0.0, source=carrier))
        thinned[cas] = replace(held, low=held.low, typical=held.typical + more, high=held.high + more)
    return thinned

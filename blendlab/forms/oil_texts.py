"""An oil of hers -> what its form would have held, to enter a new lot or a new sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from blendlab.facts.products import categories
from blendlab.forms.form import as_typed
from blendlab.shelf import Declaration, Oil, Sheet
from blendlab.units import plain


def typed_of(oil: Oil) -> dict[str, Any]:
    """What the form would have held for an oil, to enter a new lot or a new sheet."""
    sheet, said = oil.sheet, oil.declaration
    issued = sheet.issued if sheet else said.issued if said else None
    days = {
        "issued": issued,
        "received": oil.received,
        "opened": oil.opened,
        "expiry": oil.expiry,
        "measured": oil.peroxide_on,
    }
    figures = {
        "flash": oil.flash_c,
        "density": oil.density_g_ml,
        "vanillin": oil.vanillin_pct,
        "ethyl": oil.ethyl_vanillin_pct,
        "price": None if oil.price_per_g is None else oil.price_per_g * 1000,
        "peroxide": oil.peroxide_mmol_l,
        **dict(zip(("top", "middle", "base"), _percents(oil.notes), strict=True)),
    }
    return {
        "edit": oil.id,
        "name": oil.name,
        "group": oil.group,
        "library": oil.library_id,
        "amendment": f"{sheet.amendment}" if sheet else "",
        "document": sheet.document if sheet else "",
        "limits": _limits_text(sheet),
        "declared": _declared_text(said),
        "unit": "%" if said else None,
        "names": said.names if said else "new81",
        "complete": said.complete if said else False,
        "cas": oil.cas,
        "part": oil.plant_part,
        "supplier": oil.supplier,
        "lot": oil.lot,
        "solvent": oil.solvent,
        **{key: day.isoformat() if day else "" for key, day in days.items()},
        **{key: as_typed(value) for key, value in figures.items()},
    }


def in_order(limits: Mapping[str, float]) -> dict[str, float]:
    """Figures of a sheet in the order of the categories."""
    return {key: limits[key] for key in categories() if key in limits}


def _limits_text(sheet: Sheet | None) -> str:
    limits = in_order(sheet.limits) if sheet else {}
    return "\n".join(f"{key} {plain(pct, 6)}" for key, pct in limits.items())


def _percents(notes: tuple[float, float, float] | None) -> tuple[float | None, ...]:
    return tuple(100 * share for share in notes) if notes else (None, None, None)


def _declared_text(said: Declaration | None) -> str:
    rows = said.rows.items() if said else ()
    return "\n".join(f"{cas} {'<' if row.below else ''}{plain(row.pct, 6)}" for cas, row in rows)

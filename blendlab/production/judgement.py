"""A design judged with the lots of the book: the base as its lot is known, each line with its code."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from blendlab.assess import Assessment, assess
from blendlab.recipe import Design
from blendlab.shelf import Base, Shelf
from blendlab.store import LotLine


def judge(design: Design, shelf: Shelf, on: date, lots: Mapping[str, LotLine]) -> Assessment:
    """The one assessment that every page reads.

    lots  "kind:id" -> the lot that is taken of it
    """
    codes = {item: line.lot.code for item, line in lots.items()}
    line, base = lots.get(f"base:{design.base.id}"), base_of(design, shelf)
    return assess(design, shelf, on, codes, of_lot(base, line) if line and base else None)


def base_of(design: Design, shelf: Shelf) -> Base | None:
    """The base of a design, or None where nobody has it."""
    return shelf.find(design.base) if shelf.has(design.base) else None


def of_lot(base: Base, line: LotLine) -> Base:
    """A base as one lot of it is known: preservative, dates, weighed density, pH."""
    said = line.data
    change: dict[str, Any] = {"lot": line.lot.code}
    if isinstance(said.get("preservative_pct"), list):
        low, high = said["preservative_pct"]
        change["preservative_pct"] = (float(low), float(high))
    elif said.get("preservative_pct") == "unknown":
        change |= {"preservative_pct": None, "actives": {}}
    for key in ("pH", "density_whipped_g_ml", "add_below_c"):
        if isinstance(said.get(key), int | float):
            change[key] = float(said[key])
    if line.lot.opened is not None:
        change["opened_on"] = line.lot.opened
    if line.lot.expiry is not None:
        change["best_before"] = line.lot.expiry
    return replace(base, **change)

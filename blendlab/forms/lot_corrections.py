"""Typed words -> the corrected description of a lot that is in the book; every answer at once, in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from blendlab.codec import decode, encode
from blendlab.forms.deliveries import base_data, lot_days
from blendlab.forms.form import Form, Typed, as_typed
from blendlab.forms.prices import price_of
from blendlab.shelf import Price
from blendlab.store import Book, LotLine

OF_BASE = (
    "preservative_pct", "pH", "density_whipped_g_ml", "add_below_c", "own_fragrance_pct", "in_order",
)  # fmt: skip
"""What is known of a lot of a base, and empty again when its field is."""


def typed_of(line: LotLine) -> dict[str, str]:
    """What the form would have held for a lot as it stands."""
    lot, data = line.lot, line.data
    days = {"received": lot.received, "expiry": lot.expiry, "opened": lot.opened}
    held = data.get("preservative_pct")
    low, high = held if isinstance(held, list) else (None, None)
    figures = {
        "low": low,
        "high": high,
        "ph": data.get("pH"),
        "foam": data.get("density_whipped_g_ml"),
        "heat": data.get("add_below_c"),
        "own": data.get("own_fragrance_pct"),
        "minutes": data.get("minutes"),
        **_paid(data.get("price")),
    }
    order = (data.get("in_order") or {}).items()
    rows = (f"{name} {as_typed(least)} {as_typed(most)}" for name, (least, most) in order)
    return {
        "code": lot.code,
        "supplier": lot.supplier,
        "document": lot.document,
        "kept": _kept(held),
        "order": "\n".join(rows),
        "why": "",
        **{name: day.isoformat() if day else "" for name, day in days.items()},
        **{name: as_typed(figure) for name, figure in figures.items()},
    }


def _paid(price: Any) -> dict[str, float]:
    """The figures of a price as the form holds them; none where nothing was written down."""
    if not isinstance(price, Mapping):
        return {}
    paid = decode(Price, price)
    shipping = {"shipping": paid.shipping} if paid.shipping else {}
    return {"price": paid.pack_price, "pack": paid.pack_g, **shipping}


def _costs(form: Form, line: LotLine) -> dict[str, Any]:
    """What a lot cost: the work of one she cooked, the pack of one she bought."""
    if line.batch:
        return {"minutes": form.figure("minutes", "Work", "min", 0, 10_000)}
    typed, known = price_of(form), line.data.get("price")
    if typed is None:
        return {} if known is None else {"price": None}
    if known is None:
        return {"price": encode(typed)}
    kept = decode(Price, known)
    return {"price": encode(replace(typed, tax=kept.tax, waste=kept.waste))}


def _kept(held: Any) -> str:
    """How the preservative of a lot is known, as the form says it."""
    if not isinstance(held, list):
        return "unknown" if held == "unknown" else ""
    return "known" if held[0] == held[1] else "range"


def correct(book: Book, line: LotLine, typed: Typed, today: date) -> tuple[str, list[str]]:
    """Write a corrected description of a lot with its reason; a sentence, or every answer at once.

    Grams are counted, not corrected here: they are movements.
    """
    form = Form(typed)
    if not form.text("code"):
        form.answers.append("The code of the lot is missing.")
    if not form.text("why"):
        form.answers.append("Say why: it is read by who looks the lot up.")
    described = replace(
        line.lot,
        code=form.text("code"),
        supplier=form.text("supplier"),
        document=form.text("document"),
        **lot_days(form, today),
    )
    data: dict[str, Any] = {"corrected": form.text("why"), **_costs(form, line)}
    if line.lot.of.kind == "base":
        data |= {**dict.fromkeys(OF_BASE), **base_data(form)}
    if not form.answers:
        form.tried(lambda: book.correct_lot(line.number, described, data), "Not written")
    return f"Lot {described.code} is corrected; what stood before stays in the book.", form.answers

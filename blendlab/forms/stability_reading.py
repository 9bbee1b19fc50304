"""Typed words -> a reading of a stability test; every answer at once, in words."""

from __future__ import annotations

from datetime import date
from typing import Any

from blendlab.batch.stability import Reading, failures, fill_drop, not_read
from blendlab.forms.form import Form, Typed
from blendlab.photo import as_kept
from blendlab.shelf import Base, Shelf
from blendlab.store import BatchPage
from blendlab.store.book_entries import FOAM


def reading_of(
    typed: Typed, today: date, page: BatchPage, shelf: Shelf, *, photo: bool = False
) -> tuple[dict[str, Any] | None, list[str]]:
    """A reading that was typed with its verdict, or every answer at once.

    photo  a photo comes with it

    A density that was read says how far the filling sank where nobody measured that.
    """
    form = Form(typed)
    day = form.day("on", "Day") or today
    if day > today:
        form.answers.append(f"Day: {day} is still to come.")
    yes = {"yes": True, "no": False}
    dropped = form.figure("drop", "Height drop", "%", -100, 100)
    sank, told = _sunk(form, page, shelf)
    read = Reading(
        height_drop_pct=sank if dropped is None else dropped,
        ph_shift=form.figure("ph", "pH shift", "", -14, 14),
        bleed_mm=form.figure("bleed", "Bleed", "mm", 0, 100),
        delta_e00=form.figure("colour", "Colour change", "", 0, 200),
        free_liquid=yes.get(form.text("liquid")),
        growth=yes.get(form.text("growth")),
    )
    given = photo or form.text("note") or any(value is not None for value in vars(read).values())
    if not given and not form.answers:
        form.answers.append("Nothing was read: give a figure, what you saw, a note or a photo.")
    if form.answers:
        return None, form.answers
    note = " ".join(part for part in (form.text("note"), told) if part)
    said = {"on": day.isoformat(), "note": note, **vars(read)}
    return {**said, "fails": list(failures(read)), "not_read": list(not_read(read))}, []


def photo_of(data: bytes) -> tuple[bytes, list[str]]:
    """A photo as it is kept, b"" for none or one that cannot be read, with its answer."""
    form = Form({})
    kept = form.tried(lambda: as_kept(data), "Photo") if data else None
    return kept or b"", form.answers


def _sunk(form: Form, page: BatchPage, shelf: Shelf) -> tuple[float | None, str]:
    """Fall of the filling in percent of its height, from a density now, and that in words."""
    now = form.figure("density", "Density now", "g/ml", 0.1, 2)
    if now is None:
        return None, ""
    base = shelf.today("base", str(page.design.get("base", {}).get("id", "")))
    foam = page.densities(FOAM)
    if not foam or not isinstance(base, Base):
        form.answers.append("Density now: the foam of this batch was never weighed, or its base is gone.")
        return None, ""
    drop = fill_drop(100.0, foam[-1], now, base.density_mix_g_ml)
    gone = "" if drop.overrun_lost is None else f": {100 * drop.overrun_lost:.0f} % of the overrun is gone"
    return drop.drop_mm, f"{foam[-1]:.3f} g/ml when filled, {now:.3f} now{gone}; the net weight stays."

"""Typed words -> a reading of a stability test; every answer at once, in words."""

from __future__ import annotations

from datetime import date
from typing import Any

from blendlab.batch.stability import Reading, failures, not_read
from blendlab.forms.form import Form, Typed


def reading_of(typed: Typed, today: date) -> tuple[dict[str, Any] | None, list[str]]:
    """A reading that was typed with its verdict, or every answer at once."""
    form = Form(typed)
    day = form.day("on", "Day") or today
    yes = {"yes": True, "no": False}
    read = Reading(
        height_drop_pct=form.figure("drop", "Height drop", "%", -100, 100),
        ph_shift=form.figure("ph", "pH shift", "", -14, 14),
        bleed_mm=form.figure("bleed", "Bleed", "mm", 0, 100),
        delta_e00=form.figure("colour", "Colour change", "", 0, 200),
        free_liquid=yes.get(form.text("liquid")),
        growth=yes.get(form.text("growth")),
    )
    if form.answers:
        return None, form.answers
    said = {"on": day.isoformat(), "note": form.text("note"), **vars(read)}
    return {**said, "fails": list(failures(read)), "not_read": list(not_read(read))}, []

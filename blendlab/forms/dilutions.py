"""Typed words -> a dilution of an oil as an oil of its own."""

from __future__ import annotations

from collections.abc import Mapping

from blendlab import fragrance, store
from blendlab.forms.form import Form, Typed
from blendlab.forms.on_shelf import Added, free_id, keep
from blendlab.fragrance.entry import read_declaration
from blendlab.shelf import Oil, Shelf
from blendlab.units import plain

CARRIER = {
    "nothing": "nothing restricted or to be named, by its sheet",
    "listed": "what is entered below",
    "unknown": "not known",
}


def add_dilution(folder: store.Folder, shelf: Shelf, oil: Oil, typed: Typed) -> Added:
    """A dilution of an oil as an oil of its own."""
    form = Form(typed)
    pct = form.wanted("pct", "Percent of the pure oil", "%", 0.01, 99.99)
    carrier = form.text("carrier")
    if not carrier:
        form.answers.append("The carrier is missing.")
    holds = form.text("holds")
    if holds not in CARRIER:
        form.answers.append("Say what the carrier holds; its sheet tells.")
    brought = _carrier(form, holds)
    if form.answers:
        return None, form.answers, []
    name = f"{oil.name}, {plain(pct)} % in {carrier}"
    made = form.tried(
        lambda: fragrance.diluted(oil, pct, carrier, free_id(shelf, "oil", name), name[:80], brought),
        "Dilution",
    )
    return keep(folder, form, made, [])


def _carrier(form: Form, holds: str) -> Mapping[str, float] | None:
    if holds != "listed":
        return {} if holds == "nothing" else None
    unit = form.text("unit")
    if not unit:
        form.answers.append("Say whether the figures of the carrier are percent or ppm.")
    read = read_declaration(form.text("declared"), unit or "%")
    form.understood(read, "Declared in the carrier")
    return {cas: row.pct for cas, row in read.rows.items()}

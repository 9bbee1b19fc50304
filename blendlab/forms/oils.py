"""Typed words and a pasted sheet -> an oil on her shelf; every answer at once, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from blendlab import store
from blendlab.facts import library
from blendlab.forms.form import Form, Typed
from blendlab.forms.on_shelf import Added, changed, free_id, keep, name_of
from blendlab.fragrance.entry import read_declaration, read_limits
from blendlab.fragrance.oil_table import agreed
from blendlab.fragrance.registry_numbers import read_cas
from blendlab.shelf import Declaration, Oil, Sheet, Shelf
from blendlab.units import plain

LIST_NAMES = {"new81": "the 2023 list (81 names)", "old26": "the old list (26 names)"}


@dataclass(frozen=True)
class ReadLine:
    """A pasted line and what was understood: the reading, or the problem."""

    what: str
    text: str
    read: str
    problem: str


def preview(typed: Typed) -> tuple[ReadLine, ...]:
    """Every pasted line of a sheet with what it was read as."""
    form = Form(typed)
    lines = [ReadLine("limit", line.text, _limit_words(line.key, line.value, line.note), line.problem)
             for line in read_limits(form.text("limits")).lines]  # fmt: skip
    unit = form.text("unit")
    if form.text("declared") and unit:
        lines += [
            ReadLine("declared", line.text, _declared_words(line.key, line.value, line.note), line.problem)
            for line in read_declaration(form.text("declared"), unit).lines
        ]
    return tuple(lines)


def _limit_words(key: str, value: float | None, note: str) -> str:
    said = f"category {key}: up to {plain(value, 6)} % of the jar" if value is not None else f"category {key}"
    return f"{said}; {note}" if note else said


def _declared_words(key: str, value: float | None, note: str) -> str:
    said = f"{key}: {plain(value, 6)} % of the oil" if value is not None else key
    return f"{said}; {note}" if note else said


def add_oil(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """An oil out of a form: what its supplier's sheet says, and the library's constituents if known.

    With an id in `typed["edit"]` it becomes a new revision of that oil.

    Returns the oil, or None; the answers to what was wrong; what she should know.
    """
    form = Form(typed)
    old = changed(form, shelf, Oil)
    name = name_of(form, shelf, "oil", old)
    like = next((oil for oil in library.oils() if oil.library_id == form.text("library")), None)
    values: dict[str, Any] = {
        "id": old.id if old is not None else free_id(shelf, "oil", name),
        "name": name,
        "group": form.text("group") or "fragrance_oil",
        **_from_library(like, old),
        "sheet": _sheet(form),
        "declaration": _declaration(form),
        **_figures(form),
    }
    values["notes"] = _notes(form) or (like.notes if like else None)
    made = None if form.answers else form.tried(lambda: agreed(Oil(**values)), "Oil")
    told = [*form.told, *_told(made)]
    return keep(folder, form, made, told, new=old is None)


def _from_library(like: Oil | None, old: Oil | None) -> dict[str, Any]:
    """Fields that no form asks for: from the library's oil, or from the revision before."""
    kept = ("constituents", "inci", "label_name", "library_id", "dilution_of", "dilution_pct", "carrier")
    source = like if like is not None and (old is None or old.library_id != like.library_id) else old
    return {name: getattr(source, name) for name in kept} if source is not None else {}


def _figures(form: Form) -> dict[str, Any]:
    """Figures, days and texts of the form; an empty field is unknown."""
    like = next((oil for oil in library.oils() if oil.library_id == form.text("library")), None)
    cas = form.text("cas")
    density = form.figure("density", "Density", "g/ml", 0.5, 2)
    price = form.figure("price", "Price per kg", "", 0, 10_000_000)
    return {
        "flash_c": form.figure("flash", "Flash point", "C", -50, 400),
        "density_g_ml": density if density is not None or like is None else like.density_g_ml,
        "vanillin_pct": form.figure("vanillin", "Vanillin", "%", 0, 100),
        "ethyl_vanillin_pct": form.figure("ethyl", "Ethyl vanillin", "%", 0, 100),
        "price_per_g": None if price is None else price / 1000,
        "peroxide_mmol_l": form.figure("peroxide", "Peroxide value", "mmol/l", 0, 10_000),
        "peroxide_on": form.day("measured", "Peroxides measured"),
        "cas": (form.tried(lambda: read_cas(cas), "CAS") or "") if cas else (like.cas if like else ""),
        "plant_part": form.text("part") or (like.plant_part if like else ""),
        "supplier": form.text("supplier"),
        "solvent": form.text("solvent"),
        "lot": form.text("lot"),
        "received": form.day("received", "Oil received"),
        "opened": form.day("opened", "Opened"),
        "expiry": form.day("expiry", "Use by"),
    }


def _told(made: Oil | None) -> list[str]:
    if made is None:
        return []
    told = []
    if made.sheet is None:
        told.append("Without its sheet it counts as a stop for sale.")
    if made.declaration is None:
        told.append("Without its declaration the names on the label stay open.")
    return told


def _sheet(form: Form) -> Sheet | None:
    text = form.text("limits")
    amendment = form.figure("amendment", "Amendment of its sheet", "", 1, 99)
    issued = form.day("issued", "Sheet issued")
    if not text:
        return None
    if amendment is None and not any("Amendment" in answer for answer in form.answers):
        form.answers.append("The amendment of the sheet is missing; it stands on the sheet.")
    read = read_limits(text)
    if not form.understood(read, "Highest percent by category") or amendment is None:
        return None
    return Sheet(amendment=int(amendment), issued=issued, limits=read.limits, document=form.text("document"))


def _declaration(form: Form) -> Declaration | None:
    text, complete = form.text("declared"), bool(form.typed.get("complete"))
    names, issued = form.text("names") or "new81", form.day("issued", "Sheet issued")
    if not text:
        return Declaration(names=names, issued=issued, complete=True) if complete else None
    unit = form.text("unit")
    if not unit:
        form.answers.append("Say whether the declared figures are percent or ppm of the oil.")
    read = read_declaration(text, unit or "%")
    if not form.understood(read, "Declared allergens"):
        return None
    return read.declaration(names, issued, complete)


def _notes(form: Form) -> tuple[float, float, float] | None:
    names = (("top", "Top note"), ("middle", "Middle note"), ("base", "Base note"))
    if not any(form.text(name) for name, _ in names):
        return None
    top, middle, base = (form.figure(name, what, "%", 0, 100) or 0.0 for name, what in names)
    total = top + middle + base
    if abs(total - 100) > 0.5:
        form.answers.append(f"The notes add up to {total:g} %; they must make 100 %.")
        return None
    return top / total, middle / total, base / total

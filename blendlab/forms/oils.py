"""Typed words, pasted sheets and tables -> oils on her shelf; every answer at once, in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from blendlab import fragrance, store
from blendlab.errors import BlendlabError
from blendlab.facts import library
from blendlab.facts.law import plant_parts
from blendlab.facts.products import categories
from blendlab.forms.form import Added, Form, Typed, free_id, keep, name_of
from blendlab.fragrance.entry import read_declaration, read_limits
from blendlab.fragrance.oil_table import OilTable, agreed, read_oils
from blendlab.fragrance.registry_numbers import read_cas
from blendlab.fragrance.sheets import ordinal
from blendlab.shelf import Declaration, Oil, Sheet, Shelf
from blendlab.units import plain

LIST_NAMES = {"new81": "the 2023 list (81 names)", "old26": "the old list (26 names)"}
CARRIER = {
    "nothing": "nothing restricted or to be named, by its sheet",
    "listed": "what is entered below",
    "unknown": "not known",
}
AHEAD_DAYS = 730


def library_names() -> dict[str, str]:
    """Library id -> name of every oil whose usual constituents are known."""
    return {one.library_id: one.name for one in library.oils()}


def parts_of_plants() -> tuple[str, ...]:
    """Words for the part of the plant."""
    return tuple(plant_parts())


def in_order(limits: Mapping[str, float]) -> dict[str, float]:
    """Figures of a sheet in the order of the categories."""
    return {key: limits[key] for key in categories() if key in limits}


def sheet_words(oil: Oil, on: date) -> str:
    """What the state of an oil's sheet is, in words."""
    state = fragrance.sheet_state(oil, on)
    if oil.sheet is None:
        return state.word
    until = f", lot until {oil.expiry.isoformat()}" if oil.expiry else ""
    return f"{ordinal(oil.sheet.amendment)} amendment, {state.word}{until}"


def ahead(oil: Oil, on: date) -> tuple[fragrance.Reason, ...]:
    """Days within two years on which this oil has to be looked at again."""
    return fragrance.ahead({oil.id: oil}, on, on + timedelta(days=AHEAD_DAYS), "whipped_soap", ())


# --- one oil --------------------------------------------------------------------------------------


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
    lines = [ReadLine("limit", one.text, _limit_words(one.key, one.value, one.note), one.problem)
             for one in read_limits(form.text("limits")).lines]  # fmt: skip
    unit = form.text("unit")
    if form.text("declared") and unit:
        lines += [
            ReadLine("declared", one.text, _declared_words(one.key, one.value, one.note), one.problem)
            for one in read_declaration(form.text("declared"), unit).lines
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
    old = shelf.today("oil", form.text("edit"))
    name = form.text("name") if old is not None else name_of(form, shelf, "oil")
    if not name and old is not None:
        form.answers.append("A name is missing.")
    like = next((one for one in library.oils() if one.library_id == form.text("library")), None)
    values: dict[str, Any] = {
        "id": old.id if old is not None else free_id(shelf, "oil", name),
        "name": name,
        "group": form.text("group") or "fragrance_oil",
        **_from_library(like, old if isinstance(old, Oil) else None),
        "sheet": _sheet(form),
        "declaration": _declaration(form),
        **_figures(form),
    }
    values["notes"] = _notes(form) or (like.notes if like else None)
    made = None if form.answers else form.tried(lambda: agreed(Oil(**values)), "Oil")
    told = [*form.told, *_told(made)]
    if old is None:
        return keep(folder, form, made, told)
    if made is not None:
        form.tried(lambda: _replace(folder, made), "Not saved")
    return (None, form.answers, []) if form.answers or made is None else (made, [], told)


def _replace(folder: store.Folder, made: Oil) -> None:
    seen = store.open_item(folder, "oil", made.id).digest
    store.save_item(folder, made, seen)


def _from_library(like: Oil | None, old: Oil | None) -> dict[str, Any]:
    """Fields that no form asks for: from the library's oil, or from the revision before."""
    kept = ("constituents", "inci", "label_name", "library_id", "dilution_of", "dilution_pct", "carrier")
    source = like if like is not None and (old is None or old.library_id != like.library_id) else old
    return {one: getattr(source, one) for one in kept} if source is not None else {}


def _figures(form: Form) -> dict[str, Any]:
    """Figures, days and texts of the form; an empty field is unknown."""
    like = next((one for one in library.oils() if one.library_id == form.text("library")), None)
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
    if amendment is None and not any("Amendment" in one for one in form.answers):
        form.answers.append("The amendment of the sheet is missing; it stands on the sheet.")
    read = read_limits(text)
    if not form.understood(read, "Highest percent by category") or amendment is None:
        return None
    return Sheet(amendment=int(amendment), issued=issued, limits=read.limits, document=form.text("document"))


def _declaration(form: Form) -> Declaration | None:
    text = form.text("declared")
    if not text:
        return None
    unit = form.text("unit")
    if not unit:
        form.answers.append("Say whether the declared figures are percent or ppm of the oil.")
    read = read_declaration(text, unit or "%")
    if not form.understood(read, "Declared allergens"):
        return None
    complete = bool(form.typed.get("complete"))
    return read.declaration(form.text("names") or "new81", form.day("issued", "Sheet issued"), complete)


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


def typed_of(oil: Oil) -> dict[str, Any]:
    """What the form would have held for an oil, to enter a new lot or a new sheet."""
    sheet, said = oil.sheet, oil.declaration
    days = {"received": oil.received, "opened": oil.opened, "expiry": oil.expiry, "measured": oil.peroxide_on}
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
        "issued": sheet.issued.isoformat() if sheet and sheet.issued else "",
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
        **{key: "" if value is None else plain(value, 6) for key, value in figures.items()},
    }


def _limits_text(sheet: Sheet | None) -> str:
    limits = in_order(sheet.limits) if sheet else {}
    return "\n".join(f"{key} {plain(pct, 6)}" for key, pct in limits.items())


def _percents(notes: tuple[float, float, float] | None) -> tuple[float | None, ...]:
    return tuple(100 * one for one in notes) if notes else (None, None, None)


def _declared_text(said: Declaration | None) -> str:
    rows = said.rows.items() if said else ()
    return "\n".join(f"{cas} {'<' if row.below else ''}{plain(row.pct, 6)}" for cas, row in rows)


# --- many oils ------------------------------------------------------------------------------------


def read_table(shelf: Shelf, text: str, unit: str, names: str, complete: bool, update: bool) -> OilTable:
    """A pasted table or a csv file, every row answered against the shelf."""
    taken = {one.name.casefold(): one.id for one in shelf.of("oil")}
    return read_oils(text, unit, names, complete, taken, update)


def text_of(data: bytes) -> str:
    """Text of an uploaded file: UTF-8, else the older western code page."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def put_table(folder: store.Folder, shelf: Shelf, table: OilTable) -> tuple[int, list[str]]:
    """Put every oil that was understood on the shelf; how many, and what went wrong."""
    wrong: list[str] = []
    done = 0
    for oil in table.oils:
        try:
            if shelf.today("oil", oil.id) is not None:
                _replace(folder, oil)
            else:
                store.save_item(folder, oil, None)
            done += 1
        except BlendlabError as problem:
            wrong.append(f"{oil.name}: {problem}")
    return done, wrong


# --- a dilution -----------------------------------------------------------------------------------


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

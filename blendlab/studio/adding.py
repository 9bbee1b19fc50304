"""Typed words -> a new pigment or oil on her shelf; every answer at once, in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from math import inf
from typing import Any, Literal, TypeVar

from blendlab import fragrance, photo, store, tint
from blendlab.errors import BlendlabError
from blendlab.facts import library, palette
from blendlab.fragrance.entry import Pasted
from blendlab.recipe import slug
from blendlab.shelf import Base, Declaration, Item, Oil, Pigment, Sheet, Shelf
from blendlab.tint.appearance import to_hex
from blendlab.units import Ambiguous, read_number

MICAS = ("pearl", "interference", "pearl-absorbing")
LIST_NAMES = {"new81": "the 2023 list (81 names)", "old26": "the old list (26 names)"}
Typed = Mapping[str, Any]
Added = tuple[Item | None, list[str], list[str]]
T = TypeVar("T")


@dataclass
class Form:
    """What was typed, and the answers to what could not be read."""

    typed: Typed
    answers: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)

    def text(self, name: str) -> str:
        """A text without blanks round it."""
        return str(self.typed.get(name) or "").strip()

    def figure(self, name: str, what: str, unit: str, low: float = 0.0, high: float = inf) -> float | None:
        """A figure, or None when the field is empty or was answered."""
        if not self.text(name):
            return None
        found = self.tried(lambda: read_number(self.text(name), unit, low, high), what)
        if isinstance(found, Ambiguous):
            self.answers.append(f"{what}: {found}")
            return None
        return found

    def wanted(self, name: str, what: str, unit: str, low: float = 0.0, high: float = inf) -> float:
        """A figure that must be there; 0 with an answer when it is not."""
        if not self.text(name):
            self.answers.append(f"{what} is missing.")
        return self.figure(name, what, unit, low, high) or 0.0

    def day(self, name: str, what: str) -> date | None:
        """A date, or None when the field is empty or was answered."""
        typed = self.text(name)
        if not typed:
            return None
        try:
            return date.fromisoformat(typed)
        except ValueError:
            self.answers.append(f'{what}: "{typed}" is no date like 2026-11-25.')
            return None

    def understood(self, read: Pasted, what: str) -> bool:
        """Whether every line of a pasted table was understood; the others are answered one by one."""
        self.answers += [f"{what}: {one}" for one in read.problems]
        self.told += [f"{what}, line {one.number}: {one.note}." for one in read.lines if one.note]
        return not read.problems

    def tried(self, make: Callable[[], T], what: str) -> T | None:
        """What `make` makes, or None with its problem as an answer."""
        try:
            return make()
        except BlendlabError as problem:
            self.answers.append(f"{what}: {problem}")
            return None


def _free_id(shelf: Shelf, kind: str, name: str) -> str:
    wanted, number = slug(name), 2
    found = wanted
    while shelf.today(kind, found) is not None:
        found, number = f"{wanted}-{number}", number + 1
    return found


def _name(form: Form, shelf: Shelf, kind: str) -> str:
    name = form.text("name")
    if not name:
        form.answers.append("A name is missing.")
    elif any(one.name.casefold() == name.casefold() for one in shelf.of(kind)):
        form.answers.append(f'"{name}" is on the shelf already; give this one a name of its own.')
    return name


def _keep(folder: store.Folder, form: Form, made: Item | None, told: list[str]) -> Added:
    if made is not None and not form.answers:
        form.tried(lambda: store.save_item(folder, made, None), "Not saved")
    return (None, form.answers, []) if form.answers or made is None else (made, [], told)


# --- a pigment ------------------------------------------------------------------------------------


def add_pigment(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A pigment out of a form: a mix of others, or what a swatch of it looks like; an estimate.

    Returns the pigment, or None; the answers to what was wrong; what she should know.
    """
    form = Form(typed)
    name = _name(form, shelf, "pigment")
    item_id = _free_id(shelf, "pigment", name)
    if form.text("way") == "mix":
        made = _mixed(form, shelf, item_id, name)
    else:
        made = _seen(form, shelf, item_id, name)
    cap = form.figure("cap", "Highest use", "%", 0, 100)
    if made is not None and cap is not None and not form.answers:
        made = replace(made, cap_pct=cap)
    told = ["It is an estimate until a swatch in your own base is measured."]
    return _keep(folder, form, made, told)


def _mixed(form: Form, shelf: Shelf, item_id: str, name: str) -> Pigment | None:
    shares = []
    for position in range(3):
        part = form.text(f"part-{position}")
        if part:
            share = form.wanted(f"share-{position}", f"Percent of part {position + 1}", "%", 0, 100)
            shares.append((shelf.today("pigment", part), share))
    total = sum(share for _, share in shares)
    if not shares:
        form.answers.append("Choose at least one part.")
    elif not form.answers and abs(total - 100) > 0.005:
        form.answers.append(f"The parts add up to {total:g} %; they must make 100 %.")
    if form.answers:
        return None
    parts = [(one, share / 100) for one, share in shares if isinstance(one, Pigment)]
    return form.tried(lambda: palette.composite(item_id, name, parts), "Mix")


def _seen(form: Form, shelf: Shelf, item_id: str, name: str) -> Pigment | None:
    group = form.text("group")
    ci = tuple(one for one in form.text("ci").replace(";", " ").replace(",", " ").split() if one)
    if not ci:
        form.answers.append(
            "Colour index numbers are missing; they stand on its sheet. Without them no list can be looked up."
        )
    pct = form.wanted("pct", "Percent of pigment in the swatch", "%", 0.0001, 100)
    base = next(iter(shelf.of("base")), None)
    if not isinstance(base, Base):
        form.answers.append("There is no base on the shelf to see the pigment in.")
    if not form.text("hex"):
        form.answers.append("A colour is missing.")
    if form.answers or not isinstance(base, Base):
        return None
    return form.tried(
        lambda: tint.pigment_from_hex(item_id, name, group, ci, form.text("hex"), pct, base), "Colour"
    )


@dataclass(frozen=True)
class PictureColour:
    """Colour of the middle of a picture, and what to mind about it."""

    hex: str
    note: str


def picture_colour(data: bytes) -> PictureColour:
    """Mean colour of the middle of a picture file, as an estimate without a grey card.

    Raises BlendlabError for a file that cannot be read.
    """
    patch = photo.middle(data)
    return PictureColour(to_hex(patch.srgb), patch.note)


# --- an oil ---------------------------------------------------------------------------------------


def library_names() -> dict[str, str]:
    """Library id -> name of every oil whose usual constituents are known."""
    return {one.library_id: one.name for one in library.oils()}


def sheet_words(oil: Oil, on: date) -> str:
    """What the state of an oil's sheet is, in words."""
    state = fragrance.sheet_state(oil, on)
    if oil.sheet is None:
        return state.word
    until = f", lot until {oil.expiry.isoformat()}" if oil.expiry else ""
    return f"sheet of the {oil.sheet.amendment}. amendment, {state.word}{until}"


def add_oil(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """An oil out of a form: what its supplier's sheet says, and the library's constituents if known.

    Returns the oil, or None; the answers to what was wrong; what she should know.
    """
    form = Form(typed)
    name = _name(form, shelf, "oil")
    like = next((one for one in library.oils() if one.library_id == form.text("library")), None)
    sheet = _sheet(form)
    declaration = _declaration(form)
    values: dict[str, Any] = {
        "id": _free_id(shelf, "oil", name),
        "name": name,
        "group": form.text("group") or "fragrance_oil",
        "sheet": sheet,
        "declaration": declaration,
        "notes": _notes(form) or (like.notes if like else None),
        "flash_c": form.figure("flash", "Flash point", "C", -50, 400),
        "vanillin_pct": form.figure("vanillin", "Vanillin", "%", 0, 100),
        "lot": form.text("lot"),
        "received": form.day("received", "Oil received"),
        "expiry": form.day("expiry", "Use by"),
    }
    if like is not None:
        for one in ("constituents", "cas", "inci", "plant_part", "label_name", "library_id", "density_g_ml"):
            values[one] = getattr(like, one)
    made = None if form.answers else form.tried(lambda: Oil(**values), "Oil")
    return _keep(folder, form, made, [*form.told, *_oil_told(made)])


def _oil_told(made: Oil | None) -> list[str]:
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
    if amendment is None and not form.answers:
        form.answers.append("The amendment of the sheet is missing; it stands on the sheet.")
    read = fragrance.read_limits(text)
    if not form.understood(read, "Highest percent by category") or form.answers:
        return None
    return Sheet(amendment=int(amendment or 0), issued=issued, limits=read.limits)


def _declaration(form: Form) -> Declaration | None:
    text = form.text("declared")
    complete = bool(form.typed.get("complete"))
    if not text and not complete:
        return None
    unit: Literal["%", "ppm"] = "ppm" if form.text("unit") == "ppm" else "%"
    read = fragrance.read_declaration(text, unit)
    if not form.understood(read, "Declared allergens"):
        return None
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


def take_off(folder: store.Folder, item: Item) -> None:
    """Take an item off the shelf; its file goes to the bin, saved cards keep their revision."""
    store.delete_item(folder, item.kind, item.id)

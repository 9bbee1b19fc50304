"""Typed words -> a new pigment on her shelf; every answer at once, in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from math import inf
from typing import Any, TypeVar

from blendlab import photo, store, tint
from blendlab.codec import YEARS
from blendlab.errors import BlendlabError
from blendlab.facts import palette
from blendlab.fragrance.entry import Pasted
from blendlab.recipe import slug
from blendlab.shelf import Base, Item, Pigment, Shelf
from blendlab.tint.appearance import to_hex
from blendlab.units import read_number

MICAS = ("pearl", "interference", "pearl-absorbing")
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
        return self.tried(lambda: read_number(self.text(name), unit, low, high), what)

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
            day = date.fromisoformat(typed)
        except ValueError:
            self.answers.append(f'{what}: "{typed}" is no date like 2026-11-25.')
            return None
        if not YEARS[0] <= day.year <= YEARS[1]:
            self.answers.append(f"{what}: the year {day.year} must lie between {YEARS[0]} and {YEARS[1]}.")
            return None
        return day

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


def free_id(shelf: Shelf, kind: str, name: str) -> str:
    """An id made of a name that nothing of that kind on the shelf has."""
    wanted, number = slug(name), 2
    found = wanted
    while shelf.today(kind, found) is not None:
        found, number = f"{wanted}-{number}", number + 1
    return found


def name_of(form: Form, shelf: Shelf, kind: str) -> str:
    """The name that was typed; missing or taken, it is answered."""
    name = form.text("name")
    if not name:
        form.answers.append("A name is missing.")
    elif any(one.name.casefold() == name.casefold() for one in shelf.of(kind)):
        form.answers.append(f'"{name}" is on the shelf already; give this one a name of its own.')
    return name


def keep(folder: store.Folder, form: Form, made: Item | None, told: list[str]) -> Added:
    """Save a new item unless something was answered."""
    if made is not None and not form.answers:
        form.tried(lambda: store.save_item(folder, made, None), "Not saved")
    return (None, form.answers, []) if form.answers or made is None else (made, [], told)


def add_pigment(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A pigment out of a form: a mix of others, or what a swatch of it looks like; an estimate.

    Returns the pigment, or None; the answers to what was wrong; what she should know.
    """
    form = Form(typed)
    name = name_of(form, shelf, "pigment")
    item_id = free_id(shelf, "pigment", name)
    if form.text("way") == "mix":
        made = _mixed(form, shelf, item_id, name)
    else:
        made = _seen(form, shelf, item_id, name)
    cap = form.figure("cap", "Highest use", "%", 0, 100)
    if made is not None and cap is not None and not form.answers:
        made = replace(made, cap_pct=cap)
    told = ["It is an estimate until a swatch in your own base is measured."]
    return keep(folder, form, made, told)


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
            "Colour index numbers are missing; they stand on its sheet. "
            "Without them no list can be looked up."
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


def take_off(folder: store.Folder, item: Item) -> None:
    """Take an item off the shelf; its file goes to the bin, saved cards keep their revision."""
    store.delete_item(folder, item.kind, item.id)

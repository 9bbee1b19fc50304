"""Typed words -> an assessment of a formula family, or a reading of a stability test."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from blendlab import store
from blendlab.assess import Assessment
from blendlab.batch import Family
from blendlab.batch.stability import Due, Reading, due_dates, failures, not_read, open_readings
from blendlab.codec import encode
from blendlab.forms.form import Form, Typed
from blendlab.recipe import MARKETS, slug
from blendlab.shelf import Shelf
from blendlab.store import BatchPage, Book
from blendlab.units import plain

AHEAD = 6
"""Readings that are not due yet and are shown beside those that are."""


def typed_of(assessed: Assessment, shelf: Shelf) -> dict[str, str]:
    """What the form of an assessment begins with: the design on the bench."""
    design, made = assessed.design, assessed.plan
    colours: dict[str, float] = {}
    for tone in design.tones:
        for dose in tone.doses:
            if shelf.has(dose.pigment):
                name = shelf.find(dose.pigment).name
                colours[name] = max(colours.get(name, 0.0), dose.pct)
    oils = {
        shelf.find(one.oil).name: design.scent.load_pct * one.share_pct / 100
        for one in design.scent.oils
        if shelf.has(one.oil)
    }
    kept = made.preservative if made else None
    return {
        "name": design.name,
        "colours": _lines(colours),
        "scents": _lines(oils),
        "load": plain(design.scent.load_pct),
        "low": plain(kept.low_pct, 2) if kept and kept.low_pct is not None else "",
        "high": plain(kept.most_pct, 2) if kept else "",
        "markets": " ".join(design.markets),
    }


def _lines(named: Mapping[str, float]) -> str:
    return "\n".join(f"{name} {plain(pct)}" for name, pct in named.items())


def family_of(typed: Typed, assessed: Assessment, shelf: Shelf) -> tuple[Family | None, list[str]]:
    """The assessment that was typed, for the base of the design on the bench, or every answer at once."""
    form = Form(typed)
    design = assessed.design
    for name, what in (("name", "A name"), ("assessor", "The assessor")):
        if not form.text(name):
            form.answers.append(f"{what} is missing.")
    day = form.day("on", "Day of the assessment")
    if not form.text("on"):
        form.answers.append("The day of the assessment is missing.")
    markets = tuple(form.text("markets").upper().replace(",", " ").split())
    unknown = [one for one in markets if one not in MARKETS]
    if unknown or not markets:
        form.answers.append(f"Markets: of {', '.join(MARKETS)}.")
    colours, scents = (
        _shares(form, key, kind, shelf) for key, kind in (("colours", "pigment"), ("scents", "oil"))
    )
    load = form.wanted("load", "Highest load", "%", 0, 100)
    low, high = form.figure("low", "Preservative from", "%", 0, 20), form.figure("high", "to", "%", 0, 20)
    if form.answers or day is None:
        return None, form.answers
    kept = assessed.plan.preservative if assessed.plan else None
    item = shelf.find(design.base).preservative
    known = kept is not None and item is not None and low is not None and high is not None
    made = Family(
        id=slug(f"{form.text('name')} {day.isoformat()}"),
        name=form.text("name"),
        assessor=form.text("assessor"),
        on=day,
        base=shelf.find(design.base).ref,
        product=design.product,
        markets=markets,
        pigments=colours,
        scents=scents,
        load_pct=load,
        preservative=item.id if known and item is not None else "",
        preservative_pct=(low or 0.0, high or 0.0) if known else (0.0, 0.0),
        label=form.text("label"),
        document=form.text("document"),
    )
    return made, []


def _shares(form: Form, key: str, kind: str, shelf: Shelf) -> dict[str, float]:
    """Lines of a name and a percent, the name of something on the shelf."""
    ids = {one.name.casefold(): one.id for one in shelf.of(kind)}
    found: dict[str, float] = {}
    for line in form.text(key).splitlines():
        if not line.strip():
            continue
        name, _, figure = line.strip().removesuffix("%").rstrip().rpartition(" ")
        item = ids.get(name.strip().casefold())
        if item is None:
            form.answers.append(f'"{line.strip()}": no {kind} of that name is on the shelf.')
            continue
        pct = Form({"pct": figure}, form.answers).figure("pct", line.strip(), "%", 0, 100)
        if pct is not None:
            found[item] = pct
    return found


def keep_family(book: Book, made: Family) -> None:
    """Write an assessment into the book."""
    book.write("family", made.id, encode(made))


@dataclass(frozen=True)
class TestLog:
    """Tests of one batch: readings that are due, those ahead, those that were read."""

    __test__ = False

    page: BatchPage
    due: tuple[Due, ...]
    ahead: tuple[Due, ...]
    done: tuple[store.BookEntry, ...]


def log_of(page: BatchPage, today: date) -> TestLog:
    """The tests of a batch, counted from the day it was made."""
    done = page.of("reading")
    read = [(one.subject, date.fromisoformat(one.data["on"])) for one in done]
    later = [one for one in due_dates(page.line.made_on) if one.on > today]
    return TestLog(page, open_readings(page.line.made_on, read, today), tuple(later[:AHEAD]), done)


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


def verdict(said: Mapping[str, Any]) -> str:
    """What a reading says, in words; what was not read is never taken for a pass."""
    if said.get("fails"):
        return "Fails: " + "; ".join(said["fails"]) + "."
    missing = said.get("not_read", [])
    words = ", ".join(one.replace("_", " ").replace("delta e00", "colour change") for one in missing)
    return (
        f"Nothing failed of what was read; not read: {words}."
        if words
        else "Everything read, nothing failed."
    )

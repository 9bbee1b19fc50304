"""Typed words -> the assessment of a formula family; every answer at once, in words."""

from __future__ import annotations

from collections.abc import Mapping

from blendlab.assess import Assessment
from blendlab.batch import Family
from blendlab.forms.form import Form, Typed
from blendlab.recipe import MARKETS, slug
from blendlab.shelf import Shelf
from blendlab.units import plain


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

"""Typed words or a picture -> a new pigment on her shelf; every answer at once, in words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from blendlab import photo, store, tint
from blendlab.facts import palette
from blendlab.forms.form import Form, Typed, as_typed
from blendlab.forms.on_shelf import Added, changed, free_id, keep, name_of
from blendlab.shelf import Base, Pigment, Shelf
from blendlab.tint.appearance import to_hex


def add_pigment(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A pigment out of a form: a mix of others, or what a swatch of it looks like; an estimate.

    With an id in `typed["edit"]` it becomes a new revision of that pigment, whose colour stays.

    Returns the pigment, or None; the answers to what was wrong; what she should know.
    """
    form = Form(typed)
    if form.text("edit"):
        return _changed(folder, form, shelf)
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


def typed_of(pigment: Pigment) -> dict[str, str]:
    """What the form would have held for a pigment, to change it."""
    return {
        "name": pigment.name,
        "group": pigment.group,
        "ci": ", ".join(pigment.ci),
        "cap": as_typed(pigment.cap_pct),
        "sheen": pigment.sheen,
        "caution": pigment.caution,
        "density": as_typed(pigment.density_g_ml),
        "lot": pigment.lot,
    }


def _changed(folder: store.Folder, form: Form, shelf: Shelf) -> Added:
    """The pigment of the form with what its sheet says anew."""
    old = changed(form, shelf, Pigment)
    values: dict[str, Any] = {
        "name": name_of(form, shelf, "pigment", old),
        "group": form.text("group"),
        "ci": _ci(form),
        "cap_pct": form.wanted("cap", "Highest use", "%", 0, 100),
        "sheen": form.text("sheen"),
        "caution": form.text("caution"),
        "density_g_ml": form.figure("density", "Density", "g/ml", 0.1, 25),
        "lot": form.text("lot"),
    }
    made = form.tried(lambda: replace(old, **values), "Pigment") if old and not form.answers else None
    return keep(folder, form, made, [], new=False)


def _ci(form: Form) -> tuple[str, ...]:
    ci = tuple(number for number in form.text("ci").replace(";", " ").replace(",", " ").split() if number)
    if not ci:
        form.answers.append(
            "Colour index numbers are missing; they stand on its sheet. "
            "Without them no list can be looked up."
        )
    return ci


def _mixed(form: Form, shelf: Shelf, item_id: str, name: str) -> Pigment | None:
    parts = []
    for position in (position for position in range(3) if form.text(f"part-{position}")):
        share = form.wanted(f"share-{position}", f"Percent of part {position + 1}", "%", 0, 100)
        part = shelf.today("pigment", form.text(f"part-{position}"))
        if isinstance(part, Pigment):
            parts.append((part, share / 100))
        else:
            form.answers.append(f"Part {position + 1} is not on the shelf any more.")
    total = 100 * sum(share for _, share in parts)
    if not parts and not form.answers:
        form.answers.append("Choose at least one part.")
    elif not form.answers and abs(total - 100) > 0.005:
        form.answers.append(f"The parts add up to {total:g} %; they must make 100 %.")
    return None if form.answers else form.tried(lambda: palette.composite(item_id, name, parts), "Mix")


def _seen(form: Form, shelf: Shelf, item_id: str, name: str) -> Pigment | None:
    group = form.text("group")
    ci = _ci(form)
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

"""Typed measures -> a jar of hers on the shelf; every answer at once, in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from blendlab import jar, photo, store
from blendlab.assess import Assessment
from blendlab.facts.read import figure
from blendlab.forms.form import Form, Typed, as_typed
from blendlab.forms.on_shelf import Added, changed, free_id, keep, name_of, put
from blendlab.shelf import Jar, Shelf
from blendlab.units import convert

SHAPES = ("straight", "taper", "shoulder")
MEASURES = {
    "nominal": "nominal_ml", "outer": "outer_mm", "inner": "inner_mm", "height": "height_mm",
    "water": "water_g", "base": "base_mm", "corner": "corner_mm", "headspace": "headspace_mm",
    "lid_inner": "lid_inner_mm", "bottom": "bottom_inner_mm", "shoulder": "shoulder_mm", "neck": "neck_mm",
}  # fmt: skip
"""Field of the form -> field of a jar."""


def add_jar(folder: store.Folder, shelf: Shelf, typed: Typed) -> Added:
    """A jar out of a form; with an id in `typed["edit"]` that jar measured again."""
    form = Form(typed)
    old = changed(form, shelf, Jar)
    new, answers, told = made(shelf, typed, old)
    form.answers += answers
    return keep(folder, form, new, told, new=old is None)


def typed_of(glass: Jar) -> dict[str, str]:
    """What the form would have held for a jar."""
    shape = 2 if glass.shoulder_mm else 0 if glass.bottom_inner_mm is None else 1
    measures = {name: _measured(getattr(glass, leaf)) for name, leaf in MEASURES.items()}
    return {
        "name": glass.name,
        "shape": SHAPES[shape],
        "material": glass.material,
        "lid": glass.lid,
        **measures,
    }


def _measured(value: float | None) -> str:
    return as_typed(None if value is None else round(value, 2))


def made(shelf: Shelf, typed: Typed, old: Jar | None = None) -> tuple[Jar | None, list[str], list[str]]:
    """A jar out of the form, or None; the answers to what was wrong; what she should know.

    old  a jar of hers that is measured again: it keeps its id and what the form does not ask for
    """
    form = Form(typed)
    name_of(form, shelf, "jar", old)
    height = form.wanted("height", "Inside height", "mm", 5, 400)
    water = form.figure("water", "Water to the brim", "g", 1, 5000)
    shape = form.text("shape") or "straight"
    values = {
        "name": form.text("name"),
        "height_mm": height,
        "water_g": water,
        "lid": form.text("lid") or "flat",
        "material": form.text("material") or "glass",
        "basis": "your own measures" + (", water weighed" if water else ""),
        **_widths(form, water, height, shape),
        **_inside(form, shape),
    }
    nominal_ml = _nominal_ml(form)
    if form.answers:
        return None, form.answers, []
    new = form.tried(lambda: _put_together(shelf, values, nominal_ml, old), "Jar")
    return (None, form.answers, []) if new is None else (new, [], told(new))


def _nominal_ml(form: Form) -> float | None:
    nominal = form.figure("nominal", "Sold as", "", 1, 5000)
    unit = form.text("unit") or "ml"
    return None if nominal is None else form.tried(lambda: convert(nominal, unit, "ml"), "Sold as")


def _widths(form: Form, water: float | None, height: float, shape: str) -> dict[str, float]:
    """Inside diameter, measured or from the water of a straight jar; outside, or a thin wall round it."""
    outer = form.figure("outer", "Outside diameter", "mm", 10, 300)
    inner = form.figure("inner", "Inside diameter", "mm", 10, 300)
    if inner is None and water and height and shape == "straight":
        inner = jar.inner_from_water(water, height)
    if inner is None:
        form.answers.append("Give the inside diameter, or weigh the water a straight jar takes.")
        return {}
    if outer is not None and outer <= inner:
        form.answers.append(f"The outside, {outer:g} mm, must be wider than the inside, {inner:.1f} mm.")
    return {"inner_mm": inner, "outer_mm": outer or inner + 2 * figure("jar", "thin_wall").value}


def _inside(form: Form, shape: str) -> dict[str, float | None]:
    """Bottom, corner, headspace, lid and what its shape asks for; what is not typed is as usual."""
    usual = {of: figure("jar", of).value for of in ("bottom", "headspace", "lid_inside")}
    headspace = form.figure("headspace", "Headspace", "mm", 0, 100)
    lid_inner = form.figure("lid_inner", "Height inside the lid", "mm", 0, 80)
    values: dict[str, float | None] = {
        "base_mm": form.figure("base", "Thickness of the bottom", "mm", 0.5, 30) or usual["bottom"],
        "corner_mm": form.figure("corner", "Rounded corner", "mm", 0, 40) or 0.0,
        "headspace_mm": usual["headspace"] if headspace is None else headspace,
        "lid_inner_mm": usual["lid_inside"] if lid_inner is None else lid_inner,
        "bottom_inner_mm": None,
        "shoulder_mm": 0.0,
        "neck_mm": 0.0,
    }
    if shape == "taper":
        values["bottom_inner_mm"] = form.wanted("bottom", "Inside diameter at the bottom", "mm", 10, 300)
    elif shape == "shoulder":
        values["shoulder_mm"] = form.wanted("shoulder", "Radius of the shoulder", "mm", 0, 80)
        values["neck_mm"] = form.figure("neck", "Height of the neck", "mm", 0, 200) or 0.0
    return values


def _put_together(shelf: Shelf, values: dict[str, Any], nominal_ml: float | None, old: Jar | None) -> Jar:
    """The jar; not said what it is sold as, it is as much as it takes to the rim."""
    if old is not None:
        new = replace(old, **values, nominal_ml=old.nominal_ml if nominal_ml is None else nominal_ml)
        named = replace(old, name=new.name)
        return named if typed_of(named) == typed_of(new) else new
    new = Jar(id=free_id(shelf, "jar", values["name"]), nominal_ml=nominal_ml or 1.0, **values)
    return new if nominal_ml is not None else replace(new, nominal_ml=round(brim_ml(new), 1))


def brim_ml(glass: Jar) -> float:
    """What a jar takes to its rim [ml]."""
    inside = jar.profile(glass)
    return inside.ml(inside.height)


def told(glass: Jar) -> list[str]:
    """What the measures and the water say of each other."""
    said = [f"It takes {brim_ml(glass):.0f} ml to the rim."]
    if glass.corner_mm:
        bottom = (glass.bottom_inner_mm or glass.inner_mm) / 2
        lost = jar.corner_loss_ml(bottom, min(glass.corner_mm, bottom))
        said.append(f"Its rounded bottom corner takes {lost:.1f} ml that a square one would hold.")
    if glass.water_g is not None:
        factor = jar.scale_factor(glass)
        said.append(
            f"Measures alone say {brim_ml(glass) / factor:.0f} ml; "
            f"volumes are scaled by {factor:.3f} to the water."
        )
        most = figure("jar", "caliper_gap").value
        if abs(factor - 1) * 100 > most:
            said.append(f"That is more than {most:.0f} % apart: take the caliper once more, inside.")
    return said


def with_contact(folder: store.Folder, glass: Jar, contact: float) -> Jar:
    """The jar with the contact that a photo of it gave, kept on the shelf."""
    new = replace(glass, wall_contact=round(contact, 3), basis=_basis(glass))
    put(folder, new)
    return new


def _basis(glass: Jar) -> str:
    note = "contact with the wall from a photo"
    return glass.basis if note in glass.basis else f"{glass.basis}; {note}"[:300]


def contact_on_photo(
    assessed: Assessment, data: bytes, marks: dict[str, tuple[photo.Box, photo.Box]]
) -> jar.Contact:
    """How far the jar is wetted, from a photo: tone id -> its open top and its wall on the photo.

    Raises photo.BadPicture, OutOfRange, UnknownName.
    """
    shown = photo.open_picture(data)
    tones = [
        (
            assessed.tints[tone_id].R,
            shown.patch(top).mean(axis=(0, 1)),
            shown.patch(wall).mean(axis=(0, 1)),
        )
        for tone_id, (top, wall) in marks.items()
    ]
    return jar.fit_contact(tones)

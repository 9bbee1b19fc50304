"""Typed measures -> a jar of hers on the shelf; every answer at once, in words."""

from __future__ import annotations

from dataclasses import replace

from blendlab import jar, photo, store
from blendlab.assess import Assessment
from blendlab.errors import BlendlabError
from blendlab.facts.read import figure
from blendlab.forms.form import Form, Typed
from blendlab.forms.on_shelf import put
from blendlab.recipe import slug
from blendlab.shelf import Jar, Shelf
from blendlab.units import TO_ML

SHAPES = ("straight", "taper", "shoulder")


def made(shelf: Shelf, typed: Typed, old: Jar | None = None) -> tuple[Jar | None, list[str], list[str]]:
    """A jar out of the form, or None; the answers to what was wrong; what she should know.

    old  a jar of hers that is measured again: it keeps its id and what the form does not ask for
    """
    form = Form(typed)
    name = form.text("name")
    if not name:
        form.answers.append("The name is missing.")
    height = form.wanted("height", "Inside height", "mm", 5, 400)
    outer = form.figure("outer", "Outside diameter", "mm", 10, 300)
    inner = form.figure("inner", "Inside diameter", "mm", 10, 300)
    water = form.figure("water", "Water to the brim", "g", 1, 5000)
    shape = form.text("shape") or "straight"
    inner = _inner(form, inner, outer, water, height, shape)
    usual = {of: figure("jar", of).value for of in ("thin_wall", "bottom", "headspace", "lid_inside")}
    values = {
        "name": name,
        "height_mm": height,
        "inner_mm": inner,
        "outer_mm": outer or inner + 2 * usual["thin_wall"],
        "water_g": water,
        "base_mm": form.figure("base", "Thickness of the bottom", "mm", 0.5, 30) or usual["bottom"],
        "corner_mm": form.figure("corner", "Rounded corner", "mm", 0, 40) or 0.0,
        "headspace_mm": _or(form.figure("headspace", "Headspace", "mm", 0, 100), usual["headspace"]),
        "lid_inner_mm": _or(
            form.figure("lid_inner", "Height inside the lid", "mm", 0, 80), usual["lid_inside"]
        ),
        "lid": form.text("lid") or "flat",
        "material": form.text("material") or "glass",
        "bottom_inner_mm": form.wanted("bottom", "Inside diameter at the bottom", "mm", 10, 300)
        if shape == "taper"
        else None,
        "shoulder_mm": form.wanted("shoulder", "Radius of the shoulder", "mm", 0, 80)
        if shape == "shoulder"
        else 0.0,
        "neck_mm": (form.figure("neck", "Height of the neck", "mm", 0, 200) or 0.0)
        if shape == "shoulder"
        else 0.0,
        "basis": "her own measures" + (", water weighed" if water else ""),
    }
    if form.answers:
        return None, form.answers, []
    try:
        new = _put_together(form, shelf, values, old)
    except BlendlabError as problem:
        return None, [str(problem)], []
    return new, [], told(new)


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value


def _inner(
    form: Form, inner: float | None, outer: float | None, water: float | None, height: float, shape: str
) -> float:
    """The inside diameter: measured, from the water of a straight jar, or the outside less a thin wall."""
    if inner is None and water and height and shape == "straight":
        inner = jar.inner_from_water(water, height)
    if inner is None:
        form.answers.append("Give the inside diameter, or weigh the water a straight jar takes.")
        return 0.0
    if outer is not None and outer <= inner:
        form.answers.append(f"The outside, {outer:g} mm, must be wider than the inside, {inner:.1f} mm.")
    return inner


def _put_together(form: Form, shelf: Shelf, values: dict[str, object], old: Jar | None) -> Jar:
    nominal = form.figure("nominal", "Sold as", "", 1, 5000)
    if old is not None:
        plain = replace(old, **values)  # type: ignore[arg-type]
    else:
        plain = Jar(id=_free(shelf, str(values["name"])), nominal_ml=1.0, **values)  # type: ignore[arg-type]
    if nominal is None:
        return replace(plain, nominal_ml=round(brim_ml(plain), 1)) if old is None else plain
    return replace(plain, nominal_ml=nominal * TO_ML[form.text("unit") or "ml"])


def _free(shelf: Shelf, name: str) -> str:
    taken = {glass.id for glass in shelf.of("jar")}
    stem = slug(name, "jar")
    return next(
        free for n in range(len(taken) + 1) if (free := stem + (f"-{n + 1}" if n else "")) not in taken
    )


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

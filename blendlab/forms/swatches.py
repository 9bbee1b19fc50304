"""Typed or photographed swatches, one at a time."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from blendlab import photo, units
from blendlab.batch.dusting import BASES, pigment_grams
from blendlab.codec import decode, encode
from blendlab.errors import BlendlabError
from blendlab.facts.palette import bases
from blendlab.facts.read import figure
from blendlab.forms.form import Form, Typed
from blendlab.shelf import Base, Item, Shelf, Swatch
from blendlab.tint.measured_items import (
    base_reflectance,
)
from blendlab.tint.readings import read_spectra
from blendlab.tint.swatches import from_hex_code, from_lab, from_photo, from_reflectance

Answered = tuple[Swatch | None, list[str], list[str]]


def base_of(shelf: Shelf, base_id: str) -> Base:
    """The base a swatch was made in: the one chosen, else the first on the shelf, else a starter."""
    found = shelf.today("base", base_id) or next(iter(shelf.of("base")), None) or bases()[0]
    assert isinstance(found, Base)
    return found


def swatch(
    typed: Typed,
    item: Item,
    base: Base,
    measured: photo.Colour | None = None,
    words: str = "",
    error: float = 0.0,
) -> Answered:
    """One swatch out of a form; the answers to what was wrong; what she should know.

    typed     way ("spectrum", "lab", "hex", "photo"), pct and the fields of that way
    measured  colour of a photo, with the words and the error of that photo
    """
    form = Form(typed)
    doses = _doses(form, item)
    told: list[str] = []
    way = form.text("way") or "spectrum"
    made: Swatch | None = None
    if way == "photo" and measured is None:
        form.answers.append("No colour was read off a picture yet.")
    if not form.answers:
        surface = form.text("surface") or "open"
        if way == "spectrum":
            made, told = _spectrum(form, doses, surface)
        elif way == "lab":
            made = _lab(form, doses, base, surface)
        elif way == "hex":
            code = form.text("hex")
            made = form.tried(lambda: from_hex_code(code, doses, base_reflectance(base), surface), "Hex")
        elif measured is not None:
            linear = measured.linear
            made = form.tried(
                lambda: from_photo(linear, doses, base_reflectance(base), error, words, surface), "Photo"
            )
    return (None, form.answers, []) if form.answers else (made, [], told)


def _doses(form: Form, item: Item) -> dict[str, float]:
    if isinstance(item, Base):
        return {}
    return {item.id: form.wanted("pct", "Percent of the pigment in the swatch", "%", 0.0001, 100)}


def weights(typed: str) -> str:
    """What to weigh for a swatch of a typed percent, in words; "" before there is one."""
    pct = Form({"pct": typed}, []).figure("pct", "Percent", "%", 0.0001, 50)
    if pct is None:
        return ""
    base_g = figure("batch", "swatch_base").value
    inside, on_top = (units.plain(pigment_grams(base_g, pct, basis)) for basis in BASES)
    said = units.plain(pct)
    return (
        f"{said} % of the finished swatch is {inside} g in {base_g:g} g of whipped base; "
        f"{on_top} g would be {said} % on top of the base."
    )


def _spectrum(form: Form, doses: Mapping[str, float], surface: str) -> tuple[Swatch | None, list[str]]:
    scale = form.text("scale") or None
    found = form.tried(lambda: read_spectra(form.text("text"), scale), "Spectrum")
    if found is None:
        return None, []
    sample = min(int(form.typed.get("sample") or 0), len(found) - 1)
    reading = found[sample]
    specular = form.text("specular") or "out"
    made = form.tried(
        lambda: from_reflectance(reading.R, doses, surface, specular, form.text("geometry") or "unknown"),
        "Spectrum",
    )
    return made, [reading.words, *reading.notes]


def samples(text: str, scale: str | None) -> list[str]:
    """Names of the spectra in a text, with the scale each was read as; empty when it cannot be read."""
    try:
        found = read_spectra(text, scale)
    except BlendlabError:
        return []
    return [f"{reading.name or f'Sample {at}'}: {reading.words}" for at, reading in enumerate(found, start=1)]


def _lab(form: Form, doses: Mapping[str, float], base: Base, surface: str) -> Swatch | None:
    L = form.wanted("L", "L*", "", 0, 100)
    a, b = (form.wanted(name, f"{name}*", "", -150, 150) for name in ("a", "b"))
    if form.answers:
        return None
    lamp, observer = form.text("lamp") or "D65", int(form.text("observer") or 2)
    specular = form.text("specular") or "out"
    return form.tried(
        lambda: from_lab([L, a, b], doses, base_reflectance(base), lamp, observer, surface, specular), "Lab"
    )


def plain(made: Swatch) -> dict[str, object]:
    """A swatch as plain values, for the session."""
    return dict(encode(made))


def noun(data: Mapping[str, object]) -> Swatch:
    """The swatch in plain values."""
    return decode(Swatch, data)


@lru_cache(maxsize=3)
def picture(data: bytes) -> photo.Picture:
    """The picture in a file; the last three are kept (opening 12 megapixels takes 0.4 s)."""
    return photo.open_picture(data)

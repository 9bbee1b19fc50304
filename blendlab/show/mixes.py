"""A wanted colour -> mixes and a map of what the shelf reaches, ready to be shown and taken."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from blendlab import photo
from blendlab.assess import Assessment
from blendlab.errors import MARKS
from blendlab.facts.read import figure
from blendlab.forms.form import Form, Typed
from blendlab.recipe import Design
from blendlab.shelf import Base, Pigment, Shelf
from blendlab.tint import LAMPS, Wanted, see, ways
from blendlab.tint.appearance import (
    decode,
    from_hex,
    lab_to_linear,
    lab_to_xyz,
    linear_to_lab,
    to_hex,
    to_screen,
)
from blendlab.tint.gamut_map import Cell, reach
from blendlab.tint.inconstancy import UNDER
from blendlab.tint.measured_items import base_reflectance
from blendlab.tint.recipe_ranking import Way
from blendlab.tint.spectra import lab_of, white_point
from blendlab.tint.swatches import recovered, recovery_error
from blendlab.tint.words import words as colour_words
from blendlab.units import digits, plain


@dataclass(frozen=True)
class Target:
    """A wanted colour: Lab (D65, 2 degrees), hex of the screen, Delta E of the way it is known, in words."""

    lab: tuple[float, float, float]
    hex: str
    error: float
    words: str


@dataclass(frozen=True)
class Mix:
    """One mix: hex of weak, likely and strong, one sentence, and the doses that take it into a tone."""

    hexes: tuple[str, str, str]
    sentence: str
    doses: tuple[dict[str, Any], ...]
    stopped: bool


@dataclass(frozen=True)
class Mixes:
    """Mixes for a wanted colour; what stands in the way where it is not reached."""

    target: Target
    mixes: tuple[Mix, ...]
    obstacle: str


def target(
    typed: Typed, base: Base, seen: photo.Colour | None = None, words: str = "", error: float = 0.0
) -> tuple[Target | None, list[str]]:
    """The wanted colour out of a form; the answers to what was wrong.

    typed  way ("hex", "lab", "photo") and its fields
    seen   colour of a patch of a photo, with the words and the error of that photo
    """
    form = Form(typed)
    way = form.text("way") or "hex"
    made: Target | None = None
    if way == "lab":
        made = _from_lab(form, base)
    elif way == "photo":
        if seen is None:
            form.answers.append("No colour was read off a picture yet.")
        else:
            made = _target(seen.lab, error, words)
    elif not form.text("hex"):
        form.answers.append("A colour is missing.")
    else:
        lab = form.tried(lambda: _lab_of_hex(form.text("hex")), "Hex")
        made = None if lab is None else _target(lab, 0.0, f"screen colour {form.text('hex')}")
    return (None, form.answers) if form.answers else (made, [])


def _lab_of_hex(code: str) -> np.ndarray:
    return linear_to_lab(decode(from_hex(code)))


def _from_lab(form: Form, base: Base) -> Target | None:
    L = form.wanted("L", "L*", "", 0, 100)
    a, b = (form.wanted(name, f"{name}*", "", -150, 150) for name in ("a", "b"))
    if form.answers:
        return None
    lamp, observer = form.text("lamp") or "D65", int(form.text("observer") or 2)
    if (lamp, observer) == ("D65", 2):
        return _target([L, a, b], 0.0, "Lab, daylight, 2 degrees")
    xyz = lab_to_xyz([L, a, b], white_point(lamp, observer))
    R = form.tried(lambda: recovered(xyz, base_reflectance(base), lamp, observer), "Lab")
    if R is None:
        return None
    return _target(lab_of(R), recovery_error(lamp, observer), f"Lab, {LAMPS[lamp]}, {observer} degrees")


def _target(lab: Sequence[float] | np.ndarray, error: float, words: str) -> Target:
    L, a, b = (float(one) for one in lab)
    return Target((L, a, b), hex_of((L, a, b)), error, words)


def hex_of(lab: Sequence[float] | np.ndarray) -> str:
    """Hex of a Lab colour in daylight, as the screen shows it."""
    return to_hex(to_screen(lab_to_linear(lab))[0])


def tone_target(assessed: Assessment, tone_id: str) -> Target:
    """The colour a tone is predicted to have now."""
    judged = next(one for one in assessed.tones if one.tone.id == tone_id)
    return _target(lab_of(judged.tint.R), 0.0, f"{judged.tone.name} as it is now")


def mixes(wanted: Target, assessed: Assessment, shelf: Shelf, tone_id: str, most: int = 3) -> Mixes:
    """Three different mixes for a colour, weighable for that tone of the batch (0.3 s for 40 pigments)."""
    design, base, pigments = assessed.design, shelf.find(assessed.design.base), tuple(shelf.of("pigment"))
    weighing = assessed.dose_weighing
    step = weighing.step_g
    bounds = Wanted(
        most=most,
        portion_g=weighing.portion_g.get(tone_id),
        step_g=step,
        markets=design.markets,
        place=design.place,
    )
    answer = ways(wanted.lab, pigments, base, bounds)
    found = tuple(_mix(one, pigments, step) for one in answer.ways)
    return Mixes(wanted, found, answer.obstacle)


def _mix(one: Way, pigments: Sequence[Pigment], step: float) -> Mix:
    known = {each.id: each for each in pigments}
    return Mix(
        tuple(see(shade.R).hex for shade in (one.spread.weak, one.spread.likely, one.spread.strong)),  # type: ignore[arg-type]
        _sentence(one, known, step),
        _doses(one.match.doses, known),
        one.stopped,
    )


def _doses(doses: Mapping[str, float], known: Mapping[str, Pigment]) -> tuple[dict[str, Any], ...]:
    return tuple(
        {"pigment": {"kind": "pigment", "id": name, "rev": known[name].rev}, "pct": round(pct, 6)}
        for name, pct in doses.items()
    )


def _sentence(one: Way, known: Mapping[str, Pigment], step: float) -> str:
    places = max(0, len(plain(step)) - 2)
    parts = []
    for name, pct in one.match.doses.items():
        grams = f" ({one.grams[name]:.{places}f} g)" if name in one.grams else ""
        parts.append(f"{digits(pct)} % {known[name].name}{grams}")
    near = one.match.delta_e00
    tell = ": side by side few would tell" if near < figure("tint", "few_tell").value else ""
    said = [f"Delta E {near:.1f}{tell}; {' with '.join(parts)}, spread Delta E {one.spread.delta_e00:.1f}"]
    lamp, change = one.lamp
    said.append(f"{UNDER[lamp]} it changes by {change:.1f}")
    if one.cost is not None:
        said.append(f"pigment for {one.cost:.2f}")
    if one.findings:
        worst = one.findings[0]
        said.append(f"{MARKS[worst.level]}: {worst.text.rstrip('.')}")
    return ", ".join(said) + "."


# --- what the shelf reaches -----------------------------------------------------------------------


@dataclass(frozen=True)
class Place:
    """One swatch of the map: hex, words with its Delta E from that place, doses to take."""

    hex: str
    words: str
    delta_e: float
    doses: tuple[dict[str, Any], ...]


@dataclass(frozen=True)
class Map:
    """The map as far as it is done (0 to 1): rows of places from light to dark, and the nearest place."""

    done: float
    rows: tuple[tuple[Place, ...], ...]
    nearest: Place


def reached(wanted: Target, design: Design, shelf: Shelf) -> Iterator[Map]:
    """The map round a colour, in chunks; each time a share more is done."""
    pigments = tuple(shelf.of("pigment"))
    known = {one.id: one for one in pigments}
    for step in reach(wanted.lab, pigments, shelf.find(design.base)):
        rows: dict[float, list[Place]] = {}
        for cell in step.cells:
            rows.setdefault(cell.light_step, []).append(_place(cell, known))
        yield Map(step.done, tuple(map(tuple, rows.values())), _place(step.nearest, known))


def _place(cell: Cell, known: Mapping[str, Pigment]) -> Place:
    parts = [f"{digits(pct)} % {known[name].name}" for name, pct in cell.doses.items()] or ["no pigment"]
    said = f"{colour_words(cell.lab.tolist())}: {' with '.join(parts)}"
    return Place(hex_of(cell.lab), said, cell.delta_e00, _doses(cell.doses, known))


def base_seen(base: Base) -> tuple[str, str]:
    """Hex and words of the undyed base, to hold her base jar beside the screen."""
    R = base_reflectance(base)
    lab = ", ".join(f"{part:.1f}" for part in lab_of(R))
    return see(R).hex, f"{base.name}: L*a*b* {lab} ({base.known})"

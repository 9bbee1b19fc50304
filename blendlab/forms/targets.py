"""A typed or photographed colour -> the colour that is wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from blendlab import photo
from blendlab.assess import Assessment
from blendlab.forms.form import Form, Typed
from blendlab.shelf import Base
from blendlab.tint import LAMPS
from blendlab.tint.appearance import (
    decode,
    from_hex,
    lab_to_linear,
    lab_to_xyz,
    linear_to_lab,
    to_hex,
    to_screen,
)
from blendlab.tint.measured_items import base_reflectance
from blendlab.tint.spectra import lab_of, white_point
from blendlab.tint.swatches import recovered, recovery_error


@dataclass(frozen=True)
class Target:
    """A wanted colour: Lab (D65, 2 degrees), hex of the screen, Delta E of the way it is known, in words.

    R  reflectance [31] where the colour is that of a recipe; None where only the colour is known
    """

    lab: tuple[float, float, float]
    hex: str
    error: float
    words: str
    R: tuple[float, ...] | None = None


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
    L, a, b = (float(part) for part in lab)
    return Target((L, a, b), hex_of((L, a, b)), error, words)


def hex_of(lab: Sequence[float] | np.ndarray) -> str:
    """Hex of a Lab colour in daylight, as the screen shows it."""
    return to_hex(to_screen(lab_to_linear(lab))[0])


def tone_target(assessed: Assessment, tone_id: str) -> Target:
    """The colour a tone is predicted to have now."""
    judged = next(judged for judged in assessed.tones if judged.tone.id == tone_id)
    made = _target(lab_of(judged.tint.R), 0.0, f"{judged.tone.name} as it is now")
    return replace(made, R=tuple(judged.tint.R.tolist()))

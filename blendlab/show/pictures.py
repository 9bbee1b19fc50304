"""Pictures of a judged design, and the words that go with them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from blendlab import jar, tint
from blendlab.assess import Assessment, ToneJudged
from blendlab.errors import UnknownName
from blendlab.shelf import Resolved
from blendlab.tint.words import words as colour_words

Picture = NDArray[np.uint8]


def drawable(assessed: Assessment) -> jar.Layout:
    """The layout of a design that has its jar and its base.

    Raises UnknownName when one of them is missing.
    """
    if assessed.layout is None:
        raise UnknownName("jar or base", assessed.design.jar.id, ())
    return assessed.layout


def in_place(assessed: Assessment) -> Resolved:
    """The design with its items in place.

    Raises UnknownName when jar or base are missing.
    """
    if assessed.resolved is None:
        raise UnknownName("jar or base", assessed.design.jar.id, ())
    return assessed.resolved


def colours(
    assessed: Assessment, weeks: float | None = None, tints: Mapping[str, tint.Tint] | None = None
) -> jar.Colours:
    """Colours of every tone under the lamp and for the eye of the view.

    weeks  None = as the design says; tints  tone id -> other colours than those predicted
    """
    resolved, view = in_place(assessed), assessed.design.view
    shown = assessed.tints if tints is None else tints
    if weeks is not None and weeks != assessed.design.weeks:
        shown = tint.predict(resolved, weeks=weeks, vanillin_pct=assessed.vanillin_pct or 0.0)
    known = drawable(assessed).densities
    return jar.colours(assessed.design, shown, known, view.lamp, view.observer_deg, view.eye, resolved.dust)


def describe(assessed: Assessment, view: str = "front") -> str:
    """Text alternative of a picture."""
    design, dust = assessed.design, in_place(assessed).dust
    spread = max((each.spread.delta_e00 for each in assessed.tones), default=0.0)
    measured = all(each.tint.known == "measured" for each in assessed.tones)
    return jar.describe(
        design,
        drawable(assessed),
        view,
        {each.tone.id: colour_words(each.seen.lab.tolist()) for each in assessed.tones},
        dust.name if dust else "",
        f"colours {'measured' if measured else 'estimated'}, plus or minus {spread:.0f}",
    )


def caption(assessed: Assessment) -> str:
    """What the pictures show, where it is not the plain case, and the grams of the jar."""
    design, layout = assessed.design, assessed.layout
    if layout is None:
        return ""
    grams = ", ".join(f"{tone.name} {tone.grams:.0f} g" for tone in layout.tones)
    said = [f"{grams}; {layout.fill_ml + layout.top_ml:.0f} ml in the jar."]
    if design.weeks:
        said.append(f"Left fresh, right after {design.weeks:.0f} weeks, rule of thumb.")
    return " ".join(said)


def hexes(judged: ToneJudged) -> tuple[str, str, str]:
    """Weak, likely and strong of a tone as hex."""
    return judged.weak.hex, judged.seen.hex, judged.strong.hex

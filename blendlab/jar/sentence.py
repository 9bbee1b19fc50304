"""The picture in one sentence, for who cannot see it."""

from __future__ import annotations

from collections.abc import Mapping

from blendlab.jar.filled_jar import Layout
from blendlab.recipe import SHARED, Design

LONGEST = 249
LAMPS = {"D65": "daylight", "D50": "warm daylight", "A": "bulb light"}
VIEWS = {
    "front": "Front view of",
    "wall": "Wall, rolled out, of",
    "above": "View from above of",
    "cut": "Cut through",
}


def describe(
    design: Design,
    layout: Layout,
    view: str = "front",
    words: Mapping[str, str] | None = None,
    dust: str = "",
    certainty: str = "colours estimated",
) -> str:
    """One sentence below 250 characters: view, jar, fill, arrangement, tones, top, age, lamp, certainty.

    words      tone id -> plain word of its colour, beside or instead of its name
    dust       name of the mica on the top
    certainty  how the colours are known

    Every tone is named with its percent by weight; when room is short, the rest is left out first.
    """
    jar = layout.jar
    size = f", {jar.outer_mm:.0f} mm wide and {jar.height_mm + jar.base_mm:.0f} mm high"
    fill = f", filled to {layout.headspace_mm:.0f} mm below the rim"
    tail = [_top(design, dust), _age(design), LAMPS.get(design.view.lamp, design.view.lamp), certainty]
    start = f"{VIEWS.get(view, VIEWS['front'])} a clear jar"
    for room in (60, 40, 24, 14, 8, 4):
        pattern = _pattern(layout, words or {}, room)
        for drop in range(6):
            ends = tail[: len(tail) - max(0, drop - 2)]
            head = start + (size if drop < 1 else "") + (fill if drop < 2 else "")
            said = f"{head}: {pattern}, {'; '.join(end for end in ends if end)}."
            if len(said) <= LONGEST:
                return said
    return f"{said[: LONGEST - 1]}."


def _pattern(layout: Layout, words: Mapping[str, str], room: int) -> str:
    tones = [
        f"{_named(tone.name, words.get(tone.id, ''), room)} ({tone.weight_pct:.0f} %)"
        for tone in layout.tones
    ]
    listed = tones[0] if len(tones) == 1 else f"{', '.join(tones[:-1])} and {tones[-1]}"
    return listed if len(tones) == 1 else layout.solid.rule.phrase(layout.solid, listed)


def _named(name: str, word: str, room: int) -> str:
    said = f"{name}, {word}" if word and name and room > 24 and word.lower() != name.lower() else name or word
    return said if len(said) <= room else said[: room - 1].rstrip() + "\u2026"


def _top(design: Design, dust: str) -> str:
    kinds = {"flat": "flat top", "dome": "domed top", "star": "star-piped top"}
    said = kinds[design.top.kind]
    if design.top.kind == "star":
        said = f"{design.top.points}-point {said}"
    if design.top.tone != SHARED and design.top.kind != "flat":
        names = {tone.id: tone.name for tone in design.tones}
        said += f" in {_named(names[design.top.tone], '', 30)}"
    return said + (f", dusted with {dust or 'mica'}" if design.top.dust else "")


def _age(design: Design) -> str:
    if not design.weeks:
        return "fresh"
    fallen = f", sunk by {design.view.sunk_mm:g} mm" if design.view.sunk_mm else ""
    return f"after {design.weeks:g} weeks, rule of thumb{fallen}"

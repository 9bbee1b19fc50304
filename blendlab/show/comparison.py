"""Designs beside each other and beside a photo: one light, one scale, and what is different in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from blendlab import jar, photo, tint
from blendlab.assess import Assessment
from blendlab.jar import wipe
from blendlab.shelf import Shelf
from blendlab.show.pictures import Picture, colours, drawable
from blendlab.show.views import picture

ALIKE = 0.05
"""CIEDE2000 below which two colours are one: it would be shown as 0.0."""


def side_by_side(judged: Sequence[tuple[Assessment, Shelf]], height: int = 520) -> Picture:
    """Two to four designs on one panel: the lamp, the eye and the turn of the first, one scale."""
    first = judged[0][0].design.view
    same = []
    for one, shelf in judged:
        seen = replace(one.design.view, lamp=first.lamp, observer_deg=first.observer_deg, eye=first.eye)
        lit = replace(one, design=replace(one.design, view=seen))
        same.append((drawable(one), colours(lit, shelf), first.turn_deg))
    return jar.row(same, height, mode=first.mode, gap=0.22)


def differences(judged: Sequence[tuple[Assessment, Shelf]]) -> list[tuple[str, list[str]]]:
    """What is not the same in all designs: name of the thing, then a word or figure for each design."""
    rows = [(name, [tell(one, shelf) for one, shelf in judged]) for name, tell in _FACTS]
    for place in range(max(len(one.tones) for one, _ in judged)):
        rows.append((f"Tone {place + 1}", [_tone(one, shelf, place) for one, shelf in judged]))
    return [(name, values) for name, values in rows if len(set(values)) > 1]


def _tone(assessed: Assessment, shelf: Shelf, place: int) -> str:
    if place >= len(assessed.tones):
        return "none"
    each = assessed.tones[place]
    doses = " + ".join(
        f"{shelf.find(dose.pigment).name} {dose.pct:g} %"
        for dose in each.tone.doses
        if shelf.has(dose.pigment)
    )
    return f"{each.tone.name} {each.tone.share_pct:g} %, {each.seen.hex}, {doses or 'no pigment'}"


def _arrangement(assessed: Assessment, _: Shelf) -> str:
    now = assessed.design.arrangement
    return jar.RULES[now.kind].told(now)


def _top(assessed: Assessment, shelf: Shelf) -> str:
    top = assessed.design.top
    dust = (
        f", dusted with {shelf.find(top.dust.pigment).name}"
        if top.dust and shelf.has(top.dust.pigment)
        else ""
    )
    return f"{top.kind}{f' {top.points} points' if top.kind == 'star' else ''}{dust}"


def _net(assessed: Assessment, _: Shelf) -> str:
    layout = drawable(assessed)
    if layout.net_range_g is None:
        return f"{layout.net_g:.0f} g"
    return f"{layout.net_range_g[0]:.0f} to {layout.net_range_g[1]:.0f} g"


def _findings(assessed: Assessment, _: Shelf) -> str:
    return f"{assessed.count('stop')} stop, {assessed.count('caution')} caution"


_FACTS: tuple[tuple[str, Callable[[Assessment, Shelf], str]], ...] = (
    ("Arrangement", _arrangement),
    ("Top", _top),
    ("Jar", lambda one, _: drawable(one).jar.name),
    ("Net weight", _net),
    ("Weeks on the shelf", lambda one, _: f"{one.design.weeks:g}"),
    ("Scent, percent of the finished product", lambda one, _: f"{one.design.scent.load_pct:g} %"),
    ("Findings", _findings),
)


def closest_tones(
    judged: Sequence[tuple[Assessment, Shelf]], names: Sequence[str]
) -> list[tuple[str, float]]:
    """Tones of the first design against those in the same place of each other one, in CIEDE2000.

    names  of the designs; tones that are the same colour are left out
    """
    first = judged[0][0]
    found = []
    for (other, _), name in zip(judged[1:], names[1:], strict=True):
        for one, two in zip(first.tones, other.tones, strict=False):
            apart = float(tint.delta_e_2000(one.seen.lab, two.seen.lab))
            if apart >= ALIKE:
                found.append((f"{one.tone.name} and {two.tone.name} of {name}", apart))
    return found


def beside_photo(
    assessed: Assessment,
    shelf: Shelf,
    data: bytes,
    marked: photo.Box,
    share: float,
    card: photo.Box | None = None,
    px: tuple[int, int] = (760, 700),
) -> Picture:
    """The predicted jar left of a line, a photo of the real one right of it, both at one size.

    marked  the jar on the photo: its sides, its rim and its foot
    card    a grey card on the photo, which gives its exposure and its white; without it the photo's own

    Raises photo.BadPicture, OutOfRange.
    """
    shown = photo.open_picture(data)
    height, width = shown.pixels.shape[:2]
    place = wipe.Outline(
        marked.left * width,
        marked.top * height,
        (marked.left + marked.width) * width,
        (marked.top + marked.height) * height,
    )
    layout = drawable(assessed)
    moved = wipe.laid_over(shown.pixels, place, wipe.outline(layout, px), px)
    if card is not None:
        mean = shown.patch(card).mean(axis=(0, 1))
        moved = wipe.balanced(moved, photo.CARDS["grey"] / np.maximum(mean, 1e-3))
    return wipe.wiped(picture(assessed, shelf, "front", px), moved, share)

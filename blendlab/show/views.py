"""Pictures of one judged design: views, stills to take away, turntable."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from blendlab import jar, tint
from blendlab.assess import Assessment, ToneJudged
from blendlab.show import pictures
from blendlab.show.pictures import Picture, colours, drawable, in_place
from blendlab.tint.kubelka_munk import behind_wall, k_over_s

FRONT = (700, 900)


SIDES = {"front": FRONT, "wall": (900, 420), "above": (700, 700), "cut": (700, 700)}
"""View -> pixels of its picture at 1x."""


def picture(assessed: Assessment, view: str = "front", px: tuple[int, int] = FRONT, **how: Any) -> Picture:
    """One view; with weeks on the shelf the front shows now and then as its halves.

    how  ground, bar, lid, dry: as of `jar.paint`
    """
    design, layout = assessed.design, drawable(assessed)
    turn, mode = design.view.turn_deg, design.view.mode

    def drawn(filled: jar.Layout, weeks: float | None) -> Picture:
        return jar.paint(filled, colours(assessed, weeks), view, turn, mode, px, **how)

    if not design.weeks:
        return drawn(layout, None)
    then = jar.sunk(layout, design.view.sunk_mm) if design.view.sunk_mm else layout
    if view != "front":
        return drawn(then, None)
    return jar.halves(drawn(layout, 0.0), drawn(then, None))


def shifted(assessed: Assessment, end: str, view: str = "front", px: tuple[int, int] = FRONT) -> Picture:
    """The jar with every tone at its weak, likely or strong end; fresh or aged as the design says."""
    contact, turned = in_place(assessed).jar.wall_contact, assessed.design.view
    tints = {judged.tone.id: _end(judged, end, contact) for judged in assessed.tones}
    return jar.paint(
        drawable(assessed), colours(assessed, tints=tints), view, turned.turn_deg, turned.mode, px
    )


def _end(judged: ToneJudged, end: str, contact: float | None) -> tint.Tint:
    if end == "likely":
        return judged.tint
    shade = {"weak": judged.spread.weak, "strong": judged.spread.strong}[end]
    S = judged.tint.S
    return tint.Tint(k_over_s(shade.R) * S, S, shade.R, behind_wall(shade.R, contact), judged.tint.known)


def still(assessed: Assessment, view: str = "front", times: int = 1, **how: Any) -> tuple[bytes, str]:
    """A picture file to take away (PNG, sRGB) and its text alternative, which also travels in the file.

    times  1 to 3: how many times as large
    """
    width, height = SIDES[view]
    said = pictures.describe(assessed, view)
    drawn = picture(assessed, view, (width * times, height * times), **how)
    return jar.encode(drawn, "png", f"{said} Design {assessed.design.id}."), said


def encoded(assessed: Assessment, view: str, px: tuple[int, int]) -> bytes:
    """One view as JPEG bytes for the screen."""
    return jar.encode(picture(assessed, view, px), "jpeg")


def turntable(
    assessed: Assessment, progress: Callable[[int, int], None] | None = None, frames: int = 24
) -> bytes:
    """The jar going round as an animated WebP."""
    view = assessed.design.view
    tones = colours(assessed)
    return jar.turning(
        drawable(assessed), tones, frames, start=view.turn_deg, progress=progress, mode=view.mode
    )

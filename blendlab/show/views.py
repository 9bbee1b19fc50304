"""Pictures of one judged design: views, stills to take away, turntable."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from blendlab import jar, tint
from blendlab.assess import Assessment, ToneJudged
from blendlab.shelf import Jar, Shelf
from blendlab.show import pictures
from blendlab.show.pictures import Picture, colours, drawable
from blendlab.tint.kubelka_munk import behind_wall, k_over_s

FRONT = (700, 900)


SIDES = {"front": FRONT, "wall": (900, 420), "above": (700, 700), "cut": (700, 700)}
"""View -> pixels of its picture at 1x."""


def picture(
    assessed: Assessment,
    shelf: Shelf,
    view: str = "front",
    px: tuple[int, int] = FRONT,
    **how: Any,
) -> Picture:
    """One view; with weeks on the shelf the front shows now and then as its halves.

    how  ground, bar, lid, dry: as of `jar.paint`
    """
    design, layout = assessed.design, drawable(assessed)
    turn, mode = design.view.turn_deg, design.view.mode

    def drawn(filled: jar.Layout, weeks: float | None) -> Picture:
        return jar.paint(filled, colours(assessed, shelf, weeks), view, turn, mode, px, **how)

    if not design.weeks:
        return drawn(layout, None)
    then = jar.sunk(layout, design.view.sunk_mm) if design.view.sunk_mm else layout
    if view != "front":
        return drawn(then, None)
    return jar.halves(drawn(layout, 0.0), drawn(then, None))


def shifted(
    assessed: Assessment, shelf: Shelf, end: str, view: str = "front", px: tuple[int, int] = FRONT
) -> Picture:
    """The jar with every tone at its weak, likely or strong end; fresh or aged as the design says."""
    view_, contact = assessed.design.view, _contact(assessed, shelf)
    tints = {each.tone.id: _end(each, end, contact) for each in assessed.tones}
    dust = assessed.design.top.dust
    powder = shelf.find(dust.pigment) if dust and shelf.has(dust.pigment) else None
    known = drawable(assessed).densities
    tones = jar.colours(assessed.design, tints, known, view_.lamp, view_.observer_deg, view_.eye, powder)
    return jar.paint(drawable(assessed), tones, view, view_.turn_deg, view_.mode, px)


def _contact(assessed: Assessment, shelf: Shelf) -> float | None:
    found = shelf.find(assessed.design.jar) if shelf.has(assessed.design.jar) else None
    return found.wall_contact if isinstance(found, Jar) else None


def _end(each: ToneJudged, end: str, contact: float | None) -> tint.Tint:
    shade = getattr(each.spread, end, None) if each.spread else None
    if end == "likely" or shade is None:
        return each.tint
    S = each.tint.S
    return tint.Tint(k_over_s(shade.R) * S, S, shade.R, behind_wall(shade.R, contact), each.tint.known)


def still(
    assessed: Assessment, shelf: Shelf, view: str = "front", times: int = 1, **how: Any
) -> tuple[bytes, str]:
    """A picture file to take away (PNG, sRGB) and its text alternative, which also travels in the file.

    times  1 to 3: how many times as large
    """
    width, height = SIDES[view]
    said = pictures.describe(assessed, shelf, view)
    drawn = picture(assessed, shelf, view, (width * times, height * times), **how)
    return jar.encode(drawn, "png", f"{said} Design {assessed.design.id}."), said


def encoded(assessed: Assessment, shelf: Shelf, view: str, px: tuple[int, int]) -> bytes:
    """One view as JPEG bytes for the screen."""
    return jar.encode(picture(assessed, shelf, view, px), "jpeg")


def turntable(
    assessed: Assessment, shelf: Shelf, progress: Callable[[int, int], None] | None = None, frames: int = 24
) -> bytes:
    """The jar going round as an animated WebP."""
    view = assessed.design.view
    tones = colours(assessed, shelf)
    return jar.turning(
        drawable(assessed), tones, frames, start=view.turn_deg, progress=progress, mode=view.mode
    )

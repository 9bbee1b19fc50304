"""Pictures of judged designs to take away or to choose from: stills, turntable, row, thumbnails, compare."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from blendlab import jar, photo, recipe, tint
from blendlab.assess import Assessment, ToneJudged
from blendlab.jar.palette import plain
from blendlab.jar.strip import Band
from blendlab.recipe import Design, Top
from blendlab.shelf import Jar, Shelf
from blendlab.show import pictures
from blendlab.show.pictures import Picture, colours, drawable
from blendlab.tint.kubelka_munk import behind_wall, k_over_s

FRONT = (700, 900)
SIDES = {"front": FRONT, "wall": (900, 420), "above": (700, 700), "cut": (700, 700)}
"""View -> pixels of its picture at 1x."""

WHITE = plain([[0.955, 0.950, 0.935]])
THUMB = (136, 126)

ENDS = ("weak", "likely", "strong")


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


def row(judged: Sequence[tuple[Assessment, Shelf]], height: int = 600, **how: Any) -> Picture:
    """Jars of a line side by side: one scale, one base line.

    how  ground, lid, gap: as of `jar.row`
    """
    jars = [(drawable(one), colours(one, shelf), one.design.view.turn_deg) for one, shelf in judged]
    return jar.row(jars, height, **how)


def row_words(judged: Sequence[tuple[Assessment, Shelf]]) -> str:
    """Text alternative of a row."""
    named = []
    for one, _ in judged:
        tones = ", ".join(f"{tone.name} {tone.weight_pct:.0f} %" for tone in drawable(one).tones)
        named.append(f"{one.design.name}, {tones}")
    said = "; ".join(named)
    return f"{len(judged)} jars in a row at one scale: {said}."


def strip(assessed: Assessment, width: int = 700) -> Picture:
    """Weak, likely and strong of every tone, exact, on neutral grey."""
    return jar.strip([_band(each) for each in assessed.tones], width)


def _band(each: ToneJudged) -> Band:
    weak, likely, strong = (_codes(one.hex) for one in (each.weak, each.seen, each.strong))
    delta_e = each.spread.delta_e00 if each.spread else None
    return Band(each.tone.name, weak, likely, strong, delta_e, each.tint.known)


def _codes(hex_: str) -> tuple[int, int, int]:
    return int(hex_[1:3], 16), int(hex_[3:5], 16), int(hex_[5:7], 16)


def strip_words(assessed: Assessment) -> str:
    """Text alternative of the strip."""
    tones = []
    for each in assessed.tones:
        spread = f", spread Delta E {each.spread.delta_e00:.1f}" if each.spread else ""
        tones.append(
            f"{each.tone.name}: likely {each.seen.hex}, weak {each.weak.hex}, strong {each.strong.hex}"
            f"{spread}, {each.tint.known}"
        )
    return f"Weak, likely and strong of each tone. {'; '.join(tones)}."


def arrangements(assessed: Assessment) -> dict[str, bytes]:
    """Every arrangement of this design as a small picture (PNG), drawn by the same painter."""
    now = assessed.design.arrangement
    return {
        kind: _thumb(assessed, replace(assessed.design, arrangement=replace(now, kind=kind)), kind)
        for kind in recipe.ARRANGEMENTS
    }


def tops(assessed: Assessment) -> dict[str, bytes]:
    """Every top of this design as a small picture (PNG), drawn by the same painter."""
    now = assessed.design.top

    def with_top(kind: str) -> Top:
        return replace(now, kind=kind, height_mm=None, headspace_mm=None)

    return {kind: _thumb(assessed, replace(assessed.design, top=with_top(kind)), "") for kind in recipe.TOPS}


def plain_jar(glass: Jar, px: tuple[int, int] = (420, 380)) -> tuple[bytes, str]:
    """A jar of the shelf filled with plain white, with a scale bar, and its text alternative."""
    tone = recipe.Tone(id="white", name="white", share_pct=100)
    base = recipe.Ref(kind="base", id="white")
    design = Design(id="plain", name="Plain", product="", tones=(tone,), jar=glass.ref, base=base)
    filled = jar.layout(design, glass, {})
    drawn = jar.paint(filled, WHITE, px=px, bar=True, lid=glass.lid == "domed")
    said = jar.describe(design, filled, certainty="plain white")
    return jar.encode(drawn, "png"), said


def _thumb(assessed: Assessment, design: Design, kind: str) -> bytes:
    """A core is shown cut open: from outside it would be one plain jar."""
    filled = _layout(assessed, design)
    view = design.view
    tones = jar.colours(design, assessed.tints, filled.densities, view.lamp, view.observer_deg, view.eye)
    turn = view.turn_deg if design.arrangement == assessed.design.arrangement else jar.default_turn(filled)
    side = "cut" if kind and filled.solid.rule.inside else "front"
    small = jar.paint(replace(filled, dust_mg_per_cm2=0.0), tones, side, turn, "shaded", _twice(THUMB))
    return jar.encode(jar.shrunk(small, 2), "png")


def _twice(px: tuple[int, int]) -> tuple[int, int]:
    return 2 * px[0], 2 * px[1]


def _layout(assessed: Assessment, design: Design) -> jar.Layout:
    """Another design of the same tones in the same jar."""
    now = drawable(assessed)
    return jar.layout(design, now.jar, now.densities)


def turn_of(assessed: Assessment, kind: str) -> float:
    """The turn, 0 to 355 degrees, at which this design in another arrangement flatters no tone."""
    now = assessed.design.arrangement
    other = replace(assessed.design, arrangement=replace(now, kind=kind))
    return jar.default_turn(_layout(assessed, other)) % 360.0


def fair_turn(assessed: Assessment) -> float:
    """The turn, 0 to 355 degrees, at which no tone is flattered: for a new design or a new arrangement."""
    return jar.default_turn(drawable(assessed)) % 360.0


def contact(assessed: Assessment, data: bytes, marks: dict[str, tuple[photo.Box, photo.Box]]) -> jar.Contact:
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

"""Small pictures to choose an arrangement or a top by, and the turn that flatters no tone."""

from __future__ import annotations

from dataclasses import replace

from blendlab import jar, recipe
from blendlab.assess import Assessment
from blendlab.recipe import Design, Top
from blendlab.show.pictures import drawable

THUMB = (136, 126)


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

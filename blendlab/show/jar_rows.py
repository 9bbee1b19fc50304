"""Jars of several designs side by side, and the words for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from blendlab import jar
from blendlab.assess import Assessment
from blendlab.show.pictures import Picture, colours, drawable


def side_by_side(judged: Sequence[Assessment], height: int = 520) -> Picture:
    """Two to four designs on one panel: the lamp, the eye and the turn of the first, one scale."""
    first = judged[0].design.view
    same = []
    for assessed in judged:
        seen = replace(assessed.design.view, lamp=first.lamp, observer_deg=first.observer_deg, eye=first.eye)
        lit = replace(assessed, design=replace(assessed.design, view=seen))
        same.append((drawable(assessed), colours(lit), first.turn_deg))
    return jar.row(same, height, mode=first.mode, gap=0.22)


def row(judged: Sequence[Assessment], height: int = 600, **how: Any) -> Picture:
    """Jars of a line side by side: one scale, one base line.

    how  ground, lid, gap: as of `jar.row`
    """
    jars = [(drawable(assessed), colours(assessed), assessed.design.view.turn_deg) for assessed in judged]
    return jar.row(jars, height, **how)


def row_words(judged: Sequence[Assessment]) -> str:
    """Text alternative of a row."""
    named = []
    for assessed in judged:
        tones = ", ".join(f"{tone.name} {tone.weight_pct:.0f} %" for tone in drawable(assessed).tones)
        named.append(f"{assessed.design.name}, {tones}")
    said = "; ".join(named)
    return f"{len(judged)} jars in a row at one scale: {said}."

"""Jars of several designs side by side, and the words for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from blendlab import jar
from blendlab.assess import Assessment
from blendlab.shelf import Shelf
from blendlab.show.pictures import Picture, colours, drawable


def side_by_side(judged: Sequence[tuple[Assessment, Shelf]], height: int = 520) -> Picture:
    """Two to four designs on one panel: the lamp, the eye and the turn of the first, one scale."""
    first = judged[0][0].design.view
    same = []
    for one, shelf in judged:
        seen = replace(one.design.view, lamp=first.lamp, observer_deg=first.observer_deg, eye=first.eye)
        lit = replace(one, design=replace(one.design, view=seen))
        same.append((drawable(one), colours(lit, shelf), first.turn_deg))
    return jar.row(same, height, mode=first.mode, gap=0.22)


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

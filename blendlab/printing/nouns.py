"""What a card says, as plain printable values."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from blendlab.errors import NO_REFERENCE, PLANNING
from blendlab.printing import fonts

DRAFT = "draft, no code"
"""Stands where the code of a batch would: on prints of what no batch was begun of."""
STANDING = (PLANNING, NO_REFERENCE)
LACKING = f"{fonts.MISSING} stands for a letter this print does not have."


@dataclass(frozen=True)
class ToneLine:
    """One tone as it is printed.

    share_pct            percent by weight of the jar
    weak, likely, strong "#RRGGBB"
    lab                  CIE L*, a*, b* of the likely colour
    known                "estimate" or "measured", with its basis if wanted
    delta_e              spread, CIEDE2000
    doses                pigment name and percent of the finished portion
    in_gamut             False: deeper than a screen can show
    """

    name: str
    share_pct: float
    weak: str
    likely: str
    strong: str
    lab: tuple[float, float, float]
    known: str = ""
    delta_e: float | None = None
    doses: tuple[tuple[str, float], ...] = ()
    in_gamut: bool = True


@dataclass(frozen=True, eq=False)
class CardSheet:
    """What a card says, ready to print.

    load      load in words, with its unit and of what
    picture   uint8 (h, w, 3), its edge on #B8B8B8
    scent     oil name and percent of the scent
    ceiling   highest load in words
    findings  mark with word (see MARKS) and sentence, worst first
    counts    checked, unverified, unknown, and on which date
    """

    name: str
    product: str
    jar: str
    load: str
    date: str
    picture: NDArray[np.uint8]
    tones: tuple[ToneLine, ...]
    scent: tuple[tuple[str, float], ...] = ()
    ceiling: str = ""
    label_names: tuple[str, ...] = ()
    findings: tuple[tuple[str, str], ...] = ()
    counts: str = ""
    standing: tuple[str, ...] = STANDING


def texts(sheet: CardSheet) -> Iterator[str]:
    """Every text of a card that somebody typed."""
    yield from (sheet.name, sheet.product, sheet.jar, sheet.load, sheet.ceiling, sheet.counts)
    for tone in sheet.tones:
        yield from (tone.name, tone.known, *(pigment for pigment, _ in tone.doses))
    yield from (oil for oil, _ in sheet.scent)
    yield from sheet.label_names
    yield from (text for _, text in sheet.findings)


def missing_letters(sheets: CardSheet | Iterable[CardSheet]) -> tuple[str, ...]:
    """A sentence for each text of the cards whose letters the font lacks; empty when all print."""
    several = [sheets] if isinstance(sheets, CardSheet) else sheets
    return fonts.missing(dict.fromkeys(text for sheet in several for text in texts(sheet)))

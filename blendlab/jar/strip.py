"""Weak, likely and strong of every tone as one exact picture."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from PIL import Image, ImageDraw

from blendlab.jar.marks import font
from blendlab.jar.painter import Picture

GREY, WORDS = 119, (255, 255, 255)
PARTS = (1, 2, 1)
"""Widths of weak, likely and strong; they touch, for neighbours show a difference of 1 to 2."""


class Band(NamedTuple):
    """One tone: its name, three sRGB codes 0..255, its spread and how it is known."""

    name: str
    weak: tuple[int, int, int]
    likely: tuple[int, int, int]
    strong: tuple[int, int, int]
    delta_e: float | None = None
    known: str = "estimate"


def strip(bands: Sequence[Band], width: int = 700, row: int = 36) -> Picture:
    """A strip on neutral grey, one row a tone: weak, likely, strong, flat and exact.

    width  of the picture in pixels; row: height of one row of colour
    """
    size = max(11, width // 50)
    left, right, head, gap = round(0.22 * width), round(0.20 * width), round(1.9 * size), max(4, row // 6)
    picture = np.full((head + len(bands) * (row + gap) + gap, width, 3), GREY, dtype=np.uint8)
    edges = left + np.round(np.cumsum([0, *PARTS]) / sum(PARTS) * (width - left - right)).astype(int)
    for place, band in enumerate(bands):
        y = head + place * (row + gap)
        for code, a, b in zip((band.weak, band.likely, band.strong), edges, edges[1:], strict=False):
            picture[y : y + row, a:b] = code
    image = Image.fromarray(picture)
    pen = ImageDraw.Draw(image)
    for word, a, b in zip(("weak", "likely", "strong"), edges, edges[1:], strict=False):
        pen.text(((a + b) / 2, head - size * 0.55), word, WORDS, font(size), anchor="ms")
    for place, band in enumerate(bands):
        level = head + place * (row + gap) + row / 2
        pen.text(
            (size * 0.6, level), _fitting(pen, band.name, left - size, size), WORDS, font(size), anchor="lm"
        )
        pen.text((width - right + size * 0.6, level), _known(band), WORDS, font(size), anchor="lm")
    return np.array(image)


def _known(band: Band) -> str:
    return band.known if band.delta_e is None else f"{band.known}, \u0394E {band.delta_e:.1f}"


def _fitting(pen: ImageDraw.ImageDraw, text: str, room: float, size: int) -> str:
    while len(text) > 2 and pen.textlength(text, font(size)) > room:
        text = text[:-2].rstrip() + "\u2026"
    return text

"""Marks on paper in mm, laid out once and drawn as PDF or PNG from the same list.

The origin is the top left corner of the page, y runs down, text stands on its baseline.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from reportlab.lib.colors import HexColor
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from blendlab.printing import fonts
from blendlab.printing.fonts import PT
from blendlab.units import TO_MM

INK, GREY, HAIR, PANEL, WHITE = "#1C1C1C", "#555555", "#9A9A9A", "#B8B8B8", "#FFFFFF"
LEADING = 1.3
"""Distance of two baselines in sizes of the type."""

EDGE = 1.0
"""Panel that is left round a picture, mm."""

PX_PER_MM = 5
"""Pixels of a PNG in one mm at scale 1."""


@dataclass(frozen=True)
class Text:
    """One line of text standing on `y`."""

    x: float
    y: float
    text: str
    size: float
    bold: bool = False
    colour: str = INK


@dataclass(frozen=True)
class Box:
    """A filled rectangle."""

    x: float
    y: float
    w: float
    h: float
    colour: str


@dataclass(frozen=True)
class Corner:
    """A filled right triangle in the upper right corner at (x, y), legs of `leg`."""

    x: float
    y: float
    leg: float
    colour: str


@dataclass(frozen=True, eq=False)
class Picture:
    """Pixels, uint8 (h, w, 3), in a rectangle."""

    x: float
    y: float
    w: float
    h: float
    pixels: NDArray[np.uint8]


_UNIT = re.compile(r"(?<=[0-9]) (?=%|(?:g|kg|ml|mm|m|oz|C|weeks|jars)\b)")

Mark = Text | Box | Corner | Picture


@dataclass(frozen=True, eq=False)
class Block:
    """Marks that stay together, measured from their own top.

    height  mm
    hold    never the last on a page: the next block stays with it
    """

    height: float
    marks: tuple[Mark, ...]
    hold: bool = False


@dataclass(frozen=True, eq=False)
class Page:
    """One page: size in mm and what is on it."""

    w: float
    h: float
    marks: tuple[Mark, ...]


def moved(marks: Iterable[Mark], dx: float, dy: float) -> tuple[Mark, ...]:
    """The same marks elsewhere."""
    return tuple(replace(mark, x=mark.x + dx, y=mark.y + dy) for mark in marks)


def line_mm(size: float) -> float:
    """Height of one line of type in mm."""
    return size * LEADING * PT


def wrap(text: str, width: float, size: float, bold: bool = False, most: int = 0) -> list[str]:
    """A text in lines of at most `width` mm; the last of `most` lines ends in an ellipsis.

    A number and its unit stay together; a word that is too long is broken.

    >>> wrap("one two three", 10, 7)
    ['one two', 'three']
    """
    lines: list[str] = []
    line = ""
    for word in _UNIT.sub("\u00a0", fonts.printable(text)).split(" "):
        trial = f"{line} {word}".strip()
        if fonts.width_mm(trial, size, bold) <= width:
            line = trial
            continue
        if line:
            lines.append(line)
        line = word
        while fonts.width_mm(line, size, bold) > width:
            cut = _longest(line, width, size, bold)
            lines.append(line[:cut])
            line = line[cut:]
    lines = [whole.replace("\u00a0", " ") for whole in [*lines, line]]
    if most and len(lines) > most:
        return [*lines[: most - 1], ellipsis(" ".join(lines[most - 1 :]), width, size, bold)]
    return lines


def _longest(text: str, width: float, size: float, bold: bool) -> int:
    count = 1
    while count < len(text) and fonts.width_mm(text[: count + 1], size, bold) <= width:
        count += 1
    return count


def ellipsis(text: str, width: float, size: float, bold: bool = False) -> str:
    """A text cut to `width` mm, with an ellipsis when something is cut off."""
    if fonts.width_mm(text, size, bold) <= width:
        return text
    return text[: _longest(text, width - fonts.width_mm("…", size, bold), size, bold)].rstrip() + "…"


def right(x: float, y: float, text: str, size: float, bold: bool = False, colour: str = INK) -> Text:
    """A text that ends at x."""
    return Text(x - fonts.width_mm(text, size, bold), y, text, size, bold, colour)


def fitted(x: float, y: float, w: float, h: float, pixels: NDArray[np.uint8]) -> tuple[Mark, ...]:
    """A picture as large as it goes in the middle of a grey panel."""
    tall, wide = pixels.shape[:2]
    scale = min((w - 2 * EDGE) / wide, (h - 2 * EDGE) / tall)
    pw, ph = wide * scale, tall * scale
    return Box(x, y, w, h, PANEL), Picture(x + (w - pw) / 2, y + (h - ph) / 2, pw, ph, pixels)


def paginate(blocks: Sequence[Block], first: float, later: float) -> list[list[Block]]:
    """Blocks on pages of the heights `first` and then `later` mm; held blocks stay with the next."""
    pages: list[list[Block]] = [[]]
    used, room, at = 0.0, first, 0
    while at < len(blocks):
        end = at
        while blocks[end].hold and end + 1 < len(blocks):
            end += 1
        group = blocks[at : end + 1]
        need = sum(block.height for block in group)
        if pages[-1] and used + need > room + 1e-6:
            pages.append([])
            used, room = 0.0, later
        pages[-1] += group
        used += need
        at = end + 1
    return pages


def stacked(blocks: Iterable[Block], x: float, y: float) -> tuple[Mark, ...]:
    """The marks of blocks one below the other."""
    marks: list[Mark] = []
    for block in blocks:
        marks += moved(block.marks, x, y)
        y += block.height
    return tuple(marks)


def to_pdf(pages: Iterable[Page], title: str) -> bytes:
    """Pages as a PDF: selectable text, vector boxes, lossless pictures, fonts embedded."""
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=True, pageCompression=1)
    canvas.setTitle(title)
    canvas.setCreator("blendlab")
    for bold in (False, True):
        fonts.face(bold)
    for page in pages:
        canvas.setPageSize((page.w / PT, page.h / PT))
        for mark in page.marks:
            _draw_pdf(canvas, mark, page.h)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _draw_pdf(canvas: Canvas, mark: Mark, page_h: float) -> None:
    x, y = mark.x / PT, (page_h - mark.y) / PT
    if isinstance(mark, Picture):
        image = ImageReader(Image.fromarray(mark.pixels))
        canvas.drawImage(image, x, y - mark.h / PT, mark.w / PT, mark.h / PT)
        return
    canvas.setFillColor(HexColor(mark.colour))
    if isinstance(mark, Text):
        canvas.setFont(fonts.name(mark.bold), mark.size)
        canvas.drawString(x, y, mark.text)
    elif isinstance(mark, Box):
        canvas.rect(x, y - mark.h / PT, mark.w / PT, mark.h / PT, stroke=0, fill=1)
    else:
        path = canvas.beginPath()
        path.moveTo(x, y)
        path.lineTo(x - mark.leg / PT, y)
        path.lineTo(x, y - mark.leg / PT)
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)


def to_png(page: Page, scale: float) -> bytes:
    """A page as PNG, 5 pixels a mm at scale 1."""
    per_mm = PX_PER_MM * scale
    image = Image.new("RGB", (round(page.w * per_mm), round(page.h * per_mm)), WHITE)
    draw = ImageDraw.Draw(image)
    for mark in page.marks:
        _draw_png(image, draw, mark, per_mm)
    buffer = BytesIO()
    dpi = per_mm * TO_MM["in"]
    image.save(buffer, "PNG", dpi=(dpi, dpi))
    return buffer.getvalue()


def _draw_png(image: Image.Image, draw: ImageDraw.ImageDraw, mark: Mark, per_mm: float) -> None:
    x, y = round(mark.x * per_mm), round(mark.y * per_mm)
    if isinstance(mark, Text):
        font = _font(mark.size * PT * per_mm, mark.bold)
        draw.text((mark.x * per_mm, mark.y * per_mm), mark.text, mark.colour, font, anchor="ls")
    elif isinstance(mark, Corner):
        leg = round(mark.leg * per_mm)
        draw.polygon([(x - 1, y), (x - leg, y), (x - 1, y + leg)], fill=mark.colour)
    else:
        x1, y1 = round((mark.x + mark.w) * per_mm), round((mark.y + mark.h) * per_mm)
        if isinstance(mark, Picture):
            picture = Image.fromarray(mark.pixels)
            image.paste(picture.resize((x1 - x, y1 - y), Image.Resampling.LANCZOS), (x, y))
        else:
            draw.rectangle((x, y, max(x, x1 - 1), max(y, y1 - 1)), fill=mark.colour)


@cache
def _font(size_px: float, bold: bool) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(BytesIO(fonts.data(bold)), size_px, layout_engine=ImageFont.Layout.BASIC)

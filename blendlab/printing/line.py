"""A line on one sheet of A4: six cards a page, to pin on the wall or hand over a counter."""

from __future__ import annotations

from collections.abc import Sequence

from blendlab.printing import card, fonts, paper, parts
from blendlab.printing.card import CardSheet, ToneLine
from blendlab.printing.paper import GREY, HAIR, INK, Box, Mark, Page, Text, line_mm

COLUMNS, ROWS = 2, 3
MARGIN, GUTTER = 12.0, 6.0
NAME, TEXT, SMALL = 12.0, 7.5, 6.5


def line_pdf(sheets: Sequence[CardSheet], name: str) -> bytes:
    """Cards of a line in their order, two beside each other, on as many A4 pages as they need.

    sheets  one card each, in selling order
    name    name of the line
    """
    a_page = COLUMNS * ROWS
    parts = [sheets[start : start + a_page] for start in range(0, len(sheets), a_page)] or [sheets]
    pages = [
        _page(part, name, f"{number} of {len(parts)}", bool(card.missing_letters(sheets)))
        for number, part in enumerate(parts, start=1)
    ]
    return paper.to_pdf(pages, fonts.printable(name))


def _page(sheets: Sequence[CardSheet], name: str, number: str, lacking: bool) -> Page:
    w, h, *_ = card.PAPERS["A4"]
    inner = w - 2 * MARGIN
    title = paper.wrap(name, inner, 17, True, most=1)[0]
    marks: list[Mark] = [
        Text(MARGIN, MARGIN + 6, title, 17, True),
        Box(MARGIN, MARGIN + 9, inner, 0.15, HAIR),
    ]
    top, foot = MARGIN + 13, 9.0
    cell_w = (inner - GUTTER * (COLUMNS - 1)) / COLUMNS
    cell_h = (h - top - MARGIN - foot) / ROWS
    for at, sheet in enumerate(sheets):
        row, column = divmod(at, COLUMNS)
        x, y = MARGIN + column * (cell_w + GUTTER), top + row * cell_h
        marks += paper.moved(_cell(sheet, cell_w, cell_h - 4), x, y)
    said = [*card.STANDING, card.LACKING] if lacking else card.STANDING
    line = paper.ellipsis(" ".join(said), inner - 14, SMALL)
    marks.append(Text(MARGIN, h - MARGIN, line, SMALL, colour=GREY))
    marks.append(paper.right(w - MARGIN, h - MARGIN, number, SMALL, colour=GREY))
    return Page(w, h, tuple(marks))


def _cell(sheet: CardSheet, w: float, h: float) -> tuple[Mark, ...]:
    lines = _lines(sheet, w)
    words = sum(line_mm(size) for _, size, _, _ in lines)
    tall = h - words - 8.4
    marks = [*paper.fitted(0, 0, w, tall, sheet.picture)]
    marks += paper.moved(parts.strip(sheet.tones, w, 5.4), 0, tall + 1.4)
    y = tall + 7.8
    for text, size, bold, colour in lines:
        marks.append(Text(0, y + 0.76 * line_mm(size), text, size, bold, colour))
        y += line_mm(size)
    return tuple(marks)


def _lines(sheet: CardSheet, w: float) -> list[tuple[str, float, bool, str]]:
    about = parts.joined(sheet.product, sheet.jar, sheet.load)
    lines = [(line, NAME, True, INK) for line in paper.wrap(sheet.name, w, NAME, True, most=2)]
    lines += [(line, TEXT, False, GREY) for line in paper.wrap(about, w, TEXT, most=2)]
    lines += [(_tone(tone, w), SMALL, False, INK) for tone in sheet.tones]
    for mark, text in sheet.findings[:1]:
        lines += [(line, SMALL, False, INK) for line in paper.wrap(f"{mark} {text}", w, SMALL, most=3)]
    more = len(sheet.findings) - 1
    counts = f"{more} more {'finding' if more == 1 else 'findings'} on its card. " if more > 0 else ""
    return lines + [
        (line, SMALL, False, GREY) for line in paper.wrap(counts + sheet.counts, w, SMALL, most=2)
    ]


def _tone(tone: ToneLine, w: float) -> str:
    figures = f" {tone.share_pct:.4g} % {tone.likely}"
    return paper.ellipsis(fonts.printable(tone.name), w - fonts.width_mm(figures, SMALL), SMALL) + figures

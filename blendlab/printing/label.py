"""Jar labels at true size on A4, with a ruler that shows whether the printer kept the size."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from blendlab.batch import Label
from blendlab.errors import PLANNING, BlendlabError
from blendlab.printing import fonts, paper
from blendlab.printing.fonts import PT
from blendlab.printing.paper import GREY, INK, Box, Mark, Page, Text, line_mm
from blendlab.printing.sheet import frame

PAGE_W, PAGE_H, MARGIN = 210.0, 297.0, 12.0
WIDEST, ROUND, PAD, GAP = 184.0, 0.94, 2.5, 4.0
RULER = 50.0
JAR_W, JAR_H = 8.0, 8.0
"""Size of the open jar [mm]."""
CAP, X_HEIGHT = 0.729, 0.547
"""Height of a figure and of a small letter of the typeface, in sizes of the type."""
LARGEST, SMALLEST, STEP = 8.0, 4.4, 0.2
MODULE, QUIET = 0.36, 4
"""Side of one module of the QR code in mm, and its free edge in modules."""


class HeldBack(BlendlabError, ValueError):
    """A label that may not leave the house yet."""

    def __init__(self, market: str, reasons: tuple[str, ...]) -> None:
        self.market, self.reasons = market, reasons
        super().__init__(f"The label for {market} is held back: {' '.join(reasons)}")


class TooMuch(BlendlabError, ValueError):
    """More words than the label has room for in type that can be read."""

    def __init__(self, w: float, h: float) -> None:
        self.w, self.h = w, h
        super().__init__(
            f"The words of the label do not fit {w:.0f} x {h:.0f} mm in type of {SMALLEST:g} points. "
            "Use a leaflet or a larger jar."
        )


def size(outer_mm: float, height_mm: float) -> tuple[float, float]:
    """Width and height of the label that goes round a jar [mm].

    >>> size(70.0, 50.0)
    (184.0, 40.0)
    """
    return min(WIDEST, round(pi * outer_mm * ROUND, 1)), max(18.0, height_mm - 10)


def label_pdf(label: Label, name: str, outer_mm: float, height_mm: float) -> bytes:
    """A page of A4 full of one jar label at true size, with a ruler of 50 mm.

    name               of the product; outer_mm, height_mm  of the jar

    Raises HeldBack while something holds the label back, TooMuch when its words do not fit.
    """
    if not label.export:
        stops = tuple(finding.text for finding in label.findings if finding.level == "stop")
        raise HeldBack(label.market, stops)
    w, h = size(outer_mm, height_mm)
    marks, points = _drawn(label, name, w, h)
    code = _qr(label.ingredients.text)
    side = len(code) * MODULE
    stickers = 0.0 if _inside(side, h) else side + 2 * GAP
    page: list[Mark] = []
    y = MARGIN + 14
    while y + h <= PAGE_H - MARGIN - 8 - stickers:
        page += [*paper.moved(marks, MARGIN, y), *frame(MARGIN, y, w, h, 0.1)]
        y += h + GAP
    if stickers:
        page += _stickers(code, side, y)
    page += _ruler(points)
    return paper.to_pdf([Page(PAGE_W, PAGE_H, tuple(page))], fonts.printable(f"{name} {label.code}"))


def _inside(side: float, h: float) -> bool:
    """Whether a code of some side has room on a label of some height."""
    return side <= h - 2 * PAD


def _stickers(code: list[str], side: float, y: float) -> Iterator[Mark]:
    """The code as squares of its own, for the lid or the bottom, when the label has no room for it."""
    said = "QR with the ingredient list, for lid or bottom: the label has no room for it."
    yield Text(MARGIN, y + 3, said, 6.5, colour=GREY)
    for at in range(int((PAGE_W - 2 * MARGIN + GAP) // (side + GAP))):
        x = MARGIN + at * (side + GAP)
        yield from paper.moved(_squares(code), x, y + 5)
        yield from frame(x, y + 5, side, side, 0.1)


def _ruler(points: float) -> Iterator[Mark]:
    y = MARGIN + 6
    yield Box(MARGIN, y, RULER, 0.3, INK)
    for at in range(6):
        yield Box(MARGIN + at * RULER / 5 - (0.3 if at == 5 else 0), y - 3, 0.3, 3, INK)
    said = f"50 mm: measure it; print at 100 %. Small letters {points * PT * X_HEIGHT:.1f} mm high."
    yield Text(MARGIN + RULER + 4, y, said, 8)
    yield Text(MARGIN, PAGE_H - MARGIN, PLANNING, 6.5, colour=GREY)


def _drawn(label: Label, name: str, w: float, h: float) -> tuple[tuple[Mark, ...], float]:
    """The label in the largest type that fits, and that type in points."""
    code = _qr(label.ingredients.text)
    side = len(code) * MODULE
    beside = side + GAP if code and _inside(side, h) else 0.0
    front = 0.27 * w
    middle = (w - 2 * PAD - front - beside - 2 * GAP) / 2
    points = LARGEST
    while points >= SMALLEST:
        left, right = _words(label, middle, points)
        if max(len(left), len(right)) * line_mm(points) <= h - 2 * PAD:
            marks = [*_front(label, name, front, h), *_column(left, PAD + front + GAP, points)]
            marks += _column(right, PAD + front + middle + 2 * GAP, points)
            if beside:
                marks += paper.moved(_squares(code), w - PAD - side, (h - side) / 2)
            return tuple(marks), points
        points = round(points - STEP, 2)
    raise TooMuch(w, h)


def _words(label: Label, w: float, points: float) -> tuple[list[str], list[str]]:
    """Ingredients left, the rest right."""
    left = paper.wrap(f"Ingredients: {label.ingredients.text}", w, points)
    who = label.maker
    origin = f"Made in {who.country}" if who.country else ""
    said = [" ".join(label.warnings), label.lasts.text if label.lasts else "", f"Batch {label.code}"]
    said += [", ".join(part for part in (who.name, who.address, who.contact) if part), origin]
    return left, [line for text in said if text for line in paper.wrap(text, w, points)]


def _column(lines: list[str], x: float, points: float) -> list[Mark]:
    return [Text(x, PAD + line_mm(points) * (at + 0.76), line, points) for at, line in enumerate(lines)]


def _front(label: Label, name: str, w: float, h: float) -> Iterator[Mark]:
    sizes = (16.0, 13.0, 11.0, 9.0)
    fits = (size for size in sizes if len(paper.wrap(name, w, size, True)) <= 2)
    points = next(fits, sizes[-1])
    y = PAD
    for line in paper.wrap(name, w, points, True, most=2):
        yield Text(PAD, y + 0.76 * line_mm(points), line, points, True)
        y += line_mm(points)
    yield Text(PAD, y + 0.9 * line_mm(8), fonts.printable(label.product), 8)
    figure = (label.net.figure_mm or 3.2) / (CAP * PT)
    while fonts.width_mm(label.net.text, figure, True) > w and label.net.figure_mm is None:
        figure -= STEP
    yield Text(PAD, h - PAD, label.net.text, figure, True)
    if label.lasts is not None and label.lasts.symbol:
        yield from paper.moved(_open_jar(label.lasts.symbol), w - JAR_W, h - PAD - JAR_H)


def _open_jar(months: int) -> tuple[Mark, ...]:
    """The open jar with the months after opening in it, from its upper left corner."""
    lid, top, line = 1.4, 2.6, 0.3
    body = JAR_H - top
    said = f"{months}M"
    points = 7.0
    return (
        Box(1.2, 0, JAR_W - 1.2, lid, INK),
        Box(0, top, line, body, INK),
        Box(JAR_W - line, top, line, body, INK),
        Box(0, JAR_H - line, JAR_W, line, INK),
        Box(0, top, JAR_W, line, INK),
        Text((JAR_W - fonts.width_mm(said, points)) / 2, JAR_H - body / 2 + 0.9, said, points),
    )


def _qr(text: str) -> list[str]:
    """Rows of the QR code with its free edge, "1" for dark; none for more text than a code can hold."""
    import segno

    try:
        made = segno.make(text, error="l", micro=False, boost_error=False)
    except segno.DataOverflowError:
        return []
    return ["".join("1" if module else "0" for module in row) for row in made.matrix_iter(border=QUIET)]


def _squares(rows: list[str]) -> tuple[Mark, ...]:
    """Dark modules, neighbours in a row joined."""
    marks: list[Mark] = []
    for y, row in enumerate(rows):
        start = row.find("1")
        while start >= 0:
            end = row.find("0", start)
            end = len(row) if end < 0 else end
            marks.append(Box(start * MODULE, y * MODULE, (end - start) * MODULE, MODULE, INK))
            start = row.find("1", end)
    return tuple(marks)

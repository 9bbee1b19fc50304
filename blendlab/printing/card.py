"""A swatch card on paper or as a picture: nouns in, bytes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from blendlab.errors import UnknownName
from blendlab.printing import fonts, paper, parts
from blendlab.printing.nouns import (
    LACKING,
    STANDING,
    CardSheet,
    ToneLine,
    missing_letters,
    texts,
)
from blendlab.printing.paper import Block, Page
from blendlab.printing.parts import SMALL, Type

__all__ = [
    "LACKING",
    "PAPERS",
    "STANDING",
    "CardSheet",
    "ToneLine",
    "card_pdf",
    "card_png",
    "missing_letters",
    "texts",
]

PAPERS = {"A6": (105.0, 148.0, 6.0, 1.0), "A5": (148.0, 210.0, 12.0, 1.3), "A4": (210.0, 297.0, 12.0, 1.7)}
"""Name -> width, height, margin in mm, factor of the type (ISO 216 sizes)."""

GUTTER, STRIP, STRIP_GAP = 4.0, 5.4, 1.2
SHARES = (0.58, 0.54, 0.5, 0.46)
"""Widths of the picture as shares of the card; the largest that leaves one page is taken."""


def card_pdf(sheet: CardSheet, paper: str = "A6", with_percents: bool = True) -> bytes:
    """A card as PDF: selectable text, vector swatches, lossless picture.

    paper          "A6", "A5" or "A4", upright
    with_percents  False leaves the percents of pigments and oils out

    A card that is too full for one page takes smaller type, then further pages.
    Raises UnknownName for another paper.
    """
    if paper not in PAPERS:
        raise UnknownName("paper", paper, PAPERS)
    return _pdf(sheet, paper, with_percents)


def _pdf(sheet: CardSheet, name: str, percents: bool) -> bytes:
    w, h, margin, factor = PAPERS[name]
    type_, blocks = _fitting(sheet, w - 2 * margin, h - 2 * margin, factor, percents)
    room = h - 2 * margin - _foot_room(sheet, type_)
    laid = paper.paginate(blocks, room, room)
    pages = []
    for number, part in enumerate(laid, start=1):
        foot = parts.foot(sheet, type_, f"{number} of {len(laid)}" if len(laid) > 1 else "")
        marks = paper.stacked(part, margin, margin)
        marks += paper.moved(foot.marks, margin, h - margin - foot.height)
        pages.append(Page(w, h, marks))
    return paper.to_pdf(pages, fonts.printable(sheet.name))


def _fitting(
    sheet: CardSheet, w: float, h: float, factor: float, percents: bool
) -> tuple[Type, Sequence[Block]]:
    """The largest picture and type that leave one page; the smallest of both when none does."""
    for type_ in (_type(w, factor), _tight(w, factor)):
        room = h - _foot_room(sheet, type_)
        for share in SHARES:
            blocks = _blocks(sheet, type_, share, percents)
            if _height(blocks) <= room:
                return type_, blocks
    return type_, blocks


def _foot_room(sheet: CardSheet, type_: Type) -> float:
    return parts.foot(sheet, type_, "9 of 9").height + type_.gap


def card_png(sheet: CardSheet, scale: float = 2) -> bytes:
    """A card as PNG, 525 pixels wide at scale 1, as long as it needs to be and at least A6."""
    w, h, margin, factor = PAPERS["A6"]
    type_ = _type(w - 2 * margin, factor)
    blocks = _blocks(sheet, type_, SHARES[-2], True)
    foot = parts.foot(sheet, type_, "")
    long = max(h, 2 * margin + _height(blocks) + type_.gap + foot.height)
    marks = paper.stacked(blocks, margin, margin)
    marks += paper.moved(foot.marks, margin, long - margin - foot.height)
    return paper.to_png(Page(w, long, marks), scale)


def _type(w: float, factor: float) -> Type:
    return Type(w, 15 * factor, 7.4 * factor, max(SMALL, 6.6 * factor))


def _tight(w: float, factor: float) -> Type:
    return Type(w, 12 * factor, max(SMALL, 5.6 * factor), max(SMALL, 5 * factor))


def _blocks(sheet: CardSheet, type_: Type, share: float, percents: bool) -> list[Block]:
    """Picture beside title and scent, as far as there is room there; the rest below."""
    wide = share * type_.w
    tall_px, wide_px = sheet.picture.shape[:2]
    tall = wide * min(max(tall_px / wide_px, 0.85), 1.25)
    beside, below = _beside(sheet, type_, type_.w - wide - GUTTER, tall + STRIP_GAP + STRIP, percents)
    marks = paper.fitted(0, 0, wide, tall, sheet.picture)
    marks += paper.moved(parts.strip(sheet.tones, wide, STRIP), 0, tall + STRIP_GAP)
    marks += paper.stacked(beside, wide + GUTTER, 0)
    head = Block(max(tall + STRIP_GAP + STRIP, _height(beside)), marks)
    return [head, *below, *parts.tones(sheet, type_, percents), *parts.findings(sheet, type_)]


def _beside(
    sheet: CardSheet, type_: Type, w: float, room: float, percents: bool
) -> tuple[list[Block], list[Block]]:
    """What stands beside the picture, and what of title, scent and names has to go below it."""
    narrow = replace(type_, w=w)
    title = list(parts.title(sheet, narrow))
    scent = list(parts.scent(sheet, narrow, percents))
    names = list(parts.names(sheet, narrow))
    names_below = list(parts.names(sheet, type_))
    for foot, below in ((scent + names, []), (scent, names_below)):
        spare = room - _height(title) - _height(foot)
        if spare >= 0:
            return [*title, Block(spare, ()), *foot], below
    return title, [*parts.scent(sheet, type_, percents), *names_below]


def _height(blocks: Sequence[Block]) -> float:
    return sum(block.height for block in blocks)

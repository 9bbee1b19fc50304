"""The one typeface of everything printed: widths, and which letters it has."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import cache
from importlib.resources import as_file, files
from io import BytesIO
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from blendlab.units import TO_MM

REGULAR, BOLD = "DejaVuSans", "DejaVuSans-Bold"
MISSING = "\ufffd"
"""Stands where a letter is missing; always told beside it, never a silent box."""

PT = TO_MM["in"] / 72
"""Millimetres in one point."""


@cache
def data(bold: bool) -> bytes:
    """Bytes of the font file."""
    with as_file(files("blendlab.printing") / "fonts" / f"{name(bold)}.ttf") as path:
        return path.read_bytes()


def name(bold: bool) -> str:
    """Name under which the font stands in a PDF."""
    return BOLD if bold else REGULAR


@cache
def face(bold: bool) -> Any:
    """The font as reportlab holds it, registered once."""
    font = TTFont(name(bold), BytesIO(data(bold)))
    pdfmetrics.registerFont(font)
    return font


def width_mm(text: str, size_pt: float, bold: bool = False) -> float:
    """Width of one line of text in mm.

    >>> 6 < width_mm("Lagoon", 7.0) < 12
    True
    """
    return float(face(bold).stringWidth(text, size_pt)) * PT


def printable(text: str) -> str:
    """The text with letters joined from their parts, and a mark for each letter the font lacks.

    >>> printable("Küste λ Лагуна"), printable("海")
    ('Küste λ Лагуна', '�')
    """
    glyphs = face(False).face.charToGlyph
    return "".join(letter if ord(letter) in glyphs else MISSING for letter in _joined(text))


def _joined(text: str) -> str:
    """Letters composed, white space (but for the no-break space) as single spaces."""
    return re.sub(r"[^\S\u00a0]+", " ", unicodedata.normalize("NFC", text)).strip()


def missing(texts: Iterable[str]) -> tuple[str, ...]:
    """A sentence for each text that holds letters the font lacks.

    >>> missing(["Lagoon", "Lagoon 海"])
    ('"Lagoon 海" holds letters this print does not have: 海. They are printed as �.',)
    """
    glyphs = face(False).face.charToGlyph
    told = []
    for text in texts:
        gone = dict.fromkeys(letter for letter in _joined(text) if ord(letter) not in glyphs)
        if gone:
            told.append(
                f'"{text}" holds letters this print does not have: {" ".join(gone)}. '
                f"They are printed as {MISSING}."
            )
    return tuple(told)

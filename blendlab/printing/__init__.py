"""mm and ink: nouns in, bytes out."""

from blendlab.printing.card import (
    STANDING,
    CardSheet,
    ToneLine,
    card_pdf,
    card_png,
    missing_letters,
)
from blendlab.printing.cup import cups_pdf
from blendlab.printing.label import HeldBack, label_pdf
from blendlab.printing.line import line_pdf
from blendlab.printing.sheet import list_pdf, sheet_pdf

__all__ = [
    "STANDING",
    "CardSheet",
    "HeldBack",
    "ToneLine",
    "card_pdf",
    "card_png",
    "cups_pdf",
    "label_pdf",
    "line_pdf",
    "list_pdf",
    "missing_letters",
    "sheet_pdf",
]

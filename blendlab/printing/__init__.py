"""mm and ink: nouns in, bytes out."""

from blendlab.printing.card import (
    STANDING,
    CardSheet,
    ToneLine,
    card_pdf,
    card_png,
    missing_letters,
)
from blendlab.printing.line import line_pdf

__all__ = [
    "STANDING",
    "CardSheet",
    "ToneLine",
    "card_pdf",
    "card_png",
    "line_pdf",
    "missing_letters",
]

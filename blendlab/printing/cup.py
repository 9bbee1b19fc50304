"""Labels of 50 x 25 mm for the cups of a batch, one a page."""

from __future__ import annotations

from collections.abc import Sequence

from blendlab.printing import fonts, paper
from blendlab.printing.nouns import DRAFT
from blendlab.printing.paper import GREY, Page, Text

W, H, EDGE = 50.0, 25.0, 2.5


def cups_pdf(cups: Sequence[tuple[str, str]], code: str, title: str) -> bytes:
    """Cup labels as PDF, each on a page of 50 x 25 mm.

    cups  name of the cup and its grams in words; code  of the batch, or "" before it was started
    """
    return paper.to_pdf([_label(cup, grams, code, title) for cup, grams in cups], fonts.printable(title))


def _label(cup: str, grams: str, code: str, title: str) -> Page:
    inner = W - 2 * EDGE
    lines = paper.wrap(cup, inner, 11, True, most=2)
    marks = [Text(EDGE, EDGE + 3.6 + 4.6 * at, line, 11, True) for at, line in enumerate(lines)]
    below = paper.ellipsis(fonts.printable(" · ".join((title, code or DRAFT))), inner, 6.5)
    marks.append(Text(EDGE, H - EDGE - 4.2, fonts.printable(grams), 12, True))
    marks.append(Text(EDGE, H - EDGE, below, 6.5, colour=GREY))
    return Page(W, H, tuple(marks))

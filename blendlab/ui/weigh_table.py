"""Lines to weigh as a table, a block for each cup: on the Batch page and for a base to cook."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from blendlab import units
from blendlab.batch import Line
from blendlab.batch.cooking import BASE
from blendlab.production import line_words
from blendlab.ui import parts
from blendlab.ui.words import batch as say

Cup = tuple[str, tuple[Line, ...]]

TWO_COLUMNS = 18
"""Lines from which the cups stand in two columns."""


def tables(cups: Sequence[Cup], unit: str) -> str:
    """Every cup of a sheet, in two columns when there are many lines; `unit` "g" or "oz"."""
    count = sum(len(lines) for _, lines in cups)
    half = _half(cups) if count > TWO_COLUMNS else len(cups)
    shown = "".join(_table(column, unit) for column in (cups[:half], cups[half:]) if column)
    return f'<div class="bl-cups">{shown}</div>'


def _half(cups: Sequence[Cup]) -> int:
    total, seen = sum(len(lines) + 1 for _, lines in cups), 0
    for at, (_, lines) in enumerate(cups, start=1):
        seen += len(lines) + 1
        if 2 * seen >= total:
            return at
    return len(cups)


def _table(cups: Sequence[Cup], unit: str) -> str:
    bodies = "".join(_cup(cup, lines, unit) for cup, lines in cups)
    head = f"<thead><tr><th>{say.COLUMN_NAME}</th><th>{say.COLUMN_LOT}</th><th>{unit}</th></tr></thead>"
    caption = f'<caption class="bl-hidden">{say.CAPTION}</caption>'
    return f'<table class="bl-weigh">{caption}{head}{bodies}</table>'


def _cup(cup: str, lines: tuple[Line, ...], unit: str) -> str:
    total, step = sum(line.grams for line in lines), min(line.step_g for line in lines)
    shown = line_words.ounces(total, step) if unit == "oz" else line_words.grams(total, step)
    whole = shown if len(lines) > 1 else ""
    head = f'<th scope="rowgroup" colspan="2">{escape(cup)}</th><td>{whole}</td>'
    body = "".join(_line(line, unit) for line in lines)
    return f'<tbody><tr class="bl-cup">{head}</tr>{body}</tbody>'


def _line(line: Line, unit: str) -> str:
    big, small = line_words.line_grams(line, unit)
    behind = f"<small>{small}</small>" if small else ""
    return (
        f'<tr><th scope="row">{escape(parts.capital(line.name))}<small>{escape(_about(line))}</small></th>'
        f"<td>{escape(line.lot or say.NO_LOT)}</td><td><b>{big}</b>{behind}</td></tr>"
    )


def _about(line: Line) -> str:
    about = [say.STOCK.format(pct=line.stock_pct) if line.stock_pct < 100 else ""]
    if line.what == "preservative" and line.of != BASE:
        about.append(say.TOP_UP)
    elif line.beside:
        about.append(line.note)
    else:
        about.append(say.SHARE.format(pct=units.digits(line.pct), whole=line.of.removeprefix("the ")))
    about.append(say.PROTECTED if line.what == "preservative" else "")
    return " · ".join(part for part in about if part)

"""A design -> its swatch card on paper."""

from __future__ import annotations

from datetime import date
from typing import Any

from blendlab import printing, store
from blendlab.assess import Assessment, ToneJudged, assess
from blendlab.errors import LEVELS, MARKS
from blendlab.recipe import Design
from blendlab.shelf import Shelf
from blendlab.show.cards import card_picture
from blendlab.show.pictures import hexes


def sheet(assessed: Assessment, shelf: Shelf) -> printing.CardSheet:
    """What is printed of a design."""
    design = assessed.design
    market, check = next(iter(assessed.scents.items()), ("", None))
    labels = assessed.labels.get(market)
    glass = shelf.find(design.jar) if shelf.has(design.jar) else None
    return printing.CardSheet(
        name=design.name,
        product=design.product.replace("_", " "),
        jar=glass.name if glass else "no jar",
        load=f"{design.scent.load_pct:.2f} % of the finished product",
        date=assessed.on.isoformat(),
        picture=card_picture(assessed, shelf),
        tones=tuple(_tone_line(each, shelf) for each in assessed.tones),
        scent=tuple(
            (shelf.find(one.oil).name, one.share_pct) for one in design.scent.oils if shelf.has(one.oil)
        ),
        ceiling=check.highest if check else "not checked: the shares do not make 100 %",
        label_names=tuple(one.name for one in labels.names) if labels else (),
        findings=tuple((MARKS[one.level], one.text) for one in assessed.findings),
        counts=_counts(assessed, check),
    )


def _tone_line(each: ToneJudged, shelf: Shelf) -> printing.ToneLine:
    weak, likely, strong = hexes(each)
    L, a, b = each.seen.lab
    return printing.ToneLine(
        name=each.tone.name,
        share_pct=each.tone.share_pct,
        weak=weak,
        likely=likely,
        strong=strong,
        lab=(float(L), float(a), float(b)),
        known=each.tint.known,
        delta_e=each.spread.delta_e00,
        doses=tuple(
            (shelf.find(one.pigment).name, one.pct) for one in each.tone.doses if shelf.has(one.pigment)
        ),
        in_gamut=bool(each.seen.in_gamut),
    )


def _counts(assessed: Assessment, check: Any) -> str:
    said = [f"{assessed.count(level)} {level}" for level in LEVELS]
    if check is not None:
        counts = check.counts
        said.append(
            f"checked {counts.checked} of {counts.restricted_total} restricted materials, "
            f"{counts.unverified} on figures from memory, {counts.unknown} unknown"
        )
    return ", ".join(said) + f"; {assessed.on.isoformat()}"


def print_design(design: Design, shelf: Shelf, suffix: str, on: date | None = None) -> bytes:
    """The swatch card of a design as bytes; `suffix` "pdf" or "png"."""
    made = sheet(assess(design, shelf, on), shelf)
    return printing.card_pdf(made) if suffix == "pdf" else printing.card_png(made)


def printed(folder: store.Folder, card_id: str, suffix: str) -> bytes:
    """The swatch card of a saved card as bytes."""
    opened = store.open_card(folder, card_id).card
    shelf = store.read_shelf(folder).carrying(opened.embedded)
    return print_design(opened.design, shelf, suffix)


def line_pdf(folder: store.Folder, name: str, card_ids: list[str]) -> bytes:
    """The cards of a line on sheets of A4."""
    sheets = []
    for card_id in card_ids:
        opened = store.open_card(folder, card_id).card
        shelf = store.read_shelf(folder).carrying(opened.embedded)
        sheets.append(sheet(assess(opened.design, shelf), shelf))
    return printing.line_pdf(sheets, name)

"""A design -> its swatch card on paper."""

from __future__ import annotations

from datetime import date
from typing import Any

from blendlab import printing, store
from blendlab.assess import Assessment, ToneJudged, assess
from blendlab.errors import LEVELS, MARKS
from blendlab.recipe import Design
from blendlab.shelf import DosedTone, Resolved, Shelf
from blendlab.show.cards import card_picture
from blendlab.show.pictures import hexes


def sheet(assessed: Assessment) -> printing.CardSheet:
    """What is printed of a design; what nobody has is left out, jar and base by saying so."""
    design, resolved = assessed.design, assessed.resolved
    market, check = next(iter(assessed.scents.items()), ("", None))
    labels = assessed.labels.get(market)
    return printing.CardSheet(
        name=design.name,
        product=design.product.replace("_", " "),
        jar=resolved.jar.name if resolved else "no jar, or no base to fill it with",
        load=f"{design.scent.load_pct:.2f} % of the finished product",
        date=assessed.on.isoformat(),
        picture=card_picture(assessed),
        tones=_tone_lines(assessed, resolved) if resolved else (),
        scent=tuple((share.oil.name, share.share_pct) for share in resolved.oils) if resolved else (),
        ceiling=check.highest if check else "not checked: the shares do not make 100 %",
        label_names=tuple(name.name for name in labels.names) if labels else (),
        findings=tuple((MARKS[finding.level], finding.text) for finding in assessed.findings),
        counts=_counts(assessed, check),
    )


def _tone_lines(assessed: Assessment, resolved: Resolved) -> tuple[printing.ToneLine, ...]:
    pairs = zip(assessed.tones, resolved.tones, strict=True)
    return tuple(_tone_line(judged, dosed) for judged, dosed in pairs)


def _tone_line(judged: ToneJudged, dosed: DosedTone) -> printing.ToneLine:
    weak, likely, strong = hexes(judged)
    L, a, b = judged.seen.lab
    return printing.ToneLine(
        name=judged.tone.name,
        share_pct=judged.tone.share_pct,
        weak=weak,
        likely=likely,
        strong=strong,
        lab=(float(L), float(a), float(b)),
        known=judged.tint.known,
        delta_e=judged.spread.delta_e00,
        doses=tuple((dose.pigment.name, dose.pct) for dose in dosed.doses),
        in_gamut=bool(judged.seen.in_gamut),
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
    made = sheet(assess(design, shelf, on))
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
        sheets.append(sheet(assess(opened.design, shelf)))
    return printing.line_pdf(sheets, name)

"""A design -> its swatch card on paper."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from blendlab import printing
from blendlab.assess import Assessment, ToneJudged
from blendlab.errors import LEVELS, MARKS, counted
from blendlab.shelf import DosedTone, Resolved
from blendlab.show.cards import card_picture
from blendlab.show.pictures import hexes

WITH_LOTS, WITHOUT_LOTS = "with the lots of the book", "without the lots of a book"


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
    said = [counted(assessed.count(level), level) for level in LEVELS]
    if check is not None:
        counts = check.counts
        said.append(
            f"checked {counts.checked} of {counts.restricted_total} restricted materials, "
            f"{counts.unverified} on figures from memory, {counts.unknown} unknown"
        )
    lots = WITH_LOTS if assessed.stock else WITHOUT_LOTS
    return ", ".join(said) + f"; {assessed.on.isoformat()}, {lots}"


def printed(assessed: Assessment, suffix: str) -> bytes:
    """The swatch card of a judged design as bytes; `suffix` "pdf" or "png"."""
    made = sheet(assessed)
    return printing.card_pdf(made) if suffix == "pdf" else printing.card_png(made)


def line_pdf(name: str, judged: Iterable[Assessment]) -> bytes:
    """The cards of a line on sheets of A4."""
    return printing.line_pdf([sheet(assessed) for assessed in judged], name)

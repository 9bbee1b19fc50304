"""The label of a design as it was made or is planned, and what holds it back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from blendlab import batch
from blendlab.assess import Assessment
from blendlab.batch import Label, Plan
from blendlab.errors import BlendlabError, Finding, worst_first
from blendlab.production import durability, lot_formula, release
from blendlab.production.assessments import assessed_by, families
from blendlab.production.judgement import stops
from blendlab.production.settings import Settings
from blendlab.store import BatchPage, Book, LotLine
from blendlab.store.book_entries import FOAM


def label(
    book: Book,
    assessed: Assessment,
    market: str,
    kept: Settings,
    page: BatchPage | None = None,
    base_lots: Sequence[LotLine] = (),
) -> Label:
    """The label of one market; what stops its batch, or its design, from sale holds it back too.

    assessed   as it was made where there is a batch (`judgement.as_made`), else as it is planned
    page       the batch in the book that the label is for; None = none was started
    base_lots  lots of the base that are to be taken; those of a batch are looked up

    Raises BlendlabError for a design whose base or jar nobody has.
    """
    resolved, made = assessed.resolved, assessed.plan
    if resolved is None or made is None:
        raise BlendlabError("Choose a jar and a base that are on the shelf.")
    names = assessed.labels.get(market)
    order, lasts = lot_formula.in_order(base_lots), None
    if page is not None:
        resolved, order = lot_formula.as_taken(book, page, resolved)
        lasting = kept.lasting(resolved.design.product)
        lasts = durability.of_batch(book, page, market, lasting, assessed.on)
    told = batch.label(
        resolved,
        page.now if page and not made.lines else made,
        market,
        allergens=tuple(name.name for name in names.names) if names else (),
        weighed_g=page.filled_g if page else (),
        code=page.line.code if page else "",
        lasts=lasts,
        maker=kept.maker,
        in_order=order,
        barred=(*_stops(assessed, page), *assessed_by(assessed, families(book))),
    )
    warnings = tuple(dict.fromkeys((*told.warnings, *assessed.warnings)))
    net = replace(told.net, basis=f"{told.net.basis.rstrip('.')}. {_planned(made, page)}")
    return replace(told, net=net, warnings=warnings, findings=worst_first(told.findings))


def _planned(made: Plan, page: BatchPage | None) -> str:
    """What a jar was planned to hold, by the sheet of the batch, else of the design: no label weight."""
    sheet = page.now if page else made
    said = f"As planned a jar holds {sheet.net_g:.1f} g"
    if sheet.density is None or sheet.density.weighed or (page and page.densities(FOAM)):
        return f"{said}."
    return f"{said}, or {sheet.net_low_g:.0f} to {sheet.net_high_g:.0f} g while the foam is not weighed."


def _stops(assessed: Assessment, page: BatchPage | None) -> Iterable[Finding]:
    if page is not None:
        return (*release.called_back(page), *release.unweighed(page), *stops(page, assessed))
    return (finding for finding in assessed.findings if finding.level == "stop")


def ordered(told: Label) -> bool:
    """Whether the order of the ingredient list is known."""
    return not any(finding.id in batch.ORDER_UNKNOWN for finding in told.ingredients.findings)

"""The label of a design as it was made or is planned, and what holds it back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from blendlab import batch
from blendlab.assess import Assessment
from blendlab.batch import Label, Plan
from blendlab.batch.durability import Durability
from blendlab.errors import Finding, worst_first
from blendlab.production import durability
from blendlab.production.assessments import assessed_by, families
from blendlab.production.settings import Settings
from blendlab.shelf import Resolved
from blendlab.store import BatchPage, Book, LotLine


def label(
    assessed: Assessment,
    resolved: Resolved,
    made: Plan,
    market: str,
    kept: Settings,
    barred: Iterable[Finding] = (),
    page: BatchPage | None = None,
    base_lot: LotLine | None = None,
    lasts: Durability | None = None,
) -> Label:
    """The label of one market; what stops the design from sale holds it back too.

    page  the batch in the book that the label is for, lasts  how long it does; None = none was started
    """
    names = assessed.labels.get(market)
    ordered = base_lot.data.get("in_order") if base_lot else None
    told = batch.label(
        resolved,
        made,
        market,
        allergens=tuple(name.name for name in names.names) if names else (),
        weighed_g=page.filled_g if page else (),
        code=page.line.code if page else "",
        lasts=lasts,
        maker=kept.maker,
        in_order={name: (pair[0], pair[1]) for name, pair in ordered.items()} if ordered else None,
        barred=(*(finding for finding in assessed.findings if finding.level == "stop"), *barred),
    )
    warnings = tuple(dict.fromkeys((*told.warnings, *assessed.warnings)))
    return replace(told, warnings=warnings, findings=worst_first(told.findings))


def label_of_batch(
    book: Book,
    assessed: Assessment,
    resolved: Resolved,
    made: Plan,
    market: str,
    kept: Settings,
    page: BatchPage | None,
    base_lot: LotLine | None,
) -> Label:
    """The label of a design as it was made, or as it is planned where no batch was started.

    Held back by every stop of the batch and by what no assessment covers.
    """
    plan = page.now if page else made
    stops = [finding for finding in plan.findings if finding.level == "stop"]
    barred = (*stops, *assessed_by(assessed, families(book)))
    lasts = None
    if page is not None:
        lasting = kept.lasting(resolved.design.product)
        lasts = durability.of_batch(book, page, market, lasting, assessed.on)
    return label(assessed, resolved, plan, market, kept, barred, page, base_lot, lasts)


def ordered(told: Label) -> bool:
    """Whether the order of the ingredient list is known."""
    return not any(finding.id in ("label-unknown", "label-order") for finding in told.ingredients.findings)

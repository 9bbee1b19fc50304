"""How long the jars of a batch last: by her rule, by the age of the base, by the first lot to end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from blendlab import store
from blendlab.batch.durability import Bound, Durability, durability
from blendlab.batch.record import best_before
from blendlab.errors import BlendlabError, Finding
from blendlab.facts.read import figure
from blendlab.production import lots_drawn
from blendlab.production.made_design import in_the_product
from blendlab.production.settings import Lasting, settings
from blendlab.store import BatchPage, Book, LotLine, Origin


def of_batch(book: Book, page: BatchPage, market: str, lasting: Lasting, on: date) -> Durability:
    """How long the jars of a batch last, and what of its lots is not known.

    lasting  months of her product kind; on  the day the label is printed
    """
    origin = store.backward(book, page.line.code)
    made_on, lots = page.line.made_on, tuple(_lots(origin))
    whose = "by your own tests" if lasting.own else "by common practice"
    rule = Bound(best_before(made_on, lasting.closed), f"{lasting.closed} months for a filled jar, {whose}")
    known = [bound for line in lots for bound in _ends(line)]
    made = durability(market, made_on, [rule, *dict.fromkeys(known)], lasting.opened, on)
    return replace(made, findings=(*made.findings, *_undated(lots, _nameless(book, page, origin))))


def in_words(book: Book, page: BatchPage) -> str:
    """How long the jars of a batch last, for its record, and what sets it; "" for a cooked base."""
    if page.line.kind != "jars":
        return ""
    made = _as_kept(book, page, page.line.made_on)
    until = f"until the end of {made.last:%Y-%m}" if made.last else "no whole month"
    weighed = in_the_product(page).keys() >= {line.id for line in page.now.lines}
    so_far = "" if weighed else "; not every line is weighed yet"
    return f"{until}, set by: {made.set_by}{so_far}"


def stops(book: Book, page: BatchPage, on: date) -> tuple[Finding, ...]:
    """The stop of a batch whose best before is over on a day, or of less than a month; with its date."""
    try:
        told = _as_kept(book, page, on)
    except BlendlabError:
        return ()  # a design or a chain that cannot be read is a stop of its own
    return tuple(finding for finding in told.findings if finding.level == "stop")


class Over(NamedTuple):
    """Why jars are not sold unasked: in a few words for a list, and as a sentence."""

    short: str
    sentence: str


def over(book: Book, page: BatchPage, on: date) -> Over | None:
    """What is said where the best before of a batch is over on a day, or cannot be read; else None."""
    try:
        made = _as_kept(book, page, page.line.made_on)
    except BlendlabError as problem:
        return Over("best before not known", f"How long these jars last cannot be read: {problem}")
    if made.last is None:
        told = f"These jars have no best before: no whole month is left before it ends. {made.set_by}."
        return Over("no best before", told)
    if on <= made.last:
        return None
    told = f"The best before of these jars ended on {made.last}, before {on}. It is set by: {made.set_by}."
    return Over(f"best before ended on {made.last}", told)


def _as_kept(book: Book, page: BatchPage, on: date) -> Durability:
    """How long the jars of a batch last by the months that she keeps for its product kind."""
    product, markets = str(page.design.get("product", "")), page.design.get("markets") or ["EU"]
    kept = settings(store.Folder(book.path.parent)).lasting(product)
    return of_batch(book, page, str(markets[0]), kept, on)


def _lots(origin: Origin) -> Iterator[LotLine]:
    """The lots of a batch, and those that its cooked base was made of."""
    yield from origin.lots
    for cooked in origin.behind:
        yield from _lots(cooked)


def _ends(line: LotLine) -> Iterator[Bound]:
    """The day a lot ends by its paper, and by the age of an opened base."""
    lot, name = line.lot, f"{line.lot.name or line.lot.of.id} {line.lot.code}"
    base = lot.of.kind == "base"
    if lot.expiry is not None:
        yield Bound(lot.expiry, f"{'base lot' if base else 'lot'} {name} ends", "base" if base else "lot")
    if base and lot.opened is not None:
        months = int(figure("batch", "opened_months").value)
        why = f"base lot {name} was opened on {lot.opened} and lasts {months} months from then"
        yield Bound(best_before(lot.opened, months), why, "base")


def _nameless(book: Book, page: BatchPage, origin: Origin) -> Iterator[str]:
    """What went into a batch, and into the bases it was made of, of no named lot."""
    yield from lots_drawn.nameless(page)
    for cooked in origin.behind:
        try:
            base = store.batch(book, cooked.batch.code)
        except BlendlabError:  # a stop of its own wherever the batch is judged
            continue
        yield from _nameless(book, base, cooked)


def _undated(lots: tuple[LotLine, ...], nameless: Iterable[str]) -> Iterator[Finding]:
    """What of a batch nobody knows the end of."""
    blind = [line for line in lots if line.lot.expiry is None]
    known = [f"{line.lot.name or line.lot.of.id} {line.lot.code}" for line in blind]
    names = dict.fromkeys((*known, *(f"{name} (no lot named)" for name in nameless)))
    if names:
        yield Finding(
            "caution",
            "label-undated",
            "batch.label.durability",
            f"No use-by date is known of: {', '.join(names)}. The best before does not count them.",
            "Write their dates down: Shelf, Lots. Name the lots that are missing: Book.",
            "your book",
        )

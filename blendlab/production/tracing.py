"""The chain of a batch and of a lot: recall lists, new lots since then, what still stops a sale."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from blendlab import printing, store
from blendlab.assess import assess
from blendlab.errors import BlendlabError, Finding
from blendlab.production import kitchen_log, sheets
from blendlab.shelf import Shelf, embedded
from blendlab.store import BatchPage, Book, Origin, Reach

WIDTHS = (0.2, 0.3, 0.16, 0.34)


class NotClear(BlendlabError, ValueError):
    """Something typed that cannot be taken as it stands."""


def recall_pdf(book: Book, code: str) -> bytes:
    """Everything of one batch on paper: its lots with suppliers, its jars, who has them."""
    page = store.batch(book, code)
    rows = [("code", "what", "how much", "from or to")]
    rows.append((code, page.line.name, f"{len(page.filled_g)} jars weighed", f"made {page.line.made_on}"))
    rows += _lots(store.backward(book, code))
    rows += _sales(page)
    return printing.list_pdf(f"Recall list {code}", _head(rows), rows, WIDTHS)


def recall_lot_pdf(book: Book, number: int) -> bytes:
    """Everything that was made of one lot on paper, through cooked base lots to the jars and who has them."""
    reach = store.forward(book, number)
    rows = [("code", "what", "how much", "from or to")]
    rows.append((reach.lot.lot.code, reach.lot.lot.name, f"{reach.lot.came_g:g} g", reach.lot.lot.supplier))
    rows += _onward(book, reach)
    return printing.list_pdf(f"Recall list, lot {reach.lot.lot.code}", _head(rows), rows, WIDTHS)


def _head(rows: list[tuple[str, str, str, str]]) -> str:
    return f"{len(rows) - 1} lines. Ask everyone on it; write each answer down."


def _lots(origin: Origin) -> Iterator[tuple[str, str, str, str]]:
    behind = {one.batch.code: one for one in origin.behind}
    for lot in origin.lots:
        yield (
            lot.lot.code,
            lot.lot.name,
            f"{lot.came_g:g} g received",
            lot.lot.supplier or "supplier not entered",
        )
        if lot.batch in behind:
            yield from _lots(behind[lot.batch])


def _sales(page: BatchPage) -> Iterator[tuple[str, str, str, str]]:
    sold = 0
    for one in page.of("sale"):
        jars = int(one.data.get("jars", 0))
        sold += jars
        yield (
            page.line.code,
            "sold",
            f"{jars} jars",
            f"{one.data.get('to', '')} {one.data.get('on', '')}".strip(),
        )
    yield (
        page.line.code,
        "not sold by the book",
        f"{max(0, len(page.filled_g) - sold)} jars",
        "shelf, samples",
    )


def _onward(book: Book, reach: Reach) -> Iterator[tuple[str, str, str, str]]:
    for line in reach.batches:
        yield line.code, line.name, f"{reach.jars[line.code]} jars weighed", f"made {line.made_on}"
        if line.kind == "jars":
            yield from _sales(store.batch(book, line.code))
    for one in reach.onward:
        yield one.lot.lot.code, f"base lot of {one.lot.lot.name}", f"{one.lot.came_g:g} g", "cooked with it"
        yield from _onward(book, one)


def new_lots(book: Book, page: BatchPage, shelf: Shelf) -> tuple[str, ...]:
    """Sentences about pigments and bases whose lot is another one now."""
    then = {one.line: one.lot for one in page.weighings if one.lot is not None and not one.corrected}
    now = store.next_lots(book)
    told = []
    for line in page.plan.lines:
        next_lot, old = now.get(line.item), then.get(line.id)
        if (
            line.what in ("pigment", "base")
            and next_lot is not None
            and old is not None
            and next_lot.number != old
        ):
            code = store.lot(book, old).lot.code
            told.append(
                f"New lot of {line.name}: {next_lot.lot.code}, the last was {code}. "
                "Make a swatch before you trust the colour."
            )
    return tuple(dict.fromkeys(told))


def sale_stops(book: Book, page: BatchPage, shelf: Shelf, on: date) -> tuple[Finding, ...]:
    """Stops of the design that was made, and of its assessment: they keep a batch from sale."""
    made, problem = kitchen_log.try_again(page)
    if made is None:
        return (Finding("stop", "design-unreadable", "book.design", problem),)
    carried = shelf.carrying(embedded(made, shelf))
    judged = assess(made, carried, on)
    told = (*judged.findings, *page.now.findings)
    stops = {one.id: one for one in told if one.level == "stop"}
    return (*stops.values(), *sheets.assessed_by(judged, carried, sheets.families(book)))

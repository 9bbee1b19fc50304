"""Recall lists: the chain of a batch and of a lot on paper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from blendlab import printing, store
from blendlab.store import BatchLog, Book, Origin, Reach

WIDTHS = (0.2, 0.3, 0.16, 0.34)


def recall_pdf(book: Book, code: str) -> bytes:
    """Everything of one batch on paper: its lots with suppliers, its jars, who has them."""
    log, origin = store.batch_log(book, code), store.backward(book, code)
    rows = [("code", "what", "how much", "from or to")]
    rows.append((code, log.line.name, f"{len(log.filled_g)} jars weighed", f"made {log.line.made_on}"))
    rows += _lots(origin)
    rows += _sales(log)
    rows += _unread((*log.unread, *origin.unread))
    return printing.list_pdf(f"Recall list {code}", _head(rows), rows, WIDTHS)


def recall_lot_pdf(book: Book, number: int) -> bytes:
    """Everything that was made of one lot on paper, through cooked base lots to the jars and who has them."""
    reach = store.forward(book, number)
    rows = [("code", "what", "how much", "from or to")]
    rows.append((reach.lot.lot.code, reach.lot.lot.name, f"{reach.lot.came_g:g} g", reach.lot.lot.supplier))
    rows += _onward(book, reach)
    return printing.list_pdf(f"Recall list, lot {reach.lot.lot.code}", _head(rows), rows, WIDTHS)


def _unread(sentences: Iterable[str]) -> Iterator[tuple[str, str, str, str]]:
    """What of a chain is not known: it stands on the list, so that nobody takes the list for whole."""
    for sentence in dict.fromkeys(sentences):
        yield "not known", sentence, "not known", "look in the book's file"


def _head(rows: list[tuple[str, str, str, str]]) -> str:
    return f"{len(rows) - 1} lines. Ask everyone on it; write each answer down."


def _lots(origin: Origin) -> Iterator[tuple[str, str, str, str]]:
    behind = {cooked.batch.code: cooked for cooked in origin.behind}
    for lot in origin.lots:
        yield (
            lot.lot.code,
            lot.lot.name,
            f"{lot.came_g:g} g received",
            lot.lot.supplier or "supplier not entered",
        )
        if lot.batch in behind:
            yield from _lots(behind[lot.batch])
            yield from _unread(behind[lot.batch].unread)


def _sales(log: BatchLog) -> Iterator[tuple[str, str, str, str]]:
    for sale in log.of("sale"):
        yield (
            log.line.code,
            "sold",
            f"{sale.data['jars']} jars",
            f"{sale.data.get('to', '')} {sale.data.get('on') or ''}".strip(),
        )
    yield (
        log.line.code,
        "not sold by the book",
        f"{max(0, len(log.filled_g) - log.sold)} jars",
        "shelf, samples",
    )


def _onward(book: Book, reach: Reach) -> Iterator[tuple[str, str, str, str]]:
    for line in reach.batches:
        yield line.code, line.name, f"{reach.jars[line.code]} jars weighed", f"made {line.made_on}"
        if line.kind == "jars":
            yield from _sales(store.batch_log(book, line.code))
    yield from _unread(reach.unread)
    for onward in reach.onward:
        lot = onward.lot
        yield lot.lot.code, f"base lot of {lot.lot.name}", f"{lot.came_g:g} g", "cooked with it"
        yield from _onward(book, onward)

"""Lots and lines of the book as tables."""

from __future__ import annotations

from collections.abc import Iterator

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.production import kitchen_log
from blendlab.store import BatchLine, BatchPage, Book
from blendlab.tables import csv_of

LOT_HEADS = ("What", "Code", "Came, g", "Left, g", "Supplier", "Received", "Use by", "Opened", "Document")
LINE_HEADS = (
    "Batch",
    "Made on",
    "Name",
    "Written",
    "What",
    "Line",
    "Lot",
    "Planned, g",
    "Weighed, g",
    "Scale",
    "Note",
    "Corrected",
)


def lots_csv(book: Book) -> bytes:
    """Every lot of the book, what came of it and what is left; what cannot be read has a row that says so."""
    rows = (
        [
            line.lot.name,
            line.lot.code,
            f"{line.came_g:.12g}",
            f"{line.left_g:.12g}",
            line.lot.supplier,
            line.lot.received or "",
            line.lot.expiry or "",
            line.lot.opened or "",
            line.lot.document,
        ]
        for line in store.lots(book)
    )
    unread = (["cannot be read", *[""] * 7, told] for told in store.unread_lots(book))
    return csv_of(LOT_HEADS, (*rows, *unread))


def lines_csv(book: Book) -> bytes:
    """Every line of every batch as it was written, corrected ones included and marked, oldest first.

    What cannot be read has a row that says so.
    """
    codes = {line.number: line.lot.code for line in store.lots(book)}
    rows = (row for line in reversed(store.batches(book)) for row in _of_batch(book, line, codes))
    return csv_of(LINE_HEADS, (*(_unread("", "", "", told) for told in store.unread(book)), *rows))


def _of_batch(book: Book, line: BatchLine, codes: dict[int, str]) -> Iterator[list[object]]:
    try:
        page = store.batch(book, line.code)
    except BlendlabError as problem:
        yield _unread(line.code, line.made_on, line.name, str(problem))
        return
    yield from _lines(page, codes)
    yield from (_unread(line.code, line.made_on, line.name, told) for told in page.unread)


def _unread(code: str, made_on: object, name: str, told: str) -> list[object]:
    return [code, made_on, name, "", "cannot be read", *[""] * 5, told, ""]


def _lines(page: BatchPage, codes: dict[int, str]) -> Iterator[list[object]]:
    head = [page.line.code, page.line.made_on, page.line.name]
    planned = {line.id: line.name for line in page.plan.lines}
    written = [
        (
            weighing.at,
            [
                "weighing",
                planned.get(weighing.line, weighing.line),
                codes.get(weighing.lot, "") if weighing.lot is not None else "",
                f"{kitchen_log.asked_then(page, weighing):.12g}",
                f"{weighing.weighed_g:.12g}",
                weighing.scale,
                weighing.note,
                "yes" if weighing.corrected else "",
            ],
        )
        for weighing in page.weighings
    ]
    written += [
        (
            entry.at,
            [entry.kind, entry.subject, "", "", "", "", _said(entry.data), "" if entry.stands else "yes"],
        )
        for entry in page.entries
    ]
    for at, cells in sorted(written, key=lambda line: line[0]):
        yield [*head, at, *cells]


def _said(data: dict[str, object]) -> str:
    return "; ".join(f"{key} {value}" for key, value in data.items() if value not in (None, "", [], {}))

"""Finding things in the book again: search, and the chain from jar to supplier and back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from blendlab.errors import BlendlabError
from blendlab.store.book import Book
from blendlab.store.book_batches import (
    BatchLine,
    BatchLog,
    batch_log,
    batches,
    unread_batches,
    unread_families,
)
from blendlab.store.book_lots import LotLine, lot, lots, unread_lots
from blendlab.store.book_schema import reading


@dataclass(frozen=True)
class Found:
    """What a search found: batches newest first, lots in their order."""

    batches: tuple[BatchLine, ...]
    lots: tuple[LotLine, ...]


def search(book: Book, words: str) -> Found:
    """Batches and lots whose code or name holds the words, and batches that took such a lot."""
    asked = words.strip().lower()
    if not asked:
        return Found(batches(book), lots(book))
    hits = tuple(line for line in lots(book) if asked in f"{line.lot.code} {line.lot.name}".lower())
    touched = {code for line in hits for code in _taken_by(book, line.number)}
    touched |= {line.batch for line in hits if line.batch}
    named = (
        line for line in batches(book) if asked in f"{line.code} {line.name}".lower() or line.code in touched
    )
    return Found(tuple(named), hits)


def unread(book: Book) -> tuple[str, ...]:
    """Sentences about lines of the book that no list can show: batches, lots, assessments."""
    return (*unread_batches(book), *unread_lots(book), *unread_families(book))


def _taken_by(book: Book, number: int) -> tuple[str, ...]:
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT DISTINCT batches.code FROM weighings JOIN batches ON batches.id = weighings.batch"
            " WHERE lot = ?"
            " AND NOT EXISTS (SELECT 1 FROM weighings AS later WHERE later.corrects = weighings.id)"
            " ORDER BY batches.id",
            (number,),
        )
        return tuple(row[0] for row in rows)


@dataclass(frozen=True)
class Origin:
    """A batch, the lots it took, and where cooked lots came from in their turn.

    unread  sentences about what of the chain cannot be read
    """

    batch: BatchLine
    lots: tuple[LotLine, ...]
    behind: tuple[Origin, ...]
    unread: tuple[str, ...] = ()


def backward(book: Book, code: str) -> Origin:
    """From a jar's code to its lots and their suppliers, through base lots to what they were cooked of."""
    return _backward(book, code, {line.number: line for line in lots(book)}, frozenset())


def _backward(book: Book, code: str, known: Mapping[int, LotLine], seen: frozenset[str]) -> Origin:
    log = batch_log(book, code)
    told = list(log.unread)
    numbers = dict.fromkeys(
        weighing.lot for weighing in log.weighings if weighing.lot is not None and not weighing.corrected
    )
    taken = tuple(known[number] for number in numbers if number in known)
    told += [f"Lot {number} cannot be read." for number in numbers if number not in known]
    behind = []
    for line in taken:
        if line.batch and line.batch not in {code, *seen}:
            try:
                behind.append(_backward(book, line.batch, known, seen | {code}))
            except BlendlabError as problem:
                told.append(f"Lot {line.lot.code}: {problem}")
    return Origin(log.line, taken, tuple(behind), tuple(told))


@dataclass(frozen=True)
class Reach:
    """A lot, the batches that took of it, their jars and sales, and lots that were cooked with it.

    unread  sentences about batches and lines of them that cannot be read
    """

    lot: LotLine
    batches: tuple[BatchLine, ...]
    jars: dict[str, int]
    sales: dict[str, tuple[dict[str, Any], ...]]
    onward: tuple[Reach, ...]
    unread: tuple[str, ...] = ()


def forward(book: Book, number: int) -> Reach:
    """From a lot to its batches, jars and sales, through base lots to where they went."""
    reach = _forward(book, lot(book, number), lots(book), frozenset())
    unknown = (f"Whether this belongs here is not known. {sentence}" for sentence in unread_lots(book))
    return replace(reach, unread=(*reach.unread, *unknown))


def _forward(book: Book, start: LotLine, known: Sequence[LotLine], seen: frozenset[int]) -> Reach:
    codes, logs, told = _taken_by(book, start.number), [], []
    seen |= {start.number}
    for code in codes:
        try:
            logs.append(batch_log(book, code))
        except BlendlabError as problem:
            told.append(f"Batch {code}: {problem}")
    told += [f"Batch {log.line.code}: {sentence}" for log in logs for sentence in log.unread]
    cooked = [line for line in known if line.batch in codes and line.number not in seen]
    return Reach(
        start,
        tuple(log.line for log in logs),
        {log.line.code: len(log.filled_g) for log in logs},
        {log.line.code: _sales(log) for log in logs},
        tuple(_forward(book, line, known, seen) for line in cooked),
        tuple(told),
    )


def _sales(log: BatchLog) -> tuple[dict[str, Any], ...]:
    return tuple(entry.data for entry in log.of("sale"))

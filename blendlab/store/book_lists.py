"""Lines of many batches at once: batches by their numbers, entries by their kind."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from typing import Any

from blendlab.store.book import Book
from blendlab.store.book_batches import BatchLine, Entry, entry_reader, line_of, readable
from blendlab.store.book_entries import FOR_SALE
from blendlab.store.book_schema import reading


def lines_of(
    link: sqlite3.Connection, numbers: Sequence[int]
) -> tuple[dict[int, BatchLine], tuple[str, ...]]:
    """Batches by their numbers, and sentences about those whose line in the list cannot be read."""
    rows = link.execute(
        "SELECT id, code, kind, name, made_on, at FROM batches"
        " WHERE id IN (SELECT value FROM json_each(?)) ORDER BY id",
        (json.dumps(numbers),),
    ).fetchall()
    found: dict[int, BatchLine] = {}
    unread: list[str] = []
    for row in rows:
        read, told = readable([row], f"Batch {row['code']}", line_of)
        found.update((row["id"], line) for line in read)
        unread += told
    return found, tuple(unread)


def entries_where(
    link: sqlite3.Connection, condition: str, values: tuple[Any, ...]
) -> tuple[tuple[tuple[int | None, Entry], ...], tuple[tuple[int | None, str], ...]]:
    """Entries of many batches, and sentences about those that cannot be read, each with its batch.

    condition  of the columns of an entry; what corrects a line must be among what it finds
    """
    rows = link.execute(f"SELECT * FROM entries WHERE {condition} ORDER BY id", values).fetchall()
    read, found, unread = entry_reader(rows), [], []
    for row in rows:
        entries, told = readable([row], "Entry", read)
        found += [(row["batch"], entry) for entry in entries]
        unread += [(row["batch"], sentence) for sentence in told]
    return tuple(found), tuple(unread)


def by_subject(found: Iterable[tuple[int | None, Entry]], kind: str) -> dict[str, list[Entry]]:
    """Entries of one kind that stand, by what they are about."""
    said: dict[str, list[Entry]] = {}
    for _, entry in found:
        if entry.kind == kind and entry.stands:
            said.setdefault(entry.subject, []).append(entry)
    return said


def for_sale(book: Book) -> tuple[str, ...]:
    """Codes of the batches that are released for sale, oldest first."""
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT code FROM batches JOIN entries AS entry ON entry.batch = batches.id"
            " WHERE entry.kind = 'release' AND entry.subject = ?"
            " AND NOT EXISTS (SELECT 1 FROM entries AS later WHERE later.corrects = entry.id)"
            " ORDER BY batches.id",
            (FOR_SALE,),
        )
        return tuple(row["code"] for row in rows)


def families(book: Book) -> tuple[Entry, ...]:
    """Assessments of formula families that stand."""
    return of_kind(book, "family")[0]


def unread_families(book: Book) -> tuple[str, ...]:
    """Sentences about assessments that cannot be read: they cover nothing."""
    return of_kind(book, "family")[1]


def unread_entries(book: Book, *kinds: str) -> tuple[str, ...]:
    """Sentences about entries of some kinds that cannot be read: the lists of them leave them out."""
    with reading(book.path) as link:
        _, unread = entries_where(link, "kind IN (SELECT value FROM json_each(?))", (json.dumps(kinds),))
    return tuple(sentence for _, sentence in unread)


def of_kind(book: Book, kind: str) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
    """Entries of one kind over the whole book that stand, and sentences about those that cannot be read."""
    with reading(book.path) as link:
        found, unread = entries_where(link, "kind = ?", (kind,))
    standing = tuple(entry for _, entry in found if entry.stands)
    return standing, tuple(sentence for _, sentence in unread)

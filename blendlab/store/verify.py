"""Everything looked over: every file of the folder and the book. Nothing is changed or moved."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from blendlab.codec import object_in
from blendlab.errors import BadDocument, BlendlabError
from blendlab.shelf import ITEMS, item_from_dict
from blendlab.store import book_file, card_files, cards, documents, photos, settings
from blendlab.store.book import Book
from blendlab.store.book_batches import batch, batches
from blendlab.store.book_entries import checked
from blendlab.store.book_lines import to_grams
from blendlab.store.book_schema import connect, foreign, newer, reading
from blendlab.store.book_trace import unread
from blendlab.store.folder import Folder
from blendlab.store.lines import read_line

MOST_TOLD = 5
"""Sentences about the pages of a book; the rest says the same."""


@dataclass(frozen=True)
class Looked:
    """What was looked at, and what was found.

    files  files by kind; lines  lines of the book by table; found  one sentence a thing that is wrong
    """

    files: dict[str, int]
    lines: dict[str, int]
    found: tuple[str, ...]

    @property
    def told(self) -> str:
        """What was looked at, in a sentence."""
        files = {f"{kind} {'file' if count == 1 else 'files'}": count for kind, count in self.files.items()}
        lines = {f"{table} in the book": count for table, count in self.lines.items()}
        seen = [f"{count} {what}" for what, count in {**files, **lines}.items() if count]
        return f"Looked at: {', '.join(seen) or 'nothing, the folder is empty'}."


def verify(folder: Folder) -> Looked:
    """Read every card with its picture, line, shelf item, draft, the settings, the book and its photos."""
    found: list[str] = []
    known = {"card": _cards(folder, found), "line": _lines(folder, found)}
    for kind in ITEMS:
        known[kind] = _each(documents.files(folder.shelf / kind), found, partial(_item, kind))
    known["draft"] = _each(documents.files(folder.drafts), found, partial(object_in, "draft"))
    if (folder.root / settings.NAME).is_file():
        known["settings"] = _each([folder.root / settings.NAME], found, settings.settings_in)
    known["photo"] = len(photos.files(folder))
    aside = [path for path in folder.damaged.rglob("*") if path.is_file()]
    if aside:
        found.append(
            f"{len(aside)} files that could not be read were set aside earlier, in {folder.damaged}."
        )
    lines = book_file.counted(folder.book) if folder.book.exists() else {}
    return Looked(known, lines, (*found, *_book(folder)))


def _each(paths: list[Path], found: list[str], read: Callable[[bytes], Any]) -> int:
    """Read documents of one kind; returns how many there are."""
    for path in paths:
        try:
            read(documents.read("file", path))
        except BlendlabError as problem:
            found.append(f"{path.name}: {problem}")
    return len(paths)


def _item(kind: str, data: bytes) -> None:
    item_from_dict(kind, object_in(kind, data))


def _cards(folder: Folder, found: list[str]) -> int:
    paths = documents.files(folder.cards)
    ids: dict[str, str] = {}
    for path in paths:
        try:
            card = cards.card_from(object_in("card", documents.read("card", path)))
            if card_files.seek_picture(path, card.id, card.picture) is None:
                found.append(f"{path.name}: its picture is missing, damaged or belongs to another save.")
            if card.id in ids:
                found.append(f"{path.name} and {ids[card.id]} hold the same card.")
            ids[card.id] = path.name
        except BlendlabError as problem:
            found.append(f"{path.name}: {problem}")
    return len(paths)


def _card_ids(folder: Folder) -> Iterator[str]:
    """Ids of the cards that can be read; `_cards` tells the others."""
    for path in documents.files(folder.cards):
        with suppress(BadDocument):
            yield card_files.asked_for(documents.read("card", path))[0]


def _lines(folder: Folder, found: list[str]) -> int:
    there = set(_card_ids(folder))
    for path in documents.files(folder.lines):
        try:
            line = read_line(path).line
            gone = [card_id for card_id in line.cards if card_id not in there]
            if gone:
                found.append(f"{path.name}: {len(gone)} of its cards are not here.")
        except BlendlabError as problem:
            found.append(f"{path.name}: {problem}")
    return len(documents.files(folder.lines))


# --- the book -----------------------------------------------------------------------------------------


def _book(folder: Folder) -> tuple[str, ...]:
    try:
        wrong = book_file.book_fault(folder)
        if wrong or not folder.book.exists():
            return (f"The book cannot be read: {wrong}.",) if wrong else ()
        with closing(connect(folder.book, "ro")) as link:
            pages = list(_pages(link))
            return (*pages, *_shape(folder.book), *_sums(link), *(() if pages else _entries(folder)))
    except (BlendlabError, sqlite3.Error) as problem:
        return (f"The book cannot be looked over: {problem}",)


def _pages(link: sqlite3.Connection) -> Iterator[str]:
    for row in link.execute(f"PRAGMA integrity_check({MOST_TOLD})"):
        if row[0] != "ok":
            yield f"The book, its pages: {row[0]}."
    for table, number, parent, _ in link.execute("PRAGMA foreign_key_check").fetchall()[:MOST_TOLD]:
        yield f"The book, line {number} of {table} refers to a line of {parent} that is not there."


def _shape(book: Path) -> Iterator[str]:
    odd = "" if newer(book) else foreign(book)
    if odd:
        yield f"The book: {odd}."


def _sums(link: sqlite3.Connection) -> Iterator[str]:
    """Lots from which more was drawn than came."""
    sums = link.execute(
        "SELECT lots.code AS code, sum(units) AS left FROM movements JOIN lots ON lots.id = movements.lot"
        " GROUP BY movements.lot HAVING sum(units) < 0"
    )
    for row in sums:
        yield f"The book, lot {row['code']}: {-to_grams(row['left']):g} g more left it than came."


def _entries(folder: Folder) -> Iterator[str]:
    """Every line that no reader of the book can make sense of, or whose photo is not there, each once."""
    book = Book(folder.book)
    told = dict.fromkeys(unread(book))
    with reading(book.path) as link:
        for row in link.execute("SELECT id, kind, data FROM entries ORDER BY id"):
            try:
                said = checked(row["kind"], object_in("entry", row["data"]))
                if said.get("photo"):
                    photos.photo_file(folder, said["photo"])
            except BlendlabError as problem:
                told[f"Entry, line {row['id']} of the book: {problem}"] = None
    for line in batches(book):
        try:
            told |= dict.fromkeys(batch(book, line.code).unread)
        except BlendlabError as problem:
            told[f"Batch {line.code}: {problem}"] = None
    yield from told

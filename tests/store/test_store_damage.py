"""Damaged documents through every reader: it opens, or a BlendlabError says why; the others stay in sight."""

from __future__ import annotations

import json
import random
import shutil
import sqlite3
from collections.abc import Callable
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from blendlab import recipe, store
from blendlab.codec import object_in
from blendlab.errors import BlendlabError
from blendlab.production import assessments, kitchen_log, outcome, recall, settings
from blendlab.shelf import ITEMS, item_from_dict
from blendlab.store import atomic_write
from blendlab.store.book_schema import connect
from tests.store.damage import as_bytes, damaged, unlock

FIRST = Path(__file__).parent / "first_format"
GOOD, BAD = "good", "first-format"
LOTS = 22
"""Lots in the book of the first format."""


@pytest.fixture
def folder(tmp_path) -> store.Folder:
    shutil.copytree(FIRST, tmp_path / "swatches")
    return store.Folder.at(tmp_path / "swatches")


def sample(folder: store.Folder, inner: str) -> tuple[Path, Any]:
    """A file of the folder, and what the undamaged sample of it says."""
    path = sorted((FIRST / inner).glob("*.json"))[-1]
    return folder.root / inner / path.name, json.loads(path.read_text(encoding="utf-8"))


def through(seed: int, count: int, plain: Any, reader: Callable[[bytes], bool]) -> tuple[int, int]:
    """How many damaged copies of a document were opened, and how many refused."""
    dice, opened, said = random.Random(seed), 0, []
    for number in range(count):
        data = as_bytes(damaged(plain, dice), dice)
        try:
            opened += reader(data)
        except BlendlabError as problem:
            said.append(str(problem))
        except Exception as problem:
            raise AssertionError(f"document {number} of seed {seed}: {data[:3000]!r}") from problem
    assert all(sentence.encode() for sentence in said)
    return opened, count - opened


def cards_through(folder: store.Folder, seed: int, count: int) -> tuple[int, int]:
    path, plain = sample(folder, "cards")
    other = {**plain, "design": {**plain["design"], "id": GOOD, "name": "Good"}}
    atomic_write.put(folder.cards / "good-good.json", json.dumps(other).encode(), durable=False)

    def read(data: bytes) -> bool:
        atomic_write.put(path, data, durable=False)
        entries = store.listing(folder)
        shown = {entry.card_id: entry for entry in entries if not entry.damaged}
        assert GOOD in shown
        for entry in shown.values():
            if entry.saved_at:
                datetime.fromisoformat(entry.saved_at).astimezone()
            for tone in entry.judged.get("tones", []):
                f"{tone['name']}{tone['share_pct']:g}{tone['hex']}".encode()
        for found in folder.damaged.rglob("*.json"):
            found.unlink()
        return any(store.open_card(folder, card_id) for card_id in shown if card_id != GOOD)

    return through(seed, count, plain, read)


def items_through(folder: store.Folder, seed: int, count: int, kind: str) -> tuple[int, int]:
    path, plain = sample(folder, f"shelf/{kind}")
    path.unlink(missing_ok=True)
    others = len(store.read_shelf(folder).items)

    def read(data: bytes) -> bool:
        atomic_write.put(path, data, durable=False)
        items = store.read_shelf(folder).items
        assert len(items) in (others, others + 1)
        assert len({item.rev for item in items}) == len(items)
        store.unread_items(folder)
        return len(items) > others

    return through(seed, count, plain, read)


def lines_through(folder: store.Folder, seed: int, count: int) -> tuple[int, int]:
    path, plain = sample(folder, "lines")
    (folder.lines / "good.json").write_text('{"id": "good", "name": "Good"}', encoding="utf-8")

    def read(data: bytes) -> bool:
        atomic_write.put(path, data, durable=False)
        names = [saved.line.name for saved in store.lines(folder)]
        assert "Good" in names
        store.unread_lines(folder)
        return len(names) > 1

    return through(seed, count, plain, read)


def drafts_through(folder: store.Folder, seed: int, count: int) -> tuple[int, int]:
    def read(data: bytes) -> bool:
        atomic_write.put(folder.draft, data, durable=False)
        drafts, told = store.load_drafts(folder)
        assert len(drafts) + len(told) == 1
        for draft in drafts:
            store.forget_draft(folder, draft.id)
            recipe.from_dict(draft.plain["design"])
        return bool(drafts)

    plain = json.loads((FIRST / "draft.json").read_text(encoding="utf-8"))
    return through(seed, count, plain, read)


def settings_through(folder: store.Folder, seed: int, count: int) -> tuple[int, int]:
    path = folder.root / "settings.json"

    def read(data: bytes) -> bool:
        atomic_write.put(path, data, durable=False)
        kept = settings.settings(folder)
        assert kept.heat_in in ("C", "F")
        f"{kept.rates.per_h + kept.fixed_per_year:f}{kept.maker.name}{kept.currency}".encode()
        assert settings.set_setting(folder, "currency", "GBP") == ""
        return kept.maker.name == "Invented studio"

    plain = json.loads((FIRST / path.name).read_text(encoding="utf-8"))
    return through(seed, count, plain, read)


READERS = {
    "card": cards_through,
    "line": lines_through,
    "draft": drafts_through,
    "settings": settings_through,
    **{kind: partial(items_through, kind=kind) for kind in ITEMS},
}


@pytest.mark.parametrize("kind", READERS)
def test_a_damaged_document_opens_or_says_why_not(folder, kind):
    opened, refused = READERS[kind](folder, 1, 60)
    assert opened
    assert refused


@pytest.mark.slow  # 5,000 documents, written and read, take minutes; the test above takes 60 of each kind
@pytest.mark.parametrize("kind", READERS)
def test_five_thousand_damaged_documents_open_or_say_why_not(folder, kind):
    assert len(READERS) * 500 >= 5000
    for seed in range(10, 15):
        READERS[kind](folder, seed, 100)


COLUMNS = {
    "batches": ("plan", "design", "made_on", "name", "at", "kind"),
    "weighings": ("line", "planned", "weighed", "lot", "part", "at", "scale"),
    "entries": ("data", "kind", "subject", "at"),
    "lots": ("data", "item", "name"),
    "movements": ("units", "why"),
}
VALUES = (None, "", "x", b"\xff\xfe", -1, 2**62, 1e300, "9" * 400, "[]", "{}", '{"format": 99}', "\x00")


def harmed_books(folder: store.Folder, seed: int, count: int):
    """The book with one row harmed, again and again; what was harmed is put right after each."""
    dice, book = random.Random(seed), store.open_book(folder)
    link = connect(book.path)
    unlock(link)
    for _ in range(count):
        table = dice.choice(list(COLUMNS))
        column = dice.choice(COLUMNS[table])
        row = dice.choice(link.execute(f"SELECT id, {column} AS was FROM {table}").fetchall())
        if column in ("plan", "design", "data"):
            value = as_bytes(damaged(json.loads(row["was"]), dice), dice).decode("utf-8", "replace")
        else:
            value = dice.choice(VALUES)
        try:
            link.execute(f"UPDATE {table} SET {column} = ? WHERE id = ?", (value, row["id"]))
        except sqlite3.IntegrityError:  # a value that the file itself refuses
            continue
        yield book, table, row["id"], (column, value)
        link.execute(f"UPDATE {table} SET {column} = ? WHERE id = ?", (row["was"], row["id"]))
    link.close()


def read_everything(book: store.Book) -> int:
    """Every reader of the book; batches that opened."""
    told = store.unread(book)
    lots, opened, said = store.lots(book), 0, []
    assert len(lots) + len(told) >= LOTS
    store.next_lots(book, date(2026, 3, 7))
    store.search(book, "lagoon")
    assessments.families(book)
    for line in store.batches(book):
        log = store.batch_log(book, line.code)
        assert log.weighed is not None
        assert log.sold >= 0
        store.backward(book, line.code)
        try:
            page = store.batch(book, line.code)
        except BlendlabError as problem:
            said.append(str(problem))
            continue
        kitchen_log.stand(page)
        outcome.outcome(page)
        opened += 1
    for lot in lots[:3]:
        recall.recall_pdf(recall.of_lots(book, [lot.number]))
    assert all(sentence.encode() for sentence in (*told, *said))
    return opened


def books_through(folder: store.Folder, seed: int, count: int) -> None:
    for book, table, row, what in harmed_books(folder, seed, count):
        try:
            opened = read_everything(book)
        except Exception as problem:
            raise AssertionError(f"{table} {row}: {what!r:.3000}") from problem
        assert opened >= 1, (table, row, what)


def test_a_damaged_row_of_the_book_hides_no_other(folder):
    books_through(folder, 2, 30)


@pytest.mark.slow  # 500 harmed books, each read to its end, take a minute
def test_five_hundred_damaged_rows_of_the_book_hide_no_other(folder):
    for seed in range(20, 25):
        books_through(folder, seed, 100)


def test_documents_that_are_not_damaged_are_not_refused(folder):
    """The readers above would pass a program that refuses everything."""
    path, _ = sample(folder, "cards")
    assert store.card_from(object_in("card", path.read_bytes())).id == BAD
    for kind in ITEMS:
        for path in (folder.shelf / kind).glob("*.json"):
            assert item_from_dict(kind, object_in(kind, path.read_bytes())).id
    assert read_everything(store.open_book(folder)) == 2

"""The file of the book as a whole: opened, looked over, copied every day, put in the place of another.

A book that cannot be read is never replaced by an empty one: `open_book` refuses, and what is done
about it (`book_rescue`) is her word.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, date, datetime
from pathlib import Path

from blendlab.errors import BlendlabError, NotSaved
from blendlab.store import atomic_write
from blendlab.store.book import Book
from blendlab.store.book_schema import connect, fault, migrate, newer, refused
from blendlab.store.folder import Folder

COPIES_KEPT = 7
LOGS = ("-wal", "-shm")
READY = "book.ready.sqlite3"
"""A whole new book that waits to take the place of the present one."""


class DamagedBook(BlendlabError, RuntimeError):
    """A book that cannot be read, or that lost lines; nothing was changed, no new one was begun."""

    def __init__(self, path: Path, wrong: str) -> None:
        self.path, self.wrong = path, wrong
        super().__init__(
            f"The book cannot be read: {wrong}. Nothing of it was changed and no new one was begun."
        )


def open_book(folder: Folder, today: date | None = None) -> Book:
    """The book of a folder; a new one where there never was one. The first opening of a day copies it.

    A book of a newer version is opened to look at: nothing is written to it, `told` says so.

    Raises DamagedBook for one that cannot be read or that has fewer lines than its last copy, NotSaved
    when the folder cannot be written or another window holds it too long.
    """
    path, told = folder.book, newer(folder.book)
    if told:
        return Book(path, told)
    with atomic_write.locked(folder.root):
        put_in_place(folder)
        if wrong := book_fault(folder):
            raise DamagedBook(path, wrong)
        if not path.exists():
            with atomic_write.beside(path) as part:
                finish(part)
        migrate(path, folder.bin)
        return Book(path, _copy_of_the_day(folder, today or date.today()))


def book_fault(folder: Folder) -> str:
    """What is wrong with the book of a folder, in one line; "" for nothing, or where there is none."""
    wrong = fault(folder.book) or _lost(folder)
    return wrong.partition("\n")[0]


def finish(fresh: Path) -> None:
    """Bring the file of a new book to the present schema and fold its log into it: one name holds all."""
    with atomic_write.elsewhere() as place:
        migrate(fresh, place)
    with closing(connect(fresh)) as link:
        link.execute("PRAGMA journal_mode = DELETE")


# --- copies -------------------------------------------------------------------------------------------


def copy_book(source: Path, target: Path) -> dict[str, int]:
    """Write a whole copy of a book into a new file, also while others write; returns its lines by table.

    The copy is looked over before this returns. Raises NotSaved, or DamagedBook for a source that
    cannot be read.
    """
    try:
        with _looked_at(source) as link, closing(sqlite3.connect(target)) as copy:
            link.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.DatabaseError as problem:
        if isinstance(problem, sqlite3.OperationalError):
            raise refused(target, problem) from problem
        raise DamagedBook(source, str(problem)) from problem
    wrong = fault(target)
    if wrong:
        raise DamagedBook(source, wrong)
    return counted(target)


@contextmanager
def _looked_at(source: Path) -> Iterator[sqlite3.Connection]:
    """A connection that only reads; in a folder that cannot be written, to a copy of the file and its log."""
    with atomic_write.elsewhere() as place:
        try:
            link = connect(source, "ro")
            link.execute("SELECT count(*) FROM sqlite_master")
        except (NotSaved, sqlite3.OperationalError):
            link = connect(copied(source, place))
        with closing(link):
            yield link


def copied(source: Path, to: Path) -> Path:
    """Copy the file of a book and its log, byte by byte; returns where the file lies."""
    try:
        to.mkdir(parents=True, exist_ok=True)
        for ending in ("", LOGS[0]):
            beside = source.with_name(source.name + ending)
            if beside.exists():
                shutil.copyfile(beside, to / f"{source.name}{ending}")
    except OSError as problem:
        raise NotSaved(str(to), atomic_write.reason(problem)) from problem
    return to / source.name


def counted(path: Path) -> dict[str, int]:
    """Lines of each table of a book; empty for a file that cannot be read."""
    return _of_each_table(path, "count(*)")


def _of_each_table(path: Path, asked: str) -> dict[str, int]:
    try:
        with closing(connect(path, "ro")) as link:
            names = [row[0] for row in link.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
            return {
                name: int(link.execute(f'SELECT coalesce({asked}, 0) FROM "{name}"').fetchone()[0])
                for name in names
                if not name.startswith("sqlite_")
            }
    except (NotSaved, sqlite3.DatabaseError):
        return {}


def copies(folder: Folder) -> list[Path]:
    """The copies of the last days, the newest first."""
    return sorted((folder.bin / "book").glob("*.sqlite3"), reverse=True)


def _copy_of_the_day(folder: Folder, today: date) -> str:
    """Keep a copy of the day and the six before it; returns a sentence when that failed."""
    target = folder.bin / "book" / f"{today.isoformat()}.sqlite3"
    if target.exists() or not any(counted(folder.book).values()):
        return ""
    try:
        with atomic_write.beside(target) as part:
            copy_book(folder.book, part)
        kept = sorted(copies(folder), key=lambda path: path.stem <= today.isoformat(), reverse=True)
        for old in kept[COPIES_KEPT:]:  # of days to come first: a clock went wrong
            old.unlink(missing_ok=True)
    except (BlendlabError, OSError) as problem:
        return f"The copy of the book for today could not be made: {problem}"
    return ""


def _lost(folder: Folder) -> str:
    """What the present file lacks of its last copy, in words; "" for nothing."""
    path, kept = folder.book, copies(folder)
    log = path.with_name(path.name + LOGS[0])
    if not path.exists() and log.exists() and log.stat().st_size:
        return "its file is gone, only the log beside it is there"
    before = _of_each_table(kept[0], "max(id)") if kept else {}
    if not any(before.values()):
        return ""
    if not path.exists():
        return f"its file is gone; the copy of {kept[0].stem} is in bin"
    now = _of_each_table(path, "max(id)")
    if any(now.get(table, 0) < last for table, last in before.items()):
        return f"lines are missing that the copy of {kept[0].stem} in bin still has"
    return ""


# --- another book in the place of the present one -----------------------------------------------------


@contextmanager
def replacement(folder: Folder) -> Iterator[Path]:
    """Where a new book is to be written; when the block ends well it takes the place of the present one.

    The present file, its log and its daily copies move to ``bin/book-until-<moment>`` first. A cut in
    between is carried on at the next opening.
    """
    with atomic_write.locked(folder.root):
        try:
            with atomic_write.beside(folder.root / READY) as part:
                yield part
        except sqlite3.OperationalError as problem:
            raise refused(folder.book, problem) from problem
        put_in_place(folder)


def put_in_place(folder: Folder) -> Path | None:
    """Carry out a replacement that is ready; returns where the book before it lies. The lock is held."""
    ready = folder.root / READY
    if not ready.exists():
        return None
    moment = datetime.fromtimestamp(int(ready.stat().st_mtime), UTC)
    kept = folder.bin / f"book-until-{moment:%Y-%m-%dT%H%M%S}"
    try:
        for ending in ("", *LOGS):
            old = folder.book.with_name(folder.book.name + ending)
            if old.exists():
                atomic_write.set_aside(old, kept)
        for copy in copies(folder):
            atomic_write.set_aside(copy, kept)
        atomic_write.swap(ready, folder.book)
    except OSError as problem:
        raise NotSaved(str(folder.book), atomic_write.reason(problem)) from problem
    return kept

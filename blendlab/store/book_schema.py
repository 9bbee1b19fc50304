"""The file of the book: SQLite with a write-ahead log, its tables, triggers and migrations.

Every table is append-only: a line is never changed or taken out, a correction is a new line that
points at the one it corrects. Masses are whole tenths of a milligram, so that sums are exact.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path

from blendlab.errors import BadDocument, NewerFormat, NotSaved, Problem
from blendlab.store import atomic_write

BUSY_SECONDS = 10.0
_UNNAMED = (sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN)
"""Codes by which SQLite answers a full disk too, where it is no page of the book that finds no room."""
UNITS_PER_GRAM = 10_000
MOST_UNITS = 10**12
"""No line of the book is about more: a hundred tonnes."""
WAL_TRIES = 50

FIRST = """
CREATE TABLE lots (
    id INTEGER PRIMARY KEY, code TEXT NOT NULL CHECK (code <> ''), item TEXT NOT NULL, name TEXT NOT NULL,
    supplier TEXT NOT NULL, received TEXT, expiry TEXT, data TEXT NOT NULL, at TEXT NOT NULL,
    corrects INTEGER UNIQUE REFERENCES lots(id));
CREATE UNIQUE INDEX lot_codes ON lots(item, code) WHERE corrects IS NULL;
CREATE TABLE batches (
    id INTEGER PRIMARY KEY, code TEXT NOT NULL UNIQUE CHECK (code <> ''), kind TEXT NOT NULL
    CHECK (kind IN ('base', 'jars')), name TEXT NOT NULL, made_on TEXT NOT NULL, plan TEXT NOT NULL,
    design TEXT NOT NULL, at TEXT NOT NULL);
CREATE TABLE weighings (
    id INTEGER PRIMARY KEY, batch INTEGER NOT NULL REFERENCES batches(id), line TEXT NOT NULL,
    part INTEGER NOT NULL DEFAULT 1, lot INTEGER REFERENCES lots(id), planned INTEGER NOT NULL,
    weighed INTEGER NOT NULL CHECK (weighed >= 0), scale TEXT NOT NULL, note TEXT NOT NULL,
    at TEXT NOT NULL, corrects INTEGER UNIQUE REFERENCES weighings(id));
CREATE UNIQUE INDEX weighed_once ON weighings(batch, line, part) WHERE corrects IS NULL;
CREATE TABLE movements (
    id INTEGER PRIMARY KEY, lot INTEGER NOT NULL REFERENCES lots(id), units INTEGER NOT NULL,
    why TEXT NOT NULL CHECK (why IN ('received', 'made', 'draw', 'correction', 'waste', 'count')),
    batch INTEGER REFERENCES batches(id), weighing INTEGER REFERENCES weighings(id),
    note TEXT NOT NULL, at TEXT NOT NULL);
CREATE INDEX movements_of_lot ON movements(lot);
CREATE TABLE entries (
    id INTEGER PRIMARY KEY, batch INTEGER REFERENCES batches(id), kind TEXT NOT NULL, subject TEXT NOT NULL,
    data TEXT NOT NULL, at TEXT NOT NULL, corrects INTEGER UNIQUE REFERENCES entries(id));
CREATE INDEX entries_of_batch ON entries(batch, kind);
"""
TABLES = ("lots", "batches", "weighings", "movements", "entries")
_TRIGGER = """
CREATE TRIGGER {table}_never_{verb} BEFORE {action} ON {table}
BEGIN SELECT RAISE(ABORT, 'the book is never changed, only added to'); END;
"""


def _triggers() -> str:
    verbs = (("changed", "UPDATE"), ("deleted", "DELETE"))
    return "".join(_TRIGGER.format(table=t, verb=v, action=a) for t in TABLES for v, a in verbs)


INDEXES = """
CREATE INDEX weighings_of_batch ON weighings(batch);
CREATE INDEX weighings_of_lot ON weighings(lot);
CREATE INDEX movements_of_batch ON movements(batch);
CREATE INDEX sums_of_lots ON movements(lot, why, at, units);
DROP INDEX movements_of_lot;
CREATE INDEX entries_of_kind ON entries(kind, batch);
CREATE INDEX batches_of_design ON batches(CASE WHEN json_valid(design) THEN json_extract(design, '$.id') END);
CREATE INDEX batches_in_lists ON batches(id, code, kind, name, made_on, at);
"""
"""By what the book is asked; the last holds what a list shows, apart from plans that are thousands long."""


BASE_OF = "CASE WHEN json_valid(design) THEN json_extract(design, '$.base.id') END"
"""Id of the base that a batch is made of, as its index has it."""
OF_BASES = f"CREATE INDEX batches_of_base ON batches({BASE_OF});"

LOT_CODES = "DROP INDEX lot_codes; CREATE INDEX lot_codes ON lots(item, code);"
"""A code that was corrected away is free again; `book_lines.insert_lot` keeps those that stand apart."""

MIGRATIONS = (FIRST + _triggers(), INDEXES, OF_BASES, LOT_CODES)
"""Script that leads from each version of the schema to the next; the first from an empty file."""


def connect(path: Path, mode: str = "rwc") -> sqlite3.Connection:
    """A connection that is durable at every commit and keeps foreign keys.

    mode  "rwc" to write, "ro" to look only

    Raises NotSaved when the file cannot be opened at all.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        link = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={mode}",
            timeout=BUSY_SECONDS,
            isolation_level=None,
            check_same_thread=False,
            uri=True,
        )
        link.row_factory = sqlite3.Row
        link.text_factory = _text
        link.execute("PRAGMA foreign_keys = ON")
        link.execute("PRAGMA synchronous = FULL")
        link.execute("PRAGMA recursive_triggers = ON")
    except OSError as problem:
        raise NotSaved(str(path), atomic_write.reason(problem)) from problem
    except sqlite3.OperationalError as problem:
        raise refused(path, problem) from problem
    return link


def _code(problem: sqlite3.Error) -> int:
    """The primary code of an error of SQLite; 0 for one of the module around it."""
    return int(getattr(problem, "sqlite_errorcode", 0)) & 0xFF


def _is_full(path: Path, problem: sqlite3.Error) -> bool:
    code = _code(problem)
    return code == sqlite3.SQLITE_FULL or (code in _UNNAMED and atomic_write.no_room(path))


def refused(path: Path, problem: sqlite3.Error) -> NotSaved:
    """Why SQLite did not write a file, or could not open it to read, in words."""
    code = _code(problem)
    if _is_full(path, problem):
        return NotSaved(str(path), atomic_write.FULL)
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return NotSaved(str(path), "another window holds the book")
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM):
        return NotSaved(str(path), atomic_write.READ_ONLY)
    return NotSaved(str(path), str(problem))


def _text(data: bytes) -> str:
    """Text of the book; what is no text comes as marks of replacement instead of hiding its line."""
    return data.decode("utf-8", "replace")


_held: ContextVar[tuple[Path, sqlite3.Connection] | None] = ContextVar("transaction", default=None)
"""The transaction that is being written, and of which book."""


def _held_of(path: Path) -> sqlite3.Connection | None:
    held = _held.get()
    return held[1] if held is not None and held[0] == path else None


@contextmanager
def writing(path: Path) -> Iterator[sqlite3.Connection]:
    """One transaction that holds the write lock from its start: all of it or nothing.

    Inside another of the same book it is part of that one, and what is read there sees what it wrote.

    Raises NotSaved when another window holds the lock too long or the disk refuses, NewerFormat for a
    book of a newer version, which is only looked at.
    """
    if (held := _held_of(path)) is not None:
        yield held
        return
    with closing(connect(path)) as link:
        _run(link, path, "BEGIN IMMEDIATE")
        begun = _held.set((path, link))
        try:
            _refuse_newer(link)
            yield link
        except sqlite3.Error as problem:
            link.rollback()  # nothing, where a full disk made SQLite do so already
            raise refused(path, problem) from problem
        except BaseException:
            link.rollback()
            raise
        finally:
            _held.reset(begun)
        _run(link, path, "COMMIT")


def _run(link: sqlite3.Connection, path: Path, statement: str) -> None:
    try:
        link.execute(statement)
    except sqlite3.OperationalError as problem:
        link.rollback()
        raise refused(path, problem) from problem


@contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection]:
    """One consistent view of the book.

    Raises BadDocument where its tables are not as they must be, NotSaved where a full disk lets nobody look.
    """
    if (held := _held_of(path)) is not None:
        yield held
        return
    try:
        with closing(connect(path, "ro")) as link:
            link.execute("BEGIN")
            yield link
            link.execute("ROLLBACK")
    except sqlite3.Error as problem:
        if _is_full(path, problem):
            raise refused(path, problem) from problem
        raise BadDocument("book", [Problem("", str(problem))]) from problem


def version(link: sqlite3.Connection) -> int:
    """Version of the schema in a file; 0 for an empty one."""
    return int(link.execute("PRAGMA user_version").fetchone()[0])


def _refuse_newer(link: sqlite3.Connection) -> None:
    """Raise NewerFormat for a book of a newer version."""
    have = version(link)
    if have > len(MIGRATIONS):
        raise NewerFormat("book", have, len(MIGRATIONS))


def newer(path: Path) -> str:
    """A sentence when a newer version wrote the book, else ""; nothing of the file is touched."""
    if not path.exists():
        return ""
    try:
        with closing(connect(path, "ro")) as link:
            _refuse_newer(link)
    except NewerFormat as problem:
        return f"{problem} It can be looked at; nothing is written to it."
    except (NotSaved, sqlite3.Error):  # told, or set aside, when it is opened to write
        return ""
    return ""


def migrate(path: Path, backup: Path) -> None:
    """Bring a file to the present schema; what was there before is copied to `backup` first.

    Raises NewerFormat for a file of a newer version, NotSaved when it cannot be written.
    """
    try:
        with closing(connect(path)) as link:
            _refuse_newer(link)
            have = version(link)
            _wal(link)
            if have == len(MIGRATIONS):
                return
            if have:
                backup.mkdir(parents=True, exist_ok=True)
                with closing(sqlite3.connect(backup / f"book-v{have}.sqlite3")) as copy:
                    link.backup(copy)
            for number, script in enumerate(MIGRATIONS[have:], start=have + 1):
                link.executescript(f"BEGIN IMMEDIATE; {script} PRAGMA user_version = {number}; COMMIT;")
    except sqlite3.OperationalError as problem:
        raise refused(path, problem) from problem


def _wal(link: sqlite3.Connection) -> None:
    """Turn the write-ahead log on; another window that opens the same file may hold it for a moment."""
    for _ in range(WAL_TRIES - 1):
        try:
            link.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError:
            time.sleep(0.02)
    link.execute("PRAGMA journal_mode = WAL")


def fault(path: Path) -> str:
    """What is wrong with the file, in words; "" for a readable book or no file."""
    if not path.exists():
        return ""
    try:
        if not path.stat().st_size:
            return "its file is empty"
        with closing(connect(path)) as link:
            found = link.execute("PRAGMA quick_check").fetchone()[0]
            if found != "ok":
                return f"its pages do not fit together ({found})"
            have = version(link)
            tables = {row[0] for row in link.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    except sqlite3.OperationalError as problem:
        raise refused(path, problem) from problem
    except sqlite3.DatabaseError as problem:
        return str(problem)
    if tables and not have:
        return "it is another program's file"
    if have == len(MIGRATIONS) and not set(TABLES) <= tables:
        return "tables are missing"
    return ""


def foreign(path: Path) -> str:
    """Whether a book has tables, indexes or triggers that this program does not make, in words; "" if not.

    What a stranger wrote into them would run with every line she writes.
    """
    with closing(connect(path, "ro")) as link:
        made = _shape_of(version(link))
        odd = sorted(name for _, name, _ in made ^ _shape(link))
    return f"its tables are not those this program makes ({odd[0]})" if odd else ""


@cache
def _shape_of(have: int) -> frozenset[tuple[str, str, str]]:
    with closing(sqlite3.connect(":memory:")) as link:
        for script in MIGRATIONS[:have]:
            link.executescript(script)
        return _shape(link)


def _shape(link: sqlite3.Connection) -> frozenset[tuple[str, str, str]]:
    """Type, name and text of everything a file is made of; what SQLite adds by itself is left out."""
    made = link.execute("SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return frozenset((str(kind), str(name), str(sql)) for kind, name, sql in made)

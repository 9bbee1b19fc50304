"""A damaged book: what of it can be read goes into a new one, on her word; the damaged file is kept.

Lines come from the damaged file and from the daily copies: the book is only added to, so that a line
that stands in both is the same. Nothing is made up: what other lines speak of and nobody can read
becomes a batch or lot that says so, and a code that was seen is never given a second time.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from blendlab.errors import NotSaved
from blendlab.store import atomic_write, book_file, book_schema
from blendlab.store.book_schema import connect, version
from blendlab.store.folder import Folder

LONGEST_GAP = 20_000
"""Numbers in a row that nobody can read, after which a table is taken to be at its end."""
EMPTY: Mapping[str, Any] = {"kind": "jars", "plan": "{}", "design": "{}", "data": "{}"}
"""What a line says that stands for a lost one; every other text is empty, every other number 0."""
CODE = re.compile(rb"(?<!\d)(\d{5}[A-HJ-NP-Z])(?![A-Zac-ik-z\d])")
"""Day and letter of a batch code as it lies in the bytes of a book."""

Row = dict[str, Any]
Rows = dict[str, dict[int, Row]]


@dataclass(frozen=True)
class Rescued:
    """What became of a damaged book.

    lines  lines of the new book by table
    lost   numbers by table that other lines speak of or that lie between others, and nobody can read
    codes  codes that were seen and whose batch cannot be read; they are not given again
    """

    lines: dict[str, int]
    lost: dict[str, int]
    codes: tuple[str, ...]

    @property
    def told(self) -> str:
        """All of it in a sentence."""
        came = ", ".join(f"{count} {table}" for table, count in self.lines.items() if count) or "nothing"
        lost = ", ".join(f"{count} {table}" for table, count in self.lost.items() if count) or "nothing"
        seen = f" Codes seen without their batch: {', '.join(self.codes)}." if self.codes else ""
        return f"In the new book: {came}. Known to be lost: {lost}.{seen} The damaged file lies in bin."


def begin_anew(folder: Folder) -> None:
    """Begin an empty book; the one before it moves to the bin with its copies. Raises NotSaved."""
    with book_file.replacement(folder) as fresh:
        book_file.finish(fresh)


def rescue(folder: Folder) -> Rescued:
    """Write a new book of every line that can be read; the damaged one moves to the bin. Raises NotSaved."""
    with atomic_write.elsewhere() as work:
        sources = [*book_file.copies(folder)]
        if folder.book.exists():
            sources.insert(0, book_file.copied(folder.book, work))
        have, rows = _read(sources)
        with book_file.replacement(folder) as fresh:
            return _written(fresh, have, rows, _codes(work))


# --- reading ------------------------------------------------------------------------------------------


def _read(sources: Iterable[Path]) -> tuple[int, Rows]:
    """Version of the schema, and every line of every table that any of the files still has."""
    have, found = 0, Rows()
    for source in sources:
        with suppress(sqlite3.DatabaseError, NotSaved), closing(connect(source)) as link:
            have = have or version(link)
        with suppress(sqlite3.DatabaseError, NotSaved), closing(connect(source)) as link:
            for table in book_schema.TABLES:
                for row in _lines(link, table):
                    found.setdefault(table, {}).setdefault(int(row["id"]), row)
    known = len(book_schema.MIGRATIONS)
    return have if 0 < have <= known else known, found


def _lines(link: sqlite3.Connection, table: str) -> Iterator[Row]:
    """Every line of a table that can be read; round a broken page each number is asked for by itself."""
    last = 0
    try:
        for row in link.execute(f"SELECT * FROM {table} ORDER BY id"):
            last = int(row["id"])
            yield dict(row)
        return
    except sqlite3.DatabaseError:
        pass
    missed, number = 0, last
    while missed < LONGEST_GAP:
        number, missed = number + 1, missed + 1
        with suppress(sqlite3.DatabaseError):
            row = link.execute(f"SELECT * FROM {table} WHERE id = ?", (number,)).fetchone()
            if row is not None:
                missed = 0
                yield dict(row)


def _codes(work: Path) -> set[str]:
    """Codes of batches that lie in the bytes of a damaged book, readable or not."""
    seen = (CODE.findall(path.read_bytes()) for path in work.iterdir())
    return {code.decode() for codes in seen for code in codes if _is_day(code.decode())}


def _is_day(code: str) -> bool:
    """Whether a code can be of a day on which a batch was made: five years back to tomorrow."""
    year, day = 2000 + int(code[:2]), int(code[2:5])
    if not 0 < day < 367:
        return False
    made, today = date(year, 1, 1) + timedelta(days=day - 1), date.today()
    return today - timedelta(days=5 * 366) < made <= today + timedelta(days=1)


# --- writing ------------------------------------------------------------------------------------------


def _written(fresh: Path, have: int, rows: Rows, codes: set[str]) -> Rescued:
    """A book of the version its lines have, brought to the present one at the end."""
    with closing(sqlite3.connect(fresh, isolation_level=None)) as link:
        for script in book_schema.MIGRATIONS[:have]:
            link.executescript(script)
        link.execute(f"PRAGMA user_version = {have}")
        link.execute("PRAGMA foreign_keys = OFF")
        link.execute("BEGIN")
        refused = {table: _insert(link, table, found.values()) for table, found in rows.items()}
        lost = {table: _gaps(found) + refused[table] for table, found in rows.items()}
        _mend(link)
        unknown = sorted(codes - _known_codes(link))
        for code in unknown:
            _stand_in(link, "batches", None, code)
        link.execute("COMMIT")
    book_file.finish(fresh)
    return Rescued(book_file.counted(fresh), lost, tuple(unknown))


def _gaps(found: Mapping[int, Row]) -> int:
    """Numbers up to the last one that are missing."""
    return max(found, default=0) - len(found)


def _insert(link: sqlite3.Connection, table: str, rows: Iterable[Row]) -> int:
    """Write lines with the numbers they had; returns how many the table refused."""
    columns, refused = _columns(link, table), 0
    for row in sorted(rows, key=lambda each: int(each["id"])):
        kept = [name for name in row if name in columns]
        marks = ",".join("?" * len(kept))
        try:
            link.execute(
                f"INSERT INTO {table} ({','.join(kept)}) VALUES ({marks})", [row[name] for name in kept]
            )
        except sqlite3.IntegrityError:
            refused += 1
    return refused


def _columns(link: sqlite3.Connection, table: str) -> dict[str, sqlite3.Row]:
    return {column[1]: column for column in link.execute(f"PRAGMA table_info({table})")}


def _mend(link: sqlite3.Connection) -> None:
    """Let every reference lead somewhere: to a line that stands for a lost lot or batch, else nowhere."""
    for table, number, parent, key in link.execute("PRAGMA foreign_key_check").fetchall():
        column = link.execute(f"PRAGMA foreign_key_list({table})").fetchall()
        name = next(reference[3] for reference in column if reference[0] == key)
        (wanted,) = link.execute(f"SELECT {name} FROM {table} WHERE id = ?", (number,)).fetchone()
        if parent in ("lots", "batches"):
            _stand_in(link, parent, wanted, f"lost-{wanted}")
        else:
            _let_go(link, table, name, number)


def _stand_in(link: sqlite3.Connection, table: str, number: int | None, code: str) -> None:
    values: Row = {"id": number, "code": code}
    for name, column in _columns(link, table).items():
        if name not in values and column[3] and column[4] is None:
            values[name] = EMPTY.get(name, 0 if column[2] == "INTEGER" else "")
    marks = ",".join("?" * len(values))
    statement = f"INSERT OR IGNORE INTO {table} ({','.join(values)}) VALUES ({marks})"
    link.execute(statement, list(values.values()))


def _let_go(link: sqlite3.Connection, table: str, name: str, number: int) -> None:
    """A reference to a lost line is left empty; the new book is not closed to changes before it is whole."""
    trigger = f"{table}_never_changed"
    (made,) = link.execute("SELECT sql FROM sqlite_master WHERE name = ?", (trigger,)).fetchone()
    link.execute(f"DROP TRIGGER {trigger}")
    link.execute(f"UPDATE {table} SET {name} = NULL WHERE id = ?", (number,))
    link.execute(made)


def _known_codes(link: sqlite3.Connection) -> set[str]:
    return {str(code).partition("-")[0] for (code,) in link.execute("SELECT code FROM batches")}

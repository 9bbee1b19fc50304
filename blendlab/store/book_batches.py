"""Reading the batches of the book: their lists, and everything written down about one."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any, TypeVar

from blendlab.batch.sheet import Plan, plan_from
from blendlab.codec import Noun, decode, moment, number, object_in
from blendlab.errors import BadDocument, UnknownName
from blendlab.store import book_plans
from blendlab.store.book import Book
from blendlab.store.book_entries import checked
from blendlab.store.book_lines import to_grams
from blendlab.store.book_schema import MOST_UNITS, reading

T = TypeVar("T")


@dataclass(frozen=True)
class BatchLine:
    """A batch in a list."""

    code: str
    kind: str
    name: str
    made_on: date
    at: str


@dataclass(frozen=True)
class Weighing:
    """One line that was weighed. `corrected`: a later line corrects it."""

    number: int
    line: str
    part: int
    lot: int | None
    planned_g: float
    weighed_g: float
    scale: str
    note: str
    at: str
    corrects: int | None
    corrected: bool

    @property
    def stands(self) -> bool:
        """Whether its grams are in the batch: not corrected later, and not thrown away."""
        return not self.corrected and self.weighed_g > 0


@dataclass(frozen=True)
class Entry:
    """One entry beside the weighings.

    corrected  a later entry corrects it
    first      number of the line that it corrects in the end, its own where it corrects none
    """

    number: int
    kind: str
    subject: str
    data: dict[str, Any]
    at: str
    corrects: int | None
    corrected: bool
    first: int

    @property
    def stands(self) -> bool:
        """Whether it counts: not corrected later, and not taken back."""
        return not self.corrected and not self.data.get("withdrawn")


@dataclass(frozen=True)
class BatchLog:
    """What was written down about a batch, oldest first, corrected lines included.

    unread  sentences about lines that cannot be read; with one of them nothing is known to be complete
    """

    line: BatchLine
    weighings: tuple[Weighing, ...]
    entries: tuple[Entry, ...]
    unread: tuple[str, ...]

    @property
    def weighed(self) -> dict[str, float]:
        """Line id -> grams that went in; corrections counted, what was thrown away left out."""
        return self._sums(lambda weighing: weighing.weighed_g)

    @property
    def asked(self) -> dict[str, float]:
        """Line id -> grams it was asked for when it was weighed; nothing for what was thrown away."""
        return self._sums(lambda weighing: weighing.planned_g)

    def _sums(self, grams: Callable[[Weighing], float]) -> dict[str, float]:
        found: dict[str, float] = {}
        for weighing in self.weighings:
            if weighing.stands:
                found[weighing.line] = round(found.get(weighing.line, 0.0) + grams(weighing), 9)
        return found

    @property
    def ticked(self) -> frozenset[str]:
        """Ids of steps that are ticked."""
        return frozenset(entry.subject for entry in self.of("tick"))

    def of(self, kind: str) -> tuple[Entry, ...]:
        """Entries of one kind that stand, oldest first; a corrected one in the place of its first line."""
        found = (entry for entry in self.entries if entry.kind == kind and entry.stands)
        return tuple(sorted(found, key=lambda entry: entry.first))

    def densities(self, subject: str) -> tuple[float, ...]:
        """Densities of a subject that were written down, oldest first [g/ml]."""
        return tuple(float(entry.data["g_ml"]) for entry in self.of("density") if entry.subject == subject)

    @property
    def filled_g(self) -> tuple[float, ...]:
        """Net grams of each filled jar."""
        return tuple(float(entry.data["net_g"]) for entry in self.of("fill"))

    @property
    def decision(self) -> str:
        """FOR_SALE, TEST_JARS, CALLED_BACK, or "" while it is open."""
        decided = self.of("release")
        return decided[-1].subject if decided else ""

    @property
    def sold(self) -> int:
        """Jars that were sold."""
        return sum(entry.data["jars"] for entry in self.of("sale"))


@dataclass(frozen=True)
class BatchPage(BatchLog):
    """Everything the book holds of a batch: its log, its plan, the design it was made of."""

    plan: Plan
    design: dict[str, Any]

    @property
    def sized(self) -> Plan:
        """The plan with every time that the rest of the batch was made bigger or smaller."""
        return book_plans.sized(self)

    @property
    def shared(self) -> Plan:
        """The plan of this size, its tones as they were told to share the real bowl."""
        return book_plans.shared(self)

    @property
    def asked(self) -> dict[str, float]:
        """As of the log, and 0 of each line that the bowl asked nothing of."""
        nothing = {entry.subject: 0.0 for entry in self.of("deviation") if entry.data.get("asks_g") == 0}
        return nothing | super().asked

    @property
    def now(self) -> Plan:
        """What every line and tone asks for in all: the plan of this size, lines the bowl asked for anew."""
        return book_plans.now(self)

    def told(self, entry: Entry) -> Plan:
        """The plan as it stood when an entry was first written: what the kitchen said then."""
        return book_plans.told(self, entry)


@dataclass(frozen=True, kw_only=True)
class _BatchRow(Noun):
    code: str
    kind: str
    name: str
    made_on: date
    at: str = moment()


@dataclass(frozen=True, kw_only=True)
class _WeighingRow(Noun):
    id: int
    line: str
    part: int = number(1, 1_000_000, "")
    lot: int | None
    planned: int = number(0, MOST_UNITS, "tenths of a milligram")
    weighed: int = number(0, MOST_UNITS, "tenths of a milligram")
    scale: str
    note: str
    at: str = moment()
    corrects: int | None


@dataclass(frozen=True, kw_only=True)
class _EntryRow(Noun):
    id: int
    kind: str
    subject: str
    data: str
    at: str = moment()
    corrects: int | None


def batches(book: Book, design_id: str | None = None) -> tuple[BatchLine, ...]:
    """All batches, or those of one design, newest first; `unread_batches` tells what cannot be read."""
    return _batches(book, design_id)[0]


def unread_batches(book: Book) -> tuple[str, ...]:
    """Sentences about batches whose line in the list cannot be read."""
    return _batches(book, None)[1]


def _batches(book: Book, design_id: str | None) -> tuple[tuple[BatchLine, ...], tuple[str, ...]]:
    asked = "CASE WHEN json_valid(design) THEN json_extract(design, '$.id') END = ?"
    wanted, values = ("", ()) if design_id is None else (f" WHERE {asked}", (design_id,))
    columns = "id, code, kind, name, made_on, at"
    with reading(book.path) as link:
        rows = link.execute(f"SELECT {columns} FROM batches{wanted} ORDER BY id DESC", values).fetchall()
    return readable(rows, "Batch", line_of)


def readable(
    rows: Iterable[sqlite3.Row], what: str, read: Callable[[sqlite3.Row], T]
) -> tuple[tuple[T, ...], tuple[str, ...]]:
    """The rows that can be read, and a sentence about each that cannot."""
    found, unread = [], []
    for row in rows:
        try:
            found.append(read(row))
        except (BadDocument, UnknownName) as problem:
            unread.append(f"{what}, line {row['id']} of the book: {problem}")
    return tuple(found), tuple(unread)


def line_of(row: sqlite3.Row) -> BatchLine:
    """A batch in a list."""
    return _line(row["code"], row["kind"], row["name"], row["made_on"], row["at"])


@lru_cache(maxsize=8192)
def _line(code: object, kind: object, name: object, made_on: object, at: object) -> BatchLine:
    """A batch in a line that is never changed; the Book reads all of them at every draw."""
    read = decode(_BatchRow, {"code": code, "kind": kind, "name": name, "made_on": made_on, "at": at})
    return BatchLine(read.code, read.kind, read.name, read.made_on, read.at)


def _plain(row: sqlite3.Row) -> Mapping[str, Any]:
    return dict(zip(row.keys(), row, strict=True))


def batch(book: Book, code: str) -> BatchPage:
    """One batch with everything written down about it.

    Raises UnknownName when there is none, BadDocument when its plan or its design cannot be read,
    NewerFormat for a plan of a later version.
    """
    row = _row(book, code)
    log = batch_log(book, code)
    plan = _plan(row["plan"])
    design = object_in("design", row["design"])
    return BatchPage(log.line, log.weighings, log.entries, log.unread, plan, design)


@lru_cache(maxsize=64)
def _plan(text: str) -> Plan:
    """The plan in a line that is never changed; reading it takes longer than all the rest of a batch."""
    return plan_from(object_in("batch sheet", text))


def batch_log(book: Book, code: str) -> BatchLog:
    """What was written down about a batch, readable without its plan.

    Raises UnknownName when there is none, BadDocument when not even its line in the list can be read.
    """
    row = _row(book, code)
    with reading(book.path) as link:
        weighed = link.execute("SELECT * FROM weighings WHERE batch = ? ORDER BY id", (row["id"],)).fetchall()
        written = link.execute("SELECT * FROM entries WHERE batch = ? ORDER BY id", (row["id"],)).fetchall()
    weighings, bad_weighings = readable(weighed, "Weighing", _weighing(weighed))
    entries, bad_entries = readable(written, "Entry", entry_reader(written))
    return BatchLog(line_of(row), weighings, entries, (*bad_weighings, *bad_entries))


def _row(book: Book, code: str) -> sqlite3.Row:
    with reading(book.path) as link:
        row: sqlite3.Row | None = link.execute("SELECT * FROM batches WHERE code = ?", (code,)).fetchone()
        if row is None:
            known = [found["code"] for found in link.execute("SELECT code FROM batches ORDER BY id DESC")]
            raise UnknownName("batch", code, known[:10])
    return row


def _weighing(rows: Iterable[sqlite3.Row]) -> Callable[[sqlite3.Row], Weighing]:
    gone = {row["corrects"] for row in rows}

    def read(row: sqlite3.Row) -> Weighing:
        kept = decode(_WeighingRow, _plain(row))
        return Weighing(
            kept.id,
            kept.line,
            kept.part,
            kept.lot,
            to_grams(kept.planned),
            to_grams(kept.weighed),
            kept.scale,
            kept.note,
            kept.at,
            kept.corrects,
            kept.id in gone,
        )

    return read


def entry_reader(rows: Iterable[sqlite3.Row]) -> Callable[[sqlite3.Row], Entry]:
    """Reads an entry among the rows that may correct it."""
    gone = {row["corrects"] for row in rows}
    first: dict[int, int] = {}
    for row in rows:
        first[row["id"]] = first.get(row["corrects"], row["id"])

    def read(row: sqlite3.Row) -> Entry:
        kept = decode(_EntryRow, _plain(row))
        data = checked(kept.kind, object_in("entry", kept.data))
        corrected = kept.id in gone
        return Entry(
            kept.id, kept.kind, kept.subject, data, kept.at, kept.corrects, corrected, first[kept.id]
        )

    return read

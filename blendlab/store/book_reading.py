"""Reading the book: lots with what is left, batches, search, and the chain in both directions."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from blendlab.batch.kitchen import enlarged
from blendlab.batch.sheet import Plan, thaw
from blendlab.codec import decode
from blendlab.errors import UnknownName
from blendlab.shelf import Lot
from blendlab.store.book import Book
from blendlab.store.book_lines import to_grams
from blendlab.store.book_schema import reading


@dataclass(frozen=True)
class LotLine:
    """A lot as it stands: its number, its latest description, grams received or made and left.

    batch  code of the batch it was cooked in, or ""
    data   what was written down with it
    """

    number: int
    lot: Lot
    came_g: float
    left_g: float
    batch: str
    data: dict[str, Any]

    @property
    def item(self) -> str:
        """Key of the thing on the shelf: "kind:id"."""
        return f"{self.lot.of.kind}:{self.lot.of.id}"


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


@dataclass(frozen=True)
class Entry:
    """One entry beside the weighings. `corrected`: a later entry corrects it."""

    number: int
    kind: str
    subject: str
    data: dict[str, Any]
    at: str
    corrects: int | None
    corrected: bool


@dataclass(frozen=True)
class BatchPage:
    """Everything the book holds of a batch, oldest first, corrected lines included."""

    line: BatchLine
    plan: Plan
    design: dict[str, Any]
    weighings: tuple[Weighing, ...]
    entries: tuple[Entry, ...]

    @property
    def weighed(self) -> dict[str, float]:
        """Line id -> grams that went in; corrections counted, what was thrown away left out."""
        found: dict[str, float] = {}
        for one in self.weighings:
            if not one.corrected and one.weighed_g > 0:
                found[one.line] = round(found.get(one.line, 0.0) + one.weighed_g, 9)
        return found

    @property
    def asked(self) -> dict[str, float]:
        """Line id -> grams it was asked for when it was weighed; nothing for what was thrown away."""
        found: dict[str, float] = {}
        for one in self.weighings:
            if not one.corrected and one.weighed_g > 0:
                found[one.line] = round(found.get(one.line, 0.0) + one.planned_g, 9)
        return found

    @property
    def now(self) -> Plan:
        """The plan with every time that the rest of the batch was made bigger."""
        grown = (float(one.data["enlarge_pct"]) for one in self.of("deviation") if "enlarge_pct" in one.data)
        return enlarged(self.plan, grown)

    @property
    def ticked(self) -> frozenset[str]:
        """Ids of steps that are ticked."""
        return frozenset(one.subject for one in self.of("tick"))

    def of(self, kind: str) -> tuple[Entry, ...]:
        """Entries of one kind that stand, oldest first."""
        return tuple(one for one in self.entries if one.kind == kind and not one.corrected)

    @property
    def filled_g(self) -> tuple[float, ...]:
        """Net grams of each filled jar."""
        return tuple(float(one.data["net_g"]) for one in self.of("fill"))


def lots(book: Book, item: str | None = None) -> tuple[LotLine, ...]:
    """Lots of one thing ("kind:id") or of all, with what is left; first to end first."""
    with reading(book.path) as link:
        rows = link.execute("SELECT id, data, corrects FROM lots ORDER BY id").fetchall()
        sums = link.execute(
            "SELECT lot, sum(units) AS left,"
            " sum(CASE WHEN why IN ('received', 'made') THEN units END) AS came FROM movements GROUP BY lot"
        ).fetchall()
    told: dict[int, dict[str, Any]] = {}
    first: dict[int, int] = {}
    for row in rows:
        number = row["id"] if row["corrects"] is None else first[row["corrects"]]
        first[row["id"]] = number
        told[number] = {**told.get(number, {}), **json.loads(row["data"])}
    units = {row["lot"]: (row["came"], row["left"]) for row in sums}
    found = [_lot_line(number, *units.get(number, (0, 0)), data) for number, data in told.items()]
    kept = [one for one in found if item is None or one.item == item]
    return tuple(sorted(kept, key=lambda one: (one.lot.expiry or date.max, one.number)))


def _lot_line(number: int, came: int | None, left: int | None, data: dict[str, Any]) -> LotLine:
    described = decode(Lot, data.pop("lot"))
    return LotLine(number, described, to_grams(came), to_grams(left), str(data.get("batch", "")), data)


def lot(book: Book, number: int) -> LotLine:
    """One lot by its number; UnknownName when there is none."""
    found = next((one for one in lots(book) if one.number == number), None)
    if found is None:
        raise UnknownName("lot", str(number), [])
    return found


def stock(book: Book) -> dict[str, float]:
    """Grams left of everything that was ever received: "kind:id" -> grams over all its lots."""
    found: dict[str, float] = {}
    for one in lots(book):
        found[one.item] = round(found.get(one.item, 0.0) + one.left_g, 9)
    return found


def next_lots(book: Book) -> dict[str, LotLine]:
    """The lot to take of each thing: the first to end that still holds something."""
    found: dict[str, LotLine] = {}
    for one in lots(book):
        if one.left_g > 0:
            found.setdefault(one.item, one)
    return found


def batches(book: Book, design_id: str | None = None) -> tuple[BatchLine, ...]:
    """All batches, or those of one design, newest first."""
    wanted = "" if design_id is None else " WHERE json_extract(design, '$.id') = ?"
    values = () if design_id is None else (design_id,)
    columns = "code, kind, name, made_on, at"
    with reading(book.path) as link:
        rows = link.execute(f"SELECT {columns} FROM batches{wanted} ORDER BY id DESC", values)
        return tuple(_line(row) for row in rows)


def _line(row: sqlite3.Row) -> BatchLine:
    return BatchLine(row["code"], row["kind"], row["name"], date.fromisoformat(row["made_on"]), row["at"])


def batch(book: Book, code: str) -> BatchPage:
    """One batch with everything written down about it; UnknownName when there is none."""
    with reading(book.path) as link:
        row = link.execute("SELECT * FROM batches WHERE code = ?", (code,)).fetchone()
        if row is None:
            raise UnknownName("batch", code, [one[0] for one in link.execute("SELECT code FROM batches")])
        weighed = link.execute("SELECT * FROM weighings WHERE batch = ? ORDER BY id", (row["id"],)).fetchall()
        written = link.execute("SELECT * FROM entries WHERE batch = ? ORDER BY id", (row["id"],)).fetchall()
    return BatchPage(
        _line(row),
        thaw(json.loads(row["plan"])),
        json.loads(row["design"]),
        _weighings(weighed),
        _entries(written),
    )


def _weighings(rows: Iterable[sqlite3.Row]) -> tuple[Weighing, ...]:
    kept = list(rows)
    gone = {row["corrects"] for row in kept}
    return tuple(
        Weighing(
            row["id"],
            row["line"],
            row["part"],
            row["lot"],
            to_grams(row["planned"]),
            to_grams(row["weighed"]),
            row["scale"],
            row["note"],
            row["at"],
            row["corrects"],
            row["id"] in gone,
        )
        for row in kept
    )


def _entries(rows: Iterable[sqlite3.Row]) -> tuple[Entry, ...]:
    kept = list(rows)
    gone = {row["corrects"] for row in kept}
    return tuple(
        Entry(
            row["id"],
            row["kind"],
            row["subject"],
            json.loads(row["data"]),
            row["at"],
            row["corrects"],
            row["id"] in gone,
        )
        for row in kept
    )


def families(book: Book) -> tuple[Entry, ...]:
    """Assessments of formula families that stand."""
    with reading(book.path) as link:
        rows = link.execute("SELECT * FROM entries WHERE kind = 'family' ORDER BY id").fetchall()
    return tuple(one for one in _entries(rows) if not one.corrected)


def readings(book: Book) -> tuple[Entry, ...]:
    """Readings of stability tests that stand, oldest first, of all families and batches."""
    with reading(book.path) as link:
        rows = link.execute("SELECT * FROM entries WHERE kind = 'reading' ORDER BY id").fetchall()
    return tuple(one for one in _entries(rows) if not one.corrected)


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
    hits = tuple(one for one in lots(book) if asked in f"{one.lot.code} {one.lot.name}".lower())
    touched = {code for one in hits for code in _taken_by(book, one.number)}
    touched |= {one.batch for one in hits if one.batch}
    named = (one for one in batches(book) if asked in f"{one.code} {one.name}".lower() or one.code in touched)
    return Found(tuple(named), hits)


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
    """A batch, the lots it took, and where cooked lots came from in their turn."""

    batch: BatchLine
    lots: tuple[LotLine, ...]
    behind: tuple[Origin, ...]


def backward(book: Book, code: str) -> Origin:
    """From a jar's code to its lots and their suppliers, through base lots to what they were cooked of."""
    page = batch(book, code)
    numbers = dict.fromkeys(one.lot for one in page.weighings if one.lot is not None and not one.corrected)
    taken = tuple(lot(book, one) for one in numbers)
    return Origin(page.line, taken, tuple(backward(book, one.batch) for one in taken if one.batch))


@dataclass(frozen=True)
class Reach:
    """A lot, the batches that took of it, their jars and sales, and lots that were cooked with it."""

    lot: LotLine
    batches: tuple[BatchLine, ...]
    jars: dict[str, int]
    sales: dict[str, tuple[dict[str, Any], ...]]
    onward: tuple[Reach, ...]


def forward(book: Book, number: int) -> Reach:
    """From a lot to its batches, jars and sales, through base lots to where they went."""
    pages = [batch(book, code) for code in _taken_by(book, number)]
    cooked = [one for one in lots(book) if one.batch in {page.line.code for page in pages}]
    return Reach(
        lot(book, number),
        tuple(page.line for page in pages),
        {page.line.code: len(page.filled_g) for page in pages},
        {page.line.code: tuple(one.data for one in page.of("sale")) for page in pages},
        tuple(forward(book, one.number) for one in cooked),
    )

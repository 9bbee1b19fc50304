"""Finding things in the book again: search, and the chain from jar to supplier and back."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from blendlab.codec import object_in, to_json
from blendlab.errors import BlendlabError, UnknownName
from blendlab.store.book import Book
from blendlab.store.book_batches import (
    BatchLine,
    Entry,
    batch_log,
    batches,
    unread_batches,
)
from blendlab.store.book_lines import to_grams
from blendlab.store.book_lists import entries_where, lines_of, unread_families
from blendlab.store.book_lots import LotLine, lots, unread_lots
from blendlab.store.book_sales import SaleLine, sale_lines
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
            "SELECT code FROM batches WHERE id IN (SELECT batch FROM weighings WHERE lot = ?"
            " AND NOT EXISTS (SELECT 1 FROM weighings AS later WHERE later.corrects = weighings.id))",
            (number,),
        )
        return tuple(row[0] for row in rows)


@dataclass(frozen=True)
class Origin:
    """A batch, the lots it took, and where cooked lots came from in their turn.

    grams   that it took of each lot by its number, by the book
    unread  sentences about what of the chain cannot be read
    """

    batch: BatchLine
    lots: tuple[LotLine, ...]
    behind: tuple[Origin, ...]
    unread: tuple[str, ...] = ()
    grams: Mapping[int, float] = field(default_factory=dict)


def backward(book: Book, code: str) -> Origin:
    """From a jar's code to its lots and their suppliers, through base lots to what they were cooked of."""
    return _backward(book, code, {line.number: line for line in lots(book)}, frozenset())


def _backward(book: Book, code: str, known: Mapping[int, LotLine], seen: frozenset[str]) -> Origin:
    log = batch_log(book, code)
    told = list(log.unread)
    drawn = [weighing.lot for weighing in log.weighings if not weighing.corrected]
    drawn += [pot.data.get("lot") for pot in log.of("pot")]
    numbers = dict.fromkeys(number for number in drawn if number is not None)
    taken = tuple(known[number] for number in numbers if number in known)
    told += [f"Lot {number} cannot be read." for number in numbers if number not in known]
    behind = []
    for line in taken:
        if line.batch and line.batch not in {code, *seen}:
            try:
                behind.append(_backward(book, line.batch, known, seen | {code}))
            except BlendlabError as problem:
                told.append(f"Lot {line.lot.code}: {problem}")
    return Origin(log.line, taken, tuple(behind), tuple(told), _took(book, code))


def _took(book: Book, code: str) -> dict[int, float]:
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT lot, -sum(units) AS units FROM movements"
            " WHERE batch = (SELECT id FROM batches WHERE code = ?) AND why IN ('draw', 'correction')"
            " GROUP BY lot HAVING sum(units) <> 0",
            (code,),
        )
        return {row["lot"]: to_grams(row["units"]) for row in rows}


def unnamed(book: Book, item: str) -> tuple[str, ...]:
    """Codes of batches that weighed a thing ("kind:id") and named no lot of it, oldest first."""
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT code, plan, group_concat(line, char(10)) AS lines FROM batches JOIN weighings"
            " ON weighings.batch = batches.id WHERE lot IS NULL AND weighed > 0 AND instr(plan, ?)"
            " AND NOT EXISTS (SELECT 1 FROM weighings AS later WHERE later.corrects = weighings.id)"
            " GROUP BY batches.id ORDER BY batches.id",
            (f'"{item}"',),
        )
        return tuple(row["code"] for row in rows if _weighs(row, item))


def diluted_in(book: Book, item: str) -> tuple[str, ...]:
    """Codes of batches that weighed something as a dilution in a thing ("kind:id"), oldest first.

    The lot of the pure thing stands with the weighing; of which lot its carrier was, no line says.
    """
    kind, _, name = item.partition(":")
    reference = to_json("reference", {"carrier": {"id": name, "kind": kind}})
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT code, plan, design, group_concat(line, char(10)) AS lines FROM batches JOIN weighings"
            " ON weighings.batch = batches.id WHERE weighed > 0 AND instr(design, ?)"
            " AND NOT EXISTS (SELECT 1 FROM weighings AS later WHERE later.corrects = weighings.id)"
            " GROUP BY batches.id ORDER BY batches.id",
            (reference.strip("{}"),),
        )
        return tuple(row["code"] for row in rows if _weighs_diluted(row, kind, name))


def _weighs_diluted(row: sqlite3.Row, kind: str, name: str) -> bool:
    """Whether a line was weighed of a stock in that carrier; what cannot be read may be."""
    try:
        stocks = object_in("design", row["design"])["batch"]["dilutions"]
        lines = object_in("batch sheet", row["plan"])["lines"]
        mine = (
            stock["of"]
            for stock in stocks
            if (stock["carrier"]["kind"], stock["carrier"]["id"]) == (kind, name)
        )
        thin = {f"{pure['kind']}:{pure['id']}" for pure in mine}
        weighed = {line["id"] for line in lines if line["item"] in thin and line["stock_pct"] < 100}
    except (BlendlabError, KeyError, TypeError):
        return True
    return not weighed.isdisjoint(row["lines"].split("\n"))


def filled_up_of_none(book: Book) -> tuple[str, ...]:
    """Codes of batches into whose pot water was filled up of no named lot, oldest first."""
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT DISTINCT code FROM batches JOIN entries AS entry ON entry.batch = batches.id"
            " WHERE entry.kind = 'pot'"
            " AND CASE WHEN json_valid(data) THEN json_extract(data, '$.water_g') > 0"
            " AND json_extract(data, '$.lot') IS NULL AND json_extract(data, '$.withdrawn') IS NOT 1 END"
            " AND NOT EXISTS (SELECT 1 FROM entries AS later WHERE later.corrects = entry.id)"
            " ORDER BY batches.id",
        )
        return tuple(row["code"] for row in rows)


def _weighs(row: sqlite3.Row, item: str) -> bool:
    """Whether one of the lines that named no lot is of that thing; what cannot be read may be."""
    try:
        lines = object_in("batch sheet", row["plan"])["lines"]
        of = {line["id"]: line["item"] for line in lines}
    except (BlendlabError, KeyError, TypeError):
        return True
    return any(of.get(line) == item for line in row["lines"].split("\n"))


@dataclass(frozen=True)
class Reach:
    """A lot, the batches that took of it, their jars and sales, and lots that were cooked with it.

    grams   that each batch took of the lot, by the book
    jars    that were weighed of each batch
    unread  sentences about batches and lines of them that cannot be read
    """

    lot: LotLine
    batches: tuple[BatchLine, ...]
    grams: dict[str, float]
    jars: dict[str, int]
    sales: dict[str, tuple[SaleLine, ...]]
    onward: tuple[Reach, ...]
    unread: tuple[str, ...] = ()


def forward(book: Book, number: int) -> Reach:
    """From a lot to its batches, jars and sales, through base lots to where they went.

    Raises UnknownName for a lot that is not there or cannot be read.
    """
    known = lots(book)
    start = next((line for line in known if line.number == number), None)
    if start is None:
        raise UnknownName("lot", str(number), [])
    with reading(book.path) as link:
        reach = _forward(link, start, known, frozenset())
    unknown = (f"Whether this belongs here is not known. {sentence}" for sentence in unread_lots(book))
    return replace(reach, unread=(*reach.unread, *unknown))


def _forward(
    link: sqlite3.Connection, start: LotLine, known: Sequence[LotLine], seen: frozenset[int]
) -> Reach:
    numbers, seen = _batches_of(link, start.number), seen | {start.number}
    found, told = lines_of(link, numbers)
    codes = {number: line.code for number, line in found.items()}
    (said, unread), filled = _said(link, numbers), _filled(link, numbers)
    cooked = [line for line in known if line.batch in codes.values() and line.number not in seen]
    return Reach(
        start,
        tuple(found.values()),
        {codes[number]: grams for number, grams in _drawn(link, start.number).items() if number in codes},
        {code: filled.get(number, 0) for number, code in codes.items()},
        {code: sale_lines(code, said[number]) for number, code in codes.items()},
        tuple(_forward(link, line, known, seen) for line in cooked),
        (*told, *(f"Batch {codes.get(number or 0, number)}: {sentence}" for number, sentence in unread)),
    )


def _batches_of(link: sqlite3.Connection, lot: int) -> tuple[int, ...]:
    rows = link.execute(
        "SELECT batch FROM weighings WHERE lot = ?"
        " AND NOT EXISTS (SELECT 1 FROM weighings AS later WHERE later.corrects = weighings.id)"
        " UNION SELECT batch FROM movements"
        " WHERE lot = ? AND why IN ('draw', 'correction') AND weighing IS NULL AND batch IS NOT NULL"
        " GROUP BY batch HAVING sum(units) < 0 ORDER BY batch",
        (lot, lot),
    )
    return tuple(row[0] for row in rows)


def _drawn(link: sqlite3.Connection, lot: int) -> dict[int, float]:
    """Number of a batch -> grams it drew from a lot, corrections counted."""
    rows = link.execute(
        "SELECT batch, -sum(units) AS units FROM movements"
        " WHERE lot = ? AND batch IS NOT NULL AND why IN ('draw', 'correction') GROUP BY batch",
        (lot,),
    )
    return {row["batch"]: to_grams(row["units"]) for row in rows}


def _said(
    link: sqlite3.Connection, numbers: Sequence[int]
) -> tuple[Mapping[int, Sequence[Entry]], tuple[tuple[int | None, str], ...]]:
    """What was written about sales of some batches, and sentences about what of it cannot be read."""
    wanted = (
        "kind IN ('sale', 'return', 'fill') AND batch IN (SELECT value FROM json_each(?))"
        " AND (kind <> 'fill' OR NOT json_valid(data))"
    )
    found, unread = entries_where(link, wanted, (json.dumps(numbers),))
    said: dict[int, list[Entry]] = {number: [] for number in numbers}
    for batch, entry in found:
        said[batch or 0].append(entry)
    return said, unread


def _filled(link: sqlite3.Connection, numbers: Sequence[int]) -> dict[int, int]:
    """Number of a batch -> jars that were weighed of it."""
    rows = link.execute(
        "SELECT batch, count(*) AS jars FROM entries"
        " WHERE kind = 'fill' AND batch IN (SELECT value FROM json_each(?))"
        " AND CASE WHEN json_valid(data) THEN json_extract(data, '$.withdrawn') IS NOT 1 END"
        " AND NOT EXISTS (SELECT 1 FROM entries AS later WHERE later.corrects = entries.id) GROUP BY batch",
        (json.dumps(numbers),),
    )
    return {row["batch"]: row["jars"] for row in rows}


def draws(book: Book, lot: int) -> tuple[dict[tuple[str, str], float], float]:
    """Grams that standing lines drew from a lot, by batch code and line; and grams that went to waste.

    Line "" is what a batch drew beside its lines: water filled up, or pieces.
    Waste is what was written down as such and what cups drew that were thrown away.
    """
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT code, coalesce(line, '') AS line, -sum(units) AS units FROM movements"
            " LEFT JOIN weighings ON weighings.id = weighing JOIN batches ON batches.id = movements.batch"
            " WHERE movements.lot = ? AND why IN ('draw', 'correction')"
            " AND (weighing IS NULL OR weighed > 0 AND NOT EXISTS"
            " (SELECT 1 FROM weighings AS later WHERE later.corrects = weighings.id)) GROUP BY code, line"
            " HAVING line <> '' OR sum(movements.units) <> 0",
            (lot,),
        ).fetchall()
        gone = link.execute(
            "SELECT -sum(units) FROM movements WHERE lot = ? AND why IN ('draw', 'correction', 'waste')",
            (lot,),
        ).fetchone()[0]
    standing = {(row["code"], row["line"]): to_grams(row["units"]) for row in rows}
    return standing, round(to_grams(gone) - sum(standing.values()), 4)

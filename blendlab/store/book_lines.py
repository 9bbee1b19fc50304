"""The lines of the book: how each is written, inside a transaction that the caller holds."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from blendlab.batch.sheet import FORMAT as PLAN_FORMAT
from blendlab.codec import encode, object_in, to_json
from blendlab.errors import NewerFormat, OutOfRange, UnknownName
from blendlab.shelf import Item, Lot
from blendlab.store.book_entries import checked, checked_lot
from blendlab.store.book_errors import AlreadyWritten, Refused, Short
from blendlab.store.book_schema import MOST_UNITS, UNITS_PER_GRAM
from blendlab.store.book_texts import refuse_code, refuse_controls
from blendlab.store.documents import now


def to_units(grams: float, least: float = 0.0) -> int:
    """Grams as whole tenths of a milligram. Raises OutOfRange for what no scale can show.

    least  lowest mass that is taken; 0 for whatever is weighed

    >>> to_units(0.28)
    2800
    """
    most = MOST_UNITS / UNITS_PER_GRAM
    if not least <= grams <= most:
        raise OutOfRange("Mass", grams, least, most, "g")
    return round(grams * UNITS_PER_GRAM)


def to_grams(units: int | None) -> float:
    """Whole tenths of a milligram as grams."""
    return (units or 0) / UNITS_PER_GRAM


def insert_lot(
    link: sqlite3.Connection, lot: Lot, data: Mapping[str, Any], corrects: int | None = None
) -> int:
    """Write a lot, or a corrected description of one.

    Raises AlreadyWritten for a code that stands, Refused for a code that no label can carry.
    """
    refuse_code("lot", lot.code)
    refuse_controls(encode(lot), data)
    item = f"{lot.of.kind}:{lot.of.id}"
    _refuse_taken(link, lot, item, corrects)
    values = (
        lot.code,
        item,
        lot.name,
        lot.supplier,
        lot.received.isoformat() if lot.received else None,
        lot.expiry.isoformat() if lot.expiry else None,
        to_json("lot", {"lot": encode(lot), **checked_lot(data)}),
        now(),
        corrects,
    )
    made = link.execute(
        "INSERT INTO lots (code, item, name, supplier, received, expiry, data, at, corrects)"
        " VALUES (?,?,?,?,?,?,?,?,?)",
        values,
    )
    return int(made.lastrowid or 0)


def _refuse_taken(link: sqlite3.Connection, lot: Lot, item: str, corrects: int | None) -> None:
    """Refuse a code that another lot of the thing has now, in whatever capitals.

    A lot may keep the one it has, also of two that an earlier version kept apart.
    """
    standing = link.execute(
        "SELECT id, code FROM lots AS line WHERE item = ?"
        " AND NOT EXISTS (SELECT 1 FROM lots WHERE corrects = line.id)",
        (item,),
    )
    alike = {row["id"]: row["code"] for row in standing if _read_alike(row["code"], lot.code)}
    kept = alike.pop(corrects, None) if corrects is not None else None
    taken = [code for code in alike.values() if kept is None or code == lot.code]
    if taken and kept != lot.code:
        raise AlreadyWritten(f"Lot {taken[0]} of {lot.name or lot.of.id}")


def _read_alike(code: str, other: str) -> bool:
    """Whether two codes differ in nothing but capitals and blanks."""
    return "".join(code.split()).casefold() == "".join(other.split()).casefold()


def insert_entry(
    link: sqlite3.Connection,
    batch: int | None,
    kind: str,
    subject: str,
    data: Mapping[str, Any],
    corrects: int | None = None,
) -> int:
    """Write an entry.

    Raises AlreadyWritten for a second correction of one, BadDocument for unfit values, Refused for
    characters that nothing can show and for a day before its batch.
    """
    refuse_controls(subject, data)
    plain = checked(kind, data)
    day = plain.get("on") or plain.get("sent")
    if batch is not None and kind != "note" and day:
        refuse_before(link, batch, day)
    values = (batch, kind, subject, to_json("entry", plain), now(), corrects)
    try:
        made = link.execute(
            "INSERT INTO entries (batch, kind, subject, data, at, corrects) VALUES (?,?,?,?,?,?)", values
        )
    except sqlite3.IntegrityError as problem:
        raise AlreadyWritten("A correction of this entry") from problem
    return int(made.lastrowid or 0)


def revisions(link: sqlite3.Connection, keys: Sequence[str]) -> list[sqlite3.Row]:
    """Revisions of things on her shelf that the book holds, of some keys."""
    return link.execute(
        "SELECT subject, data FROM entries WHERE kind = 'revision' AND batch IS NULL"
        " AND subject IN (SELECT value FROM json_each(?))",
        (json.dumps(keys),),
    ).fetchall()


def insert_taken(
    link: sqlite3.Connection, batch: int, items: Sequence[Item], why: str = "", corrects: int | None = None
) -> None:
    """Write down which revisions a batch took, and those of them that the book does not hold yet.

    items  of two revisions of one thing the one in use last
    """
    keys = [item.ref.key for item in items]
    there = {row["subject"] for row in revisions(link, keys)}
    for item in items:
        if item.ref.key not in there:
            insert_entry(link, None, "revision", item.ref.key, {"item": encode(item)})
    insert_entry(link, batch, "taken", "", {"revisions": keys, "why": why}, corrects)


def refuse_before(link: sqlite3.Connection, batch: int, on: str) -> None:
    """Refuse a day, ISO, before the day of a batch."""
    made_on = str(known(link, "batches", batch)["made_on"])
    if on < made_on:
        raise Refused(f"{on} is before the day of the batch, {made_on}.")


def standing_entries(link: sqlite3.Connection, batch: int, kind: str) -> list[sqlite3.Row]:
    """Entries of one kind that stand, oldest first: not corrected later, not taken back."""
    rows = link.execute(
        "SELECT * FROM entries AS entry WHERE batch = ? AND kind = ?"
        " AND NOT EXISTS (SELECT 1 FROM entries AS later WHERE later.corrects = entry.id) ORDER BY id",
        (batch, kind),
    )
    return _standing(rows)


def _standing(rows: Iterable[sqlite3.Row]) -> list[sqlite3.Row]:
    return [row for row in rows if not object_in("entry", row["data"]).get("withdrawn")]


def insert_weighing(link: sqlite3.Connection, values: tuple[Any, ...]) -> int:
    """Write a weighing; its values in the order of the columns. Refused for what nothing can show."""
    refuse_controls(values)
    made = link.execute(
        "INSERT INTO weighings (batch, line, part, lot, planned, weighed, scale, note, at, corrects)"
        " VALUES (?,?,?,?,?,?,?,?,?,?)",
        values,
    )
    return int(made.lastrowid or 0)


def standing(link: sqlite3.Connection, batch: int, lines: Sequence[str]) -> list[sqlite3.Row]:
    """Weighings of some lines that no later line corrects and that are not thrown away."""
    rows = link.execute(
        "SELECT * FROM weighings AS weighing WHERE batch = ? AND weighed > 0"
        " AND NOT EXISTS (SELECT 1 FROM weighings AS later WHERE later.corrects = weighing.id)",
        (batch,),
    )
    return [row for row in rows if row["line"] in lines]


def thrown_away(link: sqlite3.Connection, batch: int, line: str, part: int) -> int | None:
    """The standing weighing of 0 g of a line that was thrown away, or None."""
    row = link.execute(
        "SELECT id FROM weighings AS weighing WHERE batch = ? AND line = ? AND part = ? AND weighed = 0"
        " AND NOT EXISTS (SELECT 1 FROM weighings AS later WHERE later.corrects = weighing.id)",
        (batch, line, part),
    ).fetchone()
    return int(row["id"]) if row is not None else None


def move(
    link: sqlite3.Connection,
    lot: int,
    units: int,
    why: str,
    batch: int | None = None,
    weighing: int | None = None,
    note: str = "",
) -> None:
    """Write units that came to a lot, or less than 0 for what left it."""
    refuse_controls(note)
    link.execute(
        "INSERT INTO movements (lot, units, why, batch, weighing, note, at) VALUES (?,?,?,?,?,?,?)",
        (lot, units, why, batch, weighing, note, now()),
    )


def left_units(link: sqlite3.Connection, lot: int) -> int:
    """What is left of a lot: the sum of its movements."""
    return int(
        link.execute("SELECT coalesce(sum(units), 0) FROM movements WHERE lot = ?", (lot,)).fetchone()[0]
    )


def draw(link: sqlite3.Connection, lot: int, units: int) -> None:
    """Refuse to draw more than is there; the write lock is held, so nobody draws in between."""
    row = known(link, "lots", lot)
    left = left_units(link, lot)
    if units > left:
        raise Short(row["code"], to_grams(units), to_grams(left))


def batch(link: sqlite3.Connection, code: str) -> int:
    """Number of a batch to write to.

    Raises UnknownName for a code that is not in the book, NewerFormat for a batch of a newer version.
    """
    row = link.execute(
        "SELECT id, CASE WHEN json_valid(plan) THEN json_extract(plan, '$.format') END AS format"
        " FROM batches WHERE code = ?",
        (code,),
    ).fetchone()
    if row is None:
        last = link.execute("SELECT code FROM batches ORDER BY id DESC LIMIT 10")
        raise UnknownName("batch", code, [found["code"] for found in last])
    if isinstance(row["format"], int) and row["format"] > PLAN_FORMAT:
        raise NewerFormat("batch sheet", row["format"], PLAN_FORMAT)
    return int(row["id"])


def known(link: sqlite3.Connection, table: str, number: int) -> sqlite3.Row:
    """A line of a table by its number; UnknownName when there is none."""
    row = link.execute(f"SELECT * FROM {table} WHERE id = ?", (number,)).fetchone()
    if row is None:
        raise UnknownName(f"line of {table}", str(number), [])
    found: sqlite3.Row = row
    return found


def entry_of(link: sqlite3.Connection, kind: str, number: int) -> sqlite3.Row:
    """An entry by its number; UnknownName when there is none, or when it is of another kind."""
    row = known(link, "entries", number)
    if row["kind"] != kind:
        raise UnknownName(kind, str(number), [])
    return row


def entries_about(link: sqlite3.Connection, kind: str, number: int) -> list[sqlite3.Row]:
    """Entries of one kind about another entry that stand, oldest first."""
    rows = link.execute(
        "SELECT * FROM entries AS entry WHERE kind = ? AND subject = ?"
        " AND NOT EXISTS (SELECT 1 FROM entries AS later WHERE later.corrects = entry.id) ORDER BY id",
        (kind, str(number)),
    )
    return _standing(rows)


def last(link: sqlite3.Connection, table: str, number: int) -> int:
    """The latest correction of a line."""
    while True:
        row = link.execute(f"SELECT id FROM {table} WHERE corrects = ?", (number,)).fetchone()
        if row is None:
            return number
        number = int(row["id"])


def give_back(link: sqlite3.Connection, weighing: int, batch: int) -> int:
    """Give back to its lots what a weighing drew; returns the units it had drawn."""
    drawn = link.execute(
        "SELECT lot, sum(units) AS units FROM movements WHERE weighing = ? GROUP BY lot", (weighing,)
    ).fetchall()
    for row in drawn:
        move(link, row["lot"], -row["units"], "correction", batch, weighing)
    return -sum(int(row["units"]) for row in drawn)


def made_of(link: sqlite3.Connection, batch: int) -> bool:
    """Whether a lot was made of a cooked batch."""
    made = link.execute("SELECT 1 FROM movements WHERE batch = ? AND why = 'made'", (batch,))
    return made.fetchone() is not None

"""The book: what was weighed, from which lots, into which jars, sold where. Append-only.

Every call is one transaction; when it returns, the disk has it.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from blendlab.batch.record import next_code
from blendlab.batch.sheet import Plan, freeze
from blendlab.codec import encode
from blendlab.errors import BlendlabError, OutOfRange, UnknownName
from blendlab.recipe import Design, to_dict
from blendlab.shelf import Lot
from blendlab.store import safe
from blendlab.store.book_schema import UNITS_PER_GRAM, fault, migrate, writing
from blendlab.store.folder import Folder

KINDS = (
    "tick",
    "temperature",
    "deviation",
    "density",
    "ph",
    "fill",
    "yield",
    "release",
    "sale",
    "family",
    "reading",
    "note",
)
"""Kinds of entries beside weighings: what the fields of each are, her pages and tests decide."""


class Short(BlendlabError, RuntimeError):
    """A lot holds less than was to be drawn; nothing was written."""

    def __init__(self, lot: str, asked_g: float, left_g: float) -> None:
        self.lot, self.asked_g, self.left_g = lot, asked_g, left_g
        super().__init__(
            f"Lot {lot} holds {left_g:g} g; {asked_g:g} g were to be drawn. Nothing was written."
        )


class AlreadyWritten(BlendlabError, RuntimeError):
    """A line that stands in the book already; only a correction may follow it."""

    def __init__(self, what: str) -> None:
        self.what = what
        super().__init__(f"{what} stands in the book already. Correct that line instead.")


def to_units(grams: float) -> int:
    """Grams as whole tenths of a milligram.

    >>> to_units(0.28)
    2800
    """
    return round(grams * UNITS_PER_GRAM)


def to_grams(units: int | None) -> float:
    """Whole tenths of a milligram as grams."""
    return (units or 0) / UNITS_PER_GRAM


def now() -> str:
    """The moment as text with its offset."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


@dataclass(frozen=True)
class Book:
    """The book of one folder.

    path  its file; told  what happened while it was opened, in words, or ""
    """

    path: Path
    told: str = ""

    # --- lots ------------------------------------------------------------------------------------

    def receive(self, lot: Lot, grams: float, data: Mapping[str, Any] | None = None) -> int:
        """Write a delivery down: the lot and its grams. Returns the number of the lot.

        Raises AlreadyWritten for a code that the item has already.
        """
        with writing(self.path) as link:
            number = _insert_lot(link, lot, data or {})
            _move(link, number, to_units(grams), "received")
        return number

    def correct_lot(self, number: int, lot: Lot, data: Mapping[str, Any] | None = None) -> int:
        """Write a corrected description of a lot; movements stay with the first line of it."""
        with writing(self.path) as link:
            _known(link, "lots", number)
            return _insert_lot(link, lot, data or {}, corrects=_last(link, "lots", number))

    def move(self, number: int, grams: float, why: str, note: str = "") -> None:
        """Write grams down that came to a lot or left it: "waste" or "count", less than 0 for a loss.

        Raises Short when more would leave than is there.
        """
        with writing(self.path) as link:
            _known(link, "lots", number)
            _draw(link, number, -to_units(grams))
            _move(link, number, to_units(grams), why, note=note)

    # --- batches ---------------------------------------------------------------------------------

    def start(
        self, plan: Plan, made_on: date, *, kind: str = "jars", sku: str = "", design: Design | None = None
    ) -> str:
        """Start a batch: its frozen plan and design. Returns its code, the next free one of the day."""
        with writing(self.path) as link:
            taken = [row[0] for row in link.execute("SELECT code FROM batches")]
            code = next_code(made_on, sku, taken)
            kept = json.dumps(to_dict(design) if design is not None else {}, sort_keys=True)
            link.execute(
                "INSERT INTO batches (code, kind, name, made_on, plan, design, at) VALUES (?,?,?,?,?,?,?)",
                (code, kind, plan.title, made_on.isoformat(), json.dumps(freeze(plan)), kept, now()),
            )
        return code

    def weigh(
        self,
        code: str,
        line: str,
        grams: float,
        *,
        planned_g: float,
        lot: int | None = None,
        scale: str = "",
        note: str = "",
        part: int = 1,
        draw_g: float | None = None,
    ) -> int:
        """Write a weighing down and draw it from its lot, both or neither. Returns its number.

        draw_g  what leaves the lot when it is not what was weighed (a shaker, a dilution)
        part    2 and more when one line takes from several lots

        Raises Short when the lot holds less, AlreadyWritten when the line was weighed.
        """
        with writing(self.path) as link:
            batch = _batch(link, code)
            try:
                number = _insert_weighing(
                    link,
                    (batch, line, part, lot, to_units(planned_g), to_units(grams), scale, note, now(), None),
                )
            except sqlite3.IntegrityError as problem:
                raise AlreadyWritten(f'The line "{line}" of {code}') from problem
            if lot is not None:
                units = to_units(grams if draw_g is None else draw_g)
                _draw(link, lot, units)
                _move(link, lot, -units, "draw", batch, number)
        return number

    def correct_weighing(self, number: int, grams: float, note: str, lot: int | None = None) -> int:
        """Write a corrected weighing: a new line, the old draw given back, the new one drawn.

        lot  another lot than before; None = the same
        """
        with writing(self.path) as link:
            old = _known(link, "weighings", number)
            taken = lot if lot is not None else old["lot"]
            values = (
                old["batch"],
                old["line"],
                old["part"],
                taken,
                old["planned"],
                to_units(grams),
                old["scale"],
            )
            try:
                new = _insert_weighing(link, (*values, note, now(), number))
            except sqlite3.IntegrityError as problem:
                raise AlreadyWritten("A correction of this weighing") from problem
            drawn = link.execute(
                "SELECT lot, sum(units) AS units FROM movements WHERE weighing = ? GROUP BY lot", (number,)
            ).fetchall()
            for row in drawn:
                _move(link, row["lot"], -row["units"], "correction", old["batch"], number)
            if taken is not None:
                _draw(link, taken, to_units(grams))
                _move(link, taken, -to_units(grams), "draw", old["batch"], new)
        return new

    def write(
        self,
        kind: str,
        subject: str,
        data: Mapping[str, Any],
        code: str | None = None,
        corrects: int | None = None,
    ) -> int:
        """Write an entry down: a tick, a temperature, a deviation, a filled jar, a sale ... Returns its number.

        kind      one of KINDS; subject  what it is about: a step, a line, a jar, a test
        code      batch it belongs to; None for a family
        corrects  number of the entry it corrects
        """
        if kind not in KINDS:
            raise UnknownName("kind of entry", kind, KINDS)
        with writing(self.path) as link:
            batch = _batch(link, code) if code is not None else None
            if corrects is not None:
                _known(link, "entries", corrects)
            try:
                made = link.execute(
                    "INSERT INTO entries (batch, kind, subject, data, at, corrects) VALUES (?,?,?,?,?,?)",
                    (batch, kind, subject, json.dumps(encode(data), sort_keys=True), now(), corrects),
                )
            except sqlite3.IntegrityError as problem:
                raise AlreadyWritten("A correction of this entry") from problem
        return int(made.lastrowid or 0)

    def tick(self, code: str, step: str, celsius: float | None = None) -> int:
        """Tick a step; a gate with the temperature that was measured."""
        return self.write("tick", step, {"celsius": celsius}, code)

    def fill(self, code: str, jar: int, net_g: float, tone: str = "") -> int:
        """Write the net grams of one filled jar down."""
        if net_g <= 0:
            raise OutOfRange("Net weight", net_g, 0, 1e6, "g")
        return self.write("fill", str(jar), {"net_g": net_g, "tone": tone}, code)

    def finish_base(self, code: str, lot: Lot, grams: float, data: Mapping[str, Any]) -> int:
        """Turn a cooked batch into a base lot with its grams. Returns the number of the lot.

        data  what the lot is: the base with its actives, and the day it was made
        """
        with writing(self.path) as link:
            batch = _batch(link, code)
            number = _insert_lot(link, lot, {**data, "batch": code})
            _move(link, number, to_units(grams), "made", batch)
        return number


def open_book(folder: Folder) -> Book:
    """The book of a folder; a new one where there is none.

    A file that cannot be read is set aside in ``bin/damaged`` as it is, and a new book begins;
    `told` says so. Raises NewerFormat for a book of a newer version, NotSaved when the folder
    cannot be written or another window holds it too long.
    """
    path, told = folder.book, ""
    with safe.locked(folder.root):
        wrong = fault(path)
        if wrong:
            aside = safe.set_aside(path, folder.damaged)
            for ending in ("-wal", "-shm"):
                beside = path.with_name(path.name + ending)
                if beside.exists():
                    safe.set_aside(beside, folder.damaged)
            told = f"The book could not be read: {wrong}. It lies in {aside} as it was; a new book begins."
        migrate(path, folder.bin)
    return Book(path, told)


def _insert_lot(
    link: sqlite3.Connection, lot: Lot, data: Mapping[str, Any], corrects: int | None = None
) -> int:
    values = (
        lot.code,
        f"{lot.of.kind}:{lot.of.id}",
        lot.name,
        lot.supplier,
        lot.received.isoformat() if lot.received else None,
        lot.expiry.isoformat() if lot.expiry else None,
        json.dumps({"lot": encode(lot), **encode(data)}, sort_keys=True),
        now(),
        corrects,
    )
    try:
        made = link.execute(
            "INSERT INTO lots (code, item, name, supplier, received, expiry, data, at, corrects)"
            " VALUES (?,?,?,?,?,?,?,?,?)",
            values,
        )
    except sqlite3.IntegrityError as problem:
        raise AlreadyWritten(f"Lot {lot.code} of {lot.name or lot.of.id}") from problem
    return int(made.lastrowid or 0)


def _insert_weighing(link: sqlite3.Connection, values: tuple[Any, ...]) -> int:
    made = link.execute(
        "INSERT INTO weighings (batch, line, part, lot, planned, weighed, scale, note, at, corrects)"
        " VALUES (?,?,?,?,?,?,?,?,?,?)",
        values,
    )
    return int(made.lastrowid or 0)


def _move(
    link: sqlite3.Connection,
    lot: int,
    units: int,
    why: str,
    batch: int | None = None,
    weighing: int | None = None,
    note: str = "",
) -> None:
    link.execute(
        "INSERT INTO movements (lot, units, why, batch, weighing, note, at) VALUES (?,?,?,?,?,?,?)",
        (lot, units, why, batch, weighing, note, now()),
    )


def left_units(link: sqlite3.Connection, lot: int) -> int:
    """What is left of a lot: the sum of its movements."""
    return int(
        link.execute("SELECT coalesce(sum(units), 0) FROM movements WHERE lot = ?", (lot,)).fetchone()[0]
    )


def _draw(link: sqlite3.Connection, lot: int, units: int) -> None:
    """Refuse to draw more than is there; the write lock is held, so nobody draws in between."""
    row = _known(link, "lots", lot)
    left = left_units(link, lot)
    if units > left:
        raise Short(row["code"], to_grams(units), to_grams(left))


def _batch(link: sqlite3.Connection, code: str) -> int:
    row = link.execute("SELECT id FROM batches WHERE code = ?", (code,)).fetchone()
    if row is None:
        known = [one[0] for one in link.execute("SELECT code FROM batches ORDER BY id DESC LIMIT 10")]
        raise UnknownName("batch", code, known)
    return int(row["id"])


def _known(link: sqlite3.Connection, table: str, number: int) -> sqlite3.Row:
    row = link.execute(f"SELECT * FROM {table} WHERE id = ?", (number,)).fetchone()
    if row is None:
        raise UnknownName(f"line of {table}", str(number), [])
    found: sqlite3.Row = row
    return found


def _last(link: sqlite3.Connection, table: str, number: int) -> int:
    """The latest correction of a line."""
    while True:
        row = link.execute(f"SELECT id FROM {table} WHERE corrects = ?", (number,)).fetchone()
        if row is None:
            return number
        number = int(row["id"])

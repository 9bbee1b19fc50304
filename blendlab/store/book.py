"""The book: what was weighed, from which lots, into which jars, sold where. Append-only.

Every call is one transaction; when it returns, the disk has it.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from blendlab.batch.record import next_code
from blendlab.batch.sheet import Plan, freeze
from blendlab.codec import encode
from blendlab.errors import OutOfRange, UnknownName
from blendlab.recipe import Design, to_dict
from blendlab.shelf import Lot
from blendlab.store import atomic_write, book_lines
from blendlab.store.book_lines import KINDS, AlreadyWritten, now, to_units
from blendlab.store.book_schema import fault, migrate, writing
from blendlab.store.folder import Folder


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
            number = book_lines.insert_lot(link, lot, data or {})
            book_lines.move(link, number, to_units(grams), "received")
        return number

    def correct_lot(self, number: int, lot: Lot, data: Mapping[str, Any] | None = None) -> int:
        """Write a corrected description of a lot; movements stay with the first line of it."""
        with writing(self.path) as link:
            book_lines.known(link, "lots", number)
            return book_lines.insert_lot(
                link, lot, data or {}, corrects=book_lines.last(link, "lots", number)
            )

    def move(self, number: int, grams: float, why: str, note: str = "") -> None:
        """Write grams down that came to a lot or left it: "waste" or "count", less than 0 for a loss.

        Raises Short when more would leave than is there.
        """
        with writing(self.path) as link:
            book_lines.known(link, "lots", number)
            book_lines.draw(link, number, -to_units(grams))
            book_lines.move(link, number, to_units(grams), why, note=note)

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
        part    2 and more when one line takes from several lots, or asks for more later

        Raises Short when the lot holds less, AlreadyWritten when the line was weighed.
        """
        drawn = grams if draw_g is None else draw_g
        return self.weigh_from(
            code, line, [(lot, grams, drawn)], planned_g=planned_g, scale=scale, note=note, part=part
        )[0]

    def weigh_from(
        self,
        code: str,
        line: str,
        takes: Sequence[tuple[int | None, float, float]],
        *,
        planned_g: float,
        scale: str = "",
        note: str = "",
        part: int = 1,
    ) -> tuple[int, ...]:
        """Write one line down that takes from several lots, all of it or nothing. Returns the numbers.

        takes  lot, grams weighed, grams that leave the lot; the first carries what was planned
        """
        numbers = []
        with writing(self.path) as link:
            batch = book_lines.batch(link, code)
            for at, (lot, grams, drawn) in enumerate(takes):
                corrects = book_lines.thrown_away(link, batch, line, part + at)
                asked = to_units(planned_g) if at == 0 else 0
                values = (batch, line, part + at, lot, asked, to_units(grams), scale, note, now(), corrects)
                try:
                    number = book_lines.insert_weighing(link, values)
                except sqlite3.IntegrityError as problem:
                    raise AlreadyWritten(f'The line "{line}" of {code}') from problem
                if lot is not None:
                    book_lines.draw(link, lot, to_units(drawn))
                    book_lines.move(link, lot, -to_units(drawn), "draw", batch, number)
                numbers.append(number)
        return tuple(numbers)

    def throw_away(
        self, code: str, lines: Sequence[str], note: str, spilt: tuple[int | None, float] | None = None
    ) -> None:
        """Write down that a cup was thrown away: its lines are open again, what was drawn stays drawn.

        spilt  lot and grams of what had gone in without being written down
        """
        with writing(self.path) as link:
            batch = book_lines.batch(link, code)
            for row in book_lines.standing(link, batch, lines):
                kept = (batch, row["line"], row["part"], row["lot"], row["planned"])
                book_lines.insert_weighing(link, (*kept, 0, row["scale"], note, now(), row["id"]))
            if spilt is not None and spilt[0] is not None:
                book_lines.draw(link, spilt[0], to_units(spilt[1]))
                book_lines.move(link, spilt[0], -to_units(spilt[1]), "waste", batch, note=note)

    def correct_weighing(self, number: int, grams: float, note: str, lot: int | None = None) -> int:
        """Write a corrected weighing: a new line, the old draw given back, the new one drawn.

        lot  another lot than before; None = the same
        """
        with writing(self.path) as link:
            old = book_lines.known(link, "weighings", number)
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
                new = book_lines.insert_weighing(link, (*values, note, now(), number))
            except sqlite3.IntegrityError as problem:
                raise AlreadyWritten("A correction of this weighing") from problem
            drawn = link.execute(
                "SELECT lot, sum(units) AS units FROM movements WHERE weighing = ? GROUP BY lot", (number,)
            ).fetchall()
            for row in drawn:
                book_lines.move(link, row["lot"], -row["units"], "correction", old["batch"], number)
            if taken is not None:
                book_lines.draw(link, taken, to_units(grams))
                book_lines.move(link, taken, -to_units(grams), "draw", old["batch"], new)
        return new

    def write(
        self,
        kind: str,
        subject: str,
        data: Mapping[str, Any],
        code: str | None = None,
        corrects: int | None = None,
    ) -> int:
        """Write an entry down: a tick, a temperature, a deviation, a filled jar, a sale ...

        Returns its number.

        kind      one of KINDS; subject  what it is about: a step, a line, a jar, a test
        code      batch it belongs to; None for a family
        corrects  number of the entry it corrects
        """
        if kind not in KINDS:
            raise UnknownName("kind of entry", kind, KINDS)
        with writing(self.path) as link:
            batch = book_lines.batch(link, code) if code is not None else None
            if corrects is not None:
                book_lines.known(link, "entries", corrects)
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
            batch = book_lines.batch(link, code)
            number = book_lines.insert_lot(link, lot, {**data, "batch": code})
            book_lines.move(link, number, to_units(grams), "made", batch)
        return number


def open_book(folder: Folder) -> Book:
    """The book of a folder; a new one where there is none.

    A file that cannot be read is set aside in ``bin/damaged`` as it is, and a new book begins;
    `told` says so. Raises NewerFormat for a book of a newer version, NotSaved when the folder
    cannot be written or another window holds it too long.
    """
    path, told = folder.book, ""
    with atomic_write.locked(folder.root):
        wrong = fault(path)
        if wrong:
            aside = atomic_write.set_aside(path, folder.damaged)
            for ending in ("-wal", "-shm"):
                beside = path.with_name(path.name + ending)
                if beside.exists():
                    atomic_write.set_aside(beside, folder.damaged)
            told = f"The book could not be read: {wrong}. It lies in {aside} as it was; a new book begins."
        migrate(path, folder.bin)
    return Book(path, told)

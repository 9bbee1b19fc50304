"""The book: what was weighed, from which lots, into which jars, sold where. Append-only.

Every call is one transaction; when it returns, the disk has it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import wraps
from pathlib import Path
from typing import Any, Concatenate, ParamSpec, TypeVar

from blendlab.batch.record import next_code
from blendlab.batch.sheet import Plan
from blendlab.codec import encode, to_json
from blendlab.recipe import Design, to_dict
from blendlab.shelf import Item, Lot
from blendlab.store import book_lines
from blendlab.store.book_entries import CALLED_BACK, FOR_SALE, RULED, TEST_JARS
from blendlab.store.book_errors import AlreadyWritten, Refused
from blendlab.store.book_lines import to_units
from blendlab.store.book_schema import MOST_UNITS, UNITS_PER_GRAM, writing
from blendlab.store.book_texts import refuse_code, refuse_controls
from blendlab.store.documents import now

LEAST_G = 1 / UNITS_PER_GRAM
"""Least mass that came, went in or was made; less is nothing."""
P = ParamSpec("P")
T = TypeVar("T")


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

        Raises AlreadyWritten for a code that the item has already, Refused for one that no label can carry,
        OutOfRange for a delivery of nothing.
        """
        with writing(self.path) as link:
            number = book_lines.insert_lot(link, lot, data or {})
            book_lines.move(link, number, to_units(grams, LEAST_G), "received")
        return number

    def correct_lot(self, number: int, lot: Lot, data: Mapping[str, Any] | None = None) -> int:
        """Write a corrected description of a lot; movements stay with the first line of it.

        Raises AlreadyWritten for a code that another lot of the item has.
        """
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
            moved = to_units(grams, -MOST_UNITS / UNITS_PER_GRAM)
            book_lines.draw(link, number, -moved)
            book_lines.move(link, number, moved, why, note=note)

    # --- batches ---------------------------------------------------------------------------------

    def start(
        self,
        plan: Plan,
        made_on: date,
        *,
        kind: str = "jars",
        sku: str = "",
        design: Design | None = None,
        items: Sequence[Item] = (),
    ) -> str:
        """Start a batch: its frozen plan and design. Returns its code, the next free one of the day.

        items  what it takes of her shelf, see `book_revisions.keep`
        """
        sheet, made_of = encode(plan), to_dict(design) if design is not None else {}
        refuse_controls(sheet, made_of, sku)
        with writing(self.path) as link:
            taken = [row[0] for row in link.execute("SELECT code FROM batches")]
            code = next_code(made_on, sku, taken)
            refuse_code("batch", code)
            values = (code, kind, plan.title, made_on.isoformat())
            frozen = (to_json("batch sheet", sheet), to_json("design", made_of), now())
            link.execute(
                "INSERT INTO batches (code, kind, name, made_on, plan, design, at) VALUES (?,?,?,?,?,?,?)",
                (*values, *frozen),
            )
            if items:
                book_lines.insert_taken(link, book_lines.batch(link, code), items)
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
        refuse_controls(line, scale, note)
        numbers = []
        with writing(self.path) as link:
            batch = book_lines.batch(link, code)
            for at, (lot, grams, drawn) in enumerate(takes):
                corrects = book_lines.thrown_away(link, batch, line, part + at)
                asked = to_units(planned_g) if at == 0 else 0
                went_in = to_units(grams, LEAST_G)
                values = (batch, line, part + at, lot, asked, went_in, scale, note, now(), corrects)
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
        self, code: str, lines: Sequence[str], note: str, spilt: Sequence[tuple[int | None, float]] = ()
    ) -> None:
        """Write down that a cup was thrown away: its lines are open again, what was drawn stays drawn.

        spilt  lots with the grams of what had gone in without being written down
        """
        with writing(self.path) as link:
            batch = book_lines.batch(link, code)
            for row in book_lines.standing(link, batch, lines):
                kept = (batch, row["line"], row["part"], row["lot"], row["planned"])
                book_lines.insert_weighing(link, (*kept, 0, row["scale"], note, now(), row["id"]))
            for lot, grams in spilt:
                if lot is not None:
                    book_lines.draw(link, lot, to_units(grams))
                    book_lines.move(link, lot, -to_units(grams), "waste", batch, note=note)

    def correct_weighing(
        self, number: int, grams: float, note: str, lot: int | None = None, draw_g: float | None = None
    ) -> int:
        """Write a corrected weighing: a new line, the old draw given back, the new one drawn.

        lot     another lot than before; None = the same
        draw_g  what leaves the lot; None = in the proportion of the line that is corrected

        Raises Refused without a note and for a line that was thrown away, AlreadyWritten for a line that
        was corrected, Short when the lot holds less.
        """
        if not note.strip():
            raise Refused("Say why: the line before stays readable.")
        with writing(self.path) as link:
            old = book_lines.known(link, "weighings", number)
            if not old["weighed"]:
                raise Refused("What was thrown away is weighed again, not corrected.")
            taken = lot if lot is not None else old["lot"]
            kept = (old["batch"], old["line"], old["part"], taken, old["planned"])
            try:
                new = book_lines.insert_weighing(
                    link, (*kept, to_units(grams), old["scale"], note, now(), number)
                )
            except sqlite3.IntegrityError as problem:
                raise AlreadyWritten("A correction of this weighing") from problem
            given_back = book_lines.give_back(link, number, old["batch"])
            if taken is not None:
                share = given_back / old["weighed"] if given_back else 1.0
                drawn = to_units(grams * share if draw_g is None else draw_g)
                book_lines.draw(link, taken, drawn)
                book_lines.move(link, taken, -drawn, "draw", old["batch"], new)
        return new

    def write(self, kind: str, subject: str, data: Mapping[str, Any], code: str | None = None) -> int:
        """Write an entry down: a tick, a temperature, a deviation, a filled jar ... Returns its number.

        kind     one of ENTRIES, but for those with rules: see `decide` and `book_sales`
        subject  what it is about: a step, a line, a jar, a test
        code     batch it belongs to; None for a family

        Raises UnknownName, BadDocument for values that do not belong to the kind.
        """
        if kind in RULED:
            raise Refused(f"A {kind} has rules of its own and is not written as it comes.")
        with writing(self.path) as link:
            batch = book_lines.batch(link, code) if code is not None else None
            return book_lines.insert_entry(link, batch, kind, subject, data)

    def tick(self, code: str, step: str, celsius: float | None = None) -> int:
        """Tick a step; a gate with the temperature that was measured."""
        return self.write("tick", step, {"celsius": celsius}, code)

    def fill(self, code: str, jar: int, net_g: float, tone: str = "", why: str = "") -> int:
        """Write the net grams of one filled jar down, with the reason where they are unusual."""
        said = {"net_g": net_g, "tone": tone, **({"why": why} if why else {})}
        return self.write("fill", str(jar), said, code)

    def decide(
        self, code: str, decision: str, on: date, read: Sequence[str] = (), heats: Sequence[float] = ()
    ) -> int:
        """Write the one decision about a batch of jars: FOR_SALE or TEST_JARS. Returns its number.

        read  sentences of the cautions that she had read before it; heats  temperatures [C] they name

        What speaks against it is asked before, where the batch is judged. A batch that was called back is
        decided anew. Raises AlreadyWritten when it was decided, Refused for a cooked base and for a day
        before the batch was made.
        """
        if decision not in (FOR_SALE, TEST_JARS):
            raise Refused(f'A batch is "{FOR_SALE}" or "{TEST_JARS}".')
        with writing(self.path) as link:
            batch = book_lines.batch(link, code)
            if book_lines.known(link, "batches", batch)["kind"] != "jars":
                raise Refused("A cooked base is no jar: it becomes a lot, it is not released.")
            before = book_lines.standing_entries(link, batch, "release")
            if before and before[-1]["subject"] != CALLED_BACK:
                raise AlreadyWritten(f"The decision about {code}")
            anew = before[-1]["id"] if before else None
            said = {"on": on, "read": list(read), "heats": list(heats)} if read else {"on": on}
            return book_lines.insert_entry(link, batch, "release", decision, said, anew)

    def finish_base(self, code: str, lot: Lot, grams: float, data: Mapping[str, Any]) -> int:
        """Turn a cooked batch into a base lot with its grams. Returns the number of the lot.

        data  what the lot is: the base with its actives, and the day it was made

        Raises Refused for a batch of jars, AlreadyWritten when a lot was made of the batch.
        """
        with writing(self.path) as link:
            batch = book_lines.batch(link, code)
            if book_lines.known(link, "batches", batch)["kind"] != "base":
                raise Refused(f"{code} is a batch of jars; only a cooked base becomes a lot.")
            if book_lines.made_of(link, batch):
                raise AlreadyWritten(f"The lot that was made of {code}")
            number = book_lines.insert_lot(link, lot, {**data, "batch": code})
            book_lines.move(link, number, to_units(grams, LEAST_G), "made", batch)
        return number


def at_once(act: Callable[Concatenate[Book, P], T]) -> Callable[Concatenate[Book, P], T]:
    """An act of a book, all that it reads and writes one transaction: all of it or nothing."""

    @wraps(act)
    def whole(book: Book, /, *args: P.args, **given: P.kwargs) -> T:
        with writing(book.path):
            return act(book, *args, **given)

    return whole

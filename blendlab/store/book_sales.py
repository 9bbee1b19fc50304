"""Jars after the kitchen, as acts of the book: sold, come back, counted, put aside; and how many are left."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from blendlab.codec import decode, encode, object_in
from blendlab.errors import UnknownName, counted
from blendlab.store import book_lines
from blendlab.store.book import Book
from blendlab.store.book_batches import BatchLog, Entry
from blendlab.store.book_entries import CALLED_BACK, FOR_SALE
from blendlab.store.book_errors import Refused
from blendlab.store.book_lists import entries_where
from blendlab.store.book_sales_entries import SALES, JarCount, Return, Sale
from blendlab.store.book_schema import reading, writing


@dataclass(frozen=True)
class Jars:
    """Jars of one batch: made, sold, come back, come back fit to sell again, found by counting.

    made = out + spoilt - counted + kept + left

    kept       put aside for tests
    uncounted  whether some were put aside and nobody wrote how many: they count as left
    """

    made: int
    sold: int = 0
    back: int = 0
    sellable: int = 0
    counted: int = 0
    kept: int = 0
    uncounted: bool = False

    @property
    def left(self) -> int:
        """Jars that are there to be sold.

        >>> Jars(12, sold=5, back=2, sellable=1, counted=-1, kept=3).left
        4
        """
        return self.made - self.sold + self.sellable + self.counted - self.kept

    @property
    def out(self) -> int:
        """Jars that somebody has.

        >>> Jars(12, sold=5, back=2).out
        3
        """
        return self.sold - self.back

    @property
    def spoilt(self) -> int:
        """Jars that came back and cannot be sold again.

        >>> Jars(12, sold=5, back=2, sellable=1).spoilt
        1
        """
        return self.back - self.sellable


def jars_of(log: BatchLog, made: int) -> Jars:
    """What became of the jars of a batch; corrected entries left out.

    made  jars that there were to sell
    """
    return _jars(((entry.kind, entry.data) for entry in log.entries if entry.stands), made)


def _jars(said: Iterable[tuple[str, Mapping[str, Any]]], made: int) -> Jars:
    sold = back = sellable = counted = kept = 0
    uncounted = False
    for kind, data in said:
        if kind == "sale":
            sold += data["jars"]
        elif kind == "return":
            back += data["jars"]
            sellable += data["jars"] if data.get("sellable") else 0
        elif kind == "jars":
            counted += data["change"]
        elif kind == "kept":
            kept += data.get("jars") or 0
            uncounted = uncounted or not data.get("jars")
    return Jars(made, sold, back, sellable, counted, kept, uncounted)


def _standing(link: sqlite3.Connection, batch: int) -> list[sqlite3.Row]:
    return [row for kind in SALES for row in book_lines.standing_entries(link, batch, kind)]


def _said(rows: Iterable[sqlite3.Row]) -> list[tuple[str, Mapping[str, Any]]]:
    return [(row["kind"], object_in("entry", row["data"])) for row in rows]


def sell(book: Book, code: str, sold: Sale, made: int, corrects: int | None = None) -> int:
    """Write a sale down, or what one should have said. Returns its number.

    made      jars that there were to sell
    corrects  number of the sale that this one corrects; 0 jars = it never was

    Raises Refused for a batch that is not released for sale, for a day on which it was not, for more jars
    than are left, for a day before the batch, and for fewer jars than came back of the sale; UnknownName
    for a number that is no sale of the batch.
    """
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        if corrects is None:
            _refuse_unreleased(link, batch, code, sold.on)
        elif book_lines.entry_of(link, "sale", corrects)["batch"] != batch:
            raise UnknownName("sale of this batch", str(corrects), [])
        rows = [row for row in _standing(link, batch) if row["id"] != corrects]
        back = 0 if corrects is None else _back_of(link, _said(rows), corrects)
        if sold.jars < max(back, corrects is None):
            raise Refused(f"{counted(sold.jars, 'jar')} cannot be sold; {back} of them came back.")
        left = _jars(_said(rows), made).left
        if sold.jars > left:
            raise Refused(
                f"{counted(sold.jars, 'jar')} to be sold; by the book {max(0, left)} of {made} are left."
            )
        return book_lines.insert_entry(link, batch, "sale", sold.to or "sale", encode(sold), corrects)


def take_back(book: Book, code: str, back: Return) -> int:
    """Write down that jars of a sale came back. Returns its number.

    Raises Refused without a reason, for a day before the sale and for more jars than are still out of
    it; UnknownName for a number that is no sale of the batch.
    """
    if not back.why.strip():
        raise Refused("Say why the jars came back.")
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        rows = book_lines.standing_entries(link, batch, "sale")
        last = book_lines.last(link, "entries", back.sale)
        sold = next((object_in("entry", row["data"]) for row in rows if row["id"] == last), None)
        if sold is None:
            raise UnknownName("sale of this batch", str(back.sale), [str(row["id"]) for row in rows])
        out = sold["jars"] - _back_of(link, _said(_standing(link, batch)), last)
        if back.jars > out:
            raise Refused(f"{counted(back.jars, 'jar')} cannot come back: {out} of that sale are out.")
        if sold.get("on") and back.on.isoformat() < sold["on"]:
            raise Refused(f"Nothing comes back before it was sold, {sold['on']}.")
        return book_lines.insert_entry(link, batch, "return", str(last), encode(back))


def count_jars(book: Book, code: str, found: JarCount, made: int) -> int:
    """Write down jars that a count found more or less than the book holds. Returns its number.

    Raises Refused without a reason, for no change, where fewer than none would be left, and where more
    would be there than were filled and are neither out nor put aside.
    """
    if not found.why.strip():
        raise Refused("Say why: broken, given away, miscounted.")
    if not found.change:
        raise Refused("The count agrees with the book; there is nothing to write.")
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        jars = _jars(_said(_standing(link, batch)), made)
        there = jars.left + found.change
        if there < 0:
            raise Refused(f"By the book {jars.left} jars are left; {-found.change} cannot be missing.")
        if there > made - jars.out - jars.kept:
            raise Refused(
                f"By the book {counted(made, 'jar')} were filled, {jars.out} are out and {jars.kept} put "
                f"aside: {there} cannot be there. Correct the jars that were filled first."
            )
        return book_lines.insert_entry(link, batch, "jars", "count", encode(found))


def _refuse_unreleased(link: sqlite3.Connection, batch: int, code: str, on: date | None) -> None:
    """Refuse a sale of what is not released now, or was not on its day; a call-back ends a release."""
    decisions = [row["subject"] for row in book_lines.standing_entries(link, batch, "release")]
    if decisions != [FOR_SALE]:
        said = "was called back" if CALLED_BACK in decisions else "is not released for sale"
        raise Refused(f"{code} {said}: decide about it first.")
    if on is None:
        return
    book_lines.refuse_before(link, batch, on.isoformat())
    rows = link.execute(
        "SELECT subject, data FROM entries WHERE batch = ? AND kind = 'release' ORDER BY id", (batch,)
    )
    said_on = [(row["subject"], object_in("entry", row["data"]).get("on", "")) for row in rows]
    before = [subject for subject, day in said_on if day < on.isoformat()]
    if before[-1:] != [FOR_SALE] and (FOR_SALE, on.isoformat()) not in said_on:
        raise Refused(f"{code} was not released for sale on {on}; it is since {said_on[-1][1]}.")


def _back_of(link: sqlite3.Connection, said: Iterable[tuple[str, Mapping[str, Any]]], sale: int) -> int:
    """Jars that came back of a sale, whichever line of it the return names."""
    last = book_lines.last(link, "entries", sale)
    return sum(
        data["jars"]
        for kind, data in said
        if kind == "return" and book_lines.last(link, "entries", data["sale"]) == last
    )


@dataclass(frozen=True)
class SaleLine:
    """A sale as it stands: its number, batch, who has the jars, and how many came back."""

    number: int
    code: str
    said: Sale
    back: int

    @property
    def out(self) -> int:
        """Jars of it that somebody has."""
        return self.said.jars - self.back


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Entries that no later one corrects."""
    return tuple(entry for entry in entries if entry.stands)


def sale_lines(code: str, entries: Sequence[Entry]) -> tuple[SaleLine, ...]:
    """The sales of a batch that stand, oldest first, out of all that was written about its jars."""
    first: dict[int, int] = {}
    for entry in entries:
        first[entry.number] = first.get(entry.corrects or 0, entry.number)
    back: dict[int, int] = {}
    for entry in standing(entries):
        if entry.kind == "return":
            sale = first.get(entry.data["sale"], 0)
            back[sale] = back.get(sale, 0) + entry.data["jars"]
    return tuple(
        SaleLine(entry.number, code, decode(Sale, entry.data), back.get(first[entry.number], 0))
        for entry in standing(entries)
        if entry.kind == "sale" and entry.data["jars"]
    )


def sales_since(book: Book, since: date) -> tuple[tuple[str, str, SaleLine], ...]:
    """Sales since a day with the id of their design and the name of their batch, oldest batch first."""
    wanted = (
        "kind IN ('sale', 'return') AND batch IN (SELECT batch FROM entries WHERE kind = 'sale'"
        " AND CASE WHEN json_valid(data) THEN json_extract(data, '$.on') END >= ?)"
    )
    with reading(book.path) as link:
        found, _ = entries_where(link, wanted, (since.isoformat(),))
        rows = link.execute(
            "SELECT id, code, name, CASE WHEN json_valid(design) THEN json_extract(design, '$.id') END AS of"
            " FROM batches WHERE id IN (SELECT value FROM json_each(?)) ORDER BY id",
            (json.dumps(sorted({batch for batch, _ in found if batch is not None})),),
        ).fetchall()
    said: dict[int | None, list[Entry]] = {}
    for batch, entry in found:
        said.setdefault(batch, []).append(entry)
    return tuple(
        (str(row["of"] or row["code"]), row["name"], line)
        for row in rows
        for line in sale_lines(row["code"], said[row["id"]])
        if line.said.on is not None and line.said.on >= since
    )

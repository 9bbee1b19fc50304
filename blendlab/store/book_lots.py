"""Reading the lots of the book: what is left of each, and which to take next."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import Any

from blendlab.batch.record import opened_until
from blendlab.codec import decode, object_in
from blendlab.errors import BadDocument, UnknownName
from blendlab.shelf import Lot
from blendlab.store.book import Book
from blendlab.store.book_entries import checked_lot
from blendlab.store.book_lines import to_grams
from blendlab.store.book_schema import reading


@dataclass(frozen=True)
class LotLine:
    """A lot as it stands: its number, its latest description, grams received or made and left.

    batch   code of the batch it was cooked in, or ""
    data    what was written down with it
    unread  sentences about corrections of it that cannot be read
    """

    number: int
    lot: Lot
    came_g: float
    left_g: float
    batch: str
    data: dict[str, Any]
    unread: tuple[str, ...] = ()

    @property
    def item(self) -> str:
        """Key of the thing on the shelf: "kind:id"."""
        return f"{self.lot.of.kind}:{self.lot.of.id}"

    @property
    def held(self) -> str:
        """Why it is held back, or ""."""
        return str(self.data.get("held") or "")

    @property
    def ends(self) -> date | None:
        """Its last day, by its paper and, of an opened base, by its age; None = nobody knows."""
        opened = self.lot.opened if self.lot.of.kind == "base" else None
        known = (self.lot.expiry, opened and opened_until(opened))
        return min((day for day in known if day is not None), default=None)

    def ended(self, on: date) -> bool:
        """Whether its last day is over."""
        return self.ends is not None and self.ends < on

    def usable(self, on: date) -> bool:
        """Whether it may be taken without being asked for: not held back, not ended, wholly readable."""
        return not (self.held or self.unread or self.ended(on))


@dataclass
class _Told:
    """What the lines of one lot say; a correction that cannot be read leaves what was before it."""

    lot: Lot | None = None
    data: dict[str, Any] = field(default_factory=dict)
    unread: list[str] = field(default_factory=list)


def lots(book: Book, item: str | None = None) -> tuple[LotLine, ...]:
    """Lots of one thing ("kind:id") or of all, with what is left; first to end first.

    A lot that cannot be read is left out; `unread_lots` tells it.
    """
    told = _read(book)
    with reading(book.path) as link:
        sums = link.execute(
            "SELECT lot, sum(units) AS left,"
            " sum(CASE WHEN why IN ('received', 'made') THEN units END) AS came FROM movements GROUP BY lot"
        ).fetchall()
    units = {row["lot"]: (row["came"], row["left"]) for row in sums}
    found = (
        _lot_line(number, each.lot, each, units.get(number, (0, 0)))
        for number, each in told.items()
        if each.lot is not None
    )
    kept = [line for line in found if item is None or line.item == item]
    return tuple(sorted(kept, key=lambda line: (line.ends or date.max, line.number)))


def unread_lots(book: Book, numbers: Iterable[int] | None = None) -> tuple[str, ...]:
    """Sentences about lines of lots that cannot be read; only of the lots of some numbers where given."""
    told = _read(book)
    asked = told if numbers is None else [number for number in numbers if number in told]
    return tuple(sentence for number in asked for sentence in told[number].unread)


def _read(book: Book) -> dict[int, _Told]:
    with reading(book.path) as link:
        rows = link.execute("SELECT id, code, data, corrects FROM lots ORDER BY id").fetchall()
    return _told(rows)


def _told(rows: Iterable[sqlite3.Row]) -> dict[int, _Told]:
    found: dict[int, _Told] = {}
    first: dict[int, int] = {}
    for row in rows:
        number = row["id"] if row["corrects"] is None else first.get(row["corrects"], row["corrects"])
        first[row["id"]] = number
        told = found.setdefault(number, _Told())
        try:
            described, data = _lot_in(row["data"])
            told.data.update(data)
            told.lot = described
        except BadDocument as problem:
            told.unread.append(f"Lot {row['code']}, line {row['id']} of the book: {problem}")
    return found


@lru_cache(maxsize=4096)
def _lot_in(text: str) -> tuple[Lot, Mapping[str, Any]]:
    """The lot in a line that is never changed, and what was written down with it."""
    plain = object_in("lot", text)
    described = decode(Lot, plain.pop("lot", None))
    return described, checked_lot(plain)


def _lot_line(number: int, lot: Lot, told: _Told, units: tuple[Any, Any]) -> LotLine:
    came, left = (to_grams(each) for each in units)
    return LotLine(number, lot, came, left, told.data.get("batch", ""), told.data, tuple(told.unread))


def lot(book: Book, number: int) -> LotLine:
    """One lot by its number; UnknownName when there is none that can be read."""
    found = next((line for line in lots(book) if line.number == number), None)
    if found is None:
        raise UnknownName("lot", str(number), [])
    return found


def stock(book: Book, on: date) -> dict[str, float]:
    """Grams that may be taken on a day of everything that was ever received: "kind:id" -> grams.

    What is held back or ended counts as nothing.
    """
    return stock_of(lots(book), on)


def stock_of(lines: Iterable[LotLine], on: date) -> dict[str, float]:
    """The same of lots that were read already."""
    found: dict[str, float] = {}
    for line in lines:
        left = line.left_g if line.usable(on) else 0.0
        found[line.item] = round(found.get(line.item, 0.0) + left, 9)
    return found


def used(book: Book, since: date) -> dict[str, tuple[float, date]]:
    """What batches drew from lots since a day: "kind:id" -> grams (or pieces), day of the first draw.

    Corrections are counted.
    """
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT lot, -sum(units) AS units, min(at) AS first FROM movements"
            " WHERE why IN ('draw', 'correction') AND at >= ? GROUP BY lot",
            (since.isoformat(),),
        ).fetchall()
    drawn = {row["lot"]: (to_grams(row["units"]), date.fromisoformat(row["first"][:10])) for row in rows}
    found: dict[str, tuple[float, date]] = {}
    for line in lots(book):
        if line.number in drawn:
            grams, first = drawn[line.number]
            before, day = found.get(line.item, (0.0, first))
            found[line.item] = (round(before + grams, 9), min(day, first))
    return found


def next_lots(book: Book, on: date) -> dict[str, LotLine]:
    """The lot to take of each thing on a day: of those that may be taken the first to end with some left."""
    return next_of(lots(book), on)


def next_of(lines: Iterable[LotLine], on: date) -> dict[str, LotLine]:
    """The same of lots that were read already, first to end first."""
    found: dict[str, LotLine] = {}
    for line in lines:
        if line.left_g > 0 and line.usable(on):
            found.setdefault(line.item, line)
    return found

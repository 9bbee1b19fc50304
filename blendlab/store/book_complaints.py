"""Complaints and drills of a recall as acts of the book, and reading them again."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from blendlab.codec import decode, encode, object_in
from blendlab.store import book_lines
from blendlab.store.book import Book
from blendlab.store.book_care_entries import Complaint, ComplaintAnswer, Drill
from blendlab.store.book_errors import Refused
from blendlab.store.book_lists import by_subject, entries_where, lines_of
from blendlab.store.book_schema import reading, writing


@dataclass(frozen=True)
class ComplaintLine:
    """A complaint with what was done about it, oldest first.

    code     of its batch, or ""
    written  numbers of the lines that say what was done
    """

    number: int
    code: str
    said: Complaint
    answers: tuple[ComplaintAnswer, ...]
    written: tuple[int, ...] = ()

    @property
    def open(self) -> bool:
        """Whether the last that was done did not close it."""
        return not (self.answers and self.answers[-1].closes)

    @property
    def reported(self) -> str:
        """To which authority it was reported, or why to none; "" while nobody wrote that down."""
        return "; ".join(answer.reported for answer in self.answers if answer.reported.strip())


def complain(book: Book, said: Complaint, code: str = "") -> int:
    """Write a complaint down; code  of the jar's batch, "" where nobody knows it. Returns its number.

    Raises Refused for a complaint that says nothing, UnknownName for a code that is not in the book.
    """
    if not said.what.strip():
        raise Refused("Write down what was said about the jar.")
    with writing(book.path) as link:
        batch = book_lines.batch(link, code) if code else None
        return book_lines.insert_entry(link, batch, "complaint", code or "no code", encode(said))


def answer(book: Book, number: int, done: ComplaintAnswer) -> int:
    """Write down what was done about a complaint. Returns its number.

    Raises Refused for an answer that says nothing or lies before the complaint, and for one that closes a
    serious complaint, or one nobody called harmless, while nobody wrote to whom it was reported or why
    it was not.
    """
    if not done.done.strip():
        raise Refused("Write down what was done.")
    with writing(book.path) as link:
        row = book_lines.entry_of(link, "complaint", number)
        if book_lines.last(link, "entries", number) != number:
            raise Refused("This complaint was taken back.")
        said = decode(Complaint, object_in("entry", row["data"]))
        if done.on < said.on:
            raise Refused(f"{done.on} is before the complaint, {said.on}.")
        _refuse_untold(said, [*_answers(link, number), done])
        return book_lines.insert_entry(link, row["batch"], "answer", str(number), encode(done))


def _answers(link: sqlite3.Connection, number: int) -> list[ComplaintAnswer]:
    rows = book_lines.entries_about(link, "answer", number)
    return [decode(ComplaintAnswer, object_in("entry", row["data"])) for row in rows]


def _refuse_untold(said: Complaint, answers: Sequence[ComplaintAnswer]) -> None:
    """Refuse that a complaint is closed while nobody wrote which authority was told, where one may be."""
    closed = bool(answers) and answers[-1].closes
    if closed and said.serious != "no" and not any(each.reported.strip() for each in answers):
        raise Refused("Before it is closed, write down which authority was told, or why none was.")


def refuse_closed_untold(link: sqlite3.Connection, number: int) -> None:
    """The same of a complaint as its lines stand, after one of them was taken back."""
    row = book_lines.entry_of(link, "complaint", number)
    _refuse_untold(decode(Complaint, object_in("entry", row["data"])), _answers(link, number))


def complaints(book: Book) -> tuple[tuple[ComplaintLine, ...], tuple[str, ...]]:
    """Complaints of the whole book, newest first, and sentences about lines that cannot be read."""
    with reading(book.path) as link:
        found, unread = entries_where(link, "kind IN ('complaint', 'answer')", ())
        rows, _ = lines_of(link, [batch for batch, _ in found if batch is not None])
    done = by_subject(found, "answer")
    lines = [
        ComplaintLine(
            entry.number,
            rows[batch].code if batch in rows else "",
            decode(Complaint, entry.data),
            tuple(decode(ComplaintAnswer, said.data) for said in done.get(str(entry.number), ())),
            tuple(said.number for said in done.get(str(entry.number), ())),
        )
        for batch, entry in found
        if entry.kind == "complaint" and entry.stands
    ]
    return tuple(reversed(lines)), tuple(sentence for _, sentence in unread)


def keep_drill(book: Book, drill: Drill) -> int:
    """Write down how a recall that was tried out on a lot came out. Returns its number."""
    with writing(book.path) as link:
        lot = book_lines.known(link, "lots", drill.lot)
        return book_lines.insert_entry(link, None, "drill", lot["code"], encode(drill))


def drills(book: Book) -> tuple[tuple[str, Drill, int], ...]:
    """Drills that stand with the code of their lot and their number, the newest first."""
    with reading(book.path) as link:
        found, _ = entries_where(link, "kind = 'drill'", ())
    standing = (entry for _, entry in reversed(found) if entry.stands)
    return tuple((entry.subject, decode(Drill, entry.data), entry.number) for entry in standing)

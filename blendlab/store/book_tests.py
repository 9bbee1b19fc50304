"""Tests of what was kept: jars put aside, readings that are asked for, challenge tests at a laboratory."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from blendlab.batch.stability import answers
from blendlab.codec import decode, encode, object_in
from blendlab.store import atomic_write, book_lines, photos
from blendlab.store.book import Book
from blendlab.store.book_batches import Entry
from blendlab.store.book_care_entries import Challenge, ChallengeReport
from blendlab.store.book_corrections import say_why
from blendlab.store.book_errors import AlreadyWritten, Refused
from blendlab.store.book_lists import by_subject, entries_where, lines_of
from blendlab.store.book_sales_entries import Kept
from blendlab.store.book_schema import reading, writing
from blendlab.store.folder import Folder


def keep_for_tests(book: Book, code: str, kept: Kept) -> int:
    """Write down that jars of a batch were put aside for tests. Returns its number.

    Raises Refused for no test, and for a cooked base.
    """
    if not kept.tests:
        raise Refused("Choose what the jars are kept for.")
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        if book_lines.known(link, "batches", batch)["kind"] != "jars":
            raise Refused("A cooked base is no jar: tests are of filled jars.")
        return book_lines.insert_entry(link, batch, "kept", "tests", encode(kept))


def write_reading(book: Book, code: str, test: str, said: Mapping[str, Any], photo: bytes = b"") -> int:
    """Write a reading of a test down, and the photo that was taken with it. Returns its number.

    said   values of a `TestReading`
    photo  a JPEG as `photo.as_kept` makes it, b"" for none

    The photo is on the disk before the book names it; of a reading that is refused no photo stays.
    Raises BadDocument for unfit values, Refused for a day before the batch, NotSaved.
    """
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        digest = atomic_write.digest_of(photo) if photo else ""
        number = book_lines.insert_entry(link, batch, "reading", test, {**said, "photo": digest})
        if photo:
            photos.keep(Folder(book.path.parent), f"{code} {test} {said['on']}", photo)
        return number


@dataclass(frozen=True)
class TestedBatch:
    """A batch whose jars are under test: since when, which tests, and readings (test, day) that answer."""

    __test__ = False

    code: str
    made_on: date
    tests: frozenset[str]
    read: tuple[tuple[str, date], ...]


def under_test(book: Book) -> tuple[TestedBatch, ...]:
    """Batches of which jars were put aside for tests, or of which a reading stands; oldest first."""
    with reading(book.path) as link:
        found, _ = entries_where(link, "kind IN ('kept', 'reading')", ())
        standing = [(batch, entry) for batch, entry in found if batch is not None and entry.stands]
        rows, _ = lines_of(link, [batch for batch, _ in standing])
    said: dict[int, list[Entry]] = {}
    for batch, entry in standing:
        said.setdefault(batch, []).append(entry)
    return tuple(
        TestedBatch(rows[batch].code, rows[batch].made_on, _tests(entries), _read(entries))
        for batch, entries in sorted(said.items())
        if batch in rows
    )


def _tests(entries: Sequence[Entry]) -> frozenset[str]:
    read = {entry.subject for entry in entries if entry.kind == "reading"}
    return frozenset(read.union(*(entry.data["tests"] for entry in entries if entry.kind == "kept")))


def _read(entries: Sequence[Entry]) -> tuple[tuple[str, date], ...]:
    return tuple(
        (entry.subject, date.fromisoformat(entry.data["on"]))
        for entry in entries
        if entry.kind == "reading" and answers(entry.subject, entry.data)
    )


@dataclass(frozen=True)
class ChallengeLine:
    """A challenge test of jars kept with one preservative, and its report once there is one.

    number    of the line that was written first
    reported  number of the line of its report
    """

    number: int
    of: str
    said: Challenge
    report: ChallengeReport | None
    reported: int | None = None


def send_challenge(book: Book, of: str, test: Challenge, code: str = "") -> int:
    """Write down that jars went to a laboratory. Returns its number.

    of  what is tested: the preservative and the worst case that was sent; code  of the batch, or ""

    Raises Refused without a name, and for a report due before the jars were sent.
    """
    if not of.strip():
        raise Refused("Write down what is tested: the preservative, and which jar stands for the rest.")
    if test.due < test.sent:
        raise Refused(f"The report cannot be due before the jars are sent, {test.sent}.")
    with writing(book.path) as link:
        batch = book_lines.batch(link, code) if code else None
        return book_lines.insert_entry(link, batch, "challenge", of.strip(), encode(test))


def correct_challenge(
    book: Book, number: int, why: str, *, due: date | None = None, withdrawn: bool = False
) -> int:
    """Write down that a challenge test is due on another day, or that it is taken back. Returns its number.

    number  of the line that was written first; due  None = as before

    Raises Refused without a reason, for a report due before the jars were sent, for a test that was taken
    back, AlreadyWritten where its report stands.
    """
    say_why(why)
    if due is None and not withdrawn:
        raise Refused("Give the day the report is due now, or take the line back.")
    with writing(book.path) as link:
        row = _standing_challenge(link, number)
        said = object_in("entry", row["data"])
        sent = decode(Challenge, said).sent
        if due is not None and due < sent:
            raise Refused(f"The report cannot be due before the jars are sent, {sent}.")
        moved = {"due": due.isoformat()} if due is not None else {}
        new = {**said, **moved, "why": why.strip(), "withdrawn": withdrawn}
        return book_lines.insert_entry(link, row["batch"], "challenge", row["subject"], new, row["id"])


def _standing_challenge(link: sqlite3.Connection, number: int) -> sqlite3.Row:
    """A challenge test as it was corrected last. Raises Refused where it was taken back, AlreadyWritten
    where its report stands.
    """
    book_lines.entry_of(link, "challenge", number)
    row = book_lines.known(link, "entries", book_lines.last(link, "entries", number))
    if object_in("entry", row["data"]).get("withdrawn"):
        raise Refused("This challenge test was taken back.")
    if book_lines.entries_about(link, "report", number):
        raise AlreadyWritten("The report of this challenge test")
    return row


def report_challenge(book: Book, number: int, report: ChallengeReport) -> int:
    """Write down what the laboratory reported. Returns its number.

    Raises Refused for a day before the jars were sent, AlreadyWritten for a second report.
    """
    with writing(book.path) as link:
        row = _standing_challenge(link, number)
        sent = decode(Challenge, object_in("entry", row["data"])).sent
        if report.on < sent:
            raise Refused(f"{report.on} is before the jars were sent, {sent}.")
        return book_lines.insert_entry(link, row["batch"], "report", str(number), encode(report))


def challenges(book: Book) -> tuple[ChallengeLine, ...]:
    """Challenge tests that stand, the newest first."""
    with reading(book.path) as link:
        found, _ = entries_where(link, "kind IN ('challenge', 'report')", ())
    reports = by_subject(found, "report")
    standing = [entry for _, entry in found if entry.kind == "challenge" and entry.stands]
    return tuple(
        _challenge_line(entry, next(iter(reports.get(str(entry.first), ())), None))
        for entry in sorted(standing, key=lambda entry: -entry.first)
    )


def _challenge_line(sent: Entry, report: Entry | None) -> ChallengeLine:
    said = decode(Challenge, sent.data)
    if report is None:
        return ChallengeLine(sent.first, sent.subject, said, None)
    return ChallengeLine(sent.first, sent.subject, said, decode(ChallengeReport, report.data), report.number)

"""What waits in the book: open complaints, readings of kept jars, reports of laboratories, the drill."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from blendlab import store
from blendlab.batch.stability import open_readings
from blendlab.production import complaints, drill
from blendlab.store import Book, ComplaintLine, TestedBatch
from blendlab.store.book_care_entries import ChallengeReport

OF_TESTS, OF_CHALLENGES, OF_DRILLS = ("kept", "reading"), ("challenge", "report"), ("drill",)
"""Kinds of entries by which something falls due."""
LONGEST = 90
"""Characters of a complaint in a list."""


@dataclass(frozen=True)
class Errand:
    """One thing that waits.

    on    day it is due; part  of the Book where it is answered; code  of the batch it is about, or ""
    """

    on: date
    text: str
    part: str
    code: str = ""


def errands(book: Book, today: date) -> tuple[Errand, ...]:
    """What waits, open complaints first, then tests that failed, then the longest due."""
    others = [*_readings(book, today), *_reports(book, today), *_drill(book, today)]
    return (
        *_complaints(book, today),
        *_unread(book, today),
        *_failed(book),
        *sorted(others, key=lambda errand: errand.on),
    )


def _unread(book: Book, today: date) -> list[Errand]:
    """Lines of tests and drills that nobody can read: something may be due by them."""
    kinds = (("Tests", "tests", (*OF_TESTS, *OF_CHALLENGES)), ("Drills", "care", OF_DRILLS))
    return [
        Errand(today, f"{what}: {sentence}", part)
        for what, part, named in kinds
        for sentence in store.unread_entries(book, *named)
    ]


def _complaints(book: Book, today: date) -> list[Errand]:
    """Complaints that are open, and those that nobody can read: they may be."""
    found, unread = store.complaints(book)
    known = [Errand(line.said.on, complaint_words(line), "care", line.code) for line in found if line.open]
    return [*known, *(Errand(today, f"Complaints: {sentence}", "care") for sentence in unread)]


def complaint_words(line: ComplaintLine) -> str:
    """A complaint in a list: what, about which batch, what law asks by when."""
    what = line.said.what if len(line.said.what) <= LONGEST else f"{line.said.what[:LONGEST]}…"
    about = line.code or "batch not known"
    said = (f"Complaint, {about}: {what}", complaints.clock_words(line))
    return " · ".join(part for part in said if part)


def _readings(book: Book, today: date) -> list[Errand]:
    found = []
    for batch in store.under_test(book):
        pending = readings_due(batch, today)
        if pending:
            count = len(pending)
            said = "1 reading is due" if count == 1 else f"{count} readings are due"
            first = min(pending)
            found.append(
                Errand(first, f"{batch.code}: {said}, the first since {first}.", "tests", batch.code)
            )
    return found


def readings_due(batch: TestedBatch, today: date) -> list[date]:
    """Days of the readings of a batch that are due and not yet written down, of the tests it is kept for."""
    pending = open_readings(batch.made_on, batch.read, today)
    return [due.on for due in pending if due.test in batch.tests]


def _reports(book: Book, today: date) -> list[Errand]:
    return [
        Errand(line.said.due, f"Challenge test of {line.of}: its report was due on {line.said.due}.", "tests")
        for line in store.challenges(book)
        if line.report is None and line.said.due <= today
    ]


def _failed(book: Book) -> list[Errand]:
    """Challenge tests that failed: they wait until they are taken back or a later one of the same held."""
    last: dict[str, ChallengeReport] = {}
    for line in store.challenges(book):
        before = last.get(line.of)
        if line.report is not None and (before is None or line.report.on > before.on):
            last[line.of] = line.report
    return [
        Errand(
            report.on,
            f"Challenge test of {of}: by the report of {report.on} it failed. Sell nothing it stands for "
            "before your assessor has decided.",
            "tests",
        )
        for of, report in last.items()
        if report.verdict == "fails"
    ]


def _drill(book: Book, today: date) -> list[Errand]:
    on = drill.due_on(book)
    if on is None or on > today:
        return []
    return [Errand(on, "Try a recall out on one lot: the last was a year ago.", "care")]

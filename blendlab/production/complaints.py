"""Complaints: the clock that law gives a serious one, and the note that goes to the authority."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from blendlab import printing, store
from blendlab.errors import BlendlabError
from blendlab.facts.read import number, table
from blendlab.store import Book, ComplaintLine

WIDTHS = (0.28, 0.72)
DEFERS = (
    "This is a note for the authority's own form, not the form. Local law decides what is reported, to whom "
    "and when; ask the authority, a poison centre or a doctor where somebody is ill."
)


@dataclass(frozen=True)
class Clock:
    """What law asks of a serious complaint in a market; by  None = without delay."""

    market: str
    event: str
    by: date | None
    to: str
    form: str
    keep: str
    source: str

    @property
    def words(self) -> str:
        """The deadline in a sentence."""
        when = "without delay" if self.by is None else f"by {self.by}, counted without public holidays"
        return f"If it is serious, tell {self.to} {when}."


def clock(complaint: ComplaintLine) -> Clock | None:
    """The clock of a complaint that may be serious; None for a harmless one and where we hold no rule."""
    if complaint.said.serious == "no":
        return None
    row = next(
        (row for row in table("batch/complaint_rules") if row["market"] == complaint.said.market), None
    )
    if row is None:
        return None
    days = int(number(row, "days"))
    years = f"Keep the record {row['keep_years']} years." if row["keep_years"] else ""
    by = business_days_on(complaint.said.on, days) if days else None
    return Clock(row["market"], row["event"], by, row["to"], row["form"], years, row["source"])


def business_days_on(day: date, days: int) -> date:
    """The day some business days after another; only Saturdays and Sundays are left out.

    >>> business_days_on(date(2026, 11, 26), 15)
    datetime.date(2026, 12, 17)
    """
    while days:
        day += timedelta(days=1)
        days -= day.weekday() < 5
    return day


def clock_words(complaint: ComplaintLine) -> str:
    """What is to be done by when, in a sentence; "" for a harmless or a reported one."""
    if complaint.said.serious == "no" or complaint.reported:
        return ""
    found = clock(complaint)
    if found is not None:
        return found.words
    if not complaint.said.market:
        return "Where was it sold? The market is missing: without it no reporting rule can be looked up."
    return "We hold no reporting rule for this market: ask its authority today whether it has to be told."


def note_pdf(book: Book, complaint: ComplaintLine, maker: str) -> bytes:
    """The note to the authority: what happened, which jar, what was done.

    maker  name and address of who answers for the product, or ""
    """
    rows = [("what", "said"), *_said(book, complaint, maker)]
    return printing.list_pdf(f"Note on a complaint of {complaint.said.on}", DEFERS, rows, WIDTHS)


def _said(book: Book, complaint: ComplaintLine, maker: str) -> Iterator[tuple[str, str]]:
    said, law = complaint.said, clock(complaint)
    yield "heard of on", f"{said.on}"
    yield "who answers for the product", maker or "not entered: Batch, maker"
    yield "product", _product(book, complaint.code)
    yield "what was said", said.what
    yield "who said it", said.who or "not written down"
    yield "serious", said.serious
    for answer in complaint.answers:
        yield f"done on {answer.on}", answer.done
    if not complaint.answers:
        yield "done", "nothing is written down yet"
    if law is not None:
        yield "what counts as serious", law.event
        yield "goes to", f"{law.to}, {'without delay' if law.by is None else f'by {law.by}'}"
        yield "they ask for", f"{law.form}. {law.keep}".strip()
        yield "source", law.source


def _product(book: Book, code: str) -> str:
    if not code:
        return "batch not known"
    try:
        line = store.batch_log(book, code).line
    except BlendlabError as problem:
        return f"{code}: {problem}"
    return f"{line.name}, batch {code}, made {line.made_on}"

"""What entries of the book say about jars that somebody has: complaints, drills, challenge tests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from blendlab.codec import Noun, choice, number, text
from blendlab.store.book_said import Said

SERIOUS = ("no", "yes", "not known")
VERDICTS = ("A", "B", "fails")
"""Criteria of a challenge test: A, B (only with other protection), neither."""


@dataclass(frozen=True, kw_only=True)
class Complaint(Said):
    """What somebody said about a jar.

    on  day it was heard of; serious  whether somebody's health was harmed in earnest
    """

    on: date
    what: str = text(2000)
    who: str = text(200, default="")
    market: str = text(20, default="")
    serious: str = choice(SERIOUS, default="not known")


@dataclass(frozen=True, kw_only=True)
class ComplaintAnswer(Said):
    """What was done about a complaint; reported  to which authority and when, or why to none."""

    on: date
    done: str = text(2000)
    reported: str = text(300, default="")
    closes: bool = False


@dataclass(frozen=True, kw_only=True)
class Drill(Said):
    """A recall that was tried out on one lot, and whether all that came shows up again.

    planned_g  that batches were to take; lost_g  written down as waste; counted_g  weighed on the shelf
    """

    on: date
    lot: int = number(1, 10**12, "")
    came_g: float = number(0, 1e8, "g")
    planned_g: float = number(0, 1e8, "g")
    lost_g: float = number(0, 1e8, "g", default=0.0)
    counted_g: float = number(0, 1e8, "g")
    off_pct: float = number(-1e6, 1e6, "%")
    minutes: float | None = number(0, 100_000, "min", default=None)


@dataclass(frozen=True, kw_only=True)
class Challenge(Said):
    """A challenge test at a laboratory; due  day its report is expected."""

    sent: date
    due: date
    laboratory: str = text(200, default="")
    note: str = text(600, default="")


@dataclass(frozen=True, kw_only=True)
class ChallengeReport(Said):
    """What the laboratory reported about a challenge test."""

    on: date
    verdict: str = choice(VERDICTS)
    document: str = text(200, default="")


CARE: dict[str, type[Noun]] = {
    "complaint": Complaint,
    "answer": ComplaintAnswer,
    "drill": Drill,
    "challenge": Challenge,
    "report": ChallengeReport,
}
"""Kinds of entries -> what each says; all of them have rules of their own."""

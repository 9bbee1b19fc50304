"""Stability tests of a batch: readings that are due and that were read, and what one says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from blendlab import store
from blendlab.batch.stability import Due, due_dates, open_readings, warm_words
from blendlab.store import BatchPage

AHEAD = 6
"""Readings that are not due yet and are shown beside those that are."""


@dataclass(frozen=True)
class TestLog:
    """Tests of one batch: readings that are due, those ahead, those that were read.

    kept  tests that jars were put aside for or that were read; of none, the whole plan stands to look at
    """

    __test__ = False

    page: BatchPage
    due: tuple[Due, ...]
    ahead: tuple[Due, ...]
    done: tuple[store.BookEntry, ...]
    kept: frozenset[str]


def log_of(page: BatchPage, today: date) -> TestLog:
    """The tests of a batch, counted from the day it was made."""
    done, made_on = page.of("reading"), page.line.made_on
    read = [(entry.subject, date.fromisoformat(entry.data["on"])) for entry in done]
    kept = frozenset(test for entry in page.of("kept") for test in entry.data["tests"])
    kept |= {test for test, _ in read}
    wanted = [due for due in due_dates(made_on) if not kept or due.test in kept]
    pending = [due for due in open_readings(made_on, read, today) if due in wanted]
    later = [due for due in wanted if due.on > today]
    return TestLog(page, tuple(pending), tuple(later[:AHEAD]), done, kept)


def when(log: TestLog, due: Due, heat_in: str = "C") -> str:
    """Day of a reading, and what it stands for where the jars stand warm; heat_in  "C" or "F"."""
    warm = warm_words(due, log.page.line.made_on, heat_in)
    return f"{due.on}, {warm}" if warm else f"{due.on}"


def verdict(said: Mapping[str, Any]) -> str:
    """What a reading says, in words; what was not read is never taken for a pass."""
    if said.get("fails"):
        return "Fails: " + "; ".join(said["fails"]) + "."
    missing = said.get("not_read", [])
    words = ", ".join(name.replace("_", " ").replace("delta e00", "colour change") for name in missing)
    return (
        f"Nothing failed of what was read; not read: {words}."
        if words
        else "Everything read, nothing failed."
    )

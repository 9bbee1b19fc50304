"""Stability tests of a batch: readings that are due and that were read, and what one says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from blendlab import store
from blendlab.batch.stability import (
    Due,
    Reading,
    answers,
    due_dates,
    missed_readings,
    not_read,
    open_readings,
    tests_of_jars,
    warm_words,
)
from blendlab.errors import BlendlabError
from blendlab.store import BatchPage
from blendlab.units import in_degrees, plain

NAMES = {
    "height_drop_pct": "height drop",
    "ph_shift": "pH shift",
    "bleed_mm": "bleed",
    "delta_e00": "colour change",
    "free_liquid": "free liquid",
    "growth": "growth",
}
"""What is read -> what it is called."""
UNITS = {"height_drop_pct": " %", "ph_shift": "", "bleed_mm": " mm", "delta_e00": " ΔE2000"}
AHEAD = 6
"""Readings that are not due yet and are shown beside those that are."""


@dataclass(frozen=True)
class TestLog:
    """Tests of one batch: readings that are due, those ahead, those that were read.

    missed  readings that were not taken in their time and cannot be any more
    kept  tests that jars were put aside for or that were read; of none, the whole plan stands to look at
    """

    __test__ = False

    page: BatchPage
    due: tuple[Due, ...]
    ahead: tuple[Due, ...]
    done: tuple[store.BookEntry, ...]
    missed: tuple[Due, ...]
    kept: frozenset[str]


def log_of(page: BatchPage, today: date) -> TestLog:
    """The tests of a batch, counted from the day it was made."""
    done, made_on = page.of("reading"), page.line.made_on
    read = [
        (entry.subject, date.fromisoformat(entry.data["on"]))
        for entry in done
        if answers(entry.subject, entry.data)
    ]
    kept = frozenset(test for entry in page.of("kept") for test in entry.data["tests"])
    kept |= {entry.subject for entry in done}
    wanted = [due for due in due_dates(made_on) if not kept or due.test in kept]
    pending = [due for due in open_readings(made_on, read, today) if due in wanted]
    later = [due for due in wanted if due.on > today]
    missed = missed_readings(made_on, read)
    return TestLog(page, tuple(pending), tuple(later[:AHEAD]), done, missed, kept)


def photographed(log: TestLog) -> dict[str, tuple[store.BookEntry, ...]]:
    """Test -> its readings with a photo, in order of time."""
    found: dict[str, tuple[store.BookEntry, ...]] = {}
    for entry in sorted(log.done, key=lambda entry: entry.data["on"]):
        if entry.data.get("photo"):
            found[entry.subject] = (*found.get(entry.subject, ()), entry)
    return found


def names(heat_in: str = "C") -> dict[str, str]:
    """Every test that jars are kept for -> what it is called; heat_in  "C" or "F"."""
    return {test: in_degrees(what, heats, heat_in) for test, what, heats in tests_of_jars()}


def record(folder: store.Folder, log: TestLog, heat_in: str = "C") -> list[tuple[str, str]]:
    """What was read of kept jars, for the record: test and day, figures, verdict, note, file of the photo."""
    known = names(heat_in)
    missed = [(f"{known.get(due.test, due.test)}, {due.on}", "not read in its time") for due in log.missed]
    return [
        *(
            (f"{known.get(entry.subject, entry.subject)}, {entry.data['on']}", _told(folder, entry.data))
            for entry in log.done
        ),
        *missed,
    ]


def _told(folder: store.Folder, said: Mapping[str, Any]) -> str:
    photo = f"Photo {_photo(folder, said['photo'])}." if said.get("photo") else ""
    figures = "" if said.get("fails") else f"{read_words(said)}."
    return " ".join(part for part in (figures, verdict(said), said.get("note", ""), photo) if part)


def _photo(folder: store.Folder, digest: str) -> str:
    """Name of the file of a photo, or that it is not there."""
    try:
        return store.photo_file(folder, digest).name
    except BlendlabError as problem:
        return str(problem)


def when(log: TestLog, due: Due, heat_in: str = "C") -> str:
    """Day of a reading, and what it stands for where the jars stand warm; heat_in  "C" or "F"."""
    warm = warm_words(due, log.page.line.made_on, heat_in)
    return f"{due.on}, {warm}" if warm else f"{due.on}"


def read_words(said: Mapping[str, Any]) -> str:
    """What was read, in a few words, and whether it fails.

    >>> read_words({"delta_e00": 3.4, "growth": False, "fails": ["colour change"]})
    'colour change 3.4 ΔE2000, fails'
    """
    read = {key: unit for key, unit in UNITS.items() if said.get(key) is not None}
    told = [f"{NAMES[key]} {plain(said[key], 1)}{unit}" for key, unit in read.items()]
    told += [NAMES[key] for key in ("free_liquid", "growth") if said.get(key)]
    return ", ".join([*told, *(["fails"] if said.get("fails") else [])]) or "no figure read"


def verdict(said: Mapping[str, Any]) -> str:
    """What a reading says, in words; what was not read is never taken for a pass."""
    if said.get("fails"):
        return "Fails: " + "; ".join(said["fails"]) + "."
    read = {field.name: said.get(field.name) for field in fields(Reading)}
    missing = said.get("not_read", not_read(Reading(**read)))
    words = ", ".join(NAMES.get(name, name) for name in missing)
    if set(missing) == set(read):
        return "No figure was read of it." if said.get("note") else "Nothing was read of it."
    return (
        f"Nothing failed of what was read; not read: {words}."
        if words
        else "Everything read, nothing failed."
    )

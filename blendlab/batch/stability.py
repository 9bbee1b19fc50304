"""How a batch stands on the shelf: readings that are due, what they mean, rules of thumb."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import date, timedelta
from itertools import pairwise
from typing import Any, NamedTuple

from blendlab.batch.whip import overrun
from blendlab.errors import OutOfRange
from blendlab.facts.read import figure, maybe_number, table
from blendlab.units import degrees


def q10_weeks(weeks: float, temp_c: float, ref_c: float, q10: float) -> float:
    """Weeks at a reference temperature that weeks in the warm stand for. A rule of thumb, no proof.

    >>> round(q10_weeks(12, 40, 22, 2), 4)
    41.7864
    """
    if q10 <= 0:
        raise OutOfRange("Q10", q10, 0, 100, "times")
    return float(weeks * q10 ** ((temp_c - ref_c) / 10))


DAYS_BELOW = 2
"""Weeks below which a time is told in days."""


def warm_words(due: Due, filled: date, unit: str = "C") -> str:
    """What a reading in the warm stands for at room temperature, in words; "" elsewhere. unit: C or F."""
    room, weeks = figure("batch", "room").value, (due.on - filled).days / 7
    if due.temp_c is None or due.temp_c <= room or weeks == 0:
        return ""
    stands = q10_weeks(weeks, due.temp_c, room, figure("batch", "q10").value)
    long = f"{7 * stands:.0f} days" if stands < DAYS_BELOW else f"{stands:.0f} weeks"
    return f"like about {long} at {degrees(room, unit)}, a rule of thumb and no proof"


class Drop(NamedTuple):
    """How far a filling sank [mm], and the share of its overrun that is gone; None = not known."""

    drop_mm: float
    overrun_lost: float | None


def fill_drop(fill_mm: float, density_start: float, density_now: float, density_mix: float | None) -> Drop:
    """Fall of a filling that lost air; its mass, and so its net weight, stays.

    density_mix  before whipping; None = not known

    >>> round(fill_drop(33, 0.62, 0.66, 1.05).drop_mm, 3)
    2.0
    """
    sank = fill_mm * (1 - density_start / density_now)
    if density_mix is None:
        return Drop(sank, None)
    before, now = (overrun(density_mix, density) for density in (density_start, density_now))
    return Drop(sank, 1 - now / before if before else 0.0)


@dataclass(frozen=True)
class Due:
    """One reading of one test: which, what to do, when.

    heats  temperatures [C] that `what` names, in its order
    """

    test: str
    what: str
    on: date
    temp_c: float | None
    heats: tuple[float, ...] = ()


def tests_of_jars() -> tuple[tuple[str, str, tuple[float, ...]], ...]:
    """Every test that jars are kept for: its id, what to do, temperatures [C] that this names."""
    return tuple(
        (row["id"], row["what"], tuple(float(heat) for heat in row["heats"].split()))
        for row in table("batch/tests")
    )


def due_dates(filled: date) -> tuple[Due, ...]:
    """Every reading of the tests of a formula family, earliest first.

    >>> due_dates(date(2026, 3, 7))[0].on
    datetime.date(2026, 3, 7)
    """
    found = [
        Due(
            row["id"],
            row["what"],
            filled + timedelta(days=int(day)),
            maybe_number(row, "temp_c"),
            tuple(float(heat) for heat in row["heats"].split()),
        )
        for row in table("batch/tests")
        for day in row["days"].split()
    ]
    return tuple(sorted(found, key=lambda due: (due.on, due.test)))


def open_readings(filled: date, done: Iterable[tuple[str, date]], today: date) -> tuple[Due, ...]:
    """Readings that are due: of each test the first after the day it was read last.

    done  (test, day it was read), of readings that answer, see `answers`

    What was not read in its time cannot be read later: one reading answers for all of its test that was due
    until then, see `missed_readings`.
    """
    last = dict(sorted(done, key=lambda read: read[1]))
    found: dict[str, Due] = {}
    for due in due_dates(filled):
        if due.on <= today and due.on > last.get(due.test, date.min):
            found.setdefault(due.test, due)
    return tuple(found.values())


def missed_readings(filled: date, done: Iterable[tuple[str, date]]) -> tuple[Due, ...]:
    """Readings that nobody took before the next of their test was due, and later ones were taken.

    >>> [due.on.day for due in missed_readings(date(2026, 3, 1), [("light", date(2026, 3, 20))])]
    [1, 8]
    """
    read: dict[str, list[date]] = {}
    for test, day in done:
        read.setdefault(test, []).append(day)
    found = []
    for test, days in read.items():
        asked = [due for due in due_dates(filled) if due.test == test]
        for due, following in pairwise(asked):
            if following.on <= max(days) and not any(due.on <= day < following.on for day in days):
                found.append(due)
    return tuple(sorted(found, key=lambda due: (due.on, due.test)))


@dataclass(frozen=True)
class Reading:
    """What was read beside the start; None = not read. `growth`: mould or film was seen."""

    height_drop_pct: float | None = None
    ph_shift: float | None = None
    bleed_mm: float | None = None
    delta_e00: float | None = None
    free_liquid: bool | None = None
    growth: bool | None = None


def failures(reading: Reading) -> tuple[str, ...]:
    """What fails by common practice, in words; what was not read is not among it.

    >>> failures(Reading(height_drop_pct=6.1))
    ('height drop 6.1 %, more than 5 %',)
    """
    bounds = (
        ("height drop", reading.height_drop_pct, "height_drop", "%"),
        ("pH shift", reading.ph_shift, "ph_shift", ""),
        ("bleed", reading.bleed_mm, "bleed", "mm"),
        ("colour change ΔE2000", reading.delta_e00, "colour_change", ""),
    )
    found = []
    for name, value, habit, unit in bounds:
        most = figure("batch", habit).high
        if value is not None and abs(value) > most:
            found.append(f"{name} {abs(value):.1f} {unit}".rstrip() + f", more than {most:g} {unit}".rstrip())
    found += ["free liquid"] if reading.free_liquid else []
    found += ["growth was seen"] if reading.growth else []
    return tuple(found)


def answers(test: str, said: Mapping[str, Any]) -> bool:
    """Whether a reading answers what was due of its test: by a figure, by words where the test asks for them.

    said  values of a reading; a photo alone answers nothing

    >>> answers("light", {"photo": "0" * 64}), answers("light", {"growth": False})
    (False, True)
    """
    in_words = {row["id"] for row in table("batch/tests") if row["in_words"] == "yes"}
    if test in in_words and said.get("note"):
        return True
    return any(said.get(field.name) is not None for field in fields(Reading))


def not_read(reading: Reading) -> tuple[str, ...]:
    """Names of what was not read: a verdict without it is none."""
    return tuple(name for name, value in vars(reading).items() if value is None)

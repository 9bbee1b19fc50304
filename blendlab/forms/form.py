"""What was typed in a form, read field by field; every answer at once, in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from math import inf
from typing import Any, TypeVar

from blendlab.codec import YEARS
from blendlab.errors import BlendlabError
from blendlab.fragrance.entry import Pasted
from blendlab.units import plain, read_number

Typed = Mapping[str, Any]


T = TypeVar("T")


def as_typed(value: float | None) -> str:
    """A figure as it would be typed: read again it is the same; "" for none.

    >>> as_typed(12.5), as_typed(1.065), as_typed(None)
    ('12.5', '1.0650', '')
    """
    if value is None:
        return ""
    text = plain(value, 10)
    return f"{text}0" if len(text.partition(".")[2]) == 3 else text


@dataclass
class Form:
    """What was typed, and the answers to what could not be read."""

    typed: Typed
    answers: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)

    def text(self, name: str) -> str:
        """A text without blanks round it."""
        return str(self.typed.get(name) or "").strip()

    def figure(self, name: str, what: str, unit: str, low: float = 0.0, high: float = inf) -> float | None:
        """A figure, or None when the field is empty or was answered."""
        if not self.text(name):
            return None
        return self.tried(lambda: read_number(self.text(name), unit, low, high), what)

    def wanted(self, name: str, what: str, unit: str, low: float = 0.0, high: float = inf) -> float:
        """A figure that must be there; 0 with an answer when it is not."""
        if not self.text(name):
            self.answers.append(f"{what} is missing.")
        return self.figure(name, what, unit, low, high) or 0.0

    def day(self, name: str, what: str) -> date | None:
        """A date, or None when the field is empty or was answered."""
        typed = self.text(name)
        if not typed:
            return None
        try:
            day = date.fromisoformat(typed)
        except ValueError:
            self.answers.append(f'{what}: "{typed}" is no date like 2026-11-25.')
            return None
        if not YEARS[0] <= day.year <= YEARS[1]:
            self.answers.append(f"{what}: the year {day.year} must lie between {YEARS[0]} and {YEARS[1]}.")
            return None
        return day

    def rising(self, what: str, low: float | None, high: float | None) -> None:
        """A range whose figures stand upside down is answered, never turned round for her."""
        if low is not None and high is not None and low > high:
            self.answers.append(f"{what}: from {plain(low)} to {plain(high)} % is upside down.")

    def understood(self, read: Pasted, what: str) -> bool:
        """Whether every line of a pasted table was understood; the others are answered one by one."""
        self.answers += [f"{what}: {problem}" for problem in read.problems]
        self.told += [f"{what}, line {line.number}: {line.note}." for line in read.lines if line.note]
        return not read.problems

    def tried(self, make: Callable[[], T], what: str) -> T | None:
        """What `make` makes, or None with its problem as an answer."""
        try:
            return make()
        except BlendlabError as problem:
            self.answers.append(f"{what}: {problem}")
            return None

"""The BlendlabError family and the Finding.

Wrong input raises an error that keeps its values; an unwise design never raises but
gathers findings::

    BlendlabError
      OutOfRange      (ValueError)    a number outside what is allowed
      BadNumber       (ValueError)    text that cannot be read as a number
      Ambiguous       (ValueError)    a figure that can be read as two numbers
      UnknownName     (LookupError)   a name that is not in a list
      WrongKind       (ValueError)    a reference to another kind of thing than is wanted
      BadDocument     (ValueError)    every problem of one document at once
      NewerFormat     (ValueError)    a document written by a newer version
      BadFacts        (ValueError)    a table of facts without unit, source or date
      ChangedOutside  (RuntimeError)  a file that changed since it was read
      NotSaved        (OSError)       a save that did not reach the disk
      FolderGone      (OSError)       her folder is not where it was
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

Level = Literal["stop", "caution", "note"]
LEVELS: tuple[Level, ...] = ("stop", "caution", "note")
MARKS = {"stop": "■ Stop", "caution": "▲ Caution", "note": "○ Note"}
"""Level -> shape and word; geometric characters that survive print, copy and the terminal."""
PLANNING = "Planning figures. Local law, the supplier's sheet and a qualified safety assessor decide."
NO_REFERENCE = "Colours shown and printed are no reference."


class BlendlabError(Exception):
    """Root of every error this package raises on purpose."""


class OutOfRange(BlendlabError, ValueError):
    """A number lies outside what is allowed.

    >>> str(OutOfRange("Load", 130, 0, 100, "% of the finished product"))
    'Load is 130 % of the finished product; it must lie between 0 and 100 % of the finished product.'
    >>> str(OutOfRange("Lightness", 130, 0, 100, ""))
    'Lightness is 130; it must lie between 0 and 100.'
    """

    def __init__(self, what: str, got: float, low: float, high: float, unit: str) -> None:
        self.what, self.got, self.low, self.high, self.unit = what, got, low, high, unit
        of = f" {unit}" if unit else ""
        super().__init__(f"{what} is {got:g}{of}; it must {_bounds(low, high)}{of}.")


def _bounds(low: float, high: float) -> str:
    if high == float("inf"):
        return f"be at least {low:g}"
    if low == float("-inf"):
        return f"be at most {high:g}"
    return f"lie between {low:g} and {high:g}"


class BadNumber(BlendlabError, ValueError):
    """Text that cannot be read as a number.

    >>> str(BadNumber("a lot", "g"))
    '"a lot" is not a number in g. Write it like 0.3 or 0,3.'
    >>> str(BadNumber("", "g"))
    'No number in g is typed yet. Write it like 0.3 or 0,3.'
    """

    def __init__(self, text: str, unit: str) -> None:
        self.text, self.unit = text, unit
        of = f" in {unit}" if unit else ""
        said = f'"{text}" is not a number{of}' if text.strip() else f"No number{of} is typed yet"
        super().__init__(f"{said}. Write it like 0.3 or 0,3.")


class Ambiguous(BlendlabError, ValueError):
    """A figure with two faces; `text` as it was typed, `readings` in the unit asked for, the decimal first.

    >>> str(Ambiguous("1,234", (1.234, 1234.0)))
    '"1,234" can be 1.234 or 1234. Write 1234 or 1.2340.'
    """

    def __init__(self, text: str, readings: tuple[float, ...]) -> None:
        self.text, self.readings = text, readings
        shown, clear = [_plain(reading) for reading in readings], [_clear(reading) for reading in readings]
        super().__init__(f'"{text}" can be {shown[0]} or {shown[1]}. Write {clear[1]} or {clear[0]}.')


def _plain(value: float) -> str:
    return f"{value:.10f}".rstrip("0").rstrip(".")


def _clear(value: float) -> str:
    """A figure that has one reading: never three digits behind the point."""
    figure = _plain(value)
    return figure + "0" if len(figure.partition(".")[2]) == 3 else figure


def _brief(text: str, most: int) -> str:
    """A text cut to a length: what a file holds may have no end."""
    return text if len(text) <= most else f"{text[: most - 3]}..."


class UnknownName(BlendlabError, LookupError):
    """A name that is not in the list it should come from.

    >>> str(UnknownName("lamp", "moon", ["D65", "A"]))
    'Unknown lamp "moon"; known: D65, A.'
    """

    def __init__(self, what: str, got: str, known: Iterable[str]) -> None:
        self.what, self.got, self.known = what, got, tuple(known)
        super().__init__(f'Unknown {what} "{_brief(got, 80)}"; known: {", ".join(self.known)}.')


class WrongKind(BlendlabError, ValueError):
    """A reference to another kind of thing than is wanted.

    >>> str(WrongKind("jar", "lagoon-jar", ["pigment", "oil"]))
    'This refers to a jar, "lagoon-jar"; a pigment or oil is wanted.'
    """

    def __init__(self, got: str, item_id: str, wanted: Iterable[str]) -> None:
        self.got, self.item_id, self.wanted = got, item_id, tuple(wanted)
        super().__init__(f'This refers to a {got}, "{item_id}"; a {" or ".join(self.wanted)} is wanted.')


@dataclass(frozen=True)
class Problem:
    """One thing wrong in a document: where, and a sentence with what, got, allowed, unit."""

    where: str
    text: str

    def __str__(self) -> str:
        """Return ``where: text``."""
        return f"{self.where}: {self.text}" if self.where else self.text


class BadDocument(BlendlabError, ValueError):
    """Every problem of one document at once.

    >>> str(BadDocument("design", [Problem("load_pct", "is 130; 0 to 100 %")]))
    'This design cannot be read: load_pct: is 130; 0 to 100 %'
    """

    def __init__(self, what: str, problems: Iterable[Problem]) -> None:
        self.what, self.problems = what, tuple(problems)
        listed = "; ".join(_brief(str(problem), 300) for problem in self.problems)
        super().__init__(f"This {what} cannot be read: {listed}")


class NewerFormat(BlendlabError, ValueError):
    """A document written by a newer version of the program."""

    def __init__(self, what: str, got: int, known: int) -> None:
        self.what, self.got, self.known = what, got, known
        super().__init__(
            f"This {what} was written by a newer version (format {got}; this one reads up to {known})."
        )


class BadFacts(BlendlabError, ValueError):
    """A table of facts that misses its unit, source, source kind or date."""

    def __init__(self, table: str, line: int, text: str) -> None:
        self.table, self.line, self.text = table, line, text
        super().__init__(f"{table}, line {line}: {text}")


class ChangedOutside(BlendlabError, RuntimeError):
    """A file changed since it was read; nothing was written."""

    def __init__(self, path: str, seen: str | None, found: str | None) -> None:
        self.path, self.seen, self.found = path, seen, found
        super().__init__(f"{path} was changed elsewhere since it was opened here. Nothing was overwritten.")


class NotSaved(BlendlabError, OSError):
    """A save that did not reach the disk; the design in the program is untouched."""

    def __init__(self, path: str, reason: str) -> None:
        self.path, self.reason = path, reason
        super().__init__(f"Not saved: {path}: {reason}. Your design is still here.")

    def __str__(self) -> str:
        """Return the sentence (OSError would print its own tuple)."""
        return str(self.args[0])


class FolderGone(BlendlabError, OSError):
    """Her folder is not there, or another one stands in its place; nothing was read or written."""

    def __init__(self, path: str) -> None:
        self.path = path
        super().__init__(
            f"Your folder {path} is gone, or another one stands in its place. Nothing was written. Bring"
            " its disk back, or end blendlab and start it again."
        )

    def __str__(self) -> str:
        """Return the sentence (OSError would print its own tuple)."""
        return str(self.args[0])


@dataclass(frozen=True)
class Finding:
    """What an unwise design is told: one sentence with its numbers and a way out.

    level   "stop" (not for sale as it stands), "caution" or "note"
    id      stable name for tests and undo, never shown
    where   path in the design, its first part the page: "look.tones.deep-water", "scent.load"
    text    one sentence with the numbers and their units
    fix     what to do, one sentence, or ""
    source  where the rule comes from: a source, "common practice" or "from memory"
    act     the change its one button makes: path in the design dict -> new value, or None
    button  words of that button, a verb with its object and the number she will get
    heats   temperatures [C] that the text names, in its order: `units.in_degrees` says them in F
    """

    level: Level
    id: str
    where: str
    text: str
    fix: str = ""
    source: str = ""
    act: Mapping[str, Any] | None = None
    button: str = ""
    heats: tuple[float, ...] = ()

    @property
    def room(self) -> str:
        """First part of `where`: the page the finding belongs to."""
        return self.where.split(".", 1)[0]


def counted(count: int, thing: str) -> str:
    """A number of findings of a level, of jars, of whatever makes its plural with s.

    >>> counted(1, "stop"), counted(2, "jar")
    ('1 stop', '2 jars')
    """
    return f"{count} {thing}{'' if count == 1 else 's'}"


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings ordered stop, caution, note; the given order within a level; doubles dropped.

    >>> [f.level for f in worst_first([Finding("note", "a", "look", ""), Finding("stop", "b", "scent", "")])]
    ['stop', 'note']
    """
    unique = {(finding.id, finding.where): finding for finding in findings}
    return tuple(sorted(unique.values(), key=lambda finding: LEVELS.index(finding.level)))

"""Reading what she copies from a supplier's sheet: tables of limits, declarations.

Every line is answered: understood, or with the problem in words. Nothing passes in silence, and an
empty cell is never read as 0.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from blendlab.errors import Ambiguous, BadNumber, OutOfRange, UnknownName
from blendlab.facts.products import categories
from blendlab.fragrance.contents import prohibited
from blendlab.fragrance.registry_numbers import CAS, DASHES, BadCas, clash, names, read_cas
from blendlab.fragrance.sheets import older_scheme
from blendlab.shelf import Declaration, Declared
from blendlab.units import read_number

_NO_FIGURE = ("", "-", "--", "n.d.", "nd", "not detected", "trace", "traces", "n/a", "na")
_NOT_FOR_USE = (
    "n/a",
    "na",
    "-",
    "--",
    "not allowed",
    "not for this use",
    "prohibited",
    "not permitted",
    "not applicable",
)
_FREE = ("no restriction", "not restricted", "no limit", "unrestricted", "no restrictions")
OLD_CATEGORIES = ("3A", "3B", "3C", "3D", "7", "9A", "9B", "9C", "10", "11", "5")
_LIMIT = re.compile(
    r"(?:cat(?:egory|\.)?)?\s*[:.]?\s*([0-9]{1,2}\s?[a-d]?)(?![0-9a-z.,%])\s*[:;|=]?(.*)", re.I
)
_CELL = re.compile(
    r"(?:^|[\s;:|,])"
    r"(?:(?:[<\u2264]=?\s*)?[0-9][0-9.,' ]*\s*(?:%|ppm)?|-{1,2}|n\.?d\.?|n/a|not detected|traces?)\s*$",
    re.I,
)
_PPM = 10_000.0
UNITS = ("%", "ppm")


@dataclass(frozen=True)
class PastedLine:
    """Answer to one line.

    key      category or registry number, "" when it was not understood
    value    percent; None = no figure, kept as unknown or as not for this use
    below    the figure was written "<"
    problem  what is wrong, or ""
    note     what was made of the line when that is not plain, or ""
    """

    number: int
    text: str
    key: str = ""
    value: float | None = None
    below: bool = False
    problem: str = ""
    note: str = ""

    @property
    def understood(self) -> bool:
        """Whether the line can be used."""
        return not self.problem


@dataclass(frozen=True)
class Pasted:
    """Every line of a pasted table, answered."""

    lines: tuple[PastedLine, ...]

    @property
    def problems(self) -> tuple[str, ...]:
        """What is wrong, each with its line."""
        return tuple(f"Line {line.number}: {line.problem}" for line in self.lines if line.problem)


@dataclass(frozen=True)
class PastedLimits(Pasted):
    """A table of a sheet."""

    @property
    def limits(self) -> dict[str, float]:
        """Category -> percent; a category that is not for this use is left out."""
        return {line.key: line.value for line in self.lines if line.understood and line.value is not None}


@dataclass(frozen=True)
class PastedDeclaration(Pasted):
    """An allergen declaration."""

    @property
    def rows(self) -> dict[str, Declared]:
        """CAS -> percent of the oil; what has no figure is left out and stays unknown."""
        return {
            line.key: Declared(pct=line.value, below=line.below)
            for line in self.lines
            if line.understood and line.value is not None
        }

    @property
    def silent(self) -> tuple[str, ...]:
        """Numbers that are listed without a figure: their content is unknown."""
        return tuple(line.key for line in self.lines if line.understood and line.value is None)

    def declaration(self, names: str, issued: date | None, complete: bool) -> Declaration:
        """The declaration; without any figure, or beside a name without one, it is never complete."""
        return Declaration(
            names=names,
            issued=issued,
            rows=self.rows,
            complete=complete and bool(self.rows) and not self.silent,
        )


def read_limits(text: str) -> PastedLimits:
    r"""A pasted table of a sheet: one line a category, then the highest percent of the oil.

    "N/A" and "-" mean not for this use; "no restriction" and ">100" mean 100.

    >>> read_limits("5A 4,60 %\nCategory 9: no restriction\n1 N/A").limits
    {'5A': 4.6, '9': 100.0}
    >>> read_limits("9").problems
    ('Line 1: Category 9 has no figure. An empty cell is not 0.',)
    """
    lines: list[PastedLine] = []
    for number, raw in enumerate(text.splitlines(), start=1):
        if raw.strip():
            lines.append(_once(_limit(number, raw.strip()), lines))
    return PastedLimits(tuple(lines))


def _limit(number: int, raw: str) -> PastedLine:
    match = _LIMIT.fullmatch(raw.translate(DASHES))
    if not match:
        return PastedLine(number, raw, problem="No category at the start of the line.")
    key = match[1].replace(" ", "").upper()
    cell = match[2].strip()
    if key not in categories():
        problem = f"{key} is not a category."
        if key in OLD_CATEGORIES:
            problem += f" It belongs to {older_scheme()}; its figures cannot be mapped."
        return PastedLine(number, raw, problem=problem)
    return limit_cell(number, raw, key, cell)


def limit_cell(number: int, raw: str, key: str, cell: str) -> PastedLine:
    """One category and what stands beside it."""
    if not cell:
        return PastedLine(number, raw, key, problem=f"Category {key} has no figure. An empty cell is not 0.")
    word = cell.lower().strip(" .")
    if word in _NOT_FOR_USE or cell in _NOT_FOR_USE:
        return PastedLine(number, raw, key, note="not for this use")
    if word in _FREE or re.fullmatch(r"(>|>=|\u2265)\s*100\s*%?", word):
        return PastedLine(number, raw, key, 100.0, note="no restriction from the Standards")
    value, problem = figure_cell(cell)
    return PastedLine(number, raw, key, value, problem=problem)


def _once(line: PastedLine, before: list[PastedLine]) -> PastedLine:
    twice = [earlier for earlier in before if earlier.key and earlier.key == line.key and earlier.understood]
    if not line.understood or not twice:
        return line
    return PastedLine(
        line.number, line.text, line.key, problem=f"{line.key} stands in line {twice[0].number} already."
    )


def figure_cell(
    cell: str, high: float = 100.0, unit: str = "%", low: float = 0.0
) -> tuple[float | None, str]:
    """A figure between 0 and `high`, or the problem."""
    try:
        return read_number(cell, unit, low, high), ""
    except OutOfRange as problem:
        hint = " Is it in ppm?" if unit == "%" else ""
        return None, str(problem) + hint
    except (BadNumber, Ambiguous) as problem:
        return None, str(problem)


def read_declaration(text: str, unit: str = "%") -> PastedDeclaration:
    r"""A pasted allergen declaration: name or registry number (or both), then percent of the oil.

    unit  "%" or "ppm", what the figures are in; a line that names the other unit is refused

    "<x" counts as x. "-", "n.d." and "trace" give no figure: the content stays unknown.

    >>> read = read_declaration("Linalool 78-70-6 12,5\nCitral <1000", "ppm")
    >>> {cas: (row.pct, row.below) for cas, row in read.rows.items()}
    {'78-70-6': (0.00125, False), '5392-40-5': (0.1, True)}
    """
    if unit not in UNITS:
        raise UnknownName("unit", unit, UNITS)
    lines: list[PastedLine] = []
    for number, raw in enumerate(text.splitlines(), start=1):
        if raw.strip():
            lines.append(_once(_declared(number, raw.strip(), unit), lines))
    return PastedDeclaration(tuple(lines))


def _declared(number: int, raw: str, unit: str) -> PastedLine:
    plain = raw.translate(DASHES)
    match = CAS.search(plain)
    try:
        given = read_cas(match[0]) if match else ""
    except BadCas as problem:
        return PastedLine(number, raw, problem=str(problem))
    rest = plain.replace(match[0], "\t", 1) if match else plain
    name, cell = _name_and_cell(rest)
    cas = given or names().get(name.lower(), "")
    if not cas:
        known = (
            f'"{name}" is not a name of the list; add its CAS number.'
            if name
            else "No name and no CAS number."
        )
        return PastedLine(number, raw, problem=known)
    wrong = clash(name, given)
    if wrong:
        return PastedLine(number, raw, problem=wrong)
    return declared_cell(number, raw, cas, cell, unit)


def declared_cell(number: int, raw: str, cas: str, cell: str, unit: str) -> PastedLine:
    """One number and what stands beside it."""
    low = cell.lower()
    if ("ppm" in low and unit == "%") or ("%" in low and unit == "ppm"):
        other = "ppm" if unit == "%" else "%"
        return PastedLine(number, raw, cas, problem=f"This line is in {other}, the table is read in {unit}.")
    if low.strip() in _NO_FIGURE:
        more = "; no amount of it may be used, so ask for the figure" if prohibited(cas) else ""
        return PastedLine(number, raw, cas, note=f"no figure; the content stays unknown{more}")
    below = cell.lstrip().startswith(("<", "\u2264"))
    high = 100.0 if unit == "%" else 100.0 * _PPM
    value, problem = figure_cell(cell.lstrip(" <\u2264="), high, unit)
    if value is not None and unit == "ppm":
        value = value / _PPM
    note = f"counted as {value:g} %" if below and value else ""
    return PastedLine(number, raw, cas, value, below, problem, note)


def _name_and_cell(text: str) -> tuple[str, str]:
    """Name at the start and the figure at the end of a line whose number was taken out."""
    match = _CELL.search(text)
    name, cell = (text[: match.start()], match[0]) if match else (text, "")
    return " ".join(name.split()).strip(" ;:|,"), cell.strip(" ;:|,\t")

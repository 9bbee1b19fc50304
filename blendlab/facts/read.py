"""The one reader of tables: csv in this package -> rows that carry unit, source, kind and date.

The header of a table marks its key columns with a star (`id*`, or `market*,list*`): no two rows may
share a key. A column `remark` is for whoever reads the table; no code does.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from functools import cache
from importlib.resources import files
from io import StringIO
from math import isfinite
from typing import NamedTuple, TypeVar

from blendlab.errors import LEVELS, BadFacts, Level, UnknownName

SOURCE_KINDS = ("published", "derived", "practice", "from_memory", "invented")
"""published: seen in print; derived: computed from such; practice: common practice, no source;
from_memory: recalled, not re-read; invented: demo data only."""

Word = TypeVar("Word", bound=str)

REQUIRED = ("unit", "source", "source_kind", "checked_on")
KEY = "*"
"""Mark behind the name of a key column."""


class Row(Mapping[str, str]):
    """One row, column -> text, read only; it knows its key and where it stands."""

    def __init__(self, place: tuple[str, int], key: tuple[str, ...], cells: Mapping[str, str]) -> None:
        self.table, self.line = place
        self.key, self._cells = key, cells

    def __getitem__(self, column: str) -> str:
        """Text of one column."""
        return self._cells[column]

    def __iter__(self) -> Iterator[str]:
        """Names of the columns."""
        return iter(self._cells)

    def __len__(self) -> int:
        """Number of columns."""
        return len(self._cells)

    def bad(self, text: str) -> BadFacts:
        """An error that names file and line of this row."""
        return BadFacts(self.table, self.line, text)


class Figure(NamedTuple):
    """One figure from the world.

    value       in `unit`
    low, high   its range; the value itself where the table has none
    source      where it comes from; source_kind is one of `SOURCE_KINDS`
    checked_on  day the row was last held against its source, ISO
    """

    value: float
    low: float
    high: float
    unit: str
    source: str
    source_kind: str
    checked_on: str

    @property
    def range(self) -> tuple[float, float, float]:
        """Low, usual and high."""
        return self.low, self.value, self.high


@cache
def table(name: str) -> tuple[Row, ...]:
    """Rows of one table.

    name  path below blendlab/facts without its ending, such as "jar/jars"

    Raises BadFacts, with file and line, for a row without `unit`, `source`, `source_kind` or
    `checked_on`, for a key that stands twice and for a table without a key.

    >>> table("jar/jars")[0]["source_kind"], table("jar/jars")[0].line
    ('from_memory', 2)
    """
    path = f"{name}.csv"
    return parse(path, (files("blendlab.facts") / path).read_text(encoding="utf-8"))


@cache
def _figures(name: str) -> Mapping[str, Figure]:
    rows = table(name if "/" in name else f"{name}/figures")
    return {" ".join(row.key): _figure(row) for row in rows}


def _figure(row: Row) -> Figure:
    value = number(row, "value")
    low, high = (maybe_number(row, bound) if bound in row else None for bound in ("low", "high"))
    return Figure(
        value,
        value if low is None else low,
        value if high is None else high,
        *(row[column] for column in REQUIRED),
    )


def figure(name: str, of: str) -> Figure:
    """One figure by the key of its row.

    name  a room, for its table of figures; or the path of any table with a column `value`

    Raises UnknownName for a key the table does not have.

    >>> figure("batch", "loss").value, figure("batch", "loss").source
    (0.04, 'common practice')
    >>> figure("batch/densities", "sucrose crystal").unit, figure("jar/materials", "glass").high
    ('g/ml', 1.52)
    """
    known = _figures(name)
    if of not in known:
        raise UnknownName(f"figure of {name}", of, known)
    return known[of]


def parse(path: str, text: str) -> tuple[Row, ...]:
    """Rows of one csv text; refused when a row does not say where it comes from or stands twice."""
    reader = csv.reader(StringIO(text))
    head = next(reader, [])
    names = [column.removesuffix(KEY) for column in head]
    keys = [at for at, column in enumerate(head) if column.endswith(KEY)]
    missing = [column for column in REQUIRED if column not in names]
    if missing:
        raise BadFacts(path, 1, f"columns missing: {', '.join(missing)}")
    if not keys:
        raise BadFacts(path, 1, f"no key column; mark one with {KEY}")
    rows: dict[tuple[str, ...], Row] = {}
    for cells in reader:
        row = _row((path, reader.line_num), names, keys, [cell.strip() for cell in cells])
        if row.key in rows:
            raise row.bad(f'"{" ".join(row.key)}" stands in line {rows[row.key].line} already')
        rows[row.key] = row
    return tuple(rows.values())


def _row(place: tuple[str, int], names: list[str], keys: list[int], cells: list[str]) -> Row:
    if len(cells) != len(names):
        raise BadFacts(*place, "has more or fewer cells than the header")
    row = Row(place, tuple(cells[at] for at in keys), dict(zip(names, cells, strict=True)))
    for column in REQUIRED:
        if not row[column]:
            raise row.bad(f"{column} is empty")
    if row["source_kind"] not in SOURCE_KINDS:
        raise row.bad(f'source_kind is "{row["source_kind"]}"; one of {", ".join(SOURCE_KINDS)}')
    day(row, "checked_on")
    return row


def number(row: Row, column: str) -> float:
    """A cell that must hold a finite number."""
    try:
        value = float(row[column])
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        raise row.bad(f'{column} is "{row[column]}"; a number')
    return value


def maybe_number(row: Row, column: str) -> float | None:
    """A cell that may be empty; empty is None, never 0."""
    return number(row, column) if row[column] else None


def day(row: Row, column: str) -> date:
    """A cell that must hold a date."""
    try:
        return date.fromisoformat(row[column])
    except ValueError:
        raise row.bad(f'{column} is "{row[column]}"; a date like 2026-11-25') from None


def choice(row: Row, column: str, allowed: Sequence[Word]) -> Word:
    """A cell that must hold one of some words."""
    for known in allowed:
        if known == row[column]:
            return known
    raise row.bad(f'{column} is "{row[column]}"; one of {", ".join(allowed)}')


def level(row: Row) -> Level:
    """The cell `level` of a row: how bad a finding is."""
    return choice(row, "level", LEVELS)


def maybe_day(row: Row, column: str) -> date | None:
    """A cell that may be empty; empty is None."""
    return day(row, column) if row[column] else None

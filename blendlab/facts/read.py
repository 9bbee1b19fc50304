"""The one reader of tables: csv in this package -> rows that carry unit, source, kind and date."""

from __future__ import annotations

import csv
from datetime import date
from functools import cache
from importlib.resources import files
from io import StringIO
from types import MappingProxyType
from typing import TYPE_CHECKING

from blendlab.errors import BadFacts

if TYPE_CHECKING:
    from collections.abc import Mapping

SOURCE_KINDS = ("published", "derived", "practice", "from_memory", "invented")
"""published: seen in print; derived: computed from such; practice: common practice, no source;
from_memory: recalled, not re-read; invented: demo data only."""

REQUIRED = ("unit", "source", "source_kind", "checked_on")


@cache
def table(name: str) -> tuple[Mapping[str, str], ...]:
    """Rows of one table as read-only mappings of column -> text.

    name  path below blendlab/facts, such as "jar/jars.csv"

    Raises BadFacts when a row misses `unit`, `source`, `source_kind` or `checked_on`.

    >>> table("jar/jars.csv")[0]["source_kind"]
    'from_memory'
    """
    text = (files("blendlab.facts") / name).read_text(encoding="utf-8")
    return parse(name, text)


def parse(name: str, text: str) -> tuple[Mapping[str, str], ...]:
    """Rows of one csv text, refused when a row does not say where it comes from."""
    rows = []
    reader = csv.DictReader(StringIO(text))
    missing = [column for column in REQUIRED if column not in (reader.fieldnames or ())]
    if missing:
        raise BadFacts(name, 1, f"columns missing: {', '.join(missing)}")
    for line, row in enumerate(reader, start=2):
        _check(name, line, row)
        rows.append(MappingProxyType({key: (value or "").strip() for key, value in row.items()}))
    return tuple(rows)


def _check(name: str, line: int, row: Mapping[str, str]) -> None:
    if None in row or any(value is None for value in row.values()):
        raise BadFacts(name, line, "has more or fewer cells than the header")
    for column in REQUIRED:
        if not row[column].strip():
            raise BadFacts(name, line, f"{column} is empty")
    if row["source_kind"] not in SOURCE_KINDS:
        raise BadFacts(name, line, f'source_kind is "{row["source_kind"]}"; one of {", ".join(SOURCE_KINDS)}')
    try:
        date.fromisoformat(row["checked_on"])
    except ValueError:
        raise BadFacts(name, line, f'checked_on is "{row["checked_on"]}"; a date like 2026-11-25') from None


def number(row: Mapping[str, str], column: str) -> float:
    """A cell that must hold a number."""
    try:
        return float(row[column])
    except ValueError:
        raise BadFacts("facts", 0, f'{column} is "{row[column]}"; a number') from None


def maybe_number(row: Mapping[str, str], column: str) -> float | None:
    """A cell that may be empty; empty is None, never 0."""
    return number(row, column) if row[column] else None

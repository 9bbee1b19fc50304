"""A table of many oils, pasted or from a csv file -> oils, with an answer to every row.

First line: names of the columns, in any order. A category is a column ("5A", "category 9"); a declared
substance is a column (its name or number). An empty cell is never read as 0.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any

from blendlab.errors import BlendlabError
from blendlab.facts.law import plant_parts
from blendlab.fragrance.entry import PastedLine, declared_cell, figure_cell, limit_cell
from blendlab.fragrance.oil_columns import (
    COLUMNS,
    DAYS,
    FIGURES,
    GROUPS,
    TEXTS,
    Column,
    column,
    head_problems,
)
from blendlab.fragrance.registry_numbers import read_cas
from blendlab.fragrance.sheets import ordinal
from blendlab.recipe import slug
from blendlab.shelf import Declaration, Declared, Oil, Sheet
from blendlab.tables import cells as table_cells

VANILLIN = "121-33-5"


@dataclass(frozen=True)
class OilRow:
    """Answer to one row: the oil, or what is wrong with it.

    read   what was understood, in words; notes: what was made of cells that are not plain
    """

    number: int
    name: str
    oil: Oil | None
    read: tuple[str, ...]
    notes: tuple[str, ...]
    problems: tuple[str, ...]


@dataclass(frozen=True)
class OilTable:
    """Every row of a table, answered; `problems` are those of the table as a whole."""

    columns: tuple[Column, ...]
    rows: tuple[OilRow, ...]
    problems: tuple[str, ...]

    @property
    def oils(self) -> tuple[Oil, ...]:
        """Oils of the rows that were understood."""
        return tuple(row.oil for row in self.rows if row.oil is not None)


def read_oils(
    text: str, unit: str, names_list: str, complete: bool, taken: Mapping[str, str], update: bool = False
) -> OilTable:
    r"""A pasted table or the text of a csv file as oils, one a row.

    unit        "%" or "ppm": what the figures of declared substances are in
    names_list  "new81" or "old26": the list the declarations follow; complete: all of it was looked for
    taken       name in lower case -> id of the oils on the shelf already
    update      rows of the same name replace the oil on the shelf; otherwise they are answered

    >>> made = read_oils("Oil;9;Amendment;Linalool\nReed;4,6;51;<0,5", "%", "new81", True, {})
    >>> made.oils[0].sheet.limits, made.oils[0].declaration.rows["78-70-6"].pct
    ({'9': 4.6}, 0.5)
    """
    try:
        lines = table_cells(text)
    except BlendlabError as problem:
        return OilTable((), (), (str(problem),))
    if not lines:
        return OilTable((), (), ("There is no line with the names of the columns.",))
    columns = tuple(column(head) for head in lines[0])
    problems = head_problems(columns)
    if problems:
        return OilTable(columns, (), problems)
    rows: list[OilRow] = []
    used: dict[str, int] = {}
    for number, cells in enumerate(lines[1:], start=2):
        if cells:
            asked = _Asked(unit, names_list, complete, taken, update, used)
            rows.append(_row(number, columns, cells, asked))
    told = () if rows else ("There is no row below the names of the columns.",)
    return OilTable(columns, tuple(rows), told)


@dataclass(frozen=True)
class _Asked:
    """What was asked about the whole table, and the names that rows have used already."""

    unit: str
    names_list: str
    complete: bool
    taken: Mapping[str, str]
    update: bool
    used: dict[str, int]


class _Cells:
    """Cells of one row, read one by one; problems and notes gather."""

    def __init__(self, columns: Sequence[Column], cells: Sequence[str]) -> None:
        self.fields = {c.key: v for c, v in zip(columns, cells, strict=False) if c.kind == "field"}
        self.problems: list[str] = []
        self.notes: list[str] = []

    def tried(self, head: str, make: Callable[[], Any]) -> Any:
        try:
            return make()
        except BlendlabError as problem:
            self.problems.append(f"{head}: {problem}")
            return None

    def figure(self, key: str) -> float | None:
        """A figure; an empty cell is unknown."""
        if not self.fields.get(key):
            return None
        unit, low, high = FIGURES[key]
        value, problem = figure_cell(self.fields[key], high, unit, low)
        if problem:
            self.problems.append(f"{COLUMNS[key][0].capitalize()}: {problem}")
        return value

    def day(self, key: str) -> date | None:
        """A day in ISO form; an empty cell is unknown."""
        typed = self.fields.get(key, "")
        if not typed:
            return None
        try:
            return date.fromisoformat(typed)
        except ValueError:
            self.problems.append(f'{COLUMNS[key][0].capitalize()}: "{typed}" is no date like 2026-11-25.')
            return None

    def word(self, key: str, known: Collection[str]) -> str:
        """One of some words, underscores read as blanks; "" for an empty or a wrong cell."""
        typed = self.fields.get(key, "").lower().replace("_", " ")
        words = [word.replace("_", " ") for word in known]
        if typed and typed not in words:
            self.problems.append(f'{COLUMNS[key][0].capitalize()}: "{typed}" is none of {", ".join(words)}.')
            return ""
        return typed

    def lines(self, lines: Collection[PastedLine]) -> list[PastedLine]:
        """Lines that were understood; the others are problems."""
        self.problems += [line.problem for line in lines if line.problem]
        self.notes += [f"{line.text}: {line.note}" for line in lines if line.note and not line.problem]
        return [line for line in lines if line.understood]


def _row(number: int, columns: Sequence[Column], cells: Sequence[str], asked: _Asked) -> OilRow:
    name = dict(zip((c.key for c in columns), cells, strict=False)).get("name", "")
    if len(cells) > len(columns):
        told = f"{len(cells)} cells under {len(columns)} columns; part the cells with semicolons or tabs."
        return OilRow(number, name, None, (), (), (told,))
    cells = [*cells, *[""] * (len(columns) - len(cells))]
    read = _Cells(columns, cells)
    made: dict[str, Any] = {
        "id": _identity(read, name, number, asked),
        "name": name,
        "sheet": _sheet(read, columns, cells),
        "declaration": _declaration(read, columns, cells, asked),
        **_plain(read),
    }
    oil = None if read.problems else read.tried("Row", lambda: agreed(Oil(**made)))
    return OilRow(number, name, oil, _read(oil), tuple(read.notes), tuple(read.problems))


def _plain(read: _Cells) -> dict[str, Any]:
    """Fields of one figure, one day or one text."""
    values = {key: read.figure(key) for key in FIGURES if key != "amendment"}
    notes = _notes(read, values)
    by_kg = values.pop("price_per_kg")
    if values["price_per_g"] is None and by_kg is not None:
        values["price_per_g"] = by_kg / 1000.0
    given = read.fields.get("cas", "")
    return {
        **{key: value for key, value in values.items() if key not in ("top", "middle", "base")},
        **{key: read.fields.get(key, "") for key in TEXTS if key != "document"},
        **{key: read.day(key) for key in DAYS if key != "issued"},
        "notes": notes,
        "group": GROUPS[read.word("group", GROUPS) or "fragrance oil"],
        "plant_part": read.word("plant_part", plant_parts()).replace(" ", "_"),
        "cas": (read.tried("CAS", lambda: read_cas(given)) or "") if given else "",
    }


def _identity(read: _Cells, name: str, number: int, asked: _Asked) -> str:
    key = name.casefold()
    if not name:
        read.problems.append("The name is empty.")
    elif key in asked.used:
        read.problems.append(f'"{name}" stands in row {asked.used[key]} already.')
    elif key in asked.taken and not asked.update:
        read.problems.append(f'"{name}" is on the shelf already.')
    asked.used.setdefault(key, number)
    if key in asked.taken and asked.update:
        read.notes.append("takes the place of the one on the shelf")
        return asked.taken[key]
    wanted, count = slug(name), 2
    ids = set(asked.taken.values())
    found = wanted
    while found in ids:
        found, count = f"{wanted}-{count}", count + 1
    return found


def _sheet(read: _Cells, columns: Sequence[Column], cells: Sequence[str]) -> Sheet | None:
    pairs = [(c, v) for c, v in zip(columns, cells, strict=True) if c.kind == "category" and v]
    lines = read.lines([limit_cell(0, f"Category {c.key}", c.key, v) for c, v in pairs])
    limits = {line.key: line.value for line in lines if line.value is not None}
    amendment = read.figure("amendment")
    if not pairs:
        return None
    if amendment is None:
        read.problems.append("Limits without the amendment of their sheet.")
        return None
    return Sheet(
        amendment=int(amendment),
        issued=read.day("issued"),
        limits=limits,
        document=read.fields.get("document", ""),
    )


def _declaration(
    read: _Cells, columns: Sequence[Column], cells: Sequence[str], asked: _Asked
) -> Declaration | None:
    heads = [(c, v) for c, v in zip(columns, cells, strict=True) if c.kind == "substance"]
    lines = read.lines([declared_cell(0, c.head, c.key, v, asked.unit) for c, v in heads if v])
    rows = {line.key: Declared(pct=line.value, below=line.below) for line in lines if line.value is not None}
    if not rows:
        return None
    silent = [c.head for c, v in heads if not v or c.key not in rows]
    if silent and asked.complete:
        read.notes.append(f"no figure for {', '.join(silent)}: the declaration stays open")
    return Declaration(
        names=asked.names_list,
        issued=read.day("issued"),
        rows=rows,
        complete=asked.complete and not silent,
    )


def _notes(read: _Cells, values: Mapping[str, float | None]) -> tuple[float, float, float] | None:
    parts = [values[key] for key in ("top", "middle", "base")]
    if all(part is None for part in parts):
        return None
    top, middle, base = (part or 0.0 for part in parts)
    total = top + middle + base
    if abs(total - 100) > 0.5:
        read.problems.append(f"The notes add up to {total:g} %; they must make 100 %.")
        return None
    return top / total, middle / total, base / total


def updated(old: Oil, new: Oil, columns: Sequence[Column]) -> Oil:
    """An oil of the shelf with what a row says of it; what the table has no column for stays as it was."""
    heads = {column.key for column in columns if column.kind == "field"}
    kinds = {column.kind for column in columns}
    said = heads & {field.name for field in fields(Oil)}
    said |= {"price_per_g"} if "price_per_kg" in heads else set()
    said |= {"notes"} if heads & {"top", "middle", "base"} else set()
    said |= {"sheet"} if "category" in kinds else set()
    said |= {"declaration"} if "substance" in kinds else set()
    return replace(old, **{name: getattr(new, name) for name in said})


def agreed(oil: Oil) -> Oil:
    """The oil with vanillin said once: its own figure and the declared one agree, or the higher counts.

    >>> from blendlab.shelf import Declaration, Declared
    >>> said = Declaration(names="new81", issued=None, rows={"121-33-5": Declared(pct=3.0)})
    >>> agreed(Oil(id="a", name="a", group="absolute", declaration=said)).vanillin_pct
    3.0
    """
    said = oil.declaration
    declared = said.rows.get(VANILLIN) if said else None
    told = (oil.vanillin_pct, declared.pct if declared else None)
    known = [pct for pct in told if pct is not None]
    if not known:
        return oil
    most = max(known)
    if said is not None and most > 0:
        row = Declared(pct=most, below=bool(declared and declared.below and declared.pct == most))
        said = replace(said, rows={**said.rows, VANILLIN: row})
    return replace(oil, vanillin_pct=most, declaration=said)


def _read(oil: Oil | None) -> tuple[str, ...]:
    """What was understood, in words."""
    if oil is None:
        return ()
    told = []
    if oil.sheet:
        limits = ", ".join(f"{key}: {pct:g} %" for key, pct in oil.sheet.limits.items())
        told.append(
            f"sheet of the {ordinal(oil.sheet.amendment)} amendment, {limits or 'no category allowed'}"
        )
    else:
        told.append("no sheet: a stop for sale")
    if oil.declaration:
        word = "complete" if oil.declaration.complete else "open"
        told.append(f"{len(oil.declaration.rows)} declared ({word})")
    else:
        told.append("no declaration")
    figures = (("flash point", oil.flash_c, "C"), ("vanillin", oil.vanillin_pct, "%"))
    told += [f"{word} {value:g} {unit}" for word, value, unit in figures if value is not None]
    if oil.lot:
        told.append(f"lot {oil.lot}")
    return tuple(told)

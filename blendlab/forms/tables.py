"""Tables of raw materials and of deliveries -> her shelf and the book; every row answered."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.forms.deliveries import receive
from blendlab.forms.materials import add_ingredient
from blendlab.shelf import ITEMS, Shelf
from blendlab.store import Book
from blendlab.tables import cells, other_currency, price_head

INGREDIENT_HEADS = {
    "name": "name",
    "function": "function",
    "phase": "phase",
    "charge": "charge",
    "water, %": "water",
    "active surfactant, %": "active",
    "least, %": "low",
    "most, %": "high",
    "density, g/ml": "density",
    "in below, c": "heat",
    "care": "care",
    "supplier": "supplier",
    "price of a kilogram": "per_kg",
    "components": "components",
}
"""Head of a column -> what the form of a raw material calls it."""
LOT_HEADS = {
    "what": "thing",
    "code": "code",
    "came, g": "grams",
    "supplier": "supplier",
    "received": "received",
    "use by": "expiry",
    "opened": "opened",
    "document": "document",
}
"""Head of a column -> what the form of a delivery calls it."""


@dataclass(frozen=True)
class TableRow:
    """Answer to one row: what was done, or why nothing was."""

    number: int
    name: str
    done: bool
    answers: tuple[str, ...]


@dataclass(frozen=True)
class TableRead:
    """Every row of a table, answered; `problems` are those of the table as a whole."""

    rows: tuple[TableRow, ...]
    problems: tuple[str, ...] = ()

    @property
    def done(self) -> int:
        """How many rows were taken."""
        return sum(row.done for row in self.rows)


def take_ingredients(folder: store.Folder, shelf: Shelf, text: str, currency: str) -> TableRead:
    """Raw materials of a table onto the shelf; a name that is there already is answered, not replaced.

    currency  hers; nothing is taken of a table whose prices are in another
    """
    taken = {item.name.casefold() for item in shelf.of("ingredient")}

    def take(typed: dict[str, str]) -> list[str]:
        name = typed.get("name", "")
        if name.casefold() in taken:
            return [f'"{name}" is on the shelf already.']
        typed["components"] = "\n".join(typed.get("components", "").split("|"))
        made, answers, _ = add_ingredient(folder, store.read_shelf(folder), typed)
        if made is not None:
            taken.add(name.casefold())
        return answers

    return _each_row(text, INGREDIENT_HEADS, "name", take, currency)


def take_lots(book: Book, folder: store.Folder, shelf: Shelf, text: str, today: date) -> TableRead:
    """Deliveries of a table into the book; a code it has of that thing is answered."""
    named = {(kind, item.name.casefold()): item.id for kind in ITEMS for item in shelf.of(kind)}
    known = {(line.item, line.lot.code) for line in store.lots(book)}

    def take(typed: dict[str, str]) -> list[str]:
        thing = typed.get("thing", "").casefold()
        found = [(kind, item_id) for (kind, name), item_id in named.items() if name == thing]
        if len(found) != 1:
            problem = "is nothing on the shelf" if not found else "is the name of several things"
            return [f'"{typed.get("thing", "")}" {problem}.']
        ((kind, item_id),) = found
        key = f"{kind}:{item_id}", typed.get("code", "")
        if key in known:
            return [f"Lot {key[1]} of it is in the book already."]
        _, answers = receive(book, folder, shelf, {**typed, "kind": kind, "item": item_id}, today)
        if not answers:
            known.add(key)
        return answers

    return _each_row(text, LOT_HEADS, "thing", take)


def _each_row(
    text: str,
    heads: Mapping[str, str],
    naming: str,
    take: Callable[[dict[str, str]], list[str]],
    currency: str = "",
) -> TableRead:
    try:
        lines = cells(text)
    except BlendlabError as problem:
        return TableRead((), (str(problem),))
    if not lines:
        return TableRead((), ("There is no line with the names of the columns.",))
    other = other_currency(lines[0], currency) if currency else ""
    if other:
        return TableRead((), (other,))
    keys = [heads.get(" ".join(price_head(head)[0].casefold().split()), "") for head in lines[0]]
    if naming not in keys:
        wanted = next(head for head, key in heads.items() if key == naming)
        return TableRead((), (f'No column is called "{wanted.capitalize()}".',))
    rows = []
    for number, row in enumerate(lines[1:], start=2):
        if row:
            typed = {key: cell for key, cell in zip(keys, row, strict=False) if key}
            answers = take(typed)
            rows.append(TableRow(number, typed.get(naming, ""), not answers, tuple(answers)))
    return TableRead(tuple(rows), () if rows else ("There is no row below the names of the columns.",))

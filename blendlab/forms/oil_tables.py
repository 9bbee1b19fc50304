"""A pasted table or a csv file -> many oils on her shelf, row by row."""

from __future__ import annotations

from dataclasses import replace

from blendlab import store
from blendlab.forms.on_shelf import save
from blendlab.fragrance.oil_table import OilTable, agreed, read_oils, updated
from blendlab.shelf import Oil, Shelf
from blendlab.tables import other_currency


def read_table(
    shelf: Shelf, text: str, unit: str, names: str, complete: bool, update: bool, currency: str
) -> OilTable:
    """A pasted table or a csv file, every row answered against the shelf; nothing of one in other money."""
    taken = {oil.name.casefold(): oil.id for oil in shelf.of("oil")}
    read = read_oils(text, unit, names, complete, taken, update)
    other = other_currency([column.head for column in read.columns], currency)
    return replace(read, rows=(), problems=(*read.problems, other)) if other else read


def put_table(folder: store.Folder, shelf: Shelf, table: OilTable) -> tuple[int, list[str]]:
    """Put every oil that was understood on the shelf; how many, and what went wrong."""
    wrong = []
    for oil in table.oils:
        old = shelf.today("oil", oil.id)
        made = agreed(updated(old, oil, table.columns)) if isinstance(old, Oil) else oil
        problem = save(folder, made, new=old is None)
        if problem:
            wrong.append(f"{oil.name}: {problem}")
    return len(table.oils) - len(wrong), wrong

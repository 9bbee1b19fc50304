"""Ways to damage documents and the book: values that no page can hold, bytes that are gone, rows changed."""

from __future__ import annotations

import copy
import json
import random
import sqlite3
from collections.abc import Iterator
from typing import Any

from blendlab.store import Book

NASTY: tuple[Any, ...] = (
    None, True, 0, -1, 3, 10**400, -(10**400), 2**63, 1e308, -1e308, float("nan"), float("inf"), 1e-320,
    "", " ", "x", "NaN", "9" * 400, "\ud800", "a\udfffb", "\x00", "\u202e", "é" * 5000, "0000-00-00",
    "9999-12-31", "0001-01-01", "2026-11-25", "yesterday", "../../key", "<b>", "moon",
    [], {}, [[]], [None], {"": None}, [1, 2, 3], {"kind": "jar", "id": "x"}, {"format": 99},
)  # fmt: skip
"""Values of every wrong kind, size and alphabet."""


def _deep(levels: int) -> Any:
    inner: Any = "x"
    for _ in range(levels):
        inner = [inner]
    return inner


def _places(plain: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    inside = plain.items() if isinstance(plain, dict) else enumerate(plain) if isinstance(plain, list) else ()
    for step, inner in inside:
        yield (*path, step)
        yield from _places(inner, (*path, step))


def _retyped(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return str(value)
    if isinstance(value, str):
        return [value]
    return dict(enumerate(value)) if isinstance(value, list) else list(value.items()) if value else 0


def damaged(plain: Any, dice: random.Random) -> Any:
    """A copy with one to three places deleted, replaced, retyped, nested, renamed or swapped."""
    harmed = copy.deepcopy(plain)
    for _ in range(dice.choice((1, 1, 2, 3))):
        places = list(_places(harmed))
        if not places:
            return harmed
        _harm(harmed, dice.choice(places), dice)
    return harmed


def _harm(plain: Any, path: tuple[Any, ...], dice: random.Random) -> None:
    *stem, leaf = path
    holder = plain
    for step in stem:
        holder = holder[step]
    way = dice.choice(("delete", "replace", "replace", "replace", "retype", "nest", "rename", "repeat"))
    if way == "delete":
        del holder[leaf]
    elif way == "replace":
        holder[leaf] = copy.deepcopy(dice.choice((*NASTY, _deep(60), _deep(300))))
    elif way == "retype":
        holder[leaf] = _retyped(holder[leaf])
    elif way == "nest":
        holder[leaf] = {"value": holder[leaf]}
    elif way == "rename" and isinstance(holder, dict):
        holder[dice.choice(("", "id", "format", "\ud800", "extra", str(leaf) + " "))] = holder.pop(leaf)
    else:
        holder[leaf] = [holder[leaf]] * 3


def as_bytes(plain: Any, dice: random.Random) -> bytes:
    """JSON of a damaged document; one in six loses bytes, or has some that are no text."""
    data = json.dumps(plain).encode()
    way = dice.randrange(24)
    if way == 0:
        return data[: dice.randrange(len(data) + 1)]
    if way == 1:
        at = dice.randrange(len(data))
        return data[:at] + bytes(dice.randrange(256) for _ in range(4)) + data[at + 4 :]
    if way == 2:
        return b"\xff\xfe" + data
    return data[dice.randrange(len(data)) :] if way == 3 else data


def unlock(link: sqlite3.Connection) -> None:
    """Take away what keeps the book as it was written, as a damaged disk would."""
    for (trigger,) in link.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        link.execute(f"DROP TRIGGER {trigger}")
    link.execute("PRAGMA ignore_check_constraints = ON")
    link.execute("PRAGMA foreign_keys = OFF")


def harm(book: Book, statement: str, *values: Any) -> None:
    """Change one line of the book."""
    link = sqlite3.connect(book.path)
    unlock(link)
    assert link.execute(statement, values).rowcount == 1
    link.commit()
    link.close()

"""An item that a form made or changed, on her shelf: a free id, a free name, its place, taken off again."""

from __future__ import annotations

from typing import TypeVar

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.forms.form import Form
from blendlab.recipe import slug
from blendlab.shelf import Item, Shelf

Kind = TypeVar("Kind", bound=Item)

Added = tuple[Item | None, list[str], list[str]]
"""The item, or None; the answers to what was wrong; what she should know."""


def free_id(shelf: Shelf, kind: str, name: str) -> str:
    """An id made of a name that nothing of that kind on the shelf has."""
    wanted, number = slug(name), 2
    found = wanted
    while shelf.today(kind, found) is not None:
        found, number = f"{wanted}-{number}", number + 1
    return found


def changed(form: Form, shelf: Shelf, sort: type[Kind]) -> Kind | None:
    """The item on the shelf that the form changes; None for a new one. One that went is answered."""
    item_id = form.text("edit")
    old = shelf.today(sort.kind, item_id)
    if item_id and not isinstance(old, sort):
        form.answers.append(f'"{item_id}" is no longer on the shelf.')
    return old if isinstance(old, sort) else None


def name_of(form: Form, shelf: Shelf, kind: str, old: Item | None = None) -> str:
    """The name that was typed; missing or taken by another than `old`, it is answered."""
    name = form.text("name")
    others = (item for item in shelf.of(kind) if old is None or item.id != old.id)
    if not name:
        form.answers.append("A name is missing.")
    elif any(item.name.casefold() == name.casefold() for item in others):
        form.answers.append(f'"{name}" is on the shelf already; give this one a name of its own.')
    return name


def put(folder: store.Folder, item: Item, new: bool = False) -> None:
    """Put an item on the shelf: a new one, or a changed one in the place of its last revision.

    Raises ChangedOutside for a new one whose id is taken, UnknownName for a changed one that was taken
    off meanwhile, NotSaved, BadDocument, NewerFormat.
    """
    seen = None if new else store.open_item(folder, item.kind, item.id).digest
    store.save_item(folder, item, seen)


def save(folder: store.Folder, item: Item, new: bool = False) -> str:
    """Put an item on the shelf; "" or what went wrong."""
    try:
        put(folder, item, new)
    except BlendlabError as problem:
        return str(problem)
    return ""


def keep(folder: store.Folder, form: Form, made: Item | None, told: list[str], new: bool = True) -> Added:
    """Put what a form made on the shelf unless something was answered."""
    if made is not None and not form.answers:
        form.tried(lambda: put(folder, made, new), "Not saved")
    return (None, form.answers, []) if form.answers or made is None else (made, [], told)


def take_off(folder: store.Folder, item: Item) -> None:
    """Take an item off the shelf; its file goes to the bin, saved cards keep their revision."""
    store.delete_item(folder, item.kind, item.id)

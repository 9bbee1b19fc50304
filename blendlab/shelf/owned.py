"""Everything she owns today, and older revisions that saved designs carry with them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from blendlab.codec import decode, refuse_newer
from blendlab.errors import BadDocument, UnknownName
from blendlab.recipe import Ref
from blendlab.shelf.base import Base
from blendlab.shelf.ingredient import Ingredient, Scale
from blendlab.shelf.item import FORMAT, Item
from blendlab.shelf.jar import Jar
from blendlab.shelf.oil import Oil
from blendlab.shelf.pigment import Pigment

ITEMS: dict[str, type[Item]] = {item.kind: item for item in (Pigment, Oil, Base, Jar, Scale, Ingredient)}


def item_from_dict(kind: str, data: Any) -> Item:
    """The shelf item of one kind in a plain dict; a later format is read as far as it can be.

    Raises UnknownName for the kind, BadDocument with every problem, NewerFormat for a later format that
    cannot be read at all.

    >>> item_from_dict("scale", {"id": "fine", "name": "fine", "step_g": 0.01, "capacity_g": 500}).step_g
    0.01
    """
    if kind not in ITEMS:
        raise UnknownName("kind of shelf item", kind, ITEMS)
    try:
        return decode(ITEMS[kind], data)
    except BadDocument:
        refuse_newer(kind, data, FORMAT)
        raise


@dataclass(frozen=True)
class Shelf:
    """What she owns today, and older revisions that saved designs carry with them.

    items     today's items
    embedded  revisions that came with a design
    """

    items: tuple[Item, ...] = ()
    embedded: tuple[Item, ...] = ()

    @cached_property
    def _today(self) -> dict[tuple[str, str], Item]:
        return {(item.kind, item.id): item for item in self.items}

    @cached_property
    def _revisions(self) -> dict[str, Item]:
        return {item.ref.key: item for item in (*self.items, *self.embedded)}

    @cached_property
    def revisions(self) -> str:
        """What tells one state of the shelf from another, the carried revisions included."""
        return "|".join(item.ref.key for item in (*self.items, *self.embedded))

    def today(self, kind: str, item_id: str) -> Item | None:
        """Today's item of that id, or None."""
        return self._today.get((kind, item_id))

    def find(self, ref: Ref) -> Any:
        """The revision that `ref` names; without it, today's item of the same id, else an embedded one.

        Raises UnknownName when none is there.
        """
        found = self._revisions.get(ref.key) or self.today(ref.kind, ref.id) or self._carried(ref)
        if found is None:
            raise UnknownName(ref.kind, ref.id, [item.id for item in self.of(ref.kind)])
        return found

    def has(self, ref: Ref) -> bool:
        """Whether `find` would find it."""
        return bool(self._revisions.get(ref.key) or self.today(ref.kind, ref.id) or self._carried(ref))

    def _carried(self, ref: Ref) -> Item | None:
        same = (item for item in self.embedded if (item.kind, item.id) == (ref.kind, ref.id))
        return next(same, None)

    def newer(self, ref: Ref) -> Item | None:
        """Today's item when a jar of it may differ from one of the revision that `ref` names.

        A price that moved changes no jar; of a revision that is gone only its digest is known.
        """
        item, taken = self.today(ref.kind, ref.id), self._revisions.get(ref.key)
        if item is None or not ref.rev or item.rev == ref.rev:
            return None
        return None if item.matter == (taken.matter if taken is not None else ref.rev) else item

    def of(self, kind: str) -> Iterator[Any]:
        """Today's items of one kind, in their order."""
        return (item for item in self.items if item.kind == kind)

    def carrying(self, embedded: Iterable[Item]) -> Shelf:
        """The same shelf with the revisions of a design beside it."""
        return Shelf(self.items, tuple(embedded))

    def holding(self, items: Iterable[Item]) -> Shelf:
        """The same shelf with these revisions in the place of today's; of two of one thing the last."""
        taken = tuple(items)
        held = {(item.kind, item.id): item for item in (*self.items, *taken)}
        return Shelf(tuple(held.values()), taken)

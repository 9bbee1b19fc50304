"""Bases for a product kind: which fit, and which may be taken without asking."""

from __future__ import annotations

from blendlab.recipe import Ref
from blendlab.shelf import Base, Shelf


def fitting(shelf: Shelf, product: str) -> tuple[Base, ...]:
    """Bases on her shelf that are made for a product kind."""
    return tuple(base for base in shelf.of("base") if base.product == product)


def for_product(shelf: Shelf, product: str, current: Ref) -> Base | None:
    """The base to take when a design becomes another product: the only one that fits.

    None where the base at work fits, where several do and she is asked, and where nobody has one.
    """
    found = fitting(shelf, product)
    return found[0] if len(found) == 1 and found[0].id != current.id else None

"""What entries of the book say once jars have left the kitchen: sold, come back, counted, put aside."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from blendlab.codec import Noun, number, text
from blendlab.store.book_said import Said

MOST_JARS = 1_000_000


@dataclass(frozen=True, kw_only=True)
class Sale(Said):
    """Jars that went to somebody.

    jars     0 only in a correction: the sale never was
    channel  where it was sold, in her words; order: number of the order
    """

    jars: int = number(0, MOST_JARS, "jars")
    to: str = text(200, default="")
    on: date | None = None
    channel: str = text(60, default="")
    order: str = text(60, default="")


@dataclass(frozen=True, kw_only=True)
class Return(Said):
    """Jars of one sale that came back.

    sale      number of the entry that wrote the sale
    sellable  whether they can be sold again; what cannot is out of the stock
    """

    sale: int = number(1, 10**12, "")
    jars: int = number(1, MOST_JARS, "jars")
    on: date
    why: str = text(600)
    sellable: bool = False


@dataclass(frozen=True, kw_only=True)
class JarCount(Said):
    """Jars that a count found more or, below 0, less: broken, given away, miscounted."""

    change: int = number(-MOST_JARS, MOST_JARS, "jars")
    on: date
    why: str = text(600)


@dataclass(frozen=True, kw_only=True)
class Kept(Said):
    """Jars of a batch that were put aside for tests, and for which; jars  None = nobody wrote how many."""

    on: date
    tests: tuple[str, ...]
    jars: int | None = number(1, MOST_JARS, "jars", default=None)


SALES: dict[str, type[Noun]] = {"sale": Sale, "return": Return, "jars": JarCount, "kept": Kept}
"""Kinds of entries -> what each says; all of them have rules of their own."""

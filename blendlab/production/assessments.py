"""Assessments in the book, and what of a design none of them covers."""

from __future__ import annotations

from collections.abc import Iterable

from blendlab import batch, store
from blendlab.assess import Assessment
from blendlab.batch import Family
from blendlab.codec import decode, encode
from blendlab.errors import Finding
from blendlab.store import Book


def numbered(book: Book) -> dict[int, Family]:
    """The assessments in the book by the numbers of their lines, the newest first."""
    found = {entry.number: decode(Family, entry.data) for entry in store.families(book)}
    return dict(sorted(found.items(), key=lambda each: each[1].on, reverse=True))


def families(book: Book) -> tuple[Family, ...]:
    """The assessments in the book, the newest first."""
    return tuple(numbered(book).values())


def assessed_by(assessed: Assessment, known: Iterable[Family]) -> tuple[Finding, ...]:
    """Findings of a design that no assessment covers: those of the one that covers it best.

    None while base or jar are missing: that is a stop by itself.
    """
    resolved, pct = assessed.resolved, None
    if resolved is None:
        return ()
    if assessed.plan is not None and assessed.plan.preservative is not None:
        pct = assessed.plan.preservative.low_pct
    product = resolved.design.product
    outside = [batch.outside(resolved, family, pct) for family in known if family.product == product]
    return min(outside, key=len) if outside else batch.outside(resolved, None)


def keep_family(book: Book, made: Family) -> None:
    """Write an assessment into the book."""
    book.write("family", made.id, encode(made))

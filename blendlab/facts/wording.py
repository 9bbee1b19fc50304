"""Words that make a cosmetic something else: food, medicine, a product for small children."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from blendlab.facts.read import table

KINDS = ("food", "therapy", "children", "claim")


@dataclass(frozen=True)
class Word:
    """A word, what it makes of a product, where it counts, and the source of the rule."""

    word: str
    kind: str
    scent: bool
    source: str


@cache
def _words() -> tuple[Word, ...]:
    return tuple(
        Word(row["word"], row["kind"], row["counts_in"] == "name and scent", row["source"])
        for row in table("fragrance/words")
        if row["kind"] in KINDS
    )


def words_in(texts: Iterable[str], kind: str, of_scent: bool = False) -> tuple[Word, ...]:
    """Words of one kind in some texts, each once.

    of_scent  the texts are names of oils: words that name a plant as well do not count

    >>> [found.word for found in words_in(["Vanilla cupcake"], "food")]
    ['vanilla', 'cupcake']
    """
    joined = " | ".join(texts).lower()
    placed = [
        (match.start(), entry)
        for entry in _words()
        if entry.kind == kind and (entry.scent or not of_scent)
        if (match := _pattern(entry.word).search(joined))
    ]
    return tuple(entry for _, entry in sorted(placed, key=lambda pair: pair[0]))


@cache
def _pattern(word: str) -> re.Pattern[str]:
    parts = re.escape(word).replace(r"\-", r"[\s-]?")
    return re.compile(rf"(?<![a-zäöüß]){parts}(?:s|es)?(?![a-zäöüß])")


@cache
def warning(what: str) -> str:
    """Words for the label: "food", "phototoxic" or "children".

    >>> warning("children")
    'Not for children under three years.'
    """
    rows = (row for row in table("fragrance/words") if row["kind"] == "warning")
    return next(row["word"] for row in rows if row["counts_in"] == what)

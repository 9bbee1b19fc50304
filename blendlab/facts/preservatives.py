"""Preservatives: systems known by name, what the law allows of their actives, acids and their salts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from blendlab.facts.products import product
from blendlab.facts.read import Row, choice, maybe_number, number, table
from blendlab.shelf import Ingredient


class ActiveLimit(NamedTuple):
    """Highest percent of a preservative active in the finished product; the acid counts for its salts."""

    active: str
    cas: str
    pct: float
    source: str


@cache
def active_limits(kind: str) -> Mapping[str, ActiveLimit]:
    """Limits of preservative actives for a kind of product: name in small letters -> limit.

    >>> active_limits("whipped_soap")["phenoxyethanol"].pct, active_limits("body_butter")["benzoic acid"].pct
    (1.0, 0.5)
    """
    column = "leave_on_pct" if product(kind).rinse == "leave_on" else "rinse_off_pct"
    return {
        row["active"].lower(): ActiveLimit(row["active"], row["cas"], number(row, column), row["source"])
        for row in table("batch/preservative_limits")
    }


class Acid(NamedTuple):
    """An acid preservative or its salt: the acid it counts as, both molar masses, pKa of the acid."""

    acid: str
    g_mol_salt: float
    g_mol_acid: float
    pka: float


@cache
def acids() -> Mapping[str, Acid]:
    """Acid preservatives and their salts, by name in small letters.

    >>> acids()["sodium benzoate"].pka
    4.19
    """
    return {
        row["salt"].lower(): Acid(
            row["acid"], number(row, "g_mol_salt"), number(row, "g_mol_acid"), number(row, "pka")
        )
        for row in table("batch/acids")
    }


TAKES = ("all", "any")
REFUSED = ("yes", "anionic", "no")


class System(NamedTuple):
    """A preservative system: INCI names in small letters, pH it works in, words of caution.

    takes    "all": it is there when every name is; "any": a class, there when a name holds one of its words
    refused  "yes": it does not preserve a surfactant foam by itself; "anionic": not beside an anionic
             surfactant; "no"
    """

    name: str
    inci: frozenset[str]
    takes: str
    ph_low: float | None
    ph_high: float | None
    refused: str
    warning: str
    source: str


@cache
def systems() -> tuple[System, ...]:
    """Preservative systems that are known by name.

    >>> systems()[0].name
    'phenoxyethanol + ethylhexylglycerin 90/10'
    """
    return tuple(map(system, table("batch/preservatives")))


def system(row: Row) -> System:
    """The system in a row. Raises BadFacts for a word that `takes` or `refused` cannot hold."""
    return System(
        row["system"],
        frozenset(name.strip().lower() for name in row["inci"].split(",") if name.strip()),
        choice(row, "takes", TAKES),
        maybe_number(row, "ph_low"),
        maybe_number(row, "ph_high"),
        choice(row, "refused", REFUSED),
        row["warning"],
        row["source"],
    )


def system_of(ingredient: Ingredient) -> System | None:
    """The system whose names are all among the components, the one of most names; None = not known.

    A class speaks only of what belongs to no such system: beside one its member preserves nothing alone.

    >>> from blendlab.facts.ingredients import ingredients
    >>> system_of(next(item for item in ingredients() if item.function == "preservative")).ph_high
    10.0
    """
    names = {part.inci.lower() for part in ingredient.components}
    named = [each for each in systems() if each.takes == "all" and each.inci]
    fitting = [each for each in named if each.inci <= names]
    classes = (each for each in systems() if each.takes == "any")
    same = next((each for each in classes if any(_holds(name, each.inci) for name in names)), None)
    return max(fitting, key=lambda each: len(each.inci), default=same)


def _holds(name: str, words: frozenset[str]) -> bool:
    """Whether an INCI name holds one of some words, each as a whole."""
    return any(re.search(rf"(?<!\w){re.escape(word)}(?!\w)", name) for word in words)

"""Kinds of product: their IFRA category, whether they are rinsed off, what law they fall under."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from blendlab.errors import UnknownName
from blendlab.facts.read import Row, maybe_number, table

Rinse = Literal["rinse_off", "leave_on", "not_cosmetic"]
RINSE: tuple[Rinse, ...] = ("leave_on", "rinse_off", "not_cosmetic")
"""Longest on the skin first."""


@dataclass(frozen=True)
class Product:
    """A kind of product: its IFRA category, whether it is rinsed off, the scopes of law it falls under.

    also      a further category and how it counts: "bind" (the smaller figure) or "caution"
    load_pct  usual load to start from; `usual_high_pct` the upper end of common practice
    """

    name: str
    category: str
    rinse: Rinse
    scopes: frozenset[str]
    also: str
    also_use: str
    also_why: str
    load_pct: float | None
    usual_high_pct: float | None


@cache
def products() -> Mapping[str, Product]:
    """Kinds of product by name."""
    return {row["product"]: _product(row) for row in table("fragrance/products")}


def _product(row: Row) -> Product:
    if row["eu_class"] not in RINSE:
        raise row.bad(f'eu_class is "{row["eu_class"]}"; one of {", ".join(RINSE)}')
    return Product(
        row["product"],
        row["ifra_category"],
        RINSE[RINSE.index(row["eu_class"])],
        scopes_in(row, "scopes"),
        row["also_category"],
        row["also_use"],
        row["also_why"],
        maybe_number(row, "default_load_pct"),
        maybe_number(row, "usual_high_pct"),
    )


def scopes_in(row: Row, column: str) -> frozenset[str]:
    """Scopes of law in a cell of a row; a word that is no scope is refused.

    Raises BadFacts.
    """
    scopes = frozenset(row[column].split())
    unknown = scopes - {scope["word"] for scope in table("fragrance/scopes")}
    if unknown:
        raise row.bad(f"{column} has {', '.join(sorted(unknown))}")
    return scopes


def product(name: str) -> Product:
    """One kind of product; UnknownName when there is none.

    >>> product("whipped_soap").category, product("body_butter").rinse
    ('9', 'leave_on')
    """
    if name not in products():
        raise UnknownName("product", name, products())
    return products()[name]


def strictest(kinds: Sequence[Product]) -> Product:
    """One jar sold as several kinds: under every scope, on the skin if one kind stays there.

    >>> strictest([product("whipped_soap"), product("hand_cream")]).rinse
    'leave_on'
    """
    usual = [kind.usual_high_pct for kind in kinds if kind.usual_high_pct is not None]
    rinse = min((kind.rinse for kind in kinds), key=RINSE.index)
    scopes = frozenset().union(*(kind.scopes for kind in kinds))
    return replace(kinds[0], rinse=rinse, scopes=scopes, usual_high_pct=min(usual, default=None))


def categories_of(kinds: Sequence[Product]) -> list[str]:
    """Categories of some kinds, each once, with those that bind besides.

    >>> categories_of([product("whipped_soap"), product("body_butter")])
    ['9', '5A']
    """
    each = [category for kind in kinds for category in (kind.category, kind.also * (kind.also_use == "bind"))]
    return list(dict.fromkeys(category for category in each if category))


@cache
def categories() -> tuple[str, ...]:
    """The IFRA categories in their order."""
    return tuple(row["category"] for row in table("fragrance/categories"))

"""What differs between two revisions of one thing: every field of it, in words and with its unit."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date

import pytest

from blendlab.production.revisions import BESIDE, SEEN, categories, changes
from blendlab.recipe import Ref
from blendlab.shelf import (
    ITEMS,
    BaseLine,
    Component,
    Constituent,
    Declaration,
    Declared,
    Item,
    Price,
    Sheet,
)
from tests.batch import plans_to_try as tries

SHELF = tries.shelf()
OF_KIND = {
    "pigment": "ultramarine_blue",
    "oil": "lavender",
    "base": "cooked",
    "jar": "j120-70",
    "scale": "fine",
    "ingredient": "preservative-a",
}
OTHER = {
    "product": "body_butter",
    "known": "estimate",
    "components": (Component(inci="AQUA", low_pct=1, high_pct=2),),
    "lines": (BaseLine(ingredient=Ref(kind="ingredient", id="glycerin"), pct=99),),
    "sheet": Sheet(amendment=49, issued=None, limits={"9": 0.125}),
    "own_sheet": Sheet(amendment=49, issued=None, limits={"9": 0.125}),
    "declaration": Declaration(names="old26", issued=None, rows={"78-70-6": Declared(pct=1.25)}),
    "constituents": {"78-70-6": Constituent(name="Linalool", low=1, typical=2, high=3)},
    "notes": (0.5, 0.25, 0.25),
    "ci": ("77891", "77491"),
    "composite_of": {"ultramarine_blue": 0.75},
    "actives": {"phenoxyethanol": 0.125},
    "contents": {"78-70-6": 0.125},
    "limits": {"78-70-6": 0.125},
    "declared": ("Aqua", "Glycerin"),
    "preservative": Ref(kind="ingredient", id="preservative-b"),
    "preservative_pct": (0.25, 0.5),
    "dilution_of": Ref(kind="oil", id="petitgrain"),
    "powder_srgb": (0.25, 0.5, 0.75),
    "unconfirmed": ("pH",),
    "group": {"pigment": "pearl", "oil": "absolute"},
    "surface": "glass",
    "material": "acrylic",
    "lid": "domed",
    "phase": "fold",
    "charge": "anionic",
}
"""Values that no demo item has; every other field takes a figure, a text or a day by its type."""


def other(item: Item, name: str):
    if name in OTHER:
        value = OTHER[name]
        return value[item.kind] if name == "group" else value
    declared = next(declared for declared in fields(item) if declared.name == name)
    kind = str(declared.type)
    if "date" in kind:
        return date(2026, 2, 3)
    if "bool" in kind:
        return not getattr(item, name)
    if "str" in kind:
        return "another"
    return declared.metadata["low"] * 0.75 + declared.metadata["high"] * 0.25


def told_fields(kind: str) -> list[str]:
    return [declared.name for declared in fields(ITEMS[kind]) if declared.name not in BESIDE | SEEN]


@pytest.mark.parametrize(("kind", "name"), [(kind, name) for kind in ITEMS for name in told_fields(kind)])
def test_every_field_of_a_thing_that_is_another_is_told(kind, name):
    old = SHELF.today(kind, OF_KIND[kind])
    new = replace(old, **{name: other(old, name)})
    told = changes(old, new, ("9",))
    assert told
    assert all(change.before != change.now for change in told)
    assert all(change.what and change.before and change.now for change in told)


def test_a_price_is_told_with_the_lots_and_not_here():
    oil = SHELF.today("oil", "lavender")
    assert changes(oil, replace(oil, price_per_g=1.5), ("9",)) == ()
    base = SHELF.today("base", "cooked")
    assert changes(base, replace(base, price=Price(pack_price=9, pack_g=100)), ("9",)) == ()


def test_only_limits_that_bind_the_product_are_told():
    """A body butter is judged by 5A; what a sheet says of category 9 changes nothing in its jar."""
    oil = SHELF.today("oil", "lavender")
    new = replace(oil, sheet=replace(oil.sheet, limits={"9": 0.5, "5A": oil.sheet.limits["5A"]}))
    assert changes(oil, new, ("5A",)) == ()
    ((what, before, now),) = changes(oil, new, ("9",))
    assert what == "its sheet, limit in category 9"
    assert (before, now) == (f"{oil.sheet.limits['9']:g} % of the product", "0.5 % of the product")
    gone = replace(oil, sheet=replace(oil.sheet, limits={}))
    assert changes(oil, gone, ("9",))[0].now == "not for that use"
    assert categories(tries.design(product="body_butter")) == ("5A",)


def test_figures_that_differ_beyond_the_third_digit_are_told_apart():
    jar = SHELF.today("jar", "j120-70")
    ((_, before, now),) = changes(replace(jar, outer_mm=71.24), replace(jar, outer_mm=71.23), ())
    assert (before, now) == ("71.24 mm", "71.23 mm")

"""What she owns: revisions by content, looking up, carrying older revisions."""

import json
from dataclasses import fields, replace

import pytest

from blendlab.codec import encode
from blendlab.errors import BadDocument, UnknownName
from blendlab.recipe import Ref
from blendlab.shelf import ITEMS, Ingredient, Price, Shelf, item_from_dict
from tests.store.samples import BLUE, FINE, GOLD, LAVENDER
from tests.store.samples import ITEMS as OWNED

WATER = Ingredient(id="water", name="Water", function="water", components=())


@pytest.mark.parametrize("item", OWNED, ids=lambda item: item.kind)
def test_items_come_back_with_their_revision(item):
    again = item_from_dict(item.kind, json.loads(json.dumps(encode(item))))
    assert again == item
    assert again.rev == item.rev
    assert again.ref == Ref(kind=item.kind, id=item.id, rev=item.rev)


def test_any_change_is_a_new_revision():
    revisions = {
        BLUE.rev,
        replace(BLUE, name="Iron blue, lot 2").rev,
        replace(BLUE, k=(*BLUE.k[:30], 9.0)).rev,
        replace(BLUE, strength_sd=0.1).rev,
        replace(BLUE, extra={"odd": 1}).rev,
    }
    assert len(revisions) == 5


def test_whole_numbers_and_points_are_one_revision():
    assert replace(FINE, capacity_g=500).rev == replace(FINE, capacity_g=500.0).rev


@pytest.mark.parametrize(
    ("kind", "change", "where"),
    [
        ("pigment", {"k": [0.1] * 30}, "k"), ("pigment", {"k": [-0.1] * 31}, "k"),
        ("pigment", {"cap_pct": 101}, "cap_pct"),
        ("pigment", {"known": "guessed"}, "known"), ("pigment", {"ci": "77510"}, "ci"),
        ("oil", {"notes": [0.5, 0.5]}, "notes"), ("oil", {"sheet": {"amendment": 51}}, "sheet.issued"),
        ("oil", {"sheet": {"amendment": 51, "issued": None, "limits": {"9": "many"}}}, "sheet.limits.9"),
        ("jar", {"inner_mm": 0}, "inner_mm"), ("scale", {"step_g": 0}, "step_g"), ("base", {"pH": 15}, "pH"),
    ],
)  # fmt: skip
def test_wrong_values_are_told_with_their_place(kind, change, where):
    plain = encode(next(item for item in OWNED if item.kind == kind))
    with pytest.raises(BadDocument) as caught:
        item_from_dict(kind, {**plain, **change})
    assert [problem.where for problem in caught.value.problems] == [where]


def test_unknown_kind_is_told_with_the_known_ones():
    with pytest.raises(UnknownName, match="pigment"):
        item_from_dict("lantern", {})
    assert set(ITEMS) >= {"pigment", "oil", "base", "jar", "scale", "ingredient"}


def test_unknown_stays_unknown():
    """A sheet or figure that is not there is None, never 0."""
    assert LAVENDER.declaration is None
    assert LAVENDER.vanillin_pct is None
    assert LAVENDER.sheet.limits.get("1") is None


def test_shelf_finds_the_named_revision_before_today():
    stronger = replace(BLUE, strength_sd=0.1)
    shelf = Shelf((stronger, GOLD)).carrying([BLUE])
    assert shelf.find(BLUE.ref) == BLUE
    assert shelf.find(Ref(kind="pigment", id="iron_blue")) == stronger
    assert shelf.newer(BLUE.ref) == stronger
    assert shelf.newer(stronger.ref) is None
    assert shelf.newer(GOLD.ref) is None


PRICED = {
    "pigment": {"price_per_g": 0.4},
    "oil": {"price_per_g": 0.9},
    "base": {"price": Price(pack_price=40, pack_g=5000)},
    "ingredient": {"price": Price(pack_price=9, pack_g=1000), "price_per_g": 0.1},
    "jar": {"price_each": 0.8},
    "scale": {},
}


@pytest.mark.parametrize("kind", ITEMS)
def test_a_price_changes_no_jar(kind):
    """Every field that is called a price is left out of what matters, of every kind."""
    names = {each.name for each in fields(ITEMS[kind]) if each.name.startswith("price")}
    assert names == set(PRICED[kind])
    plain = next((item for item in OWNED if item.kind == kind), WATER)
    assert plain.matter == plain.rev
    priced = replace(plain, **PRICED[kind])
    assert priced.matter == plain.rev
    assert (priced.rev == plain.rev) is not bool(names)
    assert replace(priced, name="Another").matter != plain.matter


def test_a_thing_with_a_new_price_is_no_newer_one():
    dear, dearer = replace(BLUE, price_per_g=0.4), replace(BLUE, price_per_g=0.6)
    assert Shelf((dearer,)).carrying([dear]).newer(dear.ref) is None
    assert Shelf((dearer,)).newer(BLUE.ref) is None, "its digest alone says that it had no price"
    assert Shelf((dearer,)).newer(dear.ref) == dearer, "what it was is not known"
    stronger = replace(dearer, strength_sd=0.1)
    assert Shelf((stronger,)).carrying([dear]).newer(dear.ref) == stronger
    assert Shelf((dearer,)).carrying([dear]).find(dear.ref) == dear


def test_shelf_falls_back_to_today_then_to_what_the_design_carries():
    gone = Ref(kind="pigment", id="iron_blue", rev="long ago")
    assert Shelf((BLUE,)).find(gone) == BLUE
    assert Shelf().carrying([BLUE]).find(Ref(kind="pigment", id="iron_blue")) == BLUE
    assert Shelf().carrying([BLUE]).has(gone)
    assert not Shelf((GOLD,)).has(gone)
    with pytest.raises(UnknownName, match="gold"):
        Shelf((GOLD,)).find(gone)


def test_kinds_are_kept_apart():
    twin = replace(FINE, id="gold")
    shelf = Shelf((GOLD, twin))
    assert shelf.today("scale", "gold") == twin
    assert list(shelf.of("pigment")) == [GOLD]

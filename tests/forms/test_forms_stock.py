"""Deliveries, prices, raw materials, scales and bases as they are typed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.facts.demo import demo_shelf
from blendlab.forms.deliveries import receive
from blendlab.forms.form import Form
from blendlab.forms.formulas import confirm, formula_text, set_formula, water_to_the_rest
from blendlab.forms.materials import add_base, add_ingredient, add_scale, typed_of_base
from blendlab.forms.prices import per_kg, price_of, set_pack, set_price
from blendlab.shelf import Price, Scale

DAY = date(2026, 3, 7)
CAME = {"kind": "base", "item": "soap-white", "code": "B-7", "grams": "5000"}


def came(book, folder, shelf, **typed):
    said, answers = receive(book, folder, shelf, {**CAME, **typed}, DAY)
    lots = store.lots(book)
    return said, answers, lots[0] if lots else None


# --- deliveries ---------------------------------------------------------------------------------------


def test_a_delivery_is_in_the_book_with_its_days_and_paper(book, folder, shelf):
    days = {"received": "2026-03-01", "expiry": "2027-09-30", "opened": "2026-03-05"}
    said, answers, line = came(book, folder, shelf, supplier="Reed & Co", document="S-12", **days)
    assert answers == []
    assert said.startswith("Lot B-7 of ")
    assert said.endswith(": 5000 g are in the book.")
    assert (line.left_g, line.lot.supplier, line.lot.document) == (5000, "Reed & Co", "S-12")
    assert (line.lot.received, line.lot.expiry, line.lot.opened) == tuple(
        map(date.fromisoformat, days.values())
    )


def test_a_delivery_that_is_not_whole_is_answered_at_once(book, folder, shelf):
    assert receive(book, folder, shelf, {"kind": "oil", "item": "gone"}, DAY) == ("", ["Choose what came."])
    _, answers, line = came(book, folder, shelf, code="", grams="", received="yesterday")
    assert [answer.split(":")[0] for answer in answers] == [
        "The code of the lot is missing.", "What came is missing.", "Received",
    ]  # fmt: skip
    assert line is None


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ({"kept": "known", "low": "0,8"}, [0.8, 0.8]),
        ({"kept": "range", "low": "0.6", "high": "1"}, [0.6, 1.0]),
        ({"kept": "unknown"}, "unknown"),
        ({}, None),
    ],
)
def test_what_a_lot_of_a_base_holds_of_its_preservative(book, folder, shelf, typed, kept):
    _, answers, line = came(book, folder, shelf, **typed)
    assert answers == []
    assert line.data.get("preservative_pct") == kept


@pytest.mark.parametrize("typed", [{"kept": "known"}, {"kept": "range", "low": "1", "high": "0.6"}])
def test_a_preservative_without_its_percent_is_answered(book, folder, shelf, typed):
    _, answers, line = came(book, folder, shelf, **typed)
    assert answers == ["The percent of preservative is missing, or its range is upside down."]
    assert line is None


@pytest.mark.parametrize(
    "typed",
    [
        {"low": "1,10", "high": "1,10"},
        {"high": "1.1"},
        {"kept": "unknown", "low": "1.1"},
        {"kept": "known", "low": "0.9", "high": "1.1"},
    ],
)
def test_a_percent_of_preservative_that_would_be_dropped_is_asked_about(book, folder, shelf, typed):
    _, answers, line = came(book, folder, shelf, **typed)
    assert len(answers) == 1
    assert "typed" in answers[0]
    assert line is None
    _, answers, line = came(book, folder, shelf, kept="known", low="1.1", high="1,10")
    assert (answers, line.data["preservative_pct"]) == ([], [1.1, 1.1])


def test_a_lot_of_a_base_knows_its_measures_and_its_order(book, folder, shelf):
    order = "Aqua 40–60 %\nGlycerin 10 15\n\nSodium Cocoyl Isethionate 20"
    _, answers, line = came(book, folder, shelf, ph="5,6", foam="0.62", heat="45", order=order)
    assert answers == []
    assert line.data["pH"] == 5.6
    assert line.data["density_whipped_g_ml"] == 0.62
    assert line.data["add_below_c"] == 45
    assert line.data["in_order"] == {
        "Aqua": [40, 60], "Glycerin": [10, 15], "Sodium Cocoyl Isethionate": [20, 20],
    }  # fmt: skip


def test_a_number_that_belongs_to_a_name_is_no_percent(book, folder, shelf):
    order = "Polysorbate 20 5\nPoloxamer 188 1 2\nCI 77007 0,1"
    _, answers, line = came(book, folder, shelf, order=order)
    assert answers == []
    assert line.data["in_order"] == {
        "Polysorbate 20": [5, 5],
        "Poloxamer 188": [1, 2],
        "CI 77007": [0.1, 0.1],
    }


def test_a_range_that_stands_upside_down_is_answered(book, folder, shelf):
    _, answers, line = came(book, folder, shelf, order="Glycerin 15 10")
    assert answers == ["Glycerin: from 15 to 10 % is upside down."]
    assert line is None


@pytest.mark.parametrize("order", ["Aqua", "40 60", "Aqua 4000", "Polysorbate 20"])
def test_a_line_of_the_order_that_cannot_be_read_is_answered(book, folder, shelf, order):
    _, answers, line = came(book, folder, shelf, order=order)
    assert len(answers) == 1
    assert order in answers[0]
    assert line is None


def test_only_a_base_has_such_measures(book, folder, shelf):
    _, answers, line = came(book, folder, shelf, kind="oil", item="lavender", kept="known", ph="5")
    assert answers == []
    assert line.data == {}


def bought_base(folder, shelf):
    """A base that comes in buckets: nobody knows its formula."""
    made = replace(shelf.today("base", "soap-white"), id="bucket", name="Bucket", lines=())
    store.save_item(folder, made, None)
    return made


def test_a_price_that_no_gram_can_have_is_answered_before_the_lot_is_written(book, folder, shelf):
    typed = {"kind": "oil", "item": "lavender", "code": "L-1", "grams": "10", "price": "200000"}
    _, answers = receive(book, folder, shelf, typed, DAY)
    (told,) = answers
    assert told.startswith("Price")
    assert store.lots(book) == ()
    assert receive(book, folder, shelf, {**typed, "price": "20"}, DAY)[1] == []
    (told,) = set_pack(folder, shelf.today("oil", "lavender"), {"price": "200000", "pack": "10"})
    assert told.startswith("Price")


def test_the_price_of_a_delivery_is_kept_with_the_thing(book, folder, shelf):
    """24.00 and 3.00 of postage for 500 g: 54 a kilogram."""
    typed = {
        "kind": "oil",
        "item": "lavender",
        "code": "L",
        "grams": "500",
        "price": "24,00",
        "shipping": "3",
    }
    _, answers, _ = came(book, folder, shelf, **typed)
    assert answers == []
    assert per_kg(store.read_shelf(folder).today("oil", "lavender")) == pytest.approx(54)
    typed = {"grams": "9000", "price": "90", "pack": "10000"}
    bucket = bought_base(folder, shelf)
    came(book, folder, store.read_shelf(folder), code="B-8", item=bucket.id, **typed)
    assert store.read_shelf(folder).today("base", bucket.id).price == Price(pack_price=90, pack_g=10_000)
    assert {line.lot.code: line.data["price"]["pack_g"] for line in store.lots(book)} == {
        "L": 500,
        "B-8": 10_000,
    }


def test_a_price_that_cannot_be_kept_is_told(book, folder, shelf):
    store.delete_item(folder, "oil", "lavender")
    said, answers, line = came(book, folder, shelf, kind="oil", item="lavender", price="24")
    assert answers == []  # a second try would find the lot written
    assert "are in the book. The price on the shelf is as it was: " in said
    assert "lavender" in said.partition("as it was")[2]
    assert line is not None


# --- prices -------------------------------------------------------------------------------------------


def test_no_price_is_no_price():
    assert price_of(Form({"grams": "100"})) is None
    form = Form({"price": "20"})
    assert price_of(form) is None
    assert form.answers == ["Grams of the pack is missing."]


@pytest.mark.parametrize(
    ("kind", "item_id"),
    [("jar", "j120-70"), ("base", "bucket"), ("oil", "lavender"), ("pigment", "mica_white")],
)
def test_a_price_set_is_the_price_shown(folder, shelf, kind, item_id):
    bought_base(folder, shelf)
    assert set_price(folder, store.read_shelf(folder).today(kind, item_id), 42.5) == ""
    assert per_kg(store.read_shelf(folder).today(kind, item_id)) == pytest.approx(42.5)


def test_a_base_she_cooks_has_no_price_to_set(folder, shelf):
    own = shelf.today("base", "soap-white")
    assert own.lines
    assert "costs what goes into it" in set_price(folder, own, 42.5)
    assert set_pack(folder, own, {"price": "10", "pack": "1000"}) == ["Choose what was bought."]
    assert store.read_shelf(folder).today("base", "soap-white").price is None


def test_a_pack_is_kept_with_its_postage(folder, shelf):
    """18 and 2 of postage for 40 jars: 0.50 each; 45 and 5 for 1000 g: 50 a kilogram."""
    for kind, item_id, typed, each in (
        ("jar", "j120-70", {"price": "18", "pack": "40", "shipping": "2"}, 0.5),
        ("ingredient", "glycerin", {"price": "45", "pack": "1000", "shipping": "5,00"}, 50),
    ):
        assert set_pack(folder, shelf.today(kind, item_id), typed) == []
        assert per_kg(store.read_shelf(folder).today(kind, item_id)) == pytest.approx(each)
    assert set_pack(folder, shelf.today("jar", "j120-70"), {}) == ["Price of the pack is missing."]
    assert "is missing" in set_pack(folder, shelf.today("jar", "j120-70"), {"price": "18"})[0]


def test_a_thing_without_a_price_has_none(shelf):
    scale = Scale(id="s", name="s", step_g=0.1, capacity_g=500)
    assert per_kg(scale) is None


# --- raw materials, scales, bases ---------------------------------------------------------------------


def test_a_scale_is_its_step_and_what_it_carries(folder, shelf):
    made, answers, _ = add_scale(folder, shelf, {"name": "Pocket", "step": "0,01", "most": "500"})
    assert (answers, made.step_g, made.capacity_g) == ([], 0.01, 500)
    _, answers, _ = add_scale(folder, store.read_shelf(folder), {"name": "pocket", "step": "none"})
    assert len(answers) == 3


def test_a_raw_material_is_a_mixture_of_components(folder, shelf):
    typed = {
        "name": "Mild wash", "function": "surfactant", "charge": "anionic", "water": "15", "active": "80,5",
        "low": "10", "high": "60", "density": "1,1", "heat": "70", "per_kg": "9",
        "components": "Sodium Cocoyl Isethionate; 61789-32-0; 78; 82\n\nAqua; 15",
    }  # fmt: skip
    made, answers, _ = add_ingredient(folder, shelf, typed)
    assert answers == []
    assert [(part.inci, part.cas, part.low_pct, part.high_pct) for part in made.components] == [
        ("Sodium Cocoyl Isethionate", "61789-32-0", 78, 82), ("Aqua", "", 15, 15),
    ]  # fmt: skip
    assert (made.active_pct, made.water_pct, made.low_pct, made.high_pct) == (80.5, 15, 10, 60)
    assert per_kg(made) == 9
    assert store.read_shelf(folder).today("ingredient", "mild-wash") == made


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("", "Components are missing; without them no ingredient list can be written."),
        ("Aqua", '"Aqua": write INCI; CAS; low percent; high percent.'),
        ("Aqua; 120", "Aqua; 120: "),
        ("Aqua; 82; 78", '"Aqua; 82; 78": from 82 to 78 % is upside down.'),
    ],
)
def test_a_raw_material_without_its_components_is_answered(folder, shelf, typed, answer):
    made, answers, _ = add_ingredient(folder, shelf, {"name": "Mild wash", "components": typed})
    assert made is None
    assert answers[0].startswith(answer)


def test_a_bought_base_has_the_white_of_its_kind_and_nothing_else_is_taken_for_known(folder, shelf):
    typed = {
        "name": "Bought", "product": "whipped_soap", "ph": "5,5", "declared": "Aqua\n Glycerin \n",
        "kept": "glycerin", "low": "0.8", "density": "1,1",
    }  # fmt: skip
    made, answers, told = add_base(folder, shelf, typed)
    assert answers == []
    assert (made.k0, made.s0) == (shelf.today("base", "soap-white").k0, shelf.today("base", "soap-white").s0)
    assert (made.pH, made.declared, made.density_mix_g_ml) == (5.5, ("Aqua", "Glycerin"), 1.1)
    assert made.preservative_pct == (0.8, 0.8)
    assert (made.actives, made.own_fragrance_pct) == ({}, None)
    assert "not known" in told[0]
    bare, answers, _ = add_base(folder, shelf, {"name": "Bare", "product": "whipped_soap", "low": "1"})
    assert (answers, bare.preservative, bare.preservative_pct) == ([], None, None)
    assert (bare.density_mix_g_ml, typed_of_base(bare)["density"]) == (None, "")
    emptied, _, _ = add_base(
        folder, store.read_shelf(folder), {**typed_of_base(made), "edit": made.id, "density": ""}
    )
    assert emptied.density_mix_g_ml is None


def test_a_base_says_what_fragrance_it_has_of_its_own_and_none_is_not_unknown(folder, shelf):
    typed = {"name": "Hers", "product": "whipped_soap", "own": "0"}
    made, answers, told = add_base(folder, shelf, typed)
    assert (made.own_fragrance_pct, answers) == (0.0, [])
    assert not any("fragrance" in sentence for sentence in told)
    assert typed_of_base(made)["own"] == "0"
    assert typed_of_base(replace(made, own_fragrance_pct=None))["own"] == ""


def test_a_range_that_is_upside_down_is_answered_and_not_turned_round(folder, shelf):
    typed = {"name": "Bought", "product": "whipped_soap", "kept": "glycerin", "low": "1", "high": "0.6"}
    assert add_base(folder, shelf, typed)[:2] == (None, ["Preservative: from 1 to 0.6 % is upside down."])
    typed = {"name": "Mild wash", "components": "Aqua; 100", "low": "3", "high": "2"}
    answer = "What its sheet allows: from 3 to 2 % is upside down."
    assert add_ingredient(folder, shelf, typed)[:2] == (None, [answer])


def test_a_base_for_nothing_is_answered(folder, shelf):
    assert add_base(folder, shelf, {"name": "Bought"})[1] == ["Choose what it is for."]


# --- the formula of a base ----------------------------------------------------------------------------


def test_a_formula_is_written_and_read_back(folder, shelf):
    base = shelf.today("base", "soap-white")
    typed = {"name": "Water", "components": "Aqua; 100"}
    add_ingredient(folder, shelf, typed)
    shelf = store.read_shelf(folder)
    assert set_formula(folder, shelf, base, "Glycerin 20\nWater rest") == []
    saved = store.read_shelf(folder).today("base", "soap-white")
    assert [(line.ingredient.id, line.pct) for line in saved.lines] == [("glycerin", 20), ("water", 80)]
    assert formula_text(saved, shelf).lower() == "glycerin 20\nwater 80"


def test_a_formula_keeps_every_digit_while_it_is_only_looked_at(folder, shelf):
    add_ingredient(folder, shelf, {"name": "Water", "components": "Aqua; 100"})
    shelf = store.read_shelf(folder)
    assert (
        set_formula(folder, shelf, shelf.today("base", "soap-white"), "Glycerin 20.123456\nWater rest") == []
    )
    saved = store.read_shelf(folder).today("base", "soap-white")
    assert confirm(folder, saved) == ""
    saved = store.read_shelf(folder).today("base", "soap-white")
    assert set_formula(folder, shelf, saved, formula_text(saved, shelf)) == []
    assert store.read_shelf(folder).today("base", "soap-white") == saved


def test_a_formula_that_cannot_be_read_leaves_the_base_as_it_was(folder, shelf):
    base = shelf.today("base", "soap-white")
    answers = set_formula(folder, shelf, base, "Moon dust 20\nGlycerin much")
    assert len(answers) == 2
    assert store.read_shelf(folder).today("base", "soap-white").lines == base.lines


def test_an_ingredient_that_is_gone_stands_in_the_formula_by_its_id(shelf):
    base = shelf.today("base", "soap-white")
    lines = formula_text(base, shelf).splitlines()
    assert len(lines) == len(base.lines)
    gone = [line.ingredient.id for line in base.lines if line.ingredient.id != "glycerin"]
    assert all(any(line.startswith(item) for line in lines) for item in gone)


def whole_shelf(folder):
    for item in demo_shelf().of("ingredient"):
        if item.id != "glycerin":
            store.save_item(folder, item, None)
    return store.read_shelf(folder)


def test_a_formula_of_101_percent_is_refused_and_water_can_be_its_rest(folder):
    shelf = whole_shelf(folder)
    base = shelf.today("base", "soap-white")
    text = formula_text(base, shelf).replace("Glycerin 14", "Glycerin 15")
    assert text != formula_text(base, shelf)
    answers = set_formula(folder, shelf, base, text)
    assert answers == ["The formula adds up to 101 %; it is written down when it makes 100 %."]
    assert store.read_shelf(folder).today("base", "soap-white").lines == base.lines
    filled = water_to_the_rest(shelf, text)
    assert filled.count(" rest") == 1
    assert set_formula(folder, shelf, base, filled) == []
    saved = store.read_shelf(folder).today("base", "soap-white")
    assert sum(line.pct for line in saved.lines) == pytest.approx(100)
    assert saved.unconfirmed
    assert confirm(folder, saved) == ""
    assert store.read_shelf(folder).today("base", "soap-white").unconfirmed == ()


@pytest.mark.parametrize(
    "text", ["Glycerin 101", "Glycerin 101\n{water} 3", "{water} 1\n{water} 2", "Moon dust 3\n{water} 2"]
)
def test_water_is_no_rest_where_there_is_none_or_no_room(folder, text):
    shelf = whole_shelf(folder)
    water = next(item.name for item in shelf.of("ingredient") if item.function == "water")
    assert water_to_the_rest(shelf, text.format(water=water)) == ""

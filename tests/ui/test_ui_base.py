"""The base of a design, chosen by her; its lots, held back and mixed, under AppTest."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from blendlab import recipe, store
from blendlab.assess import assess
from tests.ui.kitchen_walk import a_lot

SCRUB = "sugar_scrub"


def another_scrub(folder):
    first = store.read_shelf(folder).today("base", "scrub-white")
    second = replace(first, id="a-scrub", name="A scrub of mine")
    store.save_item(folder, second, None)


def become(pages, product: str):
    pages.at.selectbox(key="p.product").set_value(product)
    return pages.run()


def test_the_only_base_that_fits_is_taken_with_a_word(pages):
    become(pages, SCRUB)
    assert pages.design["base"]["id"] == "scrub-white"
    assert "is the base now: the only one on your shelf for sugar scrub." in pages.said
    pages.press("Undo")
    assert (pages.design["base"]["id"], pages.design["product"]) == ("soap-white", "whipped_soap")


def test_where_several_fit_she_is_asked_and_a_stop_stands_until_then(pages, folder):
    another_scrub(folder)
    become(pages, SCRUB)
    assert pages.design["base"]["id"] == "soap-white"
    assert "2 bases on your shelf are for sugar scrub: choose one on Look or Batch." in pages.said
    stop = "is a base for whipped soap; this is sugar scrub."
    assert stop in pages.said
    box = pages.at.selectbox(key="p.base.id")
    assert len(box.options) == 3  # the two that fit, and the one at work with the product it is for
    assert any(option.endswith(", for whipped soap") for option in box.options)
    box.set_value("a-scrub")
    pages.run()
    assert pages.design["base"]["id"] == "a-scrub"
    assert stop not in pages.said
    become(pages, "whipped_soap")  # one base fits again
    assert pages.design["base"]["id"] == "soap-white"
    pages.go("batch")
    assert len(pages.at.selectbox(key="p.base.id").options) == 1


@pytest.mark.parametrize("page", ["look", "batch"])
def test_it_says_when_nobody_has_one(pages, folder, page):
    store.delete_item(folder, "base", "scrub-white")
    become(pages, SCRUB).go(page)
    assert pages.design["base"]["id"] == "soap-white"
    assert "No base on your shelf is for sugar scrub" in pages.said


def test_a_second_lot_is_mixed_in_on_batch_with_her_word(pages, folder):
    a_lot(folder, "base:soap-white", 900, "B-1", preservative_pct=[0.6, 0.6])
    a_lot(folder, "base:soap-white", 5000, "B-2", preservative_pct=[1.0, 1.0])
    pages.go("batch")
    assert "of the" in pages.said
    assert "B-1 of soap-white: 900 g of the" in pages.said
    (mix,) = (box for box in pages.at.checkbox if box.label.startswith("Mix in B-2"))
    assert mix.value is False
    mix.check()
    pages.run()
    assert "B-1 + B-2" in pages.said
    assert "B-1 of soap-white: 900 g of the" not in pages.said
    (mix,) = (box for box in pages.at.checkbox if box.label.startswith("Mix in B-2"))
    mix.uncheck()
    pages.run()
    assert "B-1 + B-2" not in pages.said


def test_a_weak_lot_does_not_make_a_weak_jar_without_a_word(pages, folder):
    """900 g at 0.6 and 1086 g at 1 %: 0.819 %. The shelf says 1 %; one click wants that again."""
    a_lot(folder, "base:soap-white", 900, "B-1", preservative_pct=[0.6, 0.6])
    a_lot(folder, "base:soap-white", 5000, "B-2", preservative_pct=[1.0, 1.0])
    pages.go("batch")
    (mix,) = (box for box in pages.at.checkbox if box.label.startswith("Mix in B-2"))
    mix.check()
    pages.run()
    assert re.search(r"Lot B-1 \+ B-2 holds 0\.819 % of its preservative", pages.said)
    pages.press("Top up to 1 % →")
    assert "The top-up only keeps what the lot holds" not in pages.said
    assert re.search(r"in the jar</th><td>1\.0[0-9] %", pages.said)
    added = float(re.search(r"Top-up for what is added</th><td>([0-9.]+) g", pages.said)[1])
    whole = 2016.5
    held = 900 * 0.006 + 1086 * 0.01
    weakest = (held + added) / (1986 + added) * (1 - 0.012 - 0.005)  # Deep water: scent and 0.5 % of pigment
    assert 0.01 <= weakest < 0.01 + 0.02 / whole


def test_a_lot_is_held_back_and_freed_on_the_shelf(pages, folder):
    book, number = a_lot(folder, "base:soap-white", 5000, "B-1")
    plan = assess(recipe.from_dict(pages.design), store.read_shelf(folder)).plan
    code = book.start(plan, date.today())
    book.weigh(code, "base", 900, planned_g=900, lot=number)
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("lot")
    pages.run().press("Hold it back")
    assert "Say why the lot is held back" in pages.said
    pages.at.text_input(key="hold-why").set_value("smells odd")
    pages.press("Hold it back")
    assert store.lot(book, number).held == "smells odd"
    assert "held back: smells odd" in pages.said
    assert f"Batches that it went into: {code}" in pages.said
    pages.go("batch")
    assert "Every lot of this base is empty or held back." in pages.said
    assert "not taken by itself" in pages.said
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("lot")
    pages.run().at.text_input(key="hold-why").set_value("smelt again")
    pages.press("Free it again")
    assert not store.lot(book, number).held


def open_base(pages):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("base")
    pages.run().at.button(key="show-base-soap-white").click()
    return pages.run()


def test_a_changed_formula_is_told_where_the_jar_is_and_confirmed(pages, folder):
    open_base(pages)
    field = pages.at.text_area(key="formula-soap-white")
    keeper = next(line for line in field.value.splitlines() if line.startswith("Preservative"))
    field.set_value(field.value.replace(keeper, keeper.replace(" 1", " 0.4")))
    pages.press("Keep this formula")
    assert "The formula adds up to 99.4 %" in pages.said
    pages.press("Set water to the rest")
    assert "The new formula moves what follows from it: preservative 1 % to 0.4 %" in pages.said
    assert "1.00 %" in pages.go("batch").said
    assert "You changed the formula of Whipped soap base since this design took it" in pages.said
    beside = [each.key for each in pages.at.button if each.label.startswith("You have changed")]
    assert all("notes" in key for key in beside)  # the stop has its own button, that does the same
    pages.press("Use Whipped soap base as it is now →")
    assert "1.00 %" not in pages.said
    assert "0.40 %" in pages.said
    assert "was changed: preservative 1 % to 0.4 %" in pages.said
    open_base(pages).press("It is right: confirm")
    assert not store.read_shelf(folder).today("base", "soap-white").unconfirmed
    assert "You confirmed the formula of Whipped soap base" in pages.go("batch").said
    pages.press("Use Whipped soap base as it is now →")
    assert "was changed: preservative" not in pages.said


def test_what_was_said_of_a_base_goes_when_it_is_no_longer_true(pages, folder):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("base")
    pages.run().press("Add a base")
    pages.at.text_input(key="new-base-name").set_value("Studio cream")
    pages.press("Put on the shelf")
    assert "fragrance of its own is not known" in pages.said
    formula = pages.at.text_area(key="formula-studio-cream")
    assert formula.placeholder
    formula.set_value("Purified water rest\nGlycerin 20")
    pages.press("Keep this formula")
    assert store.read_shelf(folder).today("base", "studio-cream").lines
    assert "fragrance of its own is not known" not in pages.said


def test_what_was_said_of_a_thing_goes_with_another_kind_and_another_thing(pages):
    for leave in (lambda: pages.at.get_by_key("shelf-kind").set_value("oil"), lambda: pages.press("Show")):
        pages.go("shelf").at.get_by_key("shelf-kind").set_value("base")
        pages.run().at.session_state["said"] = {"text": "Studio cream is on the shelf.", "fresh": False}
        pages.run()
        assert "Studio cream is on the shelf." in pages.said
        leave()
        assert "Studio cream is on the shelf." not in pages.run().said

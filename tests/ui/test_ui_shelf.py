"""Lots, materials and bases of hers on the Shelf under AppTest."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from blendlab import store
from blendlab.forms import calibrations
from blendlab.production import kitchen_log, settings
from blendlab.ui import book_record
from blendlab.ui.words import shelf as say
from tests.ui.kitchen_walk import page_of, step_on
from tests.ui.test_ui_typed import kind


def test_lots_are_written_down_on_the_shelf(pages, folder):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("lot")
    pages.run()
    pages.press("Write it into the book")
    assert "The code of the lot is missing." in pages.said
    at = pages.at
    at.selectbox(key="lot-item").set_value("soap-white")
    at.text_input(key="lot-code").set_value("B-2605")
    at.text_input(key="lot-grams").set_value("4,5 kg")
    at.text_input(key="lot-expiry").set_value("2027-11-30")
    at.selectbox(key="lot-kept").set_value("range")
    at.text_input(key="lot-low").set_value("0,8")
    at.text_input(key="lot-high").set_value("1,0")
    at.text_area(key="lot-order").set_value("Aqua 40 45\nGlycerin 12")
    pages.press("Write it into the book")
    (lot,) = store.lots(store.open_book(folder))
    assert lot.left_g == 4500
    assert lot.data["preservative_pct"] == [0.8, 1.0]
    assert lot.data["in_order"] == {"Aqua": [40.0, 45.0], "Glycerin": [12.0, 12.0]}
    assert "4500 g left" in pages.said


def test_a_scale_and_a_raw_material_of_hers(pages):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("scale")
    pages.run().press("Add a scale")
    pages.at.text_input(key="new-scale-name").set_value("tenth scale")
    pages.at.text_input(key="new-scale-step").set_value("0,1")
    pages.at.text_input(key="new-scale-most").set_value("2 kg")
    pages.press("Put on the shelf")
    assert "carries 2000 g" in pages.said
    pages.at.get_by_key("shelf-kind").set_value("ingredient")
    pages.run().press("Add a raw material")
    pages.at.text_input(key="new-ingredient-name").set_value("Shea butter")
    pages.at.text_area(key="new-ingredient-components").set_value(
        "Butyrospermum Parkii Butter; 194043-92-0; 99; 100"
    )
    pages.press("Put on the shelf")
    assert "Shea butter is on the shelf" in pages.said


def test_a_base_lot_is_cooked_and_then_used(pages, folder):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("base")
    pages.run().at.button(key="show-base-soap-white").click()
    pages.run()
    assert "75 % overrun" in pages.said
    assert "overrun pct" not in pages.said
    assert "Active surfactant" in pages.said
    assert "27.5 % of the base" in pages.said
    pages.type("cook-grams", "1500")
    assert "1 % of the base · protected: never rounded down" in pages.said
    assert "top-up" not in pages.said
    pages.press("Cook it in the kitchen view").press("Begin the batch")
    code = store.batches(store.open_book(folder))[0].code
    seen = set()
    for _ in range(60):
        now = kitchen_log.stand(page_of(folder, code))
        if now.current is None:
            break
        seen.add(now.current.id)
        if now.current.id == "refill":
            into_pot = sum(page_of(folder, code).weighed.values())
            assert "the empty pot weighed 500 g" in pages.said
            pages.at.text_input(key=f"pot-full-{code}").set_value("499")
            assert "Full vessel is 499 g" in pages.run().said
            pages.at.text_input(key=f"pot-full-{code}").set_value(f"{into_pot + 700:g}")
            assert "<b>200 g</b> more than the pot and the " in pages.run().said
            pages.at.text_input(key=f"pot-full-{code}").set_value(f"{into_pot + 500 - 31:g}")
            assert "<b>31 g</b> of water are gone" in pages.run().said
            assert f"fill up to <b>{into_pot + 500:.0f} g</b> on the scale" in pages.said
            assert "No lot of water is in the book" in pages.said
            pages.at.text_input(key=f"pot-water-{code}").set_value("31")
            pages.press("Filled up, next")
            assert [entry.data["pot_g"] for entry in page_of(folder, code).of("pot")] == [500, into_pot + 469]
        elif now.current.id == "pot":
            pages.at.text_input(key=f"pot-empty-{code}").set_value("500")
            pages.press("Weighed, next")
        elif now.current.id == "ph":
            pages.at.text_input(key="ph-ph").set_value("5,9")
            pages.press("Measured, next")
        elif now.current.kind == "gate":
            pages.at.text_input(key=f"heat-{now.current.id}").set_value("38")
            pages.press("Measured, next")
        else:
            step_on(pages, now, "38")
    assert {
        "inci:ingredient:isethionate-powder",
        "care:ingredient:isethionate-powder",
        "refill",
        "granules",
        "cover",
    } <= seen
    pages.at.text_input(key="cooked-grams").set_value("147")  # a digit is missing
    pages.press("Make it a base lot")
    assert "147 g came out of " in pages.said
    assert pages.at.text_input(key="why-cooked").value == ""
    pages.at.text_input(key="cooked-grams").set_value("1470")
    pages.at.text_input(key="cooked-left").set_value("9,5")
    pages.press("Make it a base lot")
    told = pages.said
    assert [row in told for row in ("Weighed in and filled up", "of that in base", "1470 g")] == [True] * 3
    assert sum(rest.data["left_g"] for rest in page_of(folder, code).of("yield")) == 9.5
    assert book_record._decision(page_of(folder, code)) == ""  # a base is never sold as it is
    (lot,) = [each for each in store.lots(store.open_book(folder)) if each.item == "base:soap-white"]
    assert lot.left_g == 1470
    assert lot.data["preservative_pct"] == pytest.approx([1.0, 1.0], abs=0.01)
    assert lot.data["pH"] == 5.9
    pages.at.query_params.clear()
    pages.go("batch")
    assert f"{code}, until" in str([box.options for box in pages.at.selectbox])


def test_the_next_swatch_is_worked_out_once_while_no_card_and_no_item_changes(pages, folder, monkeypatch):
    """Two hundred cards took seconds at each run of the page."""
    asked, true = [], calibrations.calibrate_next
    monkeypatch.setattr(calibrations, "calibrate_next", lambda *given: asked.append(1) or true(*given))
    pages.go("shelf").run()
    assert "Measure " in pages.said
    assert len(asked) <= 1
    before = len(asked)
    blue = store.open_item(folder, "pigment", "ferric_ferrocyanide")
    store.save_item(folder, replace(blue.item, strength_sd=0.3), blue.digest)
    pages.run()
    assert len(asked) == before + 1


def test_a_price_is_never_asked_for_or_said_without_its_currency(pages, folder):
    settings.set_setting(folder, "currency", "CHF")
    kind(pages, "price")
    for item in store.read_shelf(folder).of("oil"):
        pages.at.text_input(key=f"n.price.oil.{item.id}").set_value("90")
    labels = asked_of_money(pages.run())
    kind(pages, "lot")
    labels += asked_of_money(pages)
    for of in ("ingredient", "oil"):
        labels += asked_of_money(kind(pages, of).press(say.ADD[of]))
    kind(pages, "base").at.button(key="show-base-soap-white").click()
    labels += asked_of_money(pages.run())
    assert len(labels) > 10
    assert [label for label in labels if "CHF" not in label] == []
    assert re.search(r"Oils for one jar cost [0-9.]+ CHF\.", pages.go("scent").said)


def asked_of_money(pages) -> list[str]:
    """Labels of the fields that are about money."""
    return [field.label for field in pages.at.text_input if re.search("(?i)price|postage", field.label)]

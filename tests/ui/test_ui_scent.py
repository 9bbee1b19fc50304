"""The Scent page and the oils of the Shelf under AppTest: what the maker does, what the page answers."""

from __future__ import annotations

import re

import pytest

from blendlab import store
from blendlab.fragrance import Head
from blendlab.ui import scent_limits, words
from blendlab.ui.words import oils as oil_words
from blendlab.ui.words import scent as say

HAND = "hand_cream"


@pytest.fixture
def scent(pages):
    return pages.go("scent")


def shares(pages) -> dict[str, float]:
    return {oil["oil"]["id"]: oil["share_pct"] for oil in pages.design["scent"]["oils"]}


def table_row(said: str, name: str) -> str:
    """One row of the headroom table as text."""
    row = next(row for row in re.findall(r"<tr.*?</tr>", said, re.S) if name in row)
    return re.sub(r"<[^>]+>", " ", row)


# --- load and limits ------------------------------------------------------------------------------


def test_both_ceilings_stand_beside_each_other(scent):
    assert "Highest load within the limits known" in scent.said
    assert "Usual highest for whipped soap, no limit" in scent.said
    assert "2.5 %" in scent.said
    assert "no limit" in table_row(scent.said, "Usual for whipped soap")


def test_a_row_that_is_hardly_over_shows_that_it_is():
    row = scent_limits._row(Head.of("Thing", "standard", 1.2003, 1.2, True, "", "", "9", False), None)
    assert "<td>1.2003 / 1.2</td>" in row
    assert say.OVER.format(share="1.0003") in row


def test_no_row_speaks_of_linalool_or_limonene(scent):
    for name in ("Linalool", "Limonene"):
        rows = [row for row in re.findall(r"<th scope='row'.*?</th>", scent.said) if name in row]
        assert not [row for row in rows if "law" in row or "Standard" in row]


def test_what_was_not_checked_is_a_plain_list(scent):
    scent.at.session_state["said"] = None
    scent.go("cards")
    scent.at.button(key="open-fern-glade").click()
    scent.run().go("scent")
    assert "Not checked: all else in Green stem accord" in scent.said
    scent.at.session_state["routes"] = True
    scent.run()
    assert "<li>all else in Green stem accord</li>" in scent.said
    assert "seen or issued" in scent.said
    assert "of 177 restricted Standards" in scent.said.replace("Of", "of")


@pytest.mark.parametrize(
    ("way", "typed", "pct"), [("parts", "3", 2.912621), ("parts", "3,0", 2.912621), ("pct", "1,7", 1.7)]
)
def test_a_load_can_be_typed_as_parts_and_is_kept_as_percent_of_the_jar(scent, way, typed, pct):
    scent.at.selectbox(key="load-as").set_value(way)
    scent.run()
    scent.type("n.scent.load_pct" if way == "pct" else f"n.scent.load_as_{way}", typed)
    assert scent.design["scent"]["load_pct"] == pytest.approx(pct, abs=1e-6)
    assert "of the finished jar" in scent.said
    assert "g to 100 g of everything else" in scent.said


def test_grams_are_of_the_whole_batch(scent):
    said = r"= ([\d.]+) g in the batch of ([\d\u2009]+) g"
    whole = float(re.search(said, scent.said)[2].replace("\u2009", ""))
    scent.at.selectbox(key="load-as").set_value("grams")
    scent.run()
    scent.type("n.scent.load_as_grams", "24.16 g")
    assert scent.design["scent"]["load_pct"] == pytest.approx(2416 / whole, rel=2e-3)
    assert float(re.search(said, scent.said)[1]) == pytest.approx(24.16, abs=0.0101)
    on_scent = re.search(said, scent.said)
    scent.go("batch")
    assert f"<td>{on_scent[1]}</td>" in scent.said
    assert f"{on_scent[2]} g" in scent.said


def test_drops_are_no_grams(scent):
    scent.at.selectbox(key="load-as").set_value("grams")
    before = scent.run().design["scent"]["load_pct"]
    scent.type("n.scent.load_as_grams", "12 drops")
    assert "is not a number in g" in scent.said
    assert scent.design["scent"]["load_pct"] == before


def test_a_load_over_what_is_usual_is_told_and_can_be_lowered(scent):
    scent.type("n.scent.load_pct", "4")
    assert "more than the usual 2.50 %" in scent.said
    scent.press("Lower to 2.50 % →")
    assert scent.design["scent"]["load_pct"] == 2.5


def test_each_tone_can_have_its_own_load_and_the_strongest_is_checked(scent):
    scent.at.session_state["tone-loads"] = True
    scent.run()
    scent.type("n.scent.tone_loads.cream", "2,4")
    assert scent.design["scent"]["tone_loads"] == {"cream": 2.4}
    assert "Headroom of Cream, the tone with the most scent (2.40 %)" in scent.said
    assert scent.said.count("All sheets together: 97 % free") == 1
    assert scent.said.count("All sheets together: 98 % free") == 1
    scent.press("Same load in every tone")
    assert scent.design["scent"]["tone_loads"] == {}


def test_sold_as_a_hand_cream_too_the_stricter_figure_counts(scent):
    before = scent.said
    assert "no sheet limits it" in before
    scent.at.session_state["wishes"] = True
    scent.run()
    scent.at.multiselect(key="m.also_kinds").set_value([HAND])
    scent.run()
    assert scent.design["scent"]["also_kinds"] == [HAND]
    assert "no sheet limits it" not in scent.said


# --- oils of the scent ----------------------------------------------------------------------------


def test_oils_come_and_go(scent):
    first = list(shares(scent))
    scent.at.selectbox(key="add-oil").set_value("rose-geranium")
    scent.run()
    assert list(shares(scent)) == [*first, "rose-geranium"]
    scent.at.button(key="drop-oil-0").click()
    scent.run()
    assert list(shares(scent)) == [*first[1:], "rose-geranium"]
    scent.press("Even out to 100 %")
    assert sum(shares(scent).values()) == pytest.approx(100)


# --- the closest blend ----------------------------------------------------------------------------


def tight(pages):
    """A butter with too much scent, so that limits bind."""
    pages.at.session_state["doc"]["design"]["product"] = "body_butter"
    butter = {"kind": "base", "id": "butter-ivory", "rev": ""}
    pages.at.session_state["doc"]["design"]["base"] = butter
    pages.run()
    pages.type("n.scent.load_pct", "60")
    return pages


def test_proposals_stand_beside_the_blend_and_nothing_changes_before_take(scent):
    tight(scent)
    before = scent.design["scent"]
    scent.press("Find the closest blend within all limits")
    assert "Closest blend within the limits" in scent.said
    assert "<th>proposed</th>" in scent.said
    assert scent.design["scent"] == before
    scent.press("Leave")
    assert scent.design["scent"] == before
    assert "Closest blend within the limits" not in scent.said
    scent.press("Find the closest blend within all limits").press("Take")
    after = scent.design["scent"]
    assert after["load_pct"] < before["load_pct"]
    assert "Over the sheets" not in scent.said
    scent.press("Undo")
    assert scent.design["scent"] == before


def test_a_blend_that_fits_says_so(scent):
    scent.press("Find the closest blend within all limits")
    assert "is within every limit listed here" in scent.said


def test_shares_off_100_stop_the_sale_and_are_checked_as_they_are_weighed(scent):
    ceiling = table_row(scent.said, "All sheets together")
    scent.type("n.scent.oils.0.share_pct", "70")
    scent.type("n.scent.oils.1.share_pct", "50")
    scent.type("n.scent.oils.2.share_pct", "40")
    scent.type("n.scent.oils.3.share_pct", "40")
    assert "must make 100 %" in scent.said
    assert table_row(scent.said, "All sheets together") == ceiling
    for at in range(4):
        scent.type(f"n.scent.oils.{at}.share_pct", "0")
    assert "before an oil has a share" in scent.said
    scent.press("Find the closest blend within all limits")
    assert "Nothing can be found" in scent.said


def test_an_oil_taken_off_the_shelf_stays_in_the_scent_that_carries_it(pages, folder):
    store.delete_item(folder, "oil", "lavender")
    pages.go("scent")
    assert "Lavender" in pages.said
    pages.press("Find the closest blend within all limits")
    assert "is within every limit listed here" in pages.said


def test_wished_notes_lead_to_a_proposal(scent):
    scent.at.session_state["wishes"] = True
    scent.run().press("Wish for other notes")
    scent.type("n.scent.wish.base", "35")
    assert scent.design["scent"]["wish"][2] == pytest.approx(0.35)
    assert sum(scent.design["scent"]["wish"]) == pytest.approx(1)
    scent.press("Find the closest blend within all limits")
    assert say.WAYS["notes"] in str(scent.at.get_by_key("closest-way"))
    scent.at.get_by_key("closest-way").set_value("notes")
    scent.run()
    assert "base 35 %" in scent.said
    scent.press("Take")
    assert "base 35 %" in scent.said


def test_ceilings_of_hers_and_what_stands_in_the_way(scent):
    scent.at.session_state["wishes"] = True
    scent.run()
    scent.at.multiselect(key="m.unnamed").set_value(["Linalool"])
    scent.run()
    assert "Keeping Linalool off the label" in scent.said
    scent.type("n.scent.caps.least.lavender", "30")
    scent.press("Find the closest blend within all limits")
    assert "cannot hold together" in scent.said
    assert "At least 30 % Lavender" in scent.said
    assert "Keeping Linalool off the label would have to be" in scent.said


def test_strengths_show_a_second_balance(scent):
    scent.at.session_state["wishes"] = True
    scent.run()
    scent.type("n.scent.strengths.lavender", "3,5")
    assert scent.design["scent"]["strengths"] == {"lavender": 3.5}
    assert "Notes, by strength" in scent.said
    scent.type("n.scent.strengths.lavender", "20")
    assert "must lie between 0.1 and 10" in scent.said


# --- names ----------------------------------------------------------------------------------------


def test_names_follow_market_and_placing_day(scent):
    assert "by the full list of 2023" in scent.said
    assert "without its new names placed until 2026-07-31" in scent.said
    scent.type("t.placed_on", "2026-07-01")
    assert "by the old list of 2003" in scent.said
    assert "may be sold until 2028-07-31" in scent.said
    scent.type("t.placed_on", "summer")
    assert "is no date like" in scent.said
    assert scent.design["placed_on"] == "2026-07-01"
    scent.type("t.placed_on", "")
    assert scent.design["placed_on"] is None
    scent.at.get_by_key("p.markets.0").set_value("US")
    scent.run()
    assert say.LISTS["pending"] in scent.said


def test_each_name_shows_the_load_up_to_which_it_stays_off(scent):
    load = float(re.search(r"<li>Hexyl Cinnamal <small>([0-9.]+)</small>", scent.said)[1])
    scent.type("n.scent.load_pct", f"{load:g}")
    assert "<li>Hexyl Cinnamal" not in scent.said
    scent.type("n.scent.load_pct", f"{load + 0.02:g}")
    assert "<li>Hexyl Cinnamal" in scent.said


# --- in the product -------------------------------------------------------------------------------


def test_the_opened_jar_and_the_skin(scent):
    assert "What the opened jar smells of first" in scent.said
    assert "d-limonene" in scent.said
    assert say.NO_FADE in scent.said
    tight(scent)
    assert say.NO_FADE not in scent.said
    assert "after 30 min" in scent.said


def test_a_jar_that_looks_like_food_waits_for_the_assessor(scent):
    scent.at.text_input(key="t.name").set_value("Vanilla cupcake")
    scent.run()
    assert "could be taken for food" in scent.said
    assert "Do not eat" in scent.said
    scent.press("Record the answer")
    assert "both wanted" in scent.said
    scent.at.text_area(key="food-words").set_value("Lid and label make it plain.")
    scent.at.text_input(key="food-by").set_value("A. Assessor")
    scent.press("Record the answer")
    assert "Not for sale in EU before" not in scent.said
    assert scent.design["scent"]["food_answer"]["by"] == "A. Assessor"
    scent.at.text_input(key="t.name").set_value("Chocolate cake")
    scent.run()
    assert "Not for sale in EU before" in scent.said
    assert "The answer on file was about" in scent.said


def test_a_promise_of_health_in_the_name_is_a_stop(scent):
    scent.at.text_input(key="t.name").set_value("Calming lagoon")
    scent.run()
    assert "promises an effect on health" in scent.said


def test_a_new_lot_after_the_save_is_told_and_can_be_taken(pages, folder):
    pages.press("Save card")
    item = store.open_item(folder, "oil", "lavender")
    from dataclasses import replace

    store.save_item(folder, replace(item.item, lot="NEW-1"), item.digest)
    pages.go("scent")
    assert "lot NEW-1 in place of lot" in pages.said
    pages.press(words.USE.format(name="Lavender"))
    assert "in place of lot" not in pages.said


# --- the shelf ------------------------------------------------------------------------------------


@pytest.fixture
def oils(pages):
    pages.go("shelf")
    pages.at.get_by_key("shelf-kind").set_value("oil")
    return pages.run()


def many(oils, text, unit="%"):
    oils.press("Add an oil")
    oils.at.get_by_key("new-oil-how").set_value("many")
    oils.run()
    oils.at.text_area(key="new-oil-table").set_value(text)
    oils.run()
    if unit:
        oils.at.get_by_key("new-oil-unit").set_value(unit)
        oils.run()
    return oils


def test_thirty_oils_are_pasted_previewed_and_put(oils, folder):
    rows = "\n".join(f"Oil {k};51;{k},5;{k};L-{k}" for k in range(1, 31))
    many(oils, f"Name;Amendment;9;Linalool;Lot\n{rows}\nBroken;51;lots;1;L")
    assert "sheet of the 51st amendment, 9: 30.5 %" in oils.said
    assert "is not a number in %" in oils.said
    oils.press("Put 30 oils on the shelf")
    assert "30 oils are on the shelf. 1 row was not understood and left out." in oils.said
    held = store.open_item(folder, "oil", "oil-7").item
    assert (held.sheet.limits["9"], held.declaration.rows["78-70-6"].pct, held.lot) == (7.5, 7.0, "L-7")


def test_percent_or_ppm_is_asked_before_anything_is_read(oils):
    many(oils, "Name;Linalool\nA;12500", unit=None)
    assert oil_words.ASK_UNIT in oils.said
    oils.at.get_by_key("new-oil-unit").set_value("ppm")
    oils.run().press("Put 1 oil on the shelf")
    assert "1 oil is on the shelf." in oils.said


def test_the_form_asks_percent_or_ppm_too(oils):
    oils.press("Add an oil")
    oils.at.text_input(key="new-oil-name").set_value("A")
    oils.at.text_area(key="new-oil-declared").set_value("Linalool 12,5")
    oils.run().press("Put on the shelf")
    assert oil_words.ASK_UNIT in oils.said


def test_pasted_lines_say_what_they_were_read_as(oils):
    oils.press("Add an oil")
    oils.at.text_area(key="new-oil-limits").set_value("9 4,6\n1 N/A\nbanana 3")
    oils.run()
    assert "category 9: up to 4.6 % of the jar" in oils.said
    assert "category 1; not for this use" in oils.said
    assert "No category at the start of the line." in oils.said
    assert any("2 lines understood, 1 not" in fold.label for fold in oils.at.expander)


def test_a_new_lot_keeps_the_oil_and_changes_its_revision(oils, folder):
    oils.at.button(key="show-oil-lavender").click()
    oils.run().press("New lot or sheet")
    assert oils.at.text_input(key="new-oil-name").value == "Lavender"
    before = store.open_item(folder, "oil", "lavender").item
    oils.at.text_input(key="new-oil-lot").set_value("BG-L-0999")
    oils.at.text_input(key="new-oil-peroxide").set_value("4,5")
    oils.at.text_input(key="new-oil-measured").set_value("2026-11-01")
    oils.run().press("Keep the change")
    after = store.open_item(folder, "oil", "lavender").item
    assert (after.lot, after.peroxide_mmol_l) == ("BG-L-0999", 4.5)
    assert after.sheet == before.sheet
    assert after.declaration.rows == before.declaration.rows
    assert after.constituents == before.constituents
    assert after.rev != before.rev


def test_fields_that_were_left_never_write_over_the_oil_that_was_open(oils, folder):
    oils.at.button(key="show-oil-lavender").click()
    oils.run().press("New lot or sheet")
    before = store.open_item(folder, "oil", "lavender").item
    oils.go("scent").go("shelf")
    oils.at.get_by_key("shelf-kind").set_value("oil")
    oils.run().press("Add an oil")
    assert oils.at.text_input(key="new-oil-name").value == ""
    oils.at.text_input(key="new-oil-name").set_value("Another")
    oils.run().press("Put on the shelf")
    assert store.open_item(folder, "oil", "another").item.name == "Another"
    assert store.open_item(folder, "oil", "lavender").item == before


@pytest.mark.parametrize("code", ["utf-8-sig", "cp1252"])
def test_files_of_both_usual_codes_are_read(code):
    from blendlab.tables import text_of

    assert text_of("Name;9\nKüste;4,6".encode(code)) == "Name;9\nKüste;4,6"


def test_a_dilution_is_an_oil_of_its_own(oils, folder):
    oils.at.button(key="show-oil-petitgrain").click()
    oils.run()
    oils.press("Put the dilution on the shelf")
    for word in (
        "Percent of the pure oil is missing",
        "The carrier is missing",
        "Say what the carrier holds",
    ):
        assert word in oils.said
    oils.at.text_input(key="thin-pct").set_value("10 %")
    oils.at.text_input(key="thin-carrier").set_value("triethyl citrate")
    oils.at.selectbox(key="thin-holds").set_value("nothing")
    oils.run().press("Put the dilution on the shelf")
    made = [oil for oil in store.read_shelf(folder).of("oil") if oil.dilution_of]
    assert [oil.name for oil in made] == ["Petitgrain, 10 % in triethyl citrate"]
    assert made[0].sheet.limits["2"] == pytest.approx(64.0)
    assert "Petitgrain, 10 % in triethyl citrate is on the shelf." in oils.said


def test_no_forbidden_word_is_on_the_page(scent):
    plain = re.sub(r"<style>.*?</style>", "", scent.said, flags=re.S)
    text = re.sub(r"<[^>]+>", " ", plain).lower()
    for word in ("safe", "compliant", "approved", "certified", "guaranteed", "hypoallergenic", "non-toxic"):
        assert not re.search(rf"\b{word}\b", text), word

"""Every page of the app under AppTest: what the maker does, and what the page answers."""

from __future__ import annotations

import re

import pytest

from blendlab import recipe, store
from blendlab.ui import words
from blendlab.ui.words import look
from tests.test_project import FORBIDDEN


def test_first_visit_shows_the_demo(pages):
    assert pages.design["name"] == "Lagoon"
    assert words.DEMO in pages.said
    assert "bl-swatch" in pages.said


@pytest.mark.parametrize("path", ["look", "scent", "cards", "shelf", "guide"])
def test_every_page_draws(pages, path):
    pages.go(path)
    assert len(pages.said) > 200


@pytest.mark.parametrize(
    ("path", "key"),
    [
        ("look", "n.tones.0.doses.0.pct"),
        ("look", "n.tones.0.doses.1.pct"),
        ("look", "n.tones.0.share_pct"),
        ("scent", "n.scent.load_pct"),
        ("scent", "n.scent.oils.0.share_pct"),
    ],
)
@pytest.mark.parametrize("typed", ["0,3", "0.3", "0,3 %", " 0.3%"])
def test_comma_and_point_give_the_same_percent(pages, path, key, typed):
    pages.go(path)
    pages.type(key, typed)
    target = pages.design
    for step in key.removeprefix("n.").split("."):
        target = target[int(step)] if isinstance(target, list) else target[step]
    assert target == 0.3
    assert pages.at.text_input(key=key).value == "0.3 %"


def test_a_two_faced_number_is_answered_and_changes_nothing(pages):
    pages.press("Undo") if pages.at.session_state["past"] else None
    before = pages.design["batch"]["jars"]
    pages.type("n.batch.jars", "1,234")
    assert pages.design["batch"]["jars"] == before
    assert "can be 1.234 or 1234" in pages.said
    assert pages.at.text_input(key="n.batch.jars").value == "1,234"
    pages.type("n.batch.jars", "12")
    assert pages.design["batch"]["jars"] == 12
    assert "can be 1.234" not in pages.said


@pytest.mark.parametrize(
    ("typed", "answer"), [("130", "must lie between 0 and 100 %"), ("lots", "is not a number")]
)
def test_a_wrong_number_is_answered_beside_the_field(pages, typed, answer):
    before = pages.design["tones"][0]["share_pct"]
    pages.type("n.tones.0.share_pct", typed)
    assert pages.design["tones"][0]["share_pct"] == before
    assert answer in pages.said


def test_a_dose_moves_the_colour_and_undo_brings_it_back(pages):
    first = re.search(r"#[0-9a-f]{6} · L\*a\*b\*", pages.said)[0]
    pages.type("n.tones.0.doses.0.pct", "0.05")
    moved = re.search(r"#[0-9a-f]{6} · L\*a\*b\*", pages.said)[0]
    assert moved != first
    pages.press("Undo")
    assert re.search(r"#[0-9a-f]{6} · L\*a\*b\*", pages.said)[0] == first
    pages.press("Redo")
    assert re.search(r"#[0-9a-f]{6} · L\*a\*b\*", pages.said)[0] == moved


@pytest.mark.parametrize("kind", recipe.ARRANGEMENTS)
def test_every_arrangement_can_be_chosen(pages, kind):
    pages.at.get_by_key("p.arrangement.kind").set_value(kind)
    pages.run()
    assert pages.design["arrangement"]["kind"] == kind


@pytest.mark.parametrize("kind", recipe.TOPS)
def test_every_top_can_be_chosen(pages, kind):
    pages.at.get_by_key("p.top.kind").set_value(kind)
    pages.run()
    assert pages.design["top"]["kind"] == kind


@pytest.mark.parametrize("lamp", list(look.LAMPS))
def test_every_lamp_can_be_chosen(pages, lamp):
    pages.at.selectbox(key="p.view.lamp").set_value(lamp)
    pages.run()
    assert pages.design["view"]["lamp"] == lamp


@pytest.mark.parametrize("eye", list(look.EYES))
def test_every_eye_can_be_chosen(pages, eye):
    pages.at.selectbox(key="p.view.eye").set_value(eye)
    pages.run()
    assert pages.design["view"]["eye"] == eye


def test_tones_come_go_and_move(pages):
    pages.press("Add a tone")
    tones = pages.design["tones"]
    assert len(tones) == 3
    assert sum(tone["share_pct"] for tone in tones) == pytest.approx(100)
    pages.press("Add a pigment")
    assert len(pages.design["tones"][0]["doses"]) == 1
    pages.press("Move down")
    assert pages.design["tones"][1]["name"] == "White"
    pages.press("Remove tone")
    assert len(pages.design["tones"]) == 2
    for _ in range(2):
        pages.press("Add a tone")
    assert [tone["name"] for tone in pages.design["tones"][:2]] == ["White 2", "White"]
    pages.press("Edit")
    own = pages.at.text_input(key="t.tones.1.name")
    own.set_value("White 2")
    pages.run()
    assert pages.at.text_input(key="t.tones.1.name").value == "White 2"


def test_shares_that_do_not_add_up_offer_to_be_evened_out(pages):
    pages.type("n.tones.0.share_pct", "60")
    assert "add up to 105.00 %" in pages.said
    pages.press("Even out to 100 % →")
    assert sum(tone["share_pct"] for tone in pages.design["tones"]) == pytest.approx(100, abs=0.02)


def test_the_scent_page_says_what_binds_and_what_is_on_the_label(pages):
    pages.go("scent")
    assert "Highest load within the limits known" in pages.said
    assert "<li>Linalool <small>" in pages.said
    pages.type("n.scent.oils.0.share_pct", "30")
    assert "they must make 100 %. Checked and weighed in proportion." in pages.said
    pages.press("Even out to 100 %")
    assert sum(oil["share_pct"] for oil in pages.design["scent"]["oils"]) == pytest.approx(100)


def test_an_oil_without_a_sheet_is_a_stop_with_the_figure_without_it(pages, folder):
    pages.at.session_state["said"] = None
    pages.go("cards")
    pages.at.button(key="open-fern-glade").click()
    pages.run()
    pages.go("scent")
    assert "none for sale" in pages.said
    assert "Without Green stem accord" in pages.said
    assert "no figure" in pages.said


def test_save_open_tomorrow(pages, folder):
    pages.type("n.tones.0.doses.0.pct", "0,21")
    pages.press("Save card")
    assert "Saved " in pages.said
    card_id = pages.at.session_state["doc"]["card"]
    from tests.ui.conftest import Pages

    tomorrow = Pages()
    tomorrow.go("cards")
    tomorrow.at.button(key=f"open-{card_id}").click()
    tomorrow.run()
    assert tomorrow.design["tones"][0]["doses"][0]["pct"] == 0.21


def test_the_draft_is_offered_after_a_restart(pages):
    pages.type("n.tones.0.doses.0.pct", "0.11")
    from tests.ui.conftest import Pages

    again = Pages()
    assert again.design["tones"][0]["doses"][0]["pct"] == 0.11
    assert "Your draft of Lagoon is open" in again.said
    again.press(words.START_FRESH)
    assert again.design["tones"][0]["doses"][0]["pct"] != 0.11


def test_two_windows_cannot_overwrite_each_other_unseen(pages, folder):
    from tests.ui.conftest import Pages

    pages.go("cards")
    pages.at.button(key="open-lagoon").click()
    pages.run()
    other = Pages()
    other.go("cards")
    other.at.button(key="open-lagoon").click()
    other.run()
    other.type("n.tones.0.doses.0.pct", "0.2")
    other.press("Save card")
    pages.type("n.tones.0.doses.0.pct", "0.3")
    pages.press("Save card")
    assert "was changed elsewhere" in pages.said
    assert store.open_card(folder, "lagoon").card.design.tones[0].doses[0].pct == 0.2
    pages.press(words.KEEP_BOTH)
    names = [entry.name for entry in store.listing(folder)]
    assert "Lagoon" in names
    assert "Lagoon, copy" in names


def test_the_other_version_can_be_opened_and_mine_is_one_undo_away(pages, folder):
    _, seen = store.open_card(folder, "lagoon")
    pages.go("cards")
    pages.at.button(key="open-lagoon").click()
    pages.run()
    store.rename(folder, "lagoon", "Lagoon by the other window", seen)
    pages.type("n.tones.0.doses.0.pct", "0.3")
    pages.press("Save card")
    pages.press(words.OPEN_THEIRS)
    assert pages.design["name"] == "Lagoon by the other window"
    pages.press("Undo")
    assert pages.design["tones"][0]["doses"][0]["pct"] == 0.3


def test_the_design_at_work_follows_the_new_name_of_its_card(pages, folder):
    pages.go("cards")
    pages.at.button(key="open-lagoon").click()
    pages.run()
    pages.type("n.tones.0.doses.0.pct", "0.3")
    pages.go("cards")
    pages.at.text_input(key="rename-lagoon:").set_value("Lagoon two")
    pages.at.button(key="do-rename-lagoon").click()
    pages.run()
    assert pages.design["name"] == "Lagoon two"
    pages.go("look").press("Save card")
    card = store.open_card(folder, "lagoon").card
    assert (card.design.name, card.design.tones[0].doses[0].pct) == ("Lagoon two", 0.3)


def test_a_renamed_card_leaves_another_design_at_work_alone(pages, folder):
    name = pages.design["name"]
    pages.go("cards")
    pages.at.text_input(key="rename-dune-rose:").set_value("Dune Rose two")
    pages.at.button(key="do-rename-dune-rose").click()
    pages.run()
    assert pages.design["name"] == name
    assert store.open_card(folder, "dune-rose").card.design.name == "Dune Rose two"


def test_cards_are_found_renamed_copied_taken_away_and_put_back(pages, folder):
    pages.go("cards")
    pages.at.text_input(key="find-text").set_value("benzoin")
    pages.run()
    assert "Dune Rose" in pages.said
    assert "Fern Glade" not in pages.said
    pages.at.text_input(key="find-text").set_value("")
    pages.run()
    pages.at.text_input(key="rename-lagoon:").set_value("Lagoon two")
    pages.at.button(key="do-rename-lagoon").click()
    pages.run()
    assert "Lagoon two" in pages.said
    pages.at.button(key="copy-lagoon").click()
    pages.run()
    assert len(store.listing(folder)) == 4
    pages.at.button(key="bin-lagoon").click()
    pages.run()
    assert len(store.listing(folder)) == 3
    pages.press("Put it back")
    assert len(store.listing(folder)) == 4


def test_a_damaged_card_is_told_and_the_rest_still_opens(pages, folder):
    (folder.cards / "broken.json").write_text("{ not json", encoding="utf-8")
    pages.go("cards")
    assert "broken.json" in pages.said
    assert "Fern Glade" in pages.said


def test_a_pigment_of_hers_from_parts_is_on_the_shelf_and_in_a_tone(pages, folder):
    pages.go("shelf").press("Add a pigment")
    at = pages.at
    at.text_input(key="new-pigment-name").set_value("Reed mica")
    at.selectbox(key="new-pigment-part-0").set_value("mica_white")
    at.text_input(key="new-pigment-share-0").set_value("97,5")
    at.selectbox(key="new-pigment-part-1").set_value("chromium_oxide_green")
    at.text_input(key="new-pigment-share-1").set_value("2,5")
    pages.run().press("Put on the shelf")
    assert "Reed mica is on the shelf" in pages.said
    pages.go("look")
    pages.at.selectbox(key="p.tones.0.doses.0.pigment.id").set_value("reed-mica")
    pages.run()
    assert pages.design["tones"][0]["doses"][0]["pigment"]["id"] == "reed-mica"


def test_a_pigment_from_a_colour_comes_back_as_that_colour(pages, folder):
    pages.go("shelf").press("Add a pigment")
    pages.at.get_by_key("new-pigment-way").set_value("colour")
    pages.run()
    at = pages.at
    at.text_input(key="new-pigment-name").set_value("Clay rose")
    at.text_input(key="new-pigment-ci").set_value("77491")
    at.text_input(key="new-pigment-hex").set_value("#d9a79b")
    at.text_input(key="new-pigment-pct").set_value("0,3")
    pages.run().press("Put on the shelf")
    assert "#d9a79b" in pages.said


def test_a_wrong_pigment_form_is_answered_all_at_once(pages):
    pages.go("shelf").press("Add a pigment")
    pages.at.get_by_key("new-pigment-way").set_value("colour")
    pages.run().press("Put on the shelf")
    for word in ("A name is missing", "Colour index numbers are missing", "the swatch is missing"):
        assert word in pages.said


def test_an_oil_of_hers_is_on_the_shelf_and_in_the_scent(pages, folder):
    pages.go("shelf")
    pages.at.get_by_key("shelf-kind").set_value("oil")
    pages.run().press("Add an oil")
    at = pages.at
    at.text_input(key="new-oil-name").set_value("Reed bed accord")
    at.text_input(key="new-oil-amendment").set_value("51")
    at.text_input(key="new-oil-received").set_value("2026-03-01")
    at.text_area(key="new-oil-limits").set_value("9 4,6\n5A: 1.2 %\n12 100")
    at.text_area(key="new-oil-declared").set_value("Linalool 12,5\n106-24-1 0.8\nCoumarin <0.01")
    at.get_by_key("new-oil-unit").set_value("%")
    at.text_input(key="new-oil-flash").set_value("78")
    at.text_input(key="new-oil-vanillin").set_value("0,0")
    pages.run().press("Put on the shelf")
    assert "Reed bed accord is on the shelf" in pages.said
    pages.go("scent")
    pages.at.selectbox(key="add-oil").set_value("reed-bed-accord")
    pages.run()
    assert pages.design["scent"]["oils"][-1]["oil"]["id"] == "reed-bed-accord"
    assert "Reed bed accord" in pages.said


def test_a_wrong_oil_sheet_is_answered_line_by_line(pages):
    pages.go("shelf")
    pages.at.get_by_key("shelf-kind").set_value("oil")
    pages.run().press("Add an oil")
    at = pages.at
    at.text_input(key="new-oil-name").set_value("Wrong")
    at.text_input(key="new-oil-amendment").set_value("51")
    at.text_area(key="new-oil-limits").set_value("9 4,6\nbanana 3")
    at.text_area(key="new-oil-declared").set_value("78-70-5 12")
    pages.run().press("Put on the shelf")
    assert "Line 2" in pages.said
    assert "78-70-5" in pages.said


def test_ounces_are_understood_where_grams_are_asked():
    from blendlab.units import read_number

    assert read_number("2 oz", "g", 0, 1000) == pytest.approx(56.699, abs=1e-3)


def test_a_deleted_pigment_does_not_break_the_open_design(pages, folder):
    store.delete_item(folder, "pigment", "ferric_ferrocyanide")
    pages.run()
    assert "ferric ferrocyanide" in pages.said


def test_every_fold_of_look_opens(pages):
    inside = {
        "fold-by-picture": lambda: any(button.key == "take-top.kind-dome" for button in pages.at.button),
        "fold-holds": lambda: "Net weight" in pages.said,
        "fold-ends": lambda: look.ALIKE in pages.said,
    }
    for key, shown in inside.items():
        assert not shown(), key
        pages.at.session_state[key] = True
        pages.run()
        assert shown(), key


@pytest.mark.parametrize("card", ["lagoon", "fern-glade", "dune-rose"])
def test_no_page_as_it_is_drawn_promises_what_it_must_not(pages, card):
    """Words out of tables reach the page too; sources and names of laws are not promises."""
    pages.go("cards")
    pages.at.button(key=f"open-{card}").click()
    pages.run()
    for path in ("look", "scent", "batch", "cards", "shelf", "book", "guide"):
        pages.go(path)
        text = re.sub(r"<style>.*?</style>|<[^>]+>", " ", pages.said, flags=re.S)
        found = FORBIDDEN.search(text.replace("safety assessor", "assessor"))
        assert not found, (path, text[max(0, found.start() - 60) : found.end() + 60])

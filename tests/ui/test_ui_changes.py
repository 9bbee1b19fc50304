"""Everything on the shelf is changed in place; designs that took the old one say so where the stop is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from blendlab import store
from blendlab.ui import words
from blendlab.ui.words import cards as card_words
from blendlab.ui.words import shelf as say
from tests.ui.test_ui_typed import kind

CHANGES = {
    "pigment": ("iron_oxide_black", {"name": "Soot", "caution": "Stains", "cap": "0,4"}, {"cap_pct": 0.4}),
    "oil": ("lavender", {"name": "Lavender fine", "flash": "71,5"}, {"flash_c": 71.5}),
    "base": ("soap-white", {"name": "Cloud", "ph": "5,8"}, {"pH": 5.8}),
    "ingredient": ("glycerin", {"name": "Sweet water", "density": "1,2"}, {"density_g_ml": 1.2}),
    "scale": ("fine", {"name": "Pocket", "step": "0,1"}, {"step_g": 0.1}),
    "jar": ("j120-70", {"name": "Round one", "height": "38"}, {"height_mm": 38.0}),
}
OUT = words.CHANGED_SINCE


@pytest.mark.parametrize("of", CHANGES)
def test_a_thing_is_changed_in_the_form_filled_with_what_stands(pages, folder, of):
    item_id, typed, wanted = CHANGES[of]
    before = store.open_item(folder, of, item_id).item
    kind(pages, of).at.button(key=f"show-{of}-{item_id}").click()
    pages.run().at.button(key=f"edit-{item_id}").click()
    pages.run()
    assert pages.at.text_input(key=f"new-{of}-name").value == before.name
    for name, text in typed.items():
        pages.type(f"new-{of}-{name}", text)
    pages.press(say.KEEP_CHANGE)
    assert say.CHANGED.format(name=typed["name"]) in pages.said
    after = store.open_item(folder, of, item_id).item
    assert {name: getattr(after, name) for name in wanted} == wanted
    assert (after.id, after.name) == (item_id, typed["name"])
    assert after.rev != before.rev


@pytest.mark.parametrize("of", sorted(CHANGES))
def test_a_form_that_is_kept_as_it_was_changes_nothing(pages, folder, of):
    item_id = CHANGES[of][0]
    before = store.open_item(folder, of, item_id).item
    kind(pages, of).at.button(key=f"show-{of}-{item_id}").click()
    pages.run().at.button(key=f"edit-{item_id}").click()
    pages.run().press(say.KEEP_CHANGE)
    assert store.open_item(folder, of, item_id).item == before
    assert say.UNCHANGED.format(name=before.name) in pages.said


def test_an_oil_declared_to_hold_none_of_the_names_still_does_after_its_form(pages, folder):
    """Nothing on the list and nothing left off it is a declaration; none at all leaves the label open."""
    before = store.open_item(folder, "oil", "atlas-cedarwood").item
    assert before.declaration.complete
    assert not before.declaration.rows
    kind(pages, "oil").at.button(key="show-oil-atlas-cedarwood").click()
    pages.run().at.button(key="edit-atlas-cedarwood").click()
    pages.run().type("new-oil-flash", "99").press(say.KEEP_CHANGE)
    assert store.open_item(folder, "oil", "atlas-cedarwood").item == replace(before, flash_c=99.0)


def test_a_jar_that_only_gets_another_name_is_not_called_measured(pages, folder):
    before = store.open_item(folder, "jar", "j120-70").item
    kind(pages, "jar").at.button(key="show-jar-j120-70").click()
    pages.run().at.button(key="edit-j120-70").click()
    pages.run().type("new-jar-name", "Round one").press(say.KEEP_CHANGE)
    assert store.open_item(folder, "jar", "j120-70").item == replace(before, name="Round one")


def test_what_another_window_changed_meanwhile_is_not_written_over_unseen(pages, folder):
    kind(pages, "scale").at.button(key="edit-fine").click()
    pages.run()
    theirs, seen = store.open_item(folder, "scale", "fine")
    store.save_item(folder, replace(theirs, capacity_g=123.0), seen)
    pages.type("new-scale-step", "0,02").press(say.KEEP_CHANGE)
    assert say.CHANGED_MEANWHILE.format(name=theirs.name) in pages.said
    assert store.open_item(folder, "scale", "fine").item.capacity_g == 123.0
    assert pages.at.text_input(key="new-scale-step").value == "0,02"
    pages.press(say.KEEP_CHANGE)
    assert store.open_item(folder, "scale", "fine").item.step_g == 0.02


def test_a_wrong_change_is_answered_and_what_stands_stays(pages, folder):
    before = store.open_item(folder, "scale", "fine").item
    kind(pages, "scale").at.button(key="edit-fine").click()
    pages.run().type("new-scale-step", "much").press(say.KEEP_CHANGE)
    assert "is not a number" in pages.said
    assert store.open_item(folder, "scale", "fine").item == before
    other = next(item.name for item in store.read_shelf(folder).of("scale") if item.id != "fine")
    pages.type("new-scale-step", "0,1").type("new-scale-name", other).press(say.KEEP_CHANGE)
    assert "is on the shelf already" in pages.said
    assert store.open_item(folder, "scale", "fine").item == before


def test_a_thing_that_went_meanwhile_is_not_made_anew(pages, folder):
    kind(pages, "scale").at.button(key="edit-fine").click()
    pages.run().type("new-scale-step", "0,1")
    keep = next(button for button in pages.at.button if button.label == say.KEEP_CHANGE)
    store.delete_item(folder, "scale", "fine")
    keep.click()
    pages.run()
    assert store.read_shelf(folder).today("scale", "fine") is None
    assert "no longer on the shelf" in str(pages.at.session_state["answers"])


def sheet_for(folder, oil_id: str) -> None:
    """A sheet came for an oil that had none."""
    held = store.open_item(folder, "oil", oil_id)
    sheet = store.open_item(folder, "oil", "lavender").item.sheet
    store.save_item(folder, replace(held.item, sheet=sheet), held.digest)


@pytest.mark.parametrize("path", ["scent", "batch"])
def test_an_old_card_says_at_the_stop_that_its_oil_has_a_sheet_by_now(pages, folder, path):
    pages.go("cards").at.button(key="open-fern-glade").click()
    pages.run().press("Save card")
    oil = next(item for item in store.read_shelf(folder).of("oil") if item.name == "Green stem accord")
    sheet_for(folder, oil.id)
    pages.go("look").go("cards").at.button(key="open-fern-glade").click()
    pages.run().go(path)
    assert "No sheet for Green stem accord." in pages.said
    assert pages.buttons.count(OUT.format(name=oil.name)) >= 1
    pages.press(OUT.format(name=oil.name))
    assert "No sheet for Green stem accord." not in pages.said
    assert OUT.format(name=oil.name) not in pages.buttons
    pages.press("Undo")
    assert OUT.format(name=oil.name) in pages.buttons


@pytest.mark.parametrize("path", ["look", "scent", "batch"])
def test_every_page_says_what_was_changed_and_each_is_used_by_itself(pages, folder, path):
    pages.press("Save card")
    for of, item_id in (("oil", "lavender"), ("pigment", "ferric_ferrocyanide")):
        held = store.open_item(folder, of, item_id)
        store.save_item(folder, replace(held.item, lot="NEW-1"), held.digest)
    pages.go(path)
    assert "Changed on the shelf since this design took it" in pages.said
    blue = store.open_item(folder, "pigment", "ferric_ferrocyanide").item
    pages.press(words.USE.format(name=blue.name))
    assert pages.design["tones"][0]["doses"][1]["pigment"]["rev"] == blue.rev
    assert words.USE.format(name=blue.name) not in pages.buttons
    assert words.USE.format(name="Lavender") in pages.buttons
    pages.press("Undo").press(words.USE_ALL)
    assert "Changed on the shelf since" not in pages.said


def test_the_change_is_not_folded_into_the_notes_of_look(pages, folder):
    pages.press("Save card")
    held = store.open_item(folder, "oil", "lavender")
    store.save_item(folder, replace(held.item, lot="NEW-1"), held.digest)
    pages.run()
    assert pages.said.count("Changed on the shelf since this design took it") == 1
    assert "Recompute with today" not in " ".join(pages.buttons)
    assert card_words.DRAFTS not in pages.go("cards").said


def test_a_lot_is_corrected_in_the_book_with_its_reason(pages, folder):
    book = store.open_book(folder)
    kind(pages, "lot").at.selectbox(key="lot-item").set_value("soap-white")
    pages.at.text_input(key="lot-code").set_value("B-2605")
    pages.type("lot-grams", "4500").press(say.WRITE_IN_BOOK)
    (before,) = store.lots(book)
    assert pages.at.text_input(key="mend-lot-code").value == "B-2605"
    pages.type("mend-lot-code", "B-2606").press(say.CORRECT)
    assert "Say why" in pages.said
    pages.go("look").go("shelf")
    assert pages.at.text_input(key="mend-lot-code").value == "B-2606"
    pages.type("mend-lot-why", "misread").type("mend-lot-ph", "5,9").press(say.CORRECT)
    (after,) = store.lots(store.open_book(folder))
    assert (after.number, after.lot.code, after.data["pH"]) == (before.number, "B-2606", 5.9)
    assert after.data["corrected"] == "misread"
    assert "B-2606 is corrected" in pages.said


def test_a_new_price_is_no_change_of_a_design(pages, folder):
    """One price into what had none, then another: no page nags, and Batch reckons with the new price."""
    pages.press("Save card")
    kind(pages, "price").type("n.price.pigment.ferric_ferrocyanide", "90").go("look").press("Save card")
    kind(pages, "price").type("n.price.pigment.ferric_ferrocyanide", "120")
    blue = store.open_item(folder, "pigment", "ferric_ferrocyanide").item
    assert blue.price_per_g == pytest.approx(0.12)
    for path in ("look", "batch"):
        assert "Changed on the shelf since" not in pages.go(path).said
    assert words.USE.format(name=blue.name) not in pages.buttons

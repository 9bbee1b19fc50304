"""Nothing she made disappears: every design that was changed and not saved is a draft, one Undo away."""

from __future__ import annotations

from datetime import timedelta

import pytest
from streamlit.testing.v1 import AppTest

from blendlab import store
from blendlab.ui import drafts, hosts, words
from blendlab.ui.words import cards as say
from tests.ui.conftest import Pages

DOSE = "n.tones.0.doses.0.pct"


def dose(pages) -> float:
    return pages.design["tones"][0]["doses"][0]["pct"]


def open_card(pages, card_id: str):
    pages.go("cards").at.button(key=f"open-{card_id}").click()
    return pages.run()


def act(pages, name: str, draft: store.Draft):
    pages.go("cards").at.button(key=f"_{name}-{draft.id}").click()
    return pages.run()


def unsaved(folder) -> list[store.Draft]:
    return [draft for draft in store.load_drafts(folder)[0] if draft.changed]


@pytest.mark.parametrize("away", ["new", "open", "demo"])
def test_leaving_keeps_the_work_without_a_question(pages, folder, away):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    if away == "new":
        pages.go("cards").press(say.NEW_DESIGN)
    elif away == "open":
        open_card(pages, "lagoon")
    else:
        Pages().press(words.START_FRESH)
    (left,) = unsaved(folder)
    assert left.name == "Dune Rose"
    pages.go("cards")
    assert say.DRAFTS in pages.said
    assert pages.said.index("Dune Rose") < pages.said.index("Fern Glade")
    assert say.CHANGED_SINCE.split("{time}")[1] in pages.said
    act(pages, "open", left)
    assert pages.design["name"] == "Dune Rose"
    assert dose(pages) == 0.17


def test_undo_works_across_opening_and_redo_too(pages, folder):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    open_card(pages, "lagoon").type(DOSE, "0,11")
    pages.press("Undo").press("Undo")
    assert pages.design["name"] == "Dune Rose"
    assert dose(pages) == 0.17
    pages.press("Undo")
    assert dose(pages) != 0.17
    assert unsaved(folder) == []
    pages.press("Redo").press("Redo").press("Redo")
    assert pages.design["name"] == "Lagoon"
    assert dose(pages) == 0.11
    assert [draft.name for draft in unsaved(folder)] == ["Lagoon", "Dune Rose"]


def test_a_card_that_was_only_looked_at_leaves_no_draft(pages, folder):
    for card_id in ("lagoon", "dune-rose", "fern-glade"):
        open_card(pages, card_id)
    pages.go("cards")
    assert say.DRAFTS not in pages.said
    assert len(store.load_drafts(folder)[0]) == 1
    assert len(unsaved(folder)) == 0


def test_a_draft_is_saved_without_being_opened(pages, folder):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    open_card(pages, "lagoon")
    (left,) = unsaved(folder)
    act(pages, "save", left)
    assert "Saved " in pages.said
    assert unsaved(folder) == []
    assert pages.design["name"] == "Lagoon"
    assert store.open_card(folder, "dune-rose").card.design.tones[0].doses[0].pct == 0.17


def test_a_draft_whose_card_is_another_by_now_is_not_saved_over_it(pages, folder):
    _, seen = store.open_card(folder, "dune-rose")
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    open_card(pages, "lagoon")
    store.rename(folder, "dune-rose", "Dune Rose, theirs", seen)
    (left,) = unsaved(folder)
    act(pages, "save", left)
    assert "was changed elsewhere" in pages.said
    assert store.open_card(folder, "dune-rose").card.design.name == "Dune Rose, theirs"
    assert unsaved(folder) == [left]


def test_the_design_at_work_is_saved_on_cards_but_not_over_another_hand(pages, folder):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    (mine,) = unsaved(folder)
    act(pages, "save", mine)
    assert store.open_card(folder, "dune-rose").card.design.tones[0].doses[0].pct == 0.17
    assert unsaved(folder) == []
    _, seen = store.open_card(folder, "dune-rose")
    pages.go("look").type(DOSE, "0,18")
    store.rename(folder, "dune-rose", "Dune Rose, theirs", seen)
    act(pages, "save", mine)
    assert "was changed elsewhere" in pages.said
    assert store.open_card(folder, "dune-rose").card.design.name == "Dune Rose, theirs"
    assert len(unsaved(folder)) == 1


def test_what_another_window_wrote_into_a_draft_that_is_saved_stays(pages, folder, monkeypatch):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    open_card(pages, "lagoon")
    (left,) = unsaved(folder)
    true = store.save

    def save_while_they_type(*given):
        store.save_draft(folder, left.id, {**left.plain, "more": 1}, left.digest)
        return true(*given)

    monkeypatch.setattr(store, "save", save_while_they_type)
    act(pages, "save", left)
    assert "Saved " in pages.said
    assert [draft.id for draft in unsaved(folder)] == [left.id]


def test_a_draft_is_thrown_away_to_the_bin_and_put_back(pages, folder):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    open_card(pages, "lagoon")
    (left,) = unsaved(folder)
    act(pages, "throw_away", left)
    assert unsaved(folder) == []
    assert say.DRAFTS not in pages.said
    pages.press(say.PUT_BACK)
    assert unsaved(folder) == [left]
    assert say.DRAFTS in pages.said


@pytest.mark.parametrize("of_card", [True, False])
def test_the_design_at_work_thrown_away_gives_way_to_its_card_or_the_demo(pages, folder, of_card):
    if of_card:
        open_card(pages, "dune-rose")
    else:
        pages.go("cards").press(say.NEW_DESIGN)
        pages.press("Add a tone")
    pages.type("n.batch.jars", "7")
    (left,) = unsaved(folder)
    act(pages, "throw_away", left)
    assert pages.design["name"] == ("Dune Rose" if of_card else "Lagoon")
    assert pages.design["batch"]["jars"] != 7
    assert unsaved(folder) == []
    pages.go("look").press("Undo")
    assert pages.design["batch"]["jars"] == 7
    assert len(unsaved(folder)) == 1


def test_two_windows_on_one_draft_have_a_draft_each_and_are_told(pages, folder):
    pages.type(DOSE, "0,11")
    other = Pages()
    assert dose(other) == 0.11
    other.type(DOSE, "0,12")
    pages.type(DOSE, "0,13")
    pages.type(DOSE, "0,14")
    other.type(DOSE, "0,15")
    kept = {draft.plain["design"]["tones"][0]["doses"][0]["pct"] for draft in unsaved(folder)}
    assert kept == {0.14, 0.15}
    told = say.ALSO.split("{time}")[0].format(name="Lagoon")
    assert told in pages.run().said
    assert told in other.run().said
    pages.press("Undo")
    assert len(unsaved(folder)) == 2
    other.press(say.OPEN_OTHER)
    assert dose(other) == 0.13


def test_two_windows_that_opened_one_card_are_told(pages, folder):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    other = open_card(Pages(), "dune-rose")
    told = say.ALSO.split("{time}")[0].format(name="Dune Rose")
    assert told in other.said
    assert told not in pages.run().said
    other.type(DOSE, "0,18")
    assert told in pages.run().said


def reloaded(window: Pages) -> Pages:
    """A new session at the address of a window."""
    again = Pages.__new__(Pages)
    again.at = AppTest.from_file(str(hosts.DOOR), default_timeout=300)
    for key, value in window.at.query_params.items():
        again.at.query_params[key] = value
    return again.run()


def test_a_reload_comes_back_to_the_draft_of_its_window_not_to_the_latest(pages, folder):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    other = open_card(Pages(), "lagoon").type(DOSE, "0,11")
    again = reloaded(pages)
    assert (again.design["name"], dose(again)) == ("Dune Rose", 0.17)
    assert reloaded(other).design["name"] == "Lagoon"
    again.type(DOSE, "0,18")
    assert sorted(draft.name for draft in unsaved(folder)) == ["Dune Rose", "Lagoon"]
    assert reloaded(again).design["tones"][0]["doses"][0]["pct"] == 0.18


def test_a_reload_of_a_card_that_was_only_opened_comes_back_to_it(pages, folder):
    open_card(pages, "dune-rose")
    other = open_card(Pages(), "fern-glade")
    assert reloaded(pages).design["name"] == "Dune Rose"
    assert reloaded(other).design["name"] == "Fern Glade"


def test_what_nobody_changed_goes_after_a_day(pages, folder, monkeypatch):
    open_card(pages, "dune-rose")
    open_card(Pages(), "fern-glade")
    assert len(store.load_drafts(folder)[0]) == 2
    monkeypatch.setattr(drafts, "LEFT", timedelta(0))
    Pages()
    assert len(store.load_drafts(folder)[0]) == 1


def test_a_copied_address_makes_two_drafts_as_soon_as_both_windows_write(pages, folder):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    copied = reloaded(pages)
    pages.type(DOSE, "0,18")
    copied.type(DOSE, "0,19")
    assert {draft.plain["design"]["tones"][0]["doses"][0]["pct"] for draft in unsaved(folder)} == {0.18, 0.19}
    assert pages.run().at.query_params["draft"] != copied.at.query_params["draft"]
    assert say.ALSO.split("{time}")[0].format(name="Dune Rose") in copied.said
    assert dose(reloaded(copied)) == 0.19
    assert dose(reloaded(pages)) == 0.18


def test_an_address_of_a_draft_that_went_opens_the_latest(pages):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    pages.at.query_params["draft"] = "../../card"
    assert reloaded(pages).design["name"] == "Dune Rose"


def test_the_draft_of_an_earlier_version_is_offered(folder):
    pages = Pages().type(DOSE, "0,11")
    (path,) = folder.drafts.glob("*.json")
    path.rename(folder.draft)
    again = Pages()
    assert dose(again) == dose(pages) == 0.11
    assert not folder.draft.exists()


def test_a_draft_that_cannot_be_drawn_does_not_hide_the_others(pages, folder):
    open_card(pages, "dune-rose").type(DOSE, "0,17")
    open_card(pages, "lagoon").type(DOSE, "0,11")
    store.save_draft(folder, "bad", {"design": {"name": "Bad"}, "changed": True}, None)
    pages.go("cards")
    assert words.DRAFT_ASIDE in pages.said
    assert len(unsaved(folder)) == 2

"""What she has begun in a real browser: it stays where she goes, and comes back where she returns."""

from __future__ import annotations

import pytest

from blendlab import store

pytestmark = pytest.mark.browser

DOSE = "n-tones-0-doses-0-pct"


def to(walk, page: str):
    with walk.run():
        walk.page.get_by_role("link", name=page, exact=True).click()


def kind(walk, place: int):
    with walk.run():
        walk.page.locator(".st-key-shelf-kind button").nth(place).click()


def test_half_filled_forms_survive_page_and_kind(visit):
    walk = visit().open()
    to(walk, "Shelf")
    walk.press("Add a pigment")
    walk.type("new-pigment-name", "Reed mica")
    walk.type("new-pigment-share-0", "97,5")
    with walk.run():
        walk.page.locator(".st-key-new-pigment-way button").nth(1).click()
    walk.type("new-pigment-ci", "77491")
    kind(walk, 1)
    walk.press("Add an oil")
    assert walk.field("new-oil-name").input_value() == ""
    walk.type("new-oil-name", "Reed accord")
    to(walk, "Guide")
    to(walk, "Shelf")
    assert walk.field("new-oil-name").input_value() == "Reed accord"
    kind(walk, 0)
    assert walk.field("new-pigment-name").input_value() == "Reed mica"
    assert walk.field("new-pigment-ci").input_value() == "77491"
    with walk.run():
        walk.page.locator(".st-key-new-pigment-way button").nth(0).click()
    assert walk.field("new-pigment-share-0").input_value() == "97,5"
    walk.press("Throw away what is typed")
    walk.press("Add a pigment")
    assert walk.field("new-pigment-name").input_value() == ""


def test_a_design_that_is_left_is_a_draft_and_one_undo_away(visit, app):
    walk = visit().open()
    walk.type(DOSE, "0,31")
    to(walk, "Cards")
    walk.press("New design")
    walk.page.wait_for_selector("text=White")
    (left,) = [draft for draft in store.load_drafts(app.folder)[0] if draft.changed]
    assert left.plain["design"]["tones"][0]["doses"][0]["pct"] == 0.31
    walk.press("Undo")
    assert walk.field(DOSE).input_value() == "0.31 %"

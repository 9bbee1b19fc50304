"""On a phone: what a finger presses is large enough, and every choice is in sight."""

from __future__ import annotations

import pytest

from tests.ui.test_ui_book import a_batch_for_sale

pytestmark = pytest.mark.browser

FINGER = 44
PRESSED = (
    'button[data-testid^="stBaseButton"]:not([data-testid$="elementToolbar"]), '
    'button[data-testid="stPopoverButton"], [data-testid="stButtonGroup"] button, '
    '[data-testid="stExpander"] summary, [data-testid="stTextInputRootElement"]'
)
SMALL = """(pressed) => [...document.querySelectorAll(pressed)].filter(each => each.checkVisibility())
    .map(each => [each.innerText, each.getBoundingClientRect()])
    .filter(([_, box]) => box.height && (box.height < %d || box.right > innerWidth))
    .map(([text, box]) => `${text.trim()}: ${box.height} high, ends at ${box.right}`)"""
PAGES = {
    "": ".st-key-front img",
    "scent": ".st-key-oil-rows",
    "batch": ".bl-weigh",
    "shelf": ".st-key-thing .st-key-sw-add, .st-key-thing button",
    "book": ".st-key-book-head",
    "guide": ".st-key-backup-make",
}


@pytest.mark.parametrize("path", PAGES)
def test_what_is_pressed_on_a_phone_is_large_and_in_sight(look, path):
    walk = look(390, 844).open(path, PAGES[path])
    assert walk.page.locator(PRESSED).count()
    assert walk.page.evaluate(SMALL % FINGER, PRESSED) == []


def test_what_a_sale_is_asked_about_stands_in_sight_with_its_reason_and_its_button(visit, app):
    """In a form that scrolls within itself; nor is it asked in letters for an arm's length."""
    code = a_batch_for_sale(app.folder)
    walk = visit(390, 844).open("book", ".st-key-book-part")
    with walk.run():
        walk.button("Show").first.click()
    walk.page.get_by_role("button", name="Write a sale down").click()
    first, form = walk.field("sale-jars"), walk.page.locator("[data-testid=stPopoverBody]")
    first.wait_for()
    assert first.bounding_box()["y"] > form.bounding_box()["y"]  # it opens at its first field
    for key, said in (("jars", "1"), ("to", "Fair"), ("on", "2026-05-15")):
        walk.fill(walk.field(f"sale-{key}"), said)
    walk.press("Write it down")
    question = walk.page.locator("[data-testid=stPopoverBody] .bl-kask")
    assert "Really?" in question.inner_text()
    form = form.bounding_box()
    for shown in (question, walk.field(f"why-sale-{code}"), walk.button("Write it down")):
        box = shown.bounding_box()
        assert form["y"] <= box["y"]
        assert box["y"] + box["height"] <= form["y"] + form["height"]
    assert question.evaluate("node => parseFloat(getComputedStyle(node).fontSize)") <= 16

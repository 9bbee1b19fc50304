"""On a phone: what a finger presses is large enough, and every choice is in sight."""

from __future__ import annotations

import pytest

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

"""Walks of the maker through the real app in a real Chromium."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from blendlab import store

pytestmark = pytest.mark.browser

PANEL = (0xB8, 0xB8, 0xB8)
DOSE, SHARE = "n-tones-0-doses-0-pct", "n-tones-0-share_pct"


def hex_codes(text):
    codes = re.findall(r"#[0-9a-f]{6}", text)
    return [tuple(int(code[at : at + 2], 16) for at in (1, 3, 5)) for code in codes]


def near(colour, other, codes=1):
    return max(abs(a - b) for a, b in zip(colour, other, strict=True)) <= codes


def common_colours(picture, share=0.02):
    counts = Counter(picture.get_flattened_data())
    return [colour for colour, count in counts.items() if count >= share * picture.width * picture.height]


def first_tone_is_painted(walk):
    """The hex code beside the first tone is one of the large flat colours of the jar."""
    shown = hex_codes(walk.text(".st-key-bench"))[0]
    painted = common_colours(walk.shot(".st-key-front img"))
    assert any(near(colour, shown) for colour in painted), (shown, painted)
    return shown


def test_main_job(visit, app):
    walk = visit().open()
    walk.choose("p-view-mode", "Flat colours")
    walk.type(DOSE, "0,25")
    by_day = first_tone_is_painted(walk)
    with walk.run():
        radio, button = walk.page.get_by_role("radio", name="Wedges"), walk.button("Wedges")
        radio.or_(button).first.click()
    walk.choose("p-view-lamp", "Bulb")
    assert first_tone_is_painted(walk) != by_day

    with walk.run():
        walk.page.get_by_role("link", name="Scent").click()
    walk.page.wait_for_selector("text=Names on the label")
    walk.type("n-scent-load_pct", "1,1")
    assert "Linalool" in walk.text(".bl-words")
    walk.press("Save card")
    walk.page.wait_for_selector("text=/Saved [0-9]{2}:[0-9]{2} in/")
    saved = store.listing(app.folder)[0]
    card = store.open_card(app.folder, saved.card_id).card
    assert card.design.tones[0].doses[0].pct == 0.25
    assert card.design.scent.load_pct == 1.1

    with walk.run():
        walk.page.get_by_role("link", name="Cards").click()
    walk.page.locator(f".st-key-print-{saved.card_id} button").click()
    with walk.page.expect_download() as got:
        walk.page.get_by_role("button", name="Card, A6 (PDF)").click()
    assert got.value.path().read_bytes().startswith(b"%PDF")
    walk.page.keyboard.press("Escape")
    with walk.run():
        walk.page.locator(f".st-key-open-{saved.card_id} button").click()
    walk.page.wait_for_selector(".st-key-front img")
    assert walk.field(DOSE).input_value() == "0.25 %"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_panel_is_one_grey_beside_and_inside_the_picture(look, scheme):
    walk = look(scheme=scheme).open()
    panel, inside = walk.shot(".st-key-panel"), walk.shot(".st-key-front img")
    for picture, edge in ((panel, 3), (inside, 1)):
        right, low = picture.width - 1 - edge, picture.height - 1 - edge
        for corner in ((edge, edge), (edge, low), (right, edge), (right, low)):
            assert picture.getpixel(corner) == PANEL, corner


def test_nothing_scrolls_sideways_and_save_is_in_sight(visit):
    for width in (390, 720, 820, 1440):
        walk = visit(width).open()
        name = f"Sommergarten-Botanikmuseumsedition Küstennebel, Nr. {width}".ljust(58, "!")
        walk.page.get_by_role("button", name="Name, product, jars").click()
        walk.fill(walk.page.get_by_label("Name of the design"), name, "Enter")
        walk.page.keyboard.press("Escape")
        assert walk.text("h1") == name
        assert walk.page.evaluate("document.documentElement.scrollWidth") <= width
        box = walk.button("Save card").bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width


def test_the_page_asks_nobody_but_this_machine(look):
    walk = look()
    asked = []
    walk.page.on("request", lambda request: asked.append(request.url))
    walk.open()
    foreign = [url for url in asked if not url.startswith((look.app.address, "data:", "blob:"))]
    assert asked
    assert not foreign


def test_every_button_has_a_name(look):
    names = (
        look()
        .open()
        .page.evaluate(
            "[...document.querySelectorAll('[data-testid=stMainBlockContainer] button')]"
            ".map(button => (button.getAttribute('aria-label') || button.innerText || '').trim())"
        )
    )
    assert names
    assert all(names)


def test_a_reload_and_a_restart_offer_the_draft(visit, app):
    walk = visit().open()
    walk.type(SHARE, "52,5")
    offered = "text=is open where you left it"
    walk.reload(offered)
    assert walk.field(SHARE).input_value() == "52.5 %"
    app.stop()
    app.start()
    again = visit().open(shows=offered)
    assert again.field(SHARE).input_value() == "52.5 %"


def test_a_wrong_figure_is_answered_under_its_row_and_squeezes_nothing(look):
    walk = look().open()
    walk.type(SHARE, "abc")
    answer = walk.page.locator(".bl-bad").first.bounding_box()
    row = walk.page.locator(f".st-key-{SHARE}").first.bounding_box()
    assert answer["y"] >= row["y"] + row["height"] - 2
    assert walk.page.locator(".st-key-bench .bl-tone").first.bounding_box()["height"] < 90


def test_the_slider_keeps_its_focus_when_a_message_goes(visit):
    walk = visit().open()
    assert walk.page.locator(".bl-said").count() == 1
    walk.page.locator(".st-key-s-tones-0-doses-0-pct input[type=range]").first.focus()
    for _ in range(2):
        with walk.run():
            walk.page.keyboard.press("ArrowLeft")
        assert walk.page.evaluate("document.activeElement.type") == "range"
    assert walk.page.locator(".bl-said").count() == 0


def test_no_row_of_a_tone_scrolls_within_itself(look):
    walk = look().open()
    rows = walk.page.locator("[class*=st-key-dose-]").evaluate_all(
        "rows => rows.map(row => [row.scrollHeight > row.clientHeight, getComputedStyle(row).overflowY])"
    )
    assert rows
    assert [True, "auto"] not in rows


def test_who_answers_for_a_label_is_typed_in_one_go(visit):
    """The findings above the form go with what is typed into it."""
    walk = visit().open("batch", ".bl-weigh")
    walk.page.get_by_role("button", name="Who answers for it").click()
    for key in ("name", "address", "contact", "country"):
        assert walk.field(f"maker-{key}").is_visible()
        walk.type(f"maker-{key}", f"Invented {key}")
    assert walk.field("maker-country").is_visible()

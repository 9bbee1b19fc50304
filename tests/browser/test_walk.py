"""Walks of the maker through the real app in a real Chromium."""

from __future__ import annotations

import io
import re
from collections import Counter

import pytest
from PIL import Image

from blendlab import store

pytestmark = pytest.mark.browser

PANEL = (0xB8, 0xB8, 0xB8)


def settle(page):
    page.wait_for_function("!document.querySelector('[data-testid=stStatusWidget]')", timeout=15000)
    page.wait_for_timeout(250)


def type_into(page, key, text):
    field = page.locator(f".st-key-{key} input").first
    field.fill(text)
    field.press("Enter")
    settle(page)


def choose(page, key, words):
    page.locator(f".st-key-{key} [data-baseweb=select], .st-key-{key} input").first.click()
    page.get_by_role("option", name=words, exact=True).click()
    settle(page)


def shot(page, selector):
    return Image.open(io.BytesIO(page.locator(selector).first.screenshot())).convert("RGB")


def hex_codes(text):
    codes = re.findall(r"#[0-9a-f]{6}", text)
    return [tuple(int(code[at : at + 2], 16) for at in (1, 3, 5)) for code in codes]


def near(one, other, codes=1):
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) <= codes


def common_colours(picture, share=0.02):
    counts = Counter(picture.get_flattened_data())
    return [colour for colour, count in counts.items() if count >= share * picture.width * picture.height]


def test_main_job(look, app):
    choose(look, "p-view-mode", "Flat colours")
    type_into(look, "n-tones-0-doses-0-pct", "0,25")
    text = look.locator(".st-key-bench").inner_text()
    shown = hex_codes(text)[0]
    painted = common_colours(shot(look, ".st-key-front img"))
    assert any(near(colour, shown) for colour in painted), (shown, painted)

    look.get_by_role("radio", name="Wedges").or_(look.get_by_role("button", name="Wedges")).first.click()
    settle(look)
    choose(look, "p-view-lamp", "Bulb")
    under_bulb = hex_codes(look.locator(".st-key-bench").inner_text())[0]
    painted = common_colours(shot(look, ".st-key-front img"))
    assert any(near(colour, under_bulb) for colour in painted), (under_bulb, painted)

    look.get_by_role("link", name="Scent").click()
    look.wait_for_selector("text=Names on the label")
    type_into(look, "n-scent-load_pct", "1,1")
    assert "Linalool" in look.locator(".bl-words").inner_text()
    look.get_by_role("button", name="Save card").click()
    look.wait_for_selector("text=/Saved [0-9]{2}:[0-9]{2} in/")
    saved = store.listing(store.Folder.at(app.folder))[0]
    card = store.open_card(store.Folder.at(app.folder), saved.card_id).card
    assert card.design.tones[0].doses[0].pct == 0.25
    assert card.design.scent.load_pct == 1.1

    look.get_by_role("link", name="Cards").click()
    look.wait_for_selector(f".st-key-open-{saved.card_id} button")
    look.locator(f".st-key-print-{saved.card_id} button").click()
    with look.expect_download() as got:
        look.get_by_role("button", name="Card, A6 (PDF)").click()
    assert got.value.path().read_bytes().startswith(b"%PDF")
    look.keyboard.press("Escape")
    look.locator(f".st-key-open-{saved.card_id} button").click()
    look.wait_for_selector(".st-key-front img")
    settle(look)
    assert "0.25 %" in look.locator(".st-key-n-tones-0-doses-0-pct input").input_value()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_panel_is_one_grey_beside_and_inside_the_picture(app, browser, scheme):
    page = browser.new_page(viewport={"width": 1440, "height": 900}, color_scheme=scheme)
    page.goto(app.address)
    page.wait_for_selector(".st-key-front img")
    settle(page)
    picture = shot(page, ".st-key-panel")
    width, height = picture.size
    inside = shot(page, ".st-key-front img")
    for x, y in ((3, 3), (3, height - 4), (width - 4, 3), (width - 4, height - 4)):
        assert near(picture.getpixel((x, y)), PANEL, 0), (x, y, picture.getpixel((x, y)))
    right, low = inside.width - 2, inside.height - 2
    for x, y in ((1, 1), (right, 1), (1, low), (right, low)):
        assert near(inside.getpixel((x, y)), PANEL, 0), (x, y, inside.getpixel((x, y)))
    page.close()


@pytest.mark.parametrize("width", [390, 720, 820, 1440])
def test_nothing_scrolls_sideways_and_save_is_in_sight(app, browser, width):
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.goto(app.address)
    page.wait_for_selector(".st-key-front img")
    settle(page)
    page.get_by_role("button", name="Name, product, jars").click()
    name = f"Sommergarten-Botanikmuseumsedition Küstennebel, Nr. {width}".ljust(58, "!")
    field = page.get_by_label("Name of the design")
    field.fill(name)
    field.press("Enter")
    settle(page)
    page.keyboard.press("Escape")
    assert page.locator("h1").inner_text() == name
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    box = page.get_by_role("button", name="Save card").bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= width
    page.close()


def test_the_page_asks_nobody_but_this_machine(app, browser):
    page = browser.new_page()
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(app.address)
    page.wait_for_selector(".st-key-front img")
    settle(page)
    page.close()
    foreign = [url for url in asked if not url.startswith((app.address, "data:", "blob:"))]
    assert not foreign


def test_every_button_has_a_name(look):
    names = look.evaluate(
        "[...document.querySelectorAll('[data-testid=stMainBlockContainer] button')]"
        ".map(one => (one.getAttribute('aria-label') || one.innerText || '').trim())"
    )
    assert names
    assert all(names)


def test_a_reload_and_a_restart_offer_the_draft(app, browser):
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(app.address)
    page.wait_for_selector(".st-key-front img")
    settle(page)
    second_is_open = page.locator(".st-key-n-tones-1-share_pct").count()
    type_into(page, f"n-tones-{1 if second_is_open else 0}-share_pct", "52,5")
    page.reload()
    page.wait_for_selector("text=is open where you left it")
    app.stop()
    app.start()
    page.goto(app.address)
    page.wait_for_selector("text=is open where you left it")
    settle(page)
    assert "52.5 %" in page.locator(".st-key-bench").inner_text() + " ".join(
        one.input_value() for one in page.locator(".st-key-bench input").all()
    )
    page.close()


def test_a_wrong_figure_is_answered_under_its_row_and_squeezes_nothing(look):
    field = "n-tones-0-share_pct" if look.locator(".st-key-n-tones-0-share_pct").count() else None
    assert field, "the first tone is open on a fresh page"
    type_into(look, field, "abc")
    answer = look.locator(".bl-bad").first.bounding_box()
    row = look.locator(f".st-key-{field}").first.bounding_box()
    assert answer["y"] >= row["y"] + row["height"] - 2
    name = look.locator(".st-key-bench .bl-tone").first.bounding_box()
    assert name["height"] < 90


def test_the_slider_keeps_its_focus_when_a_message_goes(app, browser):
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(app.address)
    page.wait_for_selector(".st-key-front img")
    settle(page)
    assert page.locator(".bl-said").count() == 1
    page.locator(".st-key-s-tones-0-doses-0-pct input[type=range]").first.focus()
    for key in ("ArrowLeft", "ArrowLeft"):
        page.keyboard.press(key)
        settle(page)
        page.wait_for_timeout(600)
        assert page.evaluate("document.activeElement.type") == "range"
    assert page.locator(".bl-said").count() == 0
    page.close()

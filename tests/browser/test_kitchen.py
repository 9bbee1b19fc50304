"""The kitchen in a real Chromium: weigh, too much, a gate, reload, restart, sizes at arm's length."""

from __future__ import annotations

import pytest

from blendlab import store
from blendlab.production import kitchen_log
from tests.browser.test_walk import settle

pytestmark = pytest.mark.browser


@pytest.fixture
def kitchen(app, browser):
    """A fresh batch of the demo in the kitchen view on a tablet."""
    page = browser.new_page(viewport={"width": 1180, "height": 820})
    page.goto(f"{app.address}/batch")
    page.wait_for_selector(".bl-weigh")
    settle(page)
    other = page.get_by_role("button", name="Start another")
    (other if other.count() else page.get_by_role("button", name="Kitchen view")).click()
    page.wait_for_selector(".bl-kname")
    settle(page)
    yield page
    page.close()


def press(page, name):
    page.get_by_role("button", name=name, exact=True).click()
    settle(page)
    page.wait_for_timeout(200)  # longer than a double tap


def went_in(page, grams):
    field = page.get_by_label("What went in, g")
    field.fill(grams)
    field.press("Tab")
    settle(page)


def code_of(page) -> str:
    return page.url.rpartition("batch=")[2]


def kept(app, page) -> store.BatchPage:
    return store.batch(store.open_book(store.Folder.at(app.folder)), code_of(page))


def test_weigh_too_much_gate_reload_and_restart(app, browser, kitchen):
    press(kitchen, "Tick, next")
    assert kitchen.locator(".bl-kname").inner_text() == "Lavender"
    press(kitchen, "Weighed, next")
    assert list(kept(app, kitchen).weighed) == ["oil:lavender"]  # written before the next line shows
    assert "display reads" in kitchen.locator(".bl-kgood").first.inner_text()

    asked = float(kitchen.locator(".bl-kgrams").inner_text().removesuffix(" g"))
    went_in(kitchen, f"{asked + 0.2:.2f}".replace(".", ","))
    press(kitchen, "Too much")
    assert "0.2 g too much" in kitchen.locator(".bl-kask").inner_text()
    press(kitchen, kitchen.get_by_role("button", name="Make the rest").inner_text())
    assert kitchen.locator(".bl-kname").inner_text() == "more of Lavender"
    press(kitchen, "Weighed, next")
    assert kitchen.locator(".bl-kname").inner_text() == "Atlas cedarwood"

    kitchen.reload()
    kitchen.wait_for_selector(".bl-kname")
    settle(kitchen)
    assert kitchen.locator(".bl-kname").inner_text() == "Atlas cedarwood"
    for _ in range(2):
        press(kitchen, "Weighed, next")
    press(kitchen, "Done, next")

    assert "60 °C" in kitchen.locator(".bl-kname").inner_text()
    heat = kitchen.get_by_label("Measured now, °C")
    heat.fill("72")
    heat.press("Tab")
    settle(kitchen)
    press(kitchen, "Measured, next")
    assert "Wait: 72 °C is above 60 °C." in kitchen.locator(".bl-kask").inner_text()
    assert not kitchen.get_by_label("What went in, g").count()  # the gate holds the next line back
    heat.fill("38,5")
    heat.press("Tab")
    settle(kitchen)
    press(kitchen, "Measured, next")
    assert kitchen.locator(".bl-kname").inner_text() == "Whipped soap base"

    address = kitchen.url
    app.stop()
    app.start()
    again = browser.new_page(viewport={"width": 1180, "height": 820})
    again.goto(address)
    again.wait_for_selector(".bl-kname")
    assert again.locator(".bl-kname").inner_text() == "Whipped soap base"
    ticks = kept(app, again).of("tick")
    assert [one.data["celsius"] for one in ticks if one.subject == "hot"] == [38.5]
    assert kitchen_log.stand(kept(app, again)).current.id == "weigh:base"
    again.close()


def test_digits_buttons_and_field_are_large_enough(kitchen):
    press(kitchen, "Tick, next")
    style = "one => [getComputedStyle(one).fontSize, one.getBoundingClientRect().height]"
    assert kitchen.locator(".bl-kgrams").evaluate(style)[0] == "96px"
    assert kitchen.locator(".bl-kname").evaluate(style)[0] == "36px"
    field = kitchen.get_by_label("What went in, g")
    assert field.evaluate(style)[0] == "30px"
    assert field.bounding_box()["height"] >= 58
    for name in ("Weighed, next", "Too much"):
        box = kitchen.get_by_role("button", name=name, exact=True).bounding_box()
        assert box["height"] >= 60
        assert box["y"] + box["height"] <= 820  # in sight without scrolling


@pytest.mark.parametrize(("width", "height"), [(390, 844), (820, 1180), (1180, 820)])
@pytest.mark.parametrize("path", ["batch", "book", "batch?view=kitchen"])
def test_nothing_scrolls_sideways(app, browser, path, width, height):
    page = browser.new_page(viewport={"width": width, "height": height})
    page.goto(f"{app.address}/{path}")
    page.wait_for_selector(".bl-weigh, .bl-kname, .st-key-book-part")
    settle(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()


def test_the_batch_sheet_comes_as_a_pdf(app, browser):
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(f"{app.address}/batch")
    page.wait_for_selector(".bl-weigh")
    settle(page)
    for name in ("Batch sheet", "Cup labels"):
        with page.expect_download() as got:
            page.get_by_role("button", name=name).click()
        assert got.value.path().read_bytes().startswith(b"%PDF")
    page.close()

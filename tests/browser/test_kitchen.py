"""The kitchen in a real Chromium: weigh, too much, a gate, reload, restart, sizes at arm's length."""

from __future__ import annotations

import pytest

from blendlab.production import kitchen_log
from tests.browser.walk import Kitchen

pytestmark = pytest.mark.browser

SIZES = [(390, 844), (820, 1180), (1180, 820)]


@pytest.fixture
def kitchen(visit) -> Kitchen:
    """A fresh batch of the demo in the kitchen view on a tablet."""
    walk = visit(1180, 820, kind=Kitchen).open("batch", ".bl-weigh")
    walk.press("Kitchen view")
    walk.press("Begin the batch")
    walk.page.wait_for_selector(".bl-kname")
    return walk


def test_weigh_too_much_gate_reload_and_restart(visit, app, kitchen):
    kitchen.press("Tick, next")
    assert kitchen.line == "Lavender"
    kitchen.press("Weighed, next")
    assert list(kitchen.kept.weighed) == ["oil:lavender"]  # written before the next line shows
    assert "display reads" in kitchen.text(".bl-kgood")

    asked = float(kitchen.text(".bl-kgrams").removesuffix(" g"))
    grams = kitchen.page.get_by_label("What went in, g")
    kitchen.fill(grams, f"{asked + 0.2:.2f}".replace(".", ","))
    kitchen.press("Too much")
    assert "0.2 g too much" in kitchen.text(".bl-kask")
    kitchen.press(kitchen.page.get_by_role("button", name="Make the rest").inner_text())
    assert kitchen.line == "More of Lavender"
    kitchen.press("Weighed, next")
    assert kitchen.line == "Atlas cedarwood"

    kitchen.reload(".bl-kname")
    assert kitchen.line == "Atlas cedarwood"
    for _ in range(2):
        kitchen.press("Weighed, next")
    kitchen.press("Done, next")

    assert "60 °C" in kitchen.line
    heat = kitchen.page.get_by_label("Measured now, °C")
    kitchen.fill(heat, "72")
    kitchen.press("Measured, next")
    assert "Wait: 72 °C is above 60 °C." in kitchen.text(".bl-kask")
    assert not grams.count()  # the gate holds the next line back
    kitchen.fill(heat, "38,5")
    kitchen.press("Measured, next")
    assert kitchen.line == "Whipped soap base"

    place = kitchen.page.url.removeprefix(app.address + "/")
    app.stop()
    app.start()
    again = visit(1180, 820, kind=Kitchen).open(place, ".bl-kname")
    assert again.line == "Whipped soap base"
    ticks = [tick.data["celsius"] for tick in again.kept.of("tick") if tick.subject == "hot"]
    assert ticks == [38.5]
    assert kitchen_log.stand(again.kept).current.id == "weigh:base"


def test_digits_buttons_and_field_are_large_enough_and_nothing_scrolls_sideways(kitchen, visit):
    kitchen.press("Tick, next")
    style = "node => [getComputedStyle(node).fontSize, node.getBoundingClientRect().height]"
    assert kitchen.page.locator(".bl-kgrams").evaluate(style)[0] == "96px"
    assert kitchen.page.locator(".bl-kname").evaluate(style)[0] == "36px"
    field = kitchen.page.get_by_label("What went in, g")
    assert field.evaluate(style)[0] == "30px"
    assert field.bounding_box()["height"] >= 58
    for name in ("Weighed, next", "Too much"):
        box = kitchen.button(name).bounding_box()
        assert box["height"] >= 60
        assert box["y"] + box["height"] <= 820  # in sight without scrolling
    place = kitchen.page.url.removeprefix(kitchen.app.address + "/")
    for width, height in SIZES:
        walk = visit(width, height).open(place, ".bl-kname")
        assert walk.page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_nothing_scrolls_sideways(look, width, height):
    walk = look(width, height)
    for path, shows in (
        ("batch", ".bl-weigh"),
        ("book", ".st-key-book-part"),
        ("batch?view=kitchen", "text=No batch is being made."),
    ):
        walk.open(path, shows)
        assert walk.page.evaluate("document.documentElement.scrollWidth") <= width, path


def test_the_batch_sheet_comes_as_a_pdf(look):
    walk = look().open("batch", ".bl-weigh")
    for name in ("Batch sheet", "Cup labels"):
        with walk.page.expect_download() as got:
            walk.page.get_by_role("button", name=name).click()
        assert got.value.path().read_bytes().startswith(b"%PDF")

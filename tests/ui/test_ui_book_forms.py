"""What is half-filled in a form of the Book stays: over a change of page, and each batch its own."""

from __future__ import annotations

import pytest

from tests.ui.kitchen_walk import a_lot, started
from tests.ui.test_ui_typed import dropped

FIELDS = {
    "told-what": "care",
    "drill-grams": "care",
    "lab-of": "tests",
    "stock-there": "sold",
    "pieces-count": "sold",
}


def part(pages, chosen: str):
    pages.go("book").at.get_by_key("book-part").set_value(chosen)
    return pages.run()


def field(pages, key: str):
    return next(found for found in (*pages.at.text_area, *pages.at.text_input) if found.key == key)


@pytest.mark.parametrize("key", FIELDS)
def test_a_form_of_the_book_half_filled_survives_a_change_of_page(pages, folder, key):
    a_lot(folder, "oil:cedarwood", 100, "C-1")
    field(part(pages, FIELDS[key]), key).set_value("12")
    pages.run().go("look")
    dropped(pages, f"{key.partition('-')[0]}-").go("book")
    assert field(pages, key).value == "12"


def test_each_batch_has_a_sale_of_its_own_half_written(pages, folder):
    first = started(pages)
    pages.press("Leave kitchen view").go("batch").press("Start another")
    pages.press("Begin the batch").press("Leave kitchen view")
    pages.go("book").at.button(key=f"show-batch-{first}").click()
    pages.run().type("sale-to", "garden shop")
    other = next(button for button in pages.at.button if _of_another(button.key, first))
    other.click()
    shown = pages.run().at.text_input(key="sale-to")
    assert shown.value == ""
    assert shown.proto.set_value, "the browser is told, or it shows what stood there before"
    pages.at.button(key=f"show-batch-{first}").click()
    assert pages.run().at.text_input(key="sale-to").value == "garden shop"


def _of_another(key: str | None, code: str) -> bool:
    return str(key).startswith("show-batch-") and not str(key).endswith(code)

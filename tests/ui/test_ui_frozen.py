"""A batch in the Book after its card was changed, its oil deleted or its sheet set right."""

from __future__ import annotations

import shutil
from dataclasses import replace

import pytest

from blendlab import store
from blendlab.ui.words import book as say
from tests.ui.kitchen_walk import page_of, started


def in_the_book(pages, code: str):
    pages.at.query_params.clear()
    pages.go("book").at.session_state[f"fold-label-{code}"] = True
    return pages.run()


def ingredients(pages) -> str:
    (said,) = (text for html in pages.at.get("html") if "bl-label" in (text := str(html.value)) and
               "Ingredients" in text)  # fmt: skip
    return said


def limited(pages, folder):
    """The first oil of the design, with a limit of 0.01 % for the product from now on."""
    old, seen = store.open_item(folder, "oil", pages.design["scent"]["oils"][0]["oil"]["id"])
    new = replace(old, sheet=replace(old.sheet, limits={**old.sheet.limits, "9": 0.01}))
    store.save_item(folder, new, seen)
    return new


@pytest.fixture
def batch(pages, folder) -> tuple[str, str]:
    """Code of a batch of the design on the bench, and its label as the Book shows it."""
    code = started(pages)
    store.open_book(folder).decide(code, store.FOR_SALE, page_of(folder, code).line.made_on)
    return code, ingredients(in_the_book(pages, code))


def test_the_label_of_a_batch_is_of_what_it_was_made_of(pages, folder, batch):
    """The design is changed, its card binned, its oils and its jar deleted: not a letter is another."""
    code, before = batch
    assert code in before
    pages.go("look").type("n.tones.0.doses.0.pct", "0.7")
    for entry in store.listing(folder):
        store.delete(folder, entry.card_id)
    shutil.rmtree(folder.shelf / "oil")
    shutil.rmtree(folder.shelf / "jar")
    assert ingredients(in_the_book(pages, code)) == before


def test_a_sheet_that_was_set_right_is_taken_over_with_a_reason(pages, folder, batch):
    code, _ = batch
    limited(pages, folder)
    in_the_book(pages, code)
    assert "Changed on your shelf since this batch began" in pages.said
    assert "now 0.01 % of the product" in pages.said
    pages.press(say.TAKE_OVER)
    assert "Say why" in pages.said
    pages.type("since-why", "the limit was typed wrong").press(say.TAKE_OVER)
    assert page_of(folder, code).decision == store.CALLED_BACK
    assert "Changed on your shelf since" not in pages.said
    assert "What you wrote stands, and with it" in pages.said


def test_the_record_names_how_many_things_were_frozen(pages, folder, batch):
    code, _ = batch
    count = len(page_of(folder, code).of("taken")[0].data["revisions"])
    assert f"{count} things of your shelf, as they were then" in pages.said


def test_a_changed_limit_is_listed_before_the_batch_is_opened_again(pages, folder, batch):
    assert batch
    oil = limited(pages, folder)
    pages.press(say.AGAIN)
    assert f"{oil.name}: its sheet, limit in category 9" in pages.said
    pages.press(say.OPEN_SO)
    assert pages.design["scent"]["oils"][0]["oil"]["rev"] == oil.rev

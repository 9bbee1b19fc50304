"""Beginning a batch: asked first, written once; before that everything printed is a draft without a code."""

from __future__ import annotations

import sqlite3
from datetime import date
from io import BytesIO

import pypdf
import pytest

from blendlab import printing, recipe, store
from blendlab.production import batches, line_words
from blendlab.store.book_schema import TABLES
from tests.ui.kitchen_walk import a_lot, page_of, started


def rows(folder) -> list[int]:
    link = sqlite3.connect(store.open_book(folder).path)
    counts = [link.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in TABLES]
    link.close()
    return counts


def test_opening_the_kitchen_view_and_leaving_writes_nothing(pages, folder):
    before = rows(folder)
    pages.go("batch").press("Kitchen view")
    assert "So far nothing is written; leaving writes nothing." in pages.said
    pages.run()
    pages.press("Leave kitchen view")
    assert rows(folder) == before
    pages.go("batch").press("Kitchen view").press("Begin the batch")
    assert rows(folder) != before
    (line,) = store.batches(store.open_book(folder))
    assert line.code in pages.said
    assert page_of(folder, line.code).design["name"] == pages.design["name"]


def test_beginning_names_the_lot_of_the_base_and_what_it_is_short_of(pages, folder):
    a_lot(folder, "base:soap-white", 1000, "B-2605")
    pages.go("batch").press("Kitchen view")
    assert "Base lot</th><td>B-2605" in pages.said
    assert "g of Whipped soap base short" in pages.said


def test_cooking_a_base_asks_first_too(pages, folder):
    pages.at.query_params.update({"view": "kitchen", "begin": "soap-white", "grams": "much"})
    pages.run()
    assert "is not a number" in pages.said
    pages.at.query_params.update({"view": "kitchen", "begin": "nobody", "grams": "1500"})
    pages.run()
    assert "Begin the batch" not in pages.buttons
    assert store.batches(store.open_book(folder)) == ()


def words(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf)).pages)


def test_what_is_printed_before_is_a_draft_and_after_carries_the_code(pages, folder):
    code = started(pages)
    plan = page_of(folder, code).plan

    for given, wanted, other in (("", "draft, no code", code), (code, code, "draft, no code")):
        sheet = words(printing.sheet_pdf(plan, given, date(2026, 11, 26), "base"))
        cups = words(printing.cups_pdf(line_words.cups(plan), given, plan.title))
        for text in (sheet, cups):
            assert wanted in text
            assert other not in text


def test_the_label_on_batch_is_of_this_very_design_or_a_draft(pages, folder):
    assert "draft, no code" in pages.go("batch").said
    code = started(pages)
    pages.press("Leave kitchen view")
    assert code in pages.go("batch").said
    assert "draft, no code" not in pages.said
    pages.go("look").type("n.tones.0.doses.0.pct", "0.7")
    assert "draft, no code" in pages.go("batch").said  # another design: its label is not that batch's


@pytest.mark.parametrize(
    ("path", "value", "same"),
    [
        (("batch", "jars"), 7, True),
        (("markets",), ["US"], True),
        (("weeks",), 8, True),
        (("name",), "Another", False),
        (("batch", "preservative_pct"), 0.9, False),
    ],
)
def test_how_much_is_made_changes_nothing_in_the_jar(pages, folder, path, value, same):
    code = started(pages)
    plain = page_of(folder, code).design
    inner = plain
    for key in path[:-1]:
        inner = inner[key]
    inner[path[-1]] = value
    found = batches.made_of(store.open_book(folder), recipe.from_dict(plain))
    assert (found is not None) == same


def test_a_new_design_says_nothing_of_a_seam_or_a_load_that_it_has_not(pages):
    pages.go("cards").press("New design")
    assert "A seam you cannot see" not in pages.said
    pages.press("Add a tone")
    assert "A seam you cannot see" in pages.said
    pages.go("scent")
    assert "A highest load is found once there is an oil." in pages.said
    assert "none for sale" not in pages.said
    pages.at.text_input(key="n.scent.load_pct").set_value("1")
    pages.run()
    pages.at.selectbox(key="add-oil").select("lavender")
    assert "in the batch of" not in pages.run().said  # its share is 0 %

"""Buttons of Batch, kitchen, Book and Shelf that fail unforeseen, or whose thing left the shelf meanwhile."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from blendlab import store
from blendlab.forms import jars as jar_forms
from blendlab.forms import on_shelf
from blendlab.forms import swatches as swatch_forms
from blendlab.jar import Contact
from blendlab.production import batches, kitchen_log, release
from blendlab.store import error_log
from blendlab.ui import words
from blendlab.ui.words import batch, book, jars, kitchen, oils, shelf, swatches
from tests.ui.kitchen_walk import page_of, started, through
from tests.ui.test_ui_broken import Unwell


def torn(*_, **__):
    raise RuntimeError("a torn page")


def log(folder) -> str:
    return (folder.root / error_log.NAME).read_text(encoding="utf-8")


def test_a_batch_that_cannot_be_started_is_answered_on_the_page(pages, folder, monkeypatch):
    monkeypatch.setattr(batches, "start", torn)
    pages.go("batch").press(batch.KITCHEN).press(kitchen.BEGIN)
    assert words.NOT_DONE in pages.said
    assert kitchen.BEGIN_WRITES in pages.said
    assert store.batches(store.open_book(folder)) == ()
    assert "a torn page" in log(folder)


def test_a_weighing_that_trips_is_answered_in_the_kitchen_and_gone_after_the_next(pages, folder, monkeypatch):
    code = started(pages)
    first = next(step.id for step in page_of(folder, code).plan.steps if step.kind == "weigh")
    through(pages, folder, code, first)
    with monkeypatch.context() as tripping:
        tripping.setattr(kitchen_log, "weigh", torn)
        pages.press(kitchen.WEIGHED)
    assert words.NOT_DONE in pages.said
    assert page_of(folder, code).weighings == ()
    assert "a torn page" in log(folder)
    pages.press(kitchen.WEIGHED)
    assert words.NOT_DONE not in pages.said
    assert len(page_of(folder, code).weighings) == 1


def test_what_was_said_before_does_not_follow_into_the_kitchen(pages):
    pages.press("Save card")
    assert "Saved " in pages.said
    started(pages)
    assert "Saved " not in pages.said


def test_a_decision_that_trips_is_answered_and_nothing_is_decided(pages, folder, monkeypatch):
    code = started(pages)
    through(pages, folder, code, "none").press(kitchen.TO_BOOK)
    monkeypatch.setattr(release, "keep_as_test_jars", torn)
    pages.press(book.KEEP_AS_TEST)
    assert words.NOT_DONE in pages.said
    assert page_of(folder, code).of("release") == ()


def test_a_thing_that_cannot_be_taken_off_stays_and_says_so(pages, folder, monkeypatch):
    monkeypatch.setattr(on_shelf, "take_off", torn)
    pages.go("shelf").press(shelf.TAKE_OFF)
    assert words.NOT_DONE in pages.said
    assert shelf.TAKEN_OFF.partition("}")[2] not in pages.said


def test_a_raw_material_that_left_meanwhile_is_not_stirred_in(pages, folder):
    pages.go("batch")
    name = next(store.read_shelf(folder).of("ingredient")).id
    pages.at.selectbox(key="p.add-addition").set_value(name)
    store.delete_item(folder, "ingredient", name)
    pages.run()
    assert words.GONE.format(item=name) in pages.said
    assert pages.design["batch"]["additions"] == []


def test_a_scale_that_left_meanwhile_is_not_chosen(pages, folder):
    pages.go("batch")
    kept, *others = [scale.id for scale in store.read_shelf(folder).of("scale")]
    assert others
    pages.at.get_by_key("batch-scales").set_value([kept])
    store.delete_item(folder, "scale", kept)
    pages.run()
    assert words.GONE.format(item=kept) in pages.said
    assert pages.design["batch"]["scales"] == []


@pytest.mark.parametrize("button", [oils.NEW_LOT, oils.PUT_DILUTION])
def test_an_oil_that_left_meanwhile_gets_no_new_sheet_and_no_dilution(pages, folder, button):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("oil")
    pages.run()
    before = {oil.id for oil in store.read_shelf(folder).of("oil")}
    shown = next(oil.id for oil in store.read_shelf(folder).of("oil"))
    pages.at.text_input(key="thin-pct").set_value("10")
    store.delete_item(folder, "oil", shown)
    pages.press(button)
    assert words.GONE.format(item=shown) in pages.said
    assert {oil.id for oil in store.read_shelf(folder).of("oil")} == before - {shown}


def test_a_jar_that_left_meanwhile_takes_no_contact(pages, folder, monkeypatch):
    found = Contact(wall_contact=0.4, raw=0.4, misfit_pct=2.0, reach_pct=30.0)
    monkeypatch.setattr(jar_forms, "contact_on_photo", lambda *_: found)
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("jar")
    pages.run()
    glass = next(store.read_shelf(folder).of("jar"))
    picture = io.BytesIO()
    Image.new("RGB", (200, 200), "white").save(picture, "PNG")
    upload = pages.at.file_uploader(key=f"contact-{glass.id}")
    upload.set_value(("jar.png", picture.getvalue(), "image/png"))
    pages.run()
    store.delete_item(folder, "jar", glass.id)
    pages.press(jars.TAKE.format(pct=40))
    assert words.GONE.format(item=glass.id) in pages.said
    assert store.read_shelf(folder).today("jar", glass.id) is None


def test_swatches_that_cannot_be_drawn_leave_the_rest_of_the_shelf(folder, monkeypatch):
    monkeypatch.setattr(swatch_forms, "weights", torn)
    pages = Unwell().go("shelf")
    assert words.BROKEN.format(page=swatches.HEADING) in pages.broken[0]
    assert "a torn page" in log(folder)
    assert shelf.TAKE_OFF in pages.buttons

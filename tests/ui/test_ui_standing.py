"""A released batch in the Book: the cautions that stand, and what a correction adds to them."""

from __future__ import annotations

from blendlab import store
from blendlab.errors import Finding
from blendlab.production import durability, release
from blendlab.ui.words import book as say
from tests.ui.kitchen_walk import page_of, started

OLD, NEW = "The scent may brown.", "Blue fades at this pH."


def told(book, page, shelf, on) -> tuple[Finding, ...]:
    acid = page.of("ph")
    found = [Finding("caution", "brown", "look.weeks", OLD)]
    found += [Finding("caution", "fades", "look.tones", NEW)] if acid and acid[-1].data["pH"] < 6 else []
    return tuple(found)


def test_a_released_batch_shows_its_cautions_and_a_correction_names_a_new_one(pages, folder, monkeypatch):
    monkeypatch.setattr(release, "sale_points", told)
    monkeypatch.setattr(release, "open_points", lambda page, plan=None: ())
    monkeypatch.setattr(durability, "stops", lambda book, page, on: ())
    code = started(pages)
    book = store.open_book(folder)
    book.write("ph", "product", {"pH": 6.5}, code)
    book.decide(code, store.FOR_SALE, page_of(folder, code).line.made_on, [OLD])
    pages.at.query_params.clear()
    pages.go("book")
    assert OLD in pages.said
    assert pages.said.count(say.READ_ALREADY) == 1
    assert not [box for box in pages.at.checkbox if "I have read the" in box.label]
    number = page_of(folder, code).of("ph")[-1].number
    pages.at.selectbox(key="fixes-line").set_value(f"e{number}")
    pages.run()
    pages.at.text_input(key="fix-figure").set_value("5.4")
    pages.at.text_input(key="fix-why").set_value("misread")
    pages.press(say.ADD_CORRECTION)
    assert page_of(folder, code).decision == store.FOR_SALE
    assert f"{code} stays released; new caution: {NEW}" in pages.said
    assert pages.said.count(say.READ_ALREADY) == 1


def test_what_is_measured_after_the_release_names_a_new_caution(pages, folder, monkeypatch):
    monkeypatch.setattr(release, "sale_points", told)
    monkeypatch.setattr(release, "open_points", lambda page, plan=None: ())
    monkeypatch.setattr(durability, "stops", lambda book, page, on: ())
    code = started(pages)
    store.open_book(folder).decide(code, store.FOR_SALE, page_of(folder, code).line.made_on, [OLD])
    pages.at.query_params.clear()
    pages.go("book").type("later-ph", "5.4").at.button(key="put-later").click()
    pages.run()
    assert page_of(folder, code).of("ph")[-1].data["pH"] == 5.4
    assert f"{code} stays released; new caution: {NEW}" in pages.said

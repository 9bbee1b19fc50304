"""Choices whose words read alike: each of them can be chosen."""

from __future__ import annotations

import pytest
from streamlit.testing.v1 import AppTest

from blendlab import store
from tests.ui.kitchen_walk import a_lot


@pytest.mark.parametrize("position", [0, 1])
def test_the_tone_of_the_top_is_the_one_chosen_of_two_that_are_called_alike(pages, position):
    pages.press("Add a tone").press("Add a tone")
    chosen = pages.design["tones"][position]["id"]
    for tone in pages.design["tones"][:2]:
        tone["name"] = "White"  # she may call two alike; the app itself does not
    pages.run()
    box = pages.at.selectbox(key="p.top.tone")
    box.select_index(1 + position)
    pages.run()
    assert pages.design["top"]["tone"] == chosen


@pytest.mark.parametrize("at", [0, 1])
def test_a_recall_is_of_the_thing_chosen_of_two_that_are_called_alike(pages, folder, at):
    items = ["ingredient:rose", "oil:rose"]
    for item in items:
        a_lot(folder, item, 100, f"B-{item[0]}")
    pages.go("book").at.get_by_key("book-part").set_value("care")
    pages.run()
    chosen = pages.at.selectbox(key="recall-item").select_index(at)
    assert len(set(chosen.options)) == len(items)
    pages.run()
    assert pages.at.session_state["recall-item"] == items[at]


def test_two_cards_called_alike_are_told_apart_where_they_are_compared(pages, folder):
    entry = store.listing(folder)[0]
    copy = store.duplicate(folder, entry.card_id)
    store.rename(folder, copy.card.id, entry.name, copy.digest)
    pages.go("cards").at.session_state["fold-compare"] = True
    options = pages.run().at.multiselect(key="compare-ids").options
    assert entry.name in options
    assert len(set(options)) == len(options)


def _choosing():
    import streamlit as st

    from blendlab.ui import parts

    parts.one_of("Line", st.session_state["lines"], "line")


def test_what_is_chosen_no_longer_gives_way_in_the_browser_too():
    """The browser keeps a choice by its words, and a new line may read like the one that went."""
    at = AppTest.from_function(_choosing)
    at.session_state["lines"] = {"a": "Lavender, 6 g", "b": "Petitgrain, 3 g"}
    at.run().selectbox(key="line").select_index(0).run()
    at.session_state["lines"] = {"b": "Petitgrain, 3 g", "c": "Lavender, 6 g"}
    (box,) = at.run().selectbox
    assert at.session_state["line"] == "b"
    assert (box.proto.set_value, box.proto.raw_value) == (True, "Petitgrain, 3 g")


def test_a_choice_of_none_shows_its_words():
    at = AppTest.from_function(_choosing)
    at.session_state["lines"] = {None: "as before", 3: "W-08"}
    at.session_state["line"] = None
    (box,) = at.run().selectbox
    assert box.proto.placeholder == "as before"

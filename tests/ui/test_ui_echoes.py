"""An old value that comes back with the next act is no edit; it is one when the new value was seen."""

from __future__ import annotations

import pytest

from blendlab.ui import echoes

DOSE, SLIDER, SHARE = "n.tones.0.doses.0.pct", "s.tones.0.doses.0.pct", "n.tones.0.share_pct"


def dose(pages) -> float:
    return pages.design["tones"][0]["doses"][0]["pct"]


@pytest.fixture
def typed(pages):
    """The pages after a dose was typed, with what the browser showed before: slider and number of the run."""
    pages.go("look")
    before = pages.at.slider(key=SLIDER).value
    drawn = pages.at.text_input(key=echoes.DRAWN).value
    pages.type(DOSE, "0,31")
    assert dose(pages) == 0.31
    return pages, before, drawn


def test_an_old_slider_that_comes_with_another_field_sets_nothing_back(typed):
    pages, before, drawn = typed
    pages.at.text_input(key=echoes.DRAWN).set_value(drawn)
    pages.at.slider(key=SLIDER).set_value(before)
    pages.at.text_input(key=DOSE).set_value("0,31")
    pages.type(SHARE, "52")
    assert dose(pages) == 0.31
    assert pages.design["tones"][0]["share_pct"] == 52
    assert pages.at.slider(key=SLIDER).value == 0.31


def test_an_echo_of_two_runs_ago_is_known_too(typed):
    pages, before, drawn = typed
    for figure in (0.33, 0.35):
        pages.at.text_input(key=echoes.DRAWN).set_value(drawn)
        pages.at.slider(key=SLIDER).set_value(before)
        pages.type(DOSE, f"{figure}")
        assert dose(pages) == figure


def test_a_slider_moved_back_after_the_page_was_drawn_is_an_edit(typed):
    pages, before, _ = typed
    pages.at.slider(key=SLIDER).set_value(before)
    pages.run()
    assert dose(pages) == before


def test_another_value_is_an_edit_whatever_was_drawn(typed):
    pages, before, drawn = typed
    pages.at.text_input(key=echoes.DRAWN).set_value(drawn)
    pages.at.slider(key=SLIDER).set_value(before - 0.1)
    pages.run()
    assert dose(pages) == pytest.approx(before - 0.1)


def test_what_is_drawn_is_forgotten(typed):
    pages, _, _ = typed
    assert SLIDER in pages.at.session_state[echoes.PUT]
    pages.run()
    pages.run()
    assert SLIDER not in pages.at.session_state[echoes.PUT]

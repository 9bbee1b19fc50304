"""She is faster than the server: nothing typed or pressed is lost, nothing old comes back as an edit."""

from __future__ import annotations

import os
import signal

import pytest

from blendlab import store
from blendlab.ui.kitchen_steps import DOUBLE_TAP
from tests.browser.walk import Kitchen

pytestmark = pytest.mark.browser

SHARE, DOSE = "n-tones-0-share_pct", "n-tones-0-doses-0-pct"
TRIES = 8
"""Without the guard about every third try lost a figure."""


def drafted(app) -> tuple[float, float]:
    """Share and first dose of the first tone in the draft on the disk."""
    drafts, _ = store.load_drafts(app.folder)
    tone = drafts[0].plain["design"]["tones"][0] if drafts else None
    return (tone["share_pct"], tone["doses"][0]["pct"]) if tone else (0, 0)


def commit(walk, key: str, text: str) -> None:
    """Type and press Enter without waiting for the answer."""
    walk.field(key).fill(text)
    walk.field(key).press("Enter")


@pytest.mark.skipif(os.name == "nt", reason="the server is paused by a signal")
def test_two_figures_typed_while_the_server_is_busy_are_both_kept(visit, app):
    walk = visit().open()
    for number in range(TRIES):
        asked = walk.asked
        os.kill(app.process.pid, signal.SIGSTOP)
        commit(walk, DOSE, f"0,{20 + number}")
        commit(walk, SHARE, f"{40 + number}")
        walk.until(lambda asked=asked: walk.asked == asked + 2)
        os.kill(app.process.pid, signal.SIGCONT)
        walk.settled()
        walk.until(lambda number=number: walk.field(SHARE).input_value() == f"{40 + number} %")
        assert drafted(app) == (40 + number, (20 + number) / 100)


def test_an_old_slider_does_not_set_a_typed_dose_back(visit, app):
    walk = visit().open()
    with walk.answers_held():
        commit(walk, DOSE, "0,31")
        walk.until(lambda: drafted(app)[1] == 0.31)
        commit(walk, SHARE, "52,5")
        walk.until(lambda: drafted(app)[0] == 52.5)
    assert drafted(app) == (52.5, 0.31)
    walk.until(lambda: walk.field(DOSE).input_value() == "0.31 %")


def test_the_slider_may_go_back_to_where_it_was(visit, app):
    walk = visit().open()
    before = float(walk.field(DOSE).input_value().removesuffix(" %"))
    walk.type(DOSE, f"{before + 0.002:.3f}")  # one step of the slider
    slider = walk.page.locator(".st-key-s-tones-0-doses-0-pct input[type=range]").first
    slider.focus()
    with walk.run():
        slider.press("ArrowLeft")
    assert drafted(app)[1] == before


def test_save_right_after_a_figure_saves_the_figure(visit, app):
    walk = visit().open()
    with walk.answers_held():
        commit(walk, DOSE, "0,31")
        walk.until(lambda: drafted(app)[1] == 0.31)
        walk.button("Save card").click()
        card_id = walk.until(lambda: store.load_drafts(app.folder)[0][0].plain["card"])
    walk.page.wait_for_selector("text=/Saved [0-9]{2}:[0-9]{2} in/")
    assert store.open_card(app.folder, card_id).card.design.tones[0].doses[0].pct == 0.31


def test_a_second_tap_on_a_line_that_is_written_writes_no_other(visit):
    walk = visit(1180, 820, kind=Kitchen).open("batch", ".bl-weigh")
    walk.press("Kitchen view")
    walk.press("Begin the batch")
    walk.press("Tick, next")
    with walk.answers_held():
        asked = walk.asked
        walk.button("Weighed, next").click()
        walk.until(lambda: len(walk.kept.weighed) == 1)
        walk.page.wait_for_timeout(1000 * DOUBLE_TAP)  # from here on the clock does not guard the next line
        walk.button("Weighed, next").click()
        walk.until(lambda: walk.asked == asked + 2)
    assert len(walk.kept.weighed) == 1

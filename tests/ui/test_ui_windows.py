"""A window over the page that trips says so in itself; the page below stands."""

from __future__ import annotations

import pytest

from blendlab.ui import lamps, mixes, trials, words
from blendlab.ui.words import look
from tests.ui.test_ui_broken import Unwell, log, raising


@pytest.mark.parametrize(
    ("module", "label"),
    [(lamps, look.LAMPS_AND_EYES), (mixes, look.FIND_MIX), (trials, look.TEST_JARS)],
    ids=lambda given: getattr(given, "__name__", given),
)
def test_a_window_that_trips_is_answered_and_the_page_below_stands(folder, monkeypatch, module, label):
    pages = Unwell()
    below = pages.said
    monkeypatch.setattr(module, "panel", raising)
    pages.press(label)
    (said,) = pages.broken
    assert said.count(words.BROKEN.format(page=label)) == 1
    assert f"| {label} |" in log(folder)
    assert "bl-swatch" in below
    assert pages.said.count("bl-swatch") == below.count("bl-swatch")
    assert pages.run().broken == []

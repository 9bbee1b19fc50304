"""When something was saved, as the rail says it."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from blendlab.ui import state

DAY = date(2026, 3, 7)


@pytest.mark.parametrize(
    ("moment", "said"),
    [
        (datetime(2026, 3, 7, 14, 32), "14:32"),
        (datetime(2026, 3, 6, 14, 32), "2026-03-06 14:32"),
        (datetime(2025, 3, 7, 14, 32), "2025-03-07 14:32"),
    ],
)
def test_a_moment_of_another_day_says_its_day(monkeypatch, moment, said):
    monkeypatch.setattr(state, "today", lambda: DAY)
    assert state.clock(moment.astimezone().isoformat()) == said


def test_what_is_no_moment_stands_as_it_is():
    assert state.clock("last week") == "last week"

"""What is said of the limits that the table of Scent has no room for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.assess import assess
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.ui import parts, scent_limits


@pytest.mark.parametrize(
    ("free", "said", "never"),
    [
        ((0.5, 0.4), "2 more, all over 40 % free.", "without"),
        ((0.5, None), "without a figure", "all over"),
        ((-0.1, 0.4), "over their limit", "all over"),
        ((None, None), "without a figure", "free"),
    ],
)
def test_rows_that_are_left_out_are_not_called_free(monkeypatch, free, said, never):
    shelf = demo_shelf()
    assessed = assess(demo_designs(shelf)[0], shelf, date(2026, 3, 1))
    market, check = next(iter(assessed.scents.items()))
    row = check.rows[0]
    shown = [row] * scent_limits.MOST_ROWS
    rest = [replace(row, free_share=share) for share in free]
    told: list[str] = []
    monkeypatch.setattr(parts, "small", told.append)
    scent_limits.headroom(assessed, market, replace(check, rows=(*shown, *rest)), None)
    assert said in told[0]
    assert never not in told[0]

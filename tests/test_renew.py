"""A design keeps the revision it took; today's shelf is an explicit step that shows its difference."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from blendlab.assess import assess
from blendlab.renew import changed, renewed
from blendlab.shelf import Shelf
from blendlab.show import demo
from blendlab.store import embedded

DAY = date(2026, 11, 25)


@pytest.fixture
def stronger():
    """The demo with its iron blue three times as strong on today's shelf."""
    shelf = demo.demo_shelf()
    lagoon = demo.demo_designs(shelf)[0]
    items = tuple(
        replace(one, k=tuple(3 * each for each in one.k)) if one.id == "ferric_ferrocyanide" else one
        for one in shelf.items
    )
    return lagoon, Shelf(items).carrying(embedded(lagoon, shelf)), shelf


def test_an_open_design_does_not_change_with_the_shelf(stronger):
    lagoon, today, before = stronger
    old, new = assess(lagoon, before, DAY), assess(lagoon, today, DAY)
    assert old.tones[0].seen.hex == new.tones[0].seen.hex
    assert list(changed(lagoon, today)) == ["tones.0.doses.1.pigment"]


def test_the_finding_says_by_how_much_the_tones_would_move(stronger, colour):
    """Second route: colour-science."""
    lagoon, today, before = stronger
    (found,) = (one for one in assess(lagoon, today, DAY).findings if one.id == "newer")
    said = float(found.text.rsplit("Delta E ", 1)[1].rstrip("."))
    one = assess(lagoon, before, DAY).tones[0].seen.lab
    other = assess(renewed(lagoon, today), today, DAY).tones[0].seen.lab
    assert said == pytest.approx(
        float(colour.difference.delta_E_CIE2000(np.array(one), np.array(other))), abs=0.06
    )
    assert said > 2


def test_taking_todays_shelf_silences_the_finding(stronger):
    lagoon, today, _ = stronger
    made = renewed(lagoon, today)
    assert not changed(made, today)
    assert not [one for one in assess(made, today, DAY).findings if one.id == "newer"]

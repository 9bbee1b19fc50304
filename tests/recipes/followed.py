"""Run in the copy: what the recipes added is there, and the app uses it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import recipe
from blendlab.assess import assess
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.facts.library import oils
from blendlab.facts.read import figure
from blendlab.shelf import Shelf, resolve
from blendlab.tint import predict, see

DAY = date(2026, 11, 26)
SHELF = demo_shelf()
LAGOON = demo_designs(SHELF)[0]


def tinted(pigment_id: str) -> recipe.Design:
    dose = recipe.Dose(pigment=SHELF.today("pigment", pigment_id).ref, pct=0.3)
    return replace(LAGOON, tones=(replace(LAGOON.tones[0], doses=(dose,)), *LAGOON.tones[1:]))


def test_the_pigment_tints_and_is_known_to_the_lists():
    design = tinted("slate_blue")
    seen = see(predict(resolve(design, SHELF))[design.tones[0].id].R)
    assert seen.lab[2] < -2
    told = [finding.id for finding in assess(design, SHELF, DAY).findings]
    assert not [name for name in told if name.startswith("tint.law") and "slate_blue" in name]


def test_the_oil_is_in_the_library_with_what_it_holds():
    (clary,) = (oil for oil in oils() if oil.name == "Meadow sage")
    assert clary.constituents["115-95-7"].high == 75
    assert clary.sheet is None


@pytest.mark.parametrize("pct", [0.4, 0.6])
def test_the_limit_binds(pct):
    (sage,) = (oil for oil in oils() if oil.name == "Meadow sage")
    shelf = Shelf((*SHELF.items, sage))
    scent = recipe.Scent(load_pct=pct, oils=(recipe.OilShare(oil=sage.ref, share_pct=100),))
    told = {finding.text for finding in assess(replace(LAGOON, scent=scent), shelf, DAY).findings}
    over = [text for text in told if "Meadow sage ketone" in text]
    assert bool(over) == (pct > 0.5)


def test_the_raw_material_can_be_stirred_in():
    oat = SHELF.today("ingredient", "oat-flour")
    added = recipe.Batch(jars=6, additions=(recipe.Addition(ingredient=oat.ref, pct=2),))
    judged = assess(replace(LAGOON, batch=added), SHELF, DAY)
    (line,) = (line for line in judged.plan.lines if line.name == "Oat flour")
    assert line.grams == pytest.approx(0.02 * judged.plan.batch_g, abs=line.step_g)


def test_the_preservative_is_known_by_its_system():
    keeper = SHELF.today("ingredient", "preservative-z")
    asked = recipe.Batch(jars=6, preservative=keeper.ref)
    told = {finding.id for finding in assess(replace(LAGOON, batch=asked), SHELF, DAY).findings}
    assert "preservative-other" in told
    assert "system-unknown" not in told


def test_the_figure_is_read():
    assert figure("batch", "stirring_minutes").range == (1, 3, 5)

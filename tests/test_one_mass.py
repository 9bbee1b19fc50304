"""One batch mass: what Scent says of the batch is what the batch sheet weighs, however it was typed.

The figures are compared with those of the sheet, which is checked against hand-worked batches in tests/batch.
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date

import pytest

from blendlab.assess import assess
from blendlab.facts import demo
from blendlab.recipe import Addition, Batch, Design, OilShare, Scent
from blendlab.show import scents

DAY = date(2026, 11, 26)
QUICK = {*range(25), 49, 93, 186}
NUMBERS = [pytest.param(number, marks=() if number in QUICK else pytest.mark.slow) for number in range(200)]
"""Designs tried at every run (the last were once two steps of the scale off), and what takes minutes more."""
SHELF = demo.demo_shelf()
OILS = [oil.ref for oil in SHELF.of("oil")]
SUGAR = next(ingredient.ref for ingredient in SHELF.of("ingredient") if ingredient.function == "sugar")


def random_design(number: int) -> Design:
    """A design of the demo line with another batch and another scent."""
    chance = random.Random(number)
    made = chance.choice(demo.demo_designs(SHELF))
    oils = chance.sample(OILS, chance.randint(1, 4))
    cuts = sorted(chance.sample(range(1, 1000), len(oils) - 1))
    shares = [high - low for low, high in zip([0, *cuts], [*cuts, 1000], strict=True)]
    return replace(
        made,
        scent=Scent(
            load_pct=round(chance.uniform(0.1, 2.5), 2),
            oils=tuple(
                OilShare(oil=oil, share_pct=share / 10) for oil, share in zip(oils, shares, strict=True)
            ),
        ),
        batch=Batch(
            jars=chance.randint(1, 60),
            grams=chance.choice([None, None, round(chance.uniform(150, 6000), 1)]),
            spare=chance.randint(0, 3),
            loss_pct=chance.choice([None, 2.0, 7.5]),
            additions=chance.choice([(), (Addition(ingredient=SUGAR, pct=4.0),)]),
        ),
    )


@pytest.mark.parametrize("number", NUMBERS)
def test_scent_speaks_of_the_batch_that_is_weighed(number):
    assessed = assess(random_design(number), SHELF, DAY)
    said, sheet = scents.load(assessed), assessed.plan
    oils = [line for line in sheet.lines if line.what == "oil"]
    assert (
        said.batch_g
        == sheet.batch_g
        == pytest.approx(sum(line.grams for line in sheet.lines if not line.beside))
    )
    assert said.grams == pytest.approx(sum(line.grams for line in oils), abs=1e-9)
    assert said.grams == pytest.approx(
        sheet.batch_g * said.pct / 100, abs=len(oils) * said.step_g + 0.02 * said.grams
    )


@pytest.mark.parametrize("number", NUMBERS)
@pytest.mark.parametrize("way", ["pct", "parts", "grams"])
def test_a_load_typed_in_any_way_is_what_is_weighed(number, way):
    design = random_design(number)
    before = assess(design, SHELF, DAY)
    wanted_g = round(before.plan.batch_g * 0.011, 2)
    typed = {"pct": 1.1, "parts": 100 * 1.1 / 98.9, "grams": wanted_g}[way]
    pct = scents.pct_from(way, typed, before)
    after = assess(replace(design, scent=replace(design.scent, load_pct=pct)), SHELF, DAY)
    weighed = sum(line.grams for line in after.plan.lines if line.what == "oil")
    assert scents.load(after).grams == pytest.approx(weighed, abs=1e-9)
    step = scents.load(after).step_g
    if way == "grams":
        assert weighed == pytest.approx(wanted_g, abs=step + 1e-9)
    else:
        lines = sum(line.what == "oil" for line in after.plan.lines)
        assert weighed == pytest.approx(after.plan.batch_g * pct / 100, abs=lines * step + 0.02)

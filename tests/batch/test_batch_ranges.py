"""What a figure may be: at its ends it is reckoned with, a hair beyond it is refused."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from functools import partial

import pytest

from blendlab.batch import (
    cost,
    dusting,
    filling,
    formula,
    kitchen,
    preservative,
    record,
    stability,
    stock,
    weighing,
    weight,
    whip,
)  # fmt: skip
from blendlab.batch.record import batch_code
from blendlab.errors import OutOfRange

DAY, HAIR, LETTERS = date(2026, 3, 7), 0.001, len(record.LETTERS)
RANGES = {
    "loss of a batch": (lambda x: filling.batch_for_jars(1, 100.0, 0.0, 0.0, x), (0, 1 - HAIR), (-HAIR, 1)),
    "net of a jar": (lambda x: filling.jars_from_batch(1000, x, 0.0, 0.0, 0.0), (HAIR, 0.5), (0, -HAIR)),
    "weights of portions": (lambda x: filling.portions(10, [x, x], 0.1), (HAIR, 0.5), (0, -HAIR)),
    "weight of one portion": (lambda x: filling.portions(10, [1.0, x], 0.1), (0, 0.5), (-HAIR,)),
    "waste of a pack": (lambda x: cost.per_gram(1, 1, waste=x), (0, 1 - HAIR), (-HAIR, 1)),
    "filled jars": (lambda x: cost.per_jar(1, x), (1,), (0, -1)),
    "margin": (cost.markup_of_margin, (0, 1 - HAIR), (1, 1 + HAIR, 1.5)),
    "mark-up": (cost.margin_of_markup, (0, -1 + HAIR, -0.5), (-1, -1 - HAIR)),
    "planned mass": (lambda x: record.batch_yield(x, 0.1, 0.1), (HAIR, 0.5), (0, -HAIR)),
    "planned grams": (lambda x: record.deviation_pct(x, 0.1), (HAIR, 0.5), (0, -HAIR)),
    "months": (partial(record.best_before, DAY), (0, 1), (-1,)),
    "batches of a day": (partial(batch_code, DAY), (0, 1, LETTERS - 1), (-1, LETTERS)),
    "grams of a batch": (partial(formula.scale, [100.0]), (0, HAIR), (-HAIR,)),
    "grams of all lines": (lambda x: formula.percents([x]), (HAIR, 0.5), (0, -HAIR)),
    "finished mass": (partial(formula.after_dilution, 1.0, 1.0), (HAIR, 0.5), (0, -HAIR)),
    "mass on a scale": (lambda x: weighing.relative_error(x, 0.01), (HAIR, 0.5), (0, -HAIR)),
    "asked amount": (lambda x: weighing.too_much(x, 1.0), (HAIR, 0.5), (0, -HAIR)),
    "net weight": (weight.us_net_weight, (0, 0.5), (-HAIR,)),
    "nominal weight": (weight.tolerable_error, (5, 10_000), (5 - HAIR, 10_000 + HAIR)),
    "whipped cup": (partial(whip.overrun, 1.0), (HAIR, 0.5), (0, -HAIR)),
    "share of grains": (lambda x: whip.density_after_fold_in(0.6, x, 1.6), (0, 0.5, 1), (-HAIR, 1 + HAIR)),
    "times a ten degrees": (lambda x: stability.q10_weeks(1, 40, 20, x), (HAIR, 0.5, 2), (0, -HAIR)),
    "full vessel": (lambda x: kitchen.water_back(100, 50, x), (50, 50.5), (50 - HAIR,)),
    "days of use": (lambda x: stock.to_order({}, x, {}), (HAIR, 0.5), (0, -HAIR)),
    "percents of a batch": (lambda x: stock.largest_batch([1.0], [x]), (HAIR, 0.5), (0, -HAIR)),
    "molar mass of a salt": (lambda x: preservative.acid_equivalent(1.0, 100.0, x), (HAIR, 0.5), (0, -HAIR)),
    "strength of a top-up": (
        lambda x: preservative.top_up_open(100, 0.0, 0, 0.5, x), (0.5 + HAIR, 100), (0.5, 100 + HAIR),
    ),
    "what a base holds": (
        lambda x: preservative.top_up_fixed(100, x, 0, 0.5, 10.0), (0, 10 - HAIR), (10, 10 + HAIR),
    ),
    "percent of a colour": (
        lambda x: dusting.pigment_grams(100, x, "finished_portion"), (0, 100 - HAIR), (-HAIR, 100),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", RANGES)
def test_a_figure_is_reckoned_with_up_to_its_ends_and_refused_beyond(name):
    reckoned, inside, outside = RANGES[name]
    for value in inside:
        reckoned(value)
    for value in outside:
        with pytest.raises(OutOfRange):
            reckoned(value)


def test_a_price_of_nothing_but_fees_and_margin_is_none():
    """10 are earned by what a jar leaves over its own cost."""
    assert [cost.break_even_jars(10, price, 1) for price in (Decimal("1.001"), 2, 3)] == [10_000, 10, 5]
    for price in (1, Decimal("0.5")):
        with pytest.raises(cost.NoPrice):
            cost.break_even_jars(10, price, 1)
    assert cost.price_from_margin(1, Decimal("0.999")).net == 1000
    for margin in (1, Decimal("1.001")):
        with pytest.raises(cost.NoPrice):
            cost.price_from_margin(1, margin)

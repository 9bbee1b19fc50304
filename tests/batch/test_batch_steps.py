"""The working order: temperatures are numbers, its sentences say them in C or F; water that boiled off."""

from __future__ import annotations

import re
from datetime import date

import pytest

from blendlab import units
from blendlab.batch import cook, kitchen
from blendlab.batch.kitchen import Evidence, gate_opens, open_points
from blendlab.batch.plan import plan
from blendlab.batch.stability import due_dates
from blendlab.batch.steps import gate
from blendlab.errors import OutOfRange
from blendlab.facts import demo
from blendlab.shelf import resolve
from tests.batch import plans_to_try as tries

NOTHING = Evidence({}, (), (), (), None, None, 0)


def orders():
    shelf = demo.demo_shelf()
    yield plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    yield from (cook(base, shelf, 1500.0) for base in shelf.of("base") if base.lines)


@pytest.mark.parametrize("made", [*orders()], ids=lambda made: made.title)
def test_every_temperature_of_an_order_is_a_number_and_said_in_her_unit(made):
    warm = [(step.text, step.heats) for step in made.steps]
    warm += [(point.text, point.heats) for point in open_points(made, NOTHING)]
    assert sum(len(heats) for _, heats in warm) >= 4
    for text, heats in warm:
        assert [float(found) for found in re.findall(r"(\S+) °C", text)] == list(heats)
        assert not re.search(r"\d C\b", text)
        told = units.in_degrees(text, heats, "F")
        assert [float(found) for found in re.findall(r"(\S+) °F", told)] == pytest.approx(
            [heat * 9 / 5 + 32 for heat in heats], abs=0.01
        )
        assert "°C" not in told
        assert units.in_degrees(text, heats, "C") == text


def test_the_tests_of_a_batch_say_their_heat_in_her_unit():
    for due in due_dates(date(2026, 3, 7)):
        assert [float(found) for found in re.findall(r"(\S+) °C", due.what)] == list(due.heats)


@pytest.mark.parametrize("tenths", range(300, 901))
def test_a_gate_opens_at_the_very_temperature_it_names_in_either_unit(tenths):
    held = gate("hot", f"Below {units.degrees(tenths / 10)}.", tenths / 10)
    for unit in ("C", "F"):
        said = units.in_degrees(held.text, held.heats, unit).removeprefix("Below ").removesuffix(".")
        typed = units.read_number(said, unit)
        assert gate_opens(held, units.celsius(typed, unit))
        assert not gate_opens(held, units.celsius(typed + 0.1, unit))


def test_water_back_is_what_is_missing_in_the_vessel():
    assert kitchen.water_back(1000, 500, 1480) == 20
    assert kitchen.water_back(1000, 500, 1500) == 0
    with pytest.raises(OutOfRange):
        kitchen.water_back(1000, 500, 499)

"""The working order: temperatures are numbers, its sentences say them in C or F; water that boiled off."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from blendlab import units
from blendlab.batch import cook, kitchen
from blendlab.batch.kitchen import gate_opens
from blendlab.batch.line_wishes import Want
from blendlab.batch.plan import plan
from blendlab.batch.release_points import Evidence, open_points
from blendlab.batch.stability import due_dates
from blendlab.batch.steps import fragrance_gate, gate
from blendlab.errors import OutOfRange
from blendlab.facts import demo
from blendlab.recipe import Dust, Scent, Tone, Top
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


def test_the_whole_order_of_filling_jars():
    """Common practice: scent ready before the foam, preservative cool before the whip, largest tone last."""
    mica = tries.shelf().today("pigment", "mica_white")
    design = tries.design(top=Top(dust=Dust(pigment=mica.ref)))
    made = plan(resolve(design, tries.shelf()), tries.LOW_JAR)
    assert [step.id for step in made.steps] == [
        "clean", "weigh:oil:lavender", "weigh:oil:petitgrain", "stir-scent",
        "hot", "weigh:base", "preservative-gate", "weigh:preservative", "stir-preservative",
        "whip-gate", "whip", "density", "scent-gate",
        "take:cream", "mask:cream", "weigh:pigment:iron_oxide_yellow@cream", "fold:cream",
        "take:deep", "mask:deep", "weigh:pigment:ultramarine_blue@deep", "fold:deep",
        "fill", "dust-mask", "weigh:dust:mica_white", "retain", "yield",
    ]  # fmt: skip
    gates = {step.id: step.below_c for step in made.steps if step.kind == "gate"}
    assert gates == {"hot": 60, "preservative-gate": 45, "whip-gate": 30, "scent-gate": 45}
    assert {step.id for step in made.steps if step.holds} == set(gates) | {
        "clean", "density", "mask:cream", "mask:deep", "dust-mask", "retain",
    }  # fmt: skip
    assert [line.id for line in made.lines] == [step.line for step in made.steps if step.line]
    assert [portion.rest for portion in made.portions] == [True, False]


def test_a_white_jar_without_scent_is_not_coloured_nor_scented():
    white = (Tone(id="white", name="White", share_pct=100),)
    made = plan(resolve(tries.design(tones=white, scent=Scent()), tries.shelf()), tries.LOW_JAR)
    assert [step.id for step in made.steps] == [
        "clean", "hot", "weigh:base", "whip-gate", "whip", "density", "take:white", "fill", "retain", "yield",
    ]  # fmt: skip


def test_the_whole_order_of_cooking_a_base():
    """Common practice: water phase, fats, powder under a mask; what is weighed cool after the gate."""
    made = cook(tries.shelf().today("base", "cooked"), tries.shelf(), 1500)
    assert [step.id.replace("ingredient:", "") for step in made.steps] == [
        "clean", "pot", "weigh:purified-water", "weigh:glycerin", "weigh:betaine-solution", "weigh:chelator",
        "weigh:stearic-acid", "inci:isethionate-powder", "care:isethionate-powder",
        "weigh:isethionate-powder",
        "melt", "granules", "cover", "refill",
        "preservative-gate", "care:preservative-a", "weigh:preservative-a",
        "weigh:citric-acid-50", "ph", "rest",
    ]  # fmt: skip
    assert "Sodium Cocoyl Isethionate" in next(
        step.text for step in made.steps if step.id.startswith("inci:")
    )
    assert [line.cup for line in made.lines] == [
        *["Water phase"] * 4, "Fat phase", "Dry phase", "Preservative", "Cool phase",
    ]  # fmt: skip


def test_a_butter_is_not_whipped_like_soap():
    base = tries.shelf().today("base", "butter-ivory")
    made = plan(resolve(tries.design(product="body_butter", base=base.ref), tries.shelf()), tries.LOW_JAR)
    assert "the fats have" in next(step.text for step in made.steps if step.id == "whip-gate")
    assert "preservative-gate" not in [step.id for step in made.steps]


@pytest.mark.parametrize(
    ("flashes", "below"), [([], 45), ([56.0], 45), ([54.0], 44), ([90.0, 50.0], 40), ([None, 50.0], 40)]
)
def test_the_scent_goes_in_ten_degrees_below_the_lowest_flash_point(flashes, below):
    """Common practice: 45 °C at most, 10 K below the flash point."""
    oils = [
        replace(tries.shelf().today("oil", "lavender"), id=f"o{at}", flash_c=flash)
        for at, flash in enumerate(flashes)
    ]
    wants = [Want(f"oil:{oil.id}", oil, "oil", "Scent", pct=0.1) for oil in oils]
    assert fragrance_gate(wants) == below

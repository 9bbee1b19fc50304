"""A jar from its measures and its water."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from blendlab import store
from blendlab.forms import jars

MEASURES = {"name": "Low glass", "height": "40", "inner": "68", "outer": "72", "base": "3", "headspace": "2"}


def test_a_straight_jar_takes_the_volume_of_a_cylinder(shelf):
    made, answers, told = jars.made(shelf, MEASURES)
    assert answers == []
    volume = pi * 34**2 * 40 / 1000
    assert jars.brim_ml(made) == pytest.approx(volume, rel=1e-3)
    assert made.nominal_ml == pytest.approx(volume, abs=0.1)
    assert told == [f"It takes {volume:.0f} ml to the rim."]
    assert (made.id, made.basis, made.wall_contact) == ("low-glass", "your own measures", None)


def test_the_water_of_a_straight_jar_gives_its_width(shelf):
    """132.4 g of water 37 mm high: a cylinder of 4 V / (pi h) is 67.5 mm wide; a thin wall is 1.6 mm."""
    typed = {"name": "Weighed", "height": "37", "water": "132,4"}
    made, answers, told = jars.made(shelf, typed)
    assert answers == []
    assert made.inner_mm == pytest.approx((4 * 132.4e3 / (pi * 37)) ** 0.5)
    assert made.outer_mm == pytest.approx(made.inner_mm + 3.2)
    assert made.basis == "your own measures, water weighed"
    assert "scaled by 1.000 to the water" in told[1]
    assert len(told) == 2


def test_water_far_from_the_measures_asks_for_the_caliper(shelf):
    _, _, told = jars.made(shelf, {**MEASURES, "water": "120"})
    assert told[-1] == "That is more than 8 % apart: take the caliper once more, inside."
    _, _, told = jars.made(shelf, {**MEASURES, "water": "140"})
    assert len(told) == 2


def test_a_rounded_corner_says_what_it_takes(shelf):
    """Pappus: r^2 (1 - pi/4) goes round, its centre r (10 - 3 pi) / (12 - 3 pi) from the wall."""
    _, _, told = jars.made(shelf, {**MEASURES, "corner": "6"})
    radius, r = 34, 6
    lost = 2 * pi * (radius - r * (10 - 3 * pi) / (12 - 3 * pi)) * r**2 * (1 - pi / 4) / 1000
    assert told[1] == f"Its rounded bottom corner takes {lost:.1f} ml that a square one would hold."


@pytest.mark.parametrize(
    ("change", "field", "value"),
    [
        ({"shape": "taper", "bottom": "60"}, "bottom_inner_mm", 60),
        ({"shape": "shoulder", "shoulder": "8", "neck": "5"}, "shoulder_mm", 8),
        ({"shape": "shoulder", "shoulder": "8"}, "neck_mm", 0),
        ({"nominal": "4", "unit": "fl oz"}, "nominal_ml", 118.294),
        ({"nominal": "120"}, "nominal_ml", 120),
        ({"headspace": "0"}, "headspace_mm", 0),
        ({"headspace": ""}, "headspace_mm", 4),
        ({"lid_inner": "0"}, "lid_inner_mm", 0),
    ],
)
def test_what_its_shape_asks_for_and_what_is_usual(shelf, change, field, value):
    made, answers, _ = jars.made(shelf, {**MEASURES, **change})
    assert answers == []
    assert getattr(made, field) == pytest.approx(value, abs=1e-3)


@pytest.mark.parametrize(
    ("change", "answer"),
    [
        ({"name": ""}, "A name is missing."),
        ({"height": ""}, "Inside height is missing."),
        ({"inner": ""}, "Give the inside diameter, or weigh the water a straight jar takes."),
        ({"inner": "", "water": "130", "shape": "taper", "bottom": "60"}, "Give the inside diameter"),
        ({"outer": "60"}, "The outside, 60 mm, must be wider than the inside, 68.0 mm."),
        ({"shape": "taper"}, "Inside diameter at the bottom is missing."),
        ({"shape": "shoulder"}, "Radius of the shoulder is missing."),
        ({"nominal": "a lot"}, "Sold as: "),
        ({"nominal": "4", "unit": "g"}, "Sold as: "),
        ({"lid": "cork"}, "Jar: "),
    ],
)
def test_a_jar_that_is_not_whole_is_answered(shelf, change, answer):
    made, answers, told = jars.made(shelf, {**MEASURES, **change})
    assert (made, told) == (None, [])
    assert len(answers) == 1
    assert answers[0].startswith(answer)


def test_a_jar_measured_again_keeps_what_the_form_does_not_ask_for(shelf):
    old = replace(shelf.today("jar", "j120-70"), wall_contact=0.4, nominal_ml=120)
    made, _, _ = jars.made(shelf, MEASURES, old)
    assert (made.id, made.wall_contact, made.nominal_ml, made.height_mm) == ("j120-70", 0.4, 120, 40)
    made, _, _ = jars.made(shelf, {**MEASURES, "nominal": "100"}, old)
    assert made.nominal_ml == 100


def test_a_contact_is_kept_and_said_once(folder, shelf):
    glass = jars.with_contact(folder, shelf.today("jar", "j120-70"), 0.41234)
    glass = jars.with_contact(folder, glass, 0.5)
    saved = store.read_shelf(folder).today("jar", "j120-70")
    assert (saved.wall_contact, saved.basis) == (0.5, glass.basis)
    assert saved.basis.count("from a photo") == 1

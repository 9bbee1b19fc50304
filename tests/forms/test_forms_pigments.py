"""A new pigment from others or from the look of a swatch; the middle of a picture as a colour."""

from __future__ import annotations

import numpy as np
import pytest

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.forms.pigments import add_pigment, picture_colour
from blendlab.shelf import Shelf
from blendlab.tint import mix, see
from tests.store.samples import png

SEEN = {
    "way": "seen",
    "name": "Sea green",
    "group": "absorbing",
    "ci": "CI77289; 77510",
    "pct": "1",
    "hex": "#7fb3a0",
}


def test_a_mix_is_the_sum_of_its_parts_by_mass(folder, shelf):
    """K and S of a mixture of powders add by mass (Kubelka and Munk): 25 % of one, 75 % of the other."""
    typed = {
        "way": "mix", "name": "Meadow", "cap": "1,5",
        "part-0": "ultramarine_blue", "share-0": "25", "part-2": "iron_oxide_yellow", "share-2": "75 %",
    }  # fmt: skip
    made, answers, told = add_pigment(folder, shelf, typed)
    assert answers == []
    blue, yellow = shelf.today("pigment", "ultramarine_blue"), shelf.today("pigment", "iron_oxide_yellow")
    assert np.allclose(made.k, 0.25 * np.array(blue.k) + 0.75 * np.array(yellow.k))
    assert np.allclose(made.s, 0.25 * np.array(blue.s) + 0.75 * np.array(yellow.s))
    assert (made.id, made.cap_pct, made.known) == ("meadow", 1.5, "estimate")
    assert set(made.ci) == {*blue.ci, *yellow.ci}
    assert told == ["It is an estimate until a swatch in your own base is measured."]
    assert store.read_shelf(folder).today("pigment", "meadow") == made


@pytest.mark.parametrize(
    ("change", "answer"),
    [
        ({}, "Choose at least one part."),
        ({"part-0": "ultramarine_blue", "share-0": "60"}, "The parts add up to 60 %; they must make 100 %."),
        ({"part-0": "ultramarine_blue"}, "Percent of part 1 is missing."),
        ({"part-0": "gone", "share-0": "100"}, "Part 1 is not on the shelf any more."),
        (
            {"part-0": "ultramarine_blue", "share-0": "60", "part-1": "gone", "share-1": "40"},
            "Part 2 is not on the shelf any more.",
        ),
        ({"part-0": "ultramarine_blue", "share-0": "100", "name": ""}, "A name is missing."),
    ],
)
def test_a_mix_that_cannot_be_made_is_answered(folder, shelf, change, answer):
    made, answers, _ = add_pigment(folder, shelf, {"way": "mix", "name": "Meadow", **change})
    assert made is None
    assert answer in answers
    assert store.read_shelf(folder).today("pigment", "meadow") is None


def test_a_pigment_seen_in_the_base_gives_that_colour_back(folder, shelf):
    made, answers, _ = add_pigment(folder, shelf, SEEN)
    assert answers == []
    assert made.ci == ("CI77289", "77510")
    base = shelf.today("base", "soap-white")
    R = mix([1.0], np.array([made.k]), np.array([made.s]), base.k0, base.s0)[2]
    assert see(R).hex.lower() == "#7fb3a0"


def test_a_look_that_is_not_whole_is_answered_at_once(folder, shelf):
    made, answers, _ = add_pigment(folder, shelf, {"way": "seen", "name": "Sea green"})
    assert made is None
    assert [answer.split(" ")[0] for answer in answers] == ["Colour", "Percent", "A"]
    made, answers, _ = add_pigment(folder, shelf, {**SEEN, "hex": "sea"})
    assert made is None
    assert answers[0].startswith("Colour: ")
    _, answers, _ = add_pigment(folder, Shelf(tuple(shelf.of("pigment"))), SEEN)
    assert answers == ["There is no base on the shelf to see the pigment in."]
    _, answers, _ = add_pigment(folder, shelf, {**SEEN, "cap": "much"})
    assert answers[0].startswith("Highest use: ")


def test_the_middle_of_a_picture_is_a_colour():
    found = picture_colour(png((120, 40, 200), (90, 60)))
    assert found.hex.lower() == "#7828c8"
    assert found.note
    with pytest.raises(BlendlabError):
        picture_colour(b"no picture")

"""Names of colours at both sides of every bound of the table (common practice)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blendlab.tint.words import hue_word, words

HUES = {
    20: "pink-red", 45: "coral", 70: "orange", 100: "yellow", 135: "yellow-green", 175: "green",
    220: "blue-green", 260: "sky blue", 295: "blue", 330: "violet", 360: "pink",
}  # fmt: skip
"""Upper bound of the hue [degrees] -> its word."""


def at(L, C, hue):
    return L, C * np.cos(np.radians(hue)), C * np.sin(np.radians(hue))


@pytest.mark.parametrize(("bound", "word"), HUES.items())
def test_a_hue_has_its_word_up_to_its_bound(bound, word):
    following = dict(zip(HUES, [*list(HUES.values())[1:], HUES[20]], strict=True))
    assert hue_word(at(60, 40, bound - 0.1)) == word
    assert hue_word(at(60, 40, bound + 0.1)) == following[bound]


@pytest.mark.parametrize(
    ("below", "bound", "above"),
    [("black", 20, "dark grey"), ("dark grey", 45, "grey"), ("grey", 70, "pale grey")],
)
def test_greys_change_at_their_lightness(below, bound, above):
    assert words((bound - 0.1, 0, 4.9)) == below
    assert words((bound + 0.1, 0, 4.9)) == above


@pytest.mark.parametrize(
    ("lab", "name"),
    [
        (at(88.1, 5.9, 90), "white"),
        (at(87.9, 5.9, 90), "pale soft cream"),
        (at(88.1, 6.1, 90), "pale soft cream"),
        (at(60, 5.1, 200), "soft blue-green"),
        (at(60, 14.9, 200), "soft blue-green"),
        (at(60, 15.1, 200), "blue-green"),
        (at(85.1, 30, 200), "pale blue-green"),
        (at(84.9, 30, 200), "light blue-green"),
        (at(70.1, 30, 200), "light blue-green"),
        (at(69.9, 30, 200), "blue-green"),
        (at(35.1, 30, 200), "blue-green"),
        (at(34.9, 30, 200), "deep blue-green"),
        (at(49.9, 30, 30), "brick"),
        (at(50.1, 30, 30), "coral"),
        (at(54.9, 30, 60), "brown"),
        (at(55.1, 30, 60), "orange"),
        (at(75.1, 24.9, 90), "light cream"),
        (at(74.9, 24.9, 90), "light yellow"),
        (at(75.1, 25.1, 90), "light yellow"),
    ],
)
def test_names_at_both_sides_of_a_bound(lab, name):
    assert words(lab) == name


@settings(max_examples=300, deadline=None)
@given(st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128)))
def test_every_lab_has_exactly_one_name(lab):
    """The table read backwards: greys alone, else lightness, soft, hue."""
    greys = {"white", "black", "dark grey", "grey", "pale grey"}
    hues = {*HUES.values(), "brick", "brown", "cream"}
    lightness = ("", "pale ", "light ", "deep ")
    coloured = {light + soft + hue for light in lightness for soft in ("", "soft ") for hue in hues}
    assert words(lab) in greys | coloured

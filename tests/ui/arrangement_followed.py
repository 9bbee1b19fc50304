"""What must follow a new arrangement; run by tests/recipes in a copy that has one more."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import blendlab
from blendlab.jar import default_turn, describe, paint
from tests.jar.jar_kit import SMALL, coloured, design, filled

BLACK, WHITE = (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)
PETALS = {"kind": "petals", "turns": 3.0}


def test_this_is_the_copy():
    assert Path(blendlab.__file__).parents[1] == Path(__file__).parents[2]
    assert (Path(blendlab.__file__).parent / "jar/arrangements/petals.py").exists()


def changes(line):
    """How often a closed line of codes passes from dark to light or back."""
    light = np.asarray(line).reshape(len(line), -1)[:, 0] > 127
    return int(np.sum(light != np.roll(light, 1)))


def test_the_wall_follows():
    """Three times round: six edges, and half of the wall for each of two equal tones."""
    made = filled(**PETALS)
    assert [tone.wall_pct for tone in made.tones] == pytest.approx([50, 50])
    wall = paint(made, coloured(BLACK, WHITE), "wall", 0, "flat", (900, 300), "none")
    row = wall[150][wall[150, :, 3] == 255]
    assert changes(row) == 6
    assert changes(paint(made, coloured(BLACK, WHITE), px=SMALL, mode="flat")[150, 60:160]) >= 2


@pytest.mark.parametrize("top", ["flat", "dome", "star"])
def test_every_top_and_the_view_from_above_follow(top):
    """Pixels on a circle at seven tenths of the radius: six edges, where plain wedges have two."""
    made = filled(**PETALS, top=top)
    above = paint(made, coloured(BLACK, WHITE), "above", 0, "flat", (400, 400))
    radius = 0.7 * 0.40 * 400 * made.solid.radius / made.solid.outer
    angle = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    circle = above[
        np.round(199.5 + radius * np.cos(angle)).astype(int),
        np.round(199.5 + radius * np.sin(angle)).astype(int),
    ]
    assert changes(circle) == 6
    assert [tone.above_pct for tone in made.tones] == pytest.approx([50, 50], abs=0.1)


def test_a_star_swirls_towards_its_peak():
    solid = filled(**PETALS, top="star").solid
    phi = np.linspace(-180, 179, 360)
    at_wall = solid.top_coverage(phi, np.ones(360), 1.0)
    assert at_wall == pytest.approx(solid.coverage(phi, 1.0, solid.height, 1.0))
    assert not np.allclose(solid.top_coverage(phi, np.full(360, 0.5), 1.0), at_wall)


def test_grams_turn_and_sentence_follow():
    made = filled({"a": 0.62, "b": 0.55}, **PETALS)
    assert sum(tone.grams for tone in made.tones) == pytest.approx(made.net_g)
    assert -180 <= default_turn(made) < 180
    assert "petals of tone a (50 %) and tone b (50 %) by weight" in describe(design(**PETALS), made)


def test_the_page_follows(pages):
    """Its name, and its figures within the bounds of the design."""
    pages.go("look")
    choice = pages.at.get_by_key("p.arrangement.kind")
    assert choice.options[-1] == "Petals"
    choice.set_value("petals")
    pages.run()
    assert pages.design["arrangement"]["kind"] == "petals"
    labels = {field.key: field.label for field in pages.at.text_input}
    assert labels["n.arrangement.turns"] == "Times round"
    assert labels["n.arrangement.start_deg"] == "First petal at, degrees"
    assert "n.arrangement.wave_mm" not in labels
    pages.type("n.arrangement.turns", "5")
    assert pages.design["arrangement"]["turns"] == 5
    pages.type("n.arrangement.turns", "9")
    assert pages.design["arrangement"]["turns"] == 5  # a design holds 0.25 to 8
    assert "between 0.25 and 8" in pages.said

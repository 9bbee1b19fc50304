"""Shares of tones on the bench."""

from __future__ import annotations

import pytest

from blendlab.recipe import Tone, tones
from tests.batch import plans_to_try as tries


def test_a_new_tone_takes_an_equal_part_and_the_others_keep_their_proportion():
    design = tries.design()
    room = tones.room_for_a_tone(design)
    assert room.new == 33.33
    assert sum(room.others.values()) + room.new == pytest.approx(100)
    assert room.others["deep"] / room.others["cream"] == pytest.approx(1.5, abs=0.001)
    assert tones.shared_out({"a": 0, "b": 0, "c": 0}, 100) == {"a": 33.33, "b": 33.33, "c": 33.34}
    assert tones.shared_out({}, 100) == {}


def test_a_free_id_for_a_tone():
    design = tries.design(tones=(Tone(id="tone-1", name="a", share_pct=100),))
    assert tones.free_tone_id(design) == "tone-2"
    assert tones.free_tone_id(tries.design()) == "tone-1"

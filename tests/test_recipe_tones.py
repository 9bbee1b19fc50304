"""Shares of tones on the bench."""

from __future__ import annotations

import pytest

from blendlab.recipe import Tone, tones
from blendlab.shelf import resolve
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


def test_two_tones_of_one_name_are_told_apart_without_taking_a_third_name():
    alike = [Tone(id=f"t{at}", name=name, share_pct=25) for at, name in enumerate(("White", "white", "Sand"))]
    third = Tone(id="t3", name="White 2", share_pct=25)
    named = tones.names(tries.design(tones=(*alike, third)))
    assert named == {"t0": "White", "t1": "white 2", "t2": "Sand", "t3": "White 2 2"}
    assert tones.names(tries.design()) == {"deep": "Deep", "cream": "Cream"}


def test_a_long_name_makes_room_for_its_number():
    long = "W" * tones.LONGEST
    assert tones.free_name(long, [long]) == f"{'W' * 58} 2"
    alike = [Tone(id=f"t{at}", name=long, share_pct=50) for at in range(2)]
    found = resolve(tries.design(tones=tuple(alike)), tries.shelf()).design.tones
    assert [tone.name for tone in found] == [long, f"{'W' * 58} 2"]

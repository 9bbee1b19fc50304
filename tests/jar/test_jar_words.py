"""Findings and the sentence for who cannot see the picture."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from blendlab import tint
from blendlab.facts.jars import jars
from blendlab.jar import colours, describe, findings, layout
from blendlab.jar.palette import fade_table, passage_weights
from blendlab.tint.appearance import decode
from blendlab.tint.kubelka_munk import behind_wall
from tests.jar.jar_kit import JAR, design, filled


def found(densities=None, jar="j180-70", **how):
    made = design(jar=jar, **how)
    given = {tone.id: 0.62 for tone in made.tones} if densities is None else densities
    return {finding.id: finding for finding in findings(made, JAR[jar], layout(made, JAR[jar], given))}


def test_a_star_needs_room_under_a_flat_lid():
    told = found(kind="wedges", top="star")["top_under_lid"]
    assert told.level == "caution"
    assert told.where.startswith("look")
    assert "20 mm" in told.text
    assert "domed lid" in told.fix
    assert "top_under_lid" not in found(kind="wedges")


def test_a_domed_lid_takes_the_star():
    made = design(kind="wedges", top="star")
    domed = replace(JAR["j180-70"], lid_inner_mm=30.0)
    assert "top_under_lid" not in {finding.id for finding in findings(made, domed, layout(made, domed, {}))}


def test_the_lid_that_is_asked_for_is_just_enough():
    made = design(kind="wedges", top="star")
    asked = float(re.search(r"at least (\d+) mm", found(kind="wedges", top="star")["top_under_lid"].fix)[1])
    for lid, told in ((asked - 1, True), (asked, False)):
        jar = replace(JAR["j180-70"], lid_inner_mm=lid)
        ids = {finding.id for finding in findings(made, jar, layout(made, jar, {}))}
        assert ("top_under_lid" in ids) is told


def test_too_little_of_a_tone_for_the_star():
    told = found(kind="wedges", shares=(96, 4), top="star", top_tone="b")["not_enough_for_top"]
    need = float(re.search(r"at least (\d+) %", told.fix)[1])
    enough = (100 - need - 1, need + 1)
    assert "not_enough_for_top" not in found(kind="wedges", shares=enough, top="star", top_tone="b")


def test_seen_and_weighed_shares_are_told_apart():
    told = found(kind="wedges", turn=60.0)["seen_is_not_weighed"]
    assert "50 % by weight" in told.text
    assert "seen_is_not_weighed" not in found(kind="wedges")
    assert "seen_is_not_weighed" not in found(kind="helix")


def test_a_density_that_was_not_weighed_gives_a_range():
    told = found({"a": 0.62})["density_not_weighed"]
    volume = filled().volume_ml
    assert f"{0.55 * volume:.0f} and {0.85 * volume:.0f} g" in told.text
    assert "net_is_not_nominal" in found()
    assert "density_not_weighed" not in found()


def test_the_sentence_names_everything_in_short():
    said = describe(
        design(kind="helix", top="star", dust=0.3), filled(kind="helix", top="star"), dust="gold mica"
    )
    for part in (
        "71 mm wide",
        "right-handed spiral",
        "tone a (50 %)",
        "two turns",
        "star",
        "gold mica",
        "daylight",
    ):
        assert part in said
    assert said.endswith(".")


@pytest.mark.parametrize("jar", jars(), ids=lambda jar: jar.id)
@pytest.mark.parametrize("count", [1, 2, 6])
@pytest.mark.parametrize("kind", ["layers", "wedges", "helix", "fade", "chord", "marble"])
def test_the_sentence_is_short_and_names_each_tone(jar, count, kind):
    made = design(kind=kind, shares=tuple([100 / count] * count), jar=jar.id, dust=0.2, top="dome")
    long = tuple(replace(tone, name=f"{tone.id}" + " of a very long name indeed" * 2) for tone in made.tones)
    for tones in (made.tones, long):
        dressed = replace(made, tones=tones)
        said = describe(
            dressed, layout(dressed, jar, {}), words={tone.id: "light soft green" for tone in tones}
        )
        assert len(said) < 250
        assert said.count(" %)") == count
        assert said.endswith(".")


def _tints():
    """Two tones as a base with a strong and with no pigment."""
    wave = np.linspace(0, 1, 31)
    base = (0.002 + 0.01 * (1 - wave), np.ones(31))
    blue = (base[0] + 0.9 * wave**2, base[1] * 1.02)
    made = {}
    for name, (K, S) in (("a", base), ("b", blue)):
        R = tint.mix([0.0], np.zeros((1, 31)), np.zeros((1, 31)), K, S)[2]
        made[name] = tint.Tint(K, S, R, behind_wall(R, 0.4), "estimate")
    return made


def test_a_fade_is_mixed_in_absorption_and_scattering():
    """Against K and S mixed and reflected point by point (Kubelka & Munk 1931), wall included."""
    tints = _tints()
    R, R_wall = fade_table([tints["b"], tints["a"]], [1, 1])
    for row, (low, high) in zip(R, passage_weights(2), strict=True):
        K, S = (low * getattr(tints["b"], x) + high * getattr(tints["a"], x) for x in "KS")
        q = K / S
        assert row == pytest.approx(1 + q - np.sqrt(q * q + 2 * q), rel=1e-9)
    assert R_wall[[0, -1]] == pytest.approx(np.stack([tints["b"].R_wall, tints["a"].R_wall]))


def test_a_slice_of_a_fade_is_mixed_by_mass():
    """Half and half by volume of 0.5 and 0.75 g/ml is 40:60 by mass."""
    tints = _tints()
    R, _ = fade_table([tints["b"], tints["a"]], [0.5, 0.75])
    middle = 16
    assert passage_weights(2)[middle] == pytest.approx([0.5, 0.5])
    K, S = (0.4 * getattr(tints["b"], x) + 0.6 * getattr(tints["a"], x) for x in "KS")
    assert R[middle] == pytest.approx(1 + K / S - np.sqrt((K / S) ** 2 + 2 * K / S))
    assert R[[0, -1]] == pytest.approx(fade_table([tints["b"], tints["a"]], [1, 1])[0][[0, -1]])


def test_the_colours_of_a_fade_take_the_densities_of_their_tones():
    """The middle of 0.75 g/ml (a, uppermost) and 0.5 g/ml (b) is 60:40 by mass; alike it is half and half."""
    tints = _tints()
    made = design(kind="fade")
    found = colours(made, tints, {"a": 0.75, "b": 0.5})
    K, S = (0.6 * getattr(tints["a"], x) + 0.4 * getattr(tints["b"], x) for x in "KS")
    R = 1 + K / S - np.sqrt((K / S) ** 2 + 2 * K / S)
    assert found.fade_open[16] == pytest.approx(decode(tint.see(R).srgb), abs=1e-6)
    assert np.abs(found.fade_open[16] - colours(made, tints, {"a": 0.5, "b": 0.5}).fade_open[16]).max() > 0.01
    assert found.fade_wall[[0, -1]] == pytest.approx(found.wall[[1, 0]])


def test_colours_follow_the_lamp_and_the_eye():
    tints = _tints()
    made = design(kind="fade")
    alike = {"a": 0.6, "b": 0.6}
    day, lamp = colours(made, tints, alike), colours(made, tints, alike, "A")
    assert day.wall.shape == day.open.shape == (2, 3)
    assert day.fade_wall.shape == (33, 3)
    assert day.fade_wall[0] == pytest.approx(day.wall[1])
    assert day.fade_wall[-1] == pytest.approx(day.wall[0])
    assert np.abs(day.open - lamp.open).max() > 1e-3
    assert day.open[0] == pytest.approx(decode(tint.see(tints["a"].R).srgb))


def test_thirty_three_colours_are_enough_for_a_fade():
    """Straight lines of light between the table's colours stay within dE2000 0.5 of the true mix."""
    colour = pytest.importorskip("colour")
    tints = _tints()
    R, _ = fade_table([tints["b"], tints["a"]], [1, 1])
    steps = (np.arange(320) + 0.5) / 10
    drawn = np.stack([np.interp(steps, np.arange(33), band) for band in tint.see(R).linear.T], axis=1)
    w = (lambda u: u * u * (3 - 2 * u))(steps / 32)[:, None]
    K, S = ((1 - w) * getattr(tints["b"], x) + w * getattr(tints["a"], x) for x in "KS")
    true = tint.see(1 + K / S - np.sqrt((K / S) ** 2 + 2 * K / S)).linear
    lab = [colour.XYZ_to_Lab(colour.RGB_to_XYZ(np.clip(light, 0, 1), "sRGB")) for light in (drawn, true)]
    assert colour.delta_E(*lab, method="CIE 2000").max() < 0.5

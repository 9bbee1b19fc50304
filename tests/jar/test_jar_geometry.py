"""Volumes, shares and patterns of the solid, against closed forms and quadrature."""

from __future__ import annotations

import csv
import itertools
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blendlab.facts.jars import jars
from blendlab.facts.read import figure
from blendlab.jar import default_turn, dust, glass, layout, profile, projection, top, volume
from blendlab.jar.arrangements import RULES, PassageRule, Rule, layers
from blendlab.jar.arrangements.fade import fade_centre, fade_fraction, fade_shares
from blendlab.jar.arrangements.helix import moved_up
from blendlab.jar.solid import picture_shares, wall_profile, wall_shares
from tests.jar.jar_kit import JAR, design, filled

REFERENCE = Path(__file__).parents[1] / "reference" / "jar_volumes.csv"
VOLUMES = {
    row["id"].lower(): row for row in csv.DictReader(REFERENCE.read_text(encoding="utf-8").splitlines())
}
KINDS = ("layers", "wedges", "helix", "fade", "chord", "core")
SHOWN = ("layers", "wedges", "helix", "fade", "marble")
RADII = st.floats(15, 60)
HEIGHTS = st.floats(10, 120)


@pytest.mark.parametrize("jar", jars(), ids=lambda jar: jar.id)
def test_a_jar_holds_what_its_row_says(jar):
    row = VOLUMES[jar.id]
    brim = math.pi * jar.inner_mm**2 * jar.height_mm / 4000  # a cylinder
    assert volume.fill_ml(jar.inner_mm / 2, jar.height_mm) == pytest.approx(brim, rel=1e-12)
    if jar.shoulder_mm:  # midpoint quadrature of the profile's slices
        z = (np.arange(40000) + 0.5) * (jar.height_mm / 40000)
        brim = math.pi * np.mean(profile(jar).radius(z) ** 2) * jar.height_mm / 1000
    assert brim == pytest.approx(float(row["brimful_ml"]), rel=1e-3)
    assert filled(jar=jar.id).fill_ml == pytest.approx(float(row["fill_ml"]), rel=1e-3)
    assert jar.outer_mm - jar.inner_mm == pytest.approx(2 * float(row["wall_mm"]))


@given(RADII, HEIGHTS, st.floats(0, 10))
def test_fill_volume_is_the_integral_of_its_slices(radius, height, corner):
    """Midpoint quadrature of pi r(z)^2 over the rounded corner and the cylinder."""
    z = (np.arange(20000) + 0.5) * (height / 20000)
    below = np.clip(corner - z, 0, None)
    r = radius - corner + np.sqrt(np.maximum(corner**2 - below**2, 0))
    numeric = math.pi * np.sum(r * r) * height / 20000 / 1000
    assert volume.fill_ml(radius, height, corner) == pytest.approx(numeric, rel=1e-4)


@given(RADII, HEIGHTS, st.floats(1.1, 3))
def test_scaling_a_jar_scales_its_volume_by_the_cube(radius, height, times):
    once = volume.fill_ml(radius, height, 4)
    assert volume.fill_ml(radius * times, height * times, 4 * times) == pytest.approx(once * times**3)


def test_layers_of_a_frustum_become_those_of_a_cylinder():
    made = design(shares=(25, 50, 25), wave_mm=0.0)
    for taper in (1e-3, 1e-5, 1e-7, 1e-9):
        glass_ = replace(
            JAR["j180-70"], inner_mm=60, bottom_inner_mm=60 - taper, height_mm=44, headspace_mm=4
        )
        solid = layout(made, glass_, {}).solid
        assert layers.edges(solid) == pytest.approx((10, 30), abs=2 * taper + 1e-6)
        assert wall_shares(solid) == pytest.approx((0.25, 0.5, 0.25), abs=taper + 1e-12)


@pytest.mark.parametrize("kind", ["dome", "star"])
def test_the_drawn_top_has_the_volume_that_is_weighed(kind):
    shape = top.Top(kind, 33.75, top.default_peak(kind, 33.75))
    cap = volume.cap_ml(shape.radius, shape.peak)
    if kind == "dome":  # the scraped marks on the cap have a mean of 0
        assert top.volume_ml(shape) == pytest.approx(cap, rel=2e-3)
    else:  # a piped star of this steepness fills about 0.55 to 0.7 of its cap
        assert 0.55 < top.volume_ml(shape) / cap < 0.70
    assert top.relief(shape).z.max() == pytest.approx(shape.peak, abs=0.5)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("shares", [(50, 50), (20, 30, 50), (7, 93)])
def test_volume_of_each_tone_by_quadrature(kind, shares):
    """Midpoint sum over phi, r, z of the tone at each point against the volume shares."""
    solid = filled(kind=kind, shares=shares).solid
    phi = (np.arange(360) + 0.5)[:, None, None] - 180
    r = np.sqrt((np.arange(60) + 0.5) / 60)[None, :, None]
    z = (np.arange(60) + 0.5)[None, None, :] * (solid.height / 60)
    covered = solid.coverage(phi, r, z, 1.0, solid.height / 60)
    assert covered.min() >= 0
    assert np.abs(covered.sum(axis=0) - 1).max() < 1e-9
    counted = np.broadcast_to(covered, (len(shares), 360, 60, 60)).mean(axis=(1, 2, 3))
    assert counted == pytest.approx(np.array(shares) / 100, abs=2e-3)


@pytest.mark.parametrize("kind", SHOWN)
def test_the_wall_shows_the_volume_shares(kind):
    layout = filled(kind=kind, shares=(20, 30, 50))
    assert [tone.wall_pct for tone in layout.tones] == pytest.approx([20, 30, 50], abs=0.3)


def test_a_slice_shows_more_of_itself_than_it_is():
    """Closed forms of the circular segment: angle/2 pi on the wall, sin(angle/2) facing; bisected."""
    layout = filled(kind="chord", shares=(30, 70))
    angle = 2.49076  # theta - sin(theta) = 2 pi 0.3
    assert (angle - math.sin(angle)) / (2 * math.pi) == pytest.approx(0.3, abs=1e-5)
    wall, front = angle / (2 * math.pi), math.sin(angle / 2)
    slice_ = layout.tones[0]
    assert slice_.wall_pct == pytest.approx(100 * wall, abs=0.01)
    assert slice_.above_pct == pytest.approx(30, abs=0.01)
    assert slice_.picture_pct == pytest.approx(100 * front, abs=2)  # the glass moves it by a point


def test_a_core_is_seen_from_above_only():
    layout = filled(kind="core", shares=(25, 75))
    assert (layout.tones[0].wall_pct, layout.tones[0].picture_pct) == (0, 0)
    assert layout.tones[0].above_pct == pytest.approx(25, abs=0.05)


@pytest.mark.parametrize("seed", range(6))
def test_a_marbled_jar_is_nearly_inside_what_its_wall_shows(seed):
    """Area shares of a section are volume shares on average (Delesse 1847); one jar within 3 points."""
    solid = filled(kind="marble", shares=(30, 70), seed=seed).solid
    rng = np.random.default_rng(99)
    phi, r = rng.uniform(0, 360, 40000), np.sqrt(rng.uniform(0, 1, 40000))
    z = rng.uniform(0, solid.height * 0.9999, 40000)
    assert solid.coverage(phi, r, z)[0].mean() == pytest.approx(0.3, abs=0.03)


def test_a_marble_has_no_seam_and_its_pattern_is_kept():
    solid = filled(kind="marble", shares=(30, 30, 40)).solid
    z = np.linspace(0, solid.height - 1, 80)
    left, right = (solid.coverage(np.full(80, phi), 1.0, z, 0.5, 0.3) for phi in (-180.0, 180.0))
    assert left == pytest.approx(right, abs=1e-9)
    assert left.min() >= 0
    assert left.sum(axis=0) == pytest.approx(np.ones(80))


def test_waves_leave_volumes_and_walls():
    straight, wavy = (filled(shares=(30, 30, 40), wave_mm=wave) for wave in (0.0, 8.0))
    for tone, same in zip(straight.tones, wavy.tones, strict=True):
        assert (tone.ml, tone.wall_pct) == pytest.approx((same.ml, same.wall_pct), rel=1e-3)


def bare_cylinder(start, stop, turn):
    """Share of a front picture by counting a million columns of a cylinder without a wall."""
    phi = np.degrees(np.arcsin(np.linspace(-1, 1, 1_000_001))) + turn
    return float(np.mean((phi - start) % 360 < stop - start))


@pytest.mark.parametrize("turn", [0, 30, 77, 180, 300])
@pytest.mark.parametrize(("start", "stop"), [(0, 180), (-60, 60), (300, 420), (10, 10.4)])
def test_shares_of_a_bare_cylinder(turn, start, stop):
    seen = glass.share_interval(start, stop, turn, 34, 34, 1.0)
    assert float(seen) == pytest.approx(bare_cylinder(start, stop, turn), abs=2e-5)


@pytest.mark.parametrize("turn", [0, 30, 77, 180, 300])
def test_halves_in_the_picture_follow_the_bare_cylinder_nearly(turn):
    """(sin b - sin a)/2 of the seen part, and the glass moves it by about a point at most."""
    seen = filled(kind="wedges", turn=float(turn) if turn <= 180 else turn - 360.0).tones[0].picture_pct
    assert seen == pytest.approx(100 * bare_cylinder(0, 180, turn), abs=2)


def test_halves_turned_by_thirty_degrees_behind_glass():
    """0.258 against 0.250 on a bare cylinder for a 36/34.25 mm wall of index 1.52, traced ray by ray."""
    x = np.linspace(-36, 36, 200001)
    phi = glass.wall_angle(x, 36, 34.25, 1.52) + 30
    assert np.mean(phi < 0) == pytest.approx(0.258, abs=5e-4)


def test_rays_keep_the_invariant():
    """Snell's law at the outer face and a straight line in the glass, in Cartesian coordinates."""
    outer, inner, n = 36.0, 34.25, 1.52
    for x in (-30.0, 5.0, 20.0, 33.0):
        start = np.array([x, math.sqrt(outer**2 - x**2)])
        normal = start / outer
        inward = np.array([0.0, -1.0])
        cosine = -normal @ inward
        bent = inward / n + (cosine / n - math.sqrt(1 - (1 - cosine**2) / n**2)) * normal
        b = start @ bent
        hit = start + (-b - math.sqrt(b * b - (outer**2 - inner**2))) * bent
        assert math.degrees(math.atan2(hit[0], hit[1])) == pytest.approx(
            float(glass.wall_angle(x, outer, inner, n)), abs=1e-9
        )


def test_without_glass_the_wall_is_a_bare_cylinder():
    x = np.linspace(-34, 34, 41)
    assert glass.wall_angle(x, 36, 34.25, 1.0) == pytest.approx(np.degrees(np.arcsin(x / 34.25)))
    assert glass.apparent_radius(36, 34.25, 1.0) == 34.25
    angles = glass.wall_angle(x, 36, 34.25, 1.57)
    assert np.all(np.diff(angles) > 0)
    assert angles == pytest.approx(-angles[::-1])


def test_content_that_just_fills_the_jar_is_continuous():
    """Where n times the inside is the outside, both ways of bounding the content agree."""
    outer = 36.0
    for n in (1.49, 1.52, 1.57):
        below, above = (glass.apparent_radius(outer, outer / n + step, n) for step in (-1e-6, 1e-6))
        assert below == pytest.approx(above, abs=1e-5)
        assert above == outer


def test_no_reflection_along_the_plane_at_the_polarising_angle():
    """Brewster: tan(angle) = n."""
    assert glass.fresnel(math.degrees(math.atan(1.57)), 1.57)[1] == pytest.approx(0, abs=1e-12)
    assert glass.fresnel(0, 1.52)[2] == pytest.approx(((1.52 - 1) / (1.52 + 1)) ** 2)


def test_picture_shares_are_a_turn_of_the_wall():
    solid = filled(kind="helix", turns=1.5).solid
    assert picture_shares(solid, 400.0) == pytest.approx(picture_shares(solid, 40.0))
    assert sum(picture_shares(solid, 123.0)) == pytest.approx(1)
    whole = np.mean([picture_shares(solid, turn) for turn in range(0, 360, 5)], axis=0)
    assert whole == pytest.approx(wall_profile(solid).mean(axis=1), abs=1e-6)


def _flattery(layout, turn):
    seen = picture_shares(layout.solid, turn)
    return max(abs(100 * share - tone.wall_pct) for share, tone in zip(seen, layout.tones, strict=True))


@pytest.mark.parametrize("shares", [(50, 50), (20, 80), (34, 33, 33)])
def test_the_default_turn_does_not_flatter(shares):
    """Two tones can be shown as they are; of three wedges no turn shows all, but none does better."""
    layout = filled(kind="wedges", shares=shares)
    best = _flattery(layout, default_turn(layout))
    assert best <= min(_flattery(layout, turn) for turn in range(-180, 180, 3)) + 2.5
    assert len(shares) > 2 or best <= 5


def test_turning_a_right_handed_jar_anticlockwise_lowers_the_pattern_by_a_quarter_pitch():
    solid = filled(kind="helix", turns=2.0, hand="right").solid
    pitch = solid.height / 2
    z = np.linspace(pitch, 2 * pitch, 50)
    turned_by_90 = solid.coverage(np.full(50, 10.0 - 90.0), 1.0, z, 1e-6, 1e-6)
    moved = moved_up(pitch, 90, 1)
    assert moved == -pitch / 4
    assert turned_by_90 == pytest.approx(solid.coverage(np.full(50, 10.0), 1.0, z - moved, 1e-6, 1e-6))


def test_a_mirrored_spiral_has_the_other_hand():
    right, left = (filled(kind="helix", hand=hand).solid for hand in ("right", "left"))
    phi, z = np.linspace(-170, 170, 60), np.linspace(1, 50, 60)
    mirrored = left.coverage(-phi, 1.0, z)[::-1]
    assert right.coverage(phi, 1.0, z) == pytest.approx(mirrored, abs=1e-6)


@given(st.floats(0.02, 0.98), st.floats(0.05, 1))
def test_the_centre_of_a_fade_gives_its_share_back(share, width):
    centre = fade_centre(share, width)
    z = (np.arange(4000) + 0.5) / 4000
    assert fade_fraction(z, centre, width).mean() == pytest.approx(share, abs=1e-4)


def test_a_fade_never_mixes_more_than_two_tones():
    covered = fade_shares(np.linspace(0, 3, 301), 4)
    assert ((covered > 1e-12).sum(axis=0) <= 2).all()
    assert covered.sum(axis=0) == pytest.approx(np.ones(301))
    assert covered[:, 0] == pytest.approx([0, 0, 0, 1])


def test_grams_add_up_and_geometry_speaks_volume():
    layout = filled({"a": 0.62, "b": 0.55}, kind="wedges", top="star")
    assert sum(tone.grams for tone in layout.tones) == pytest.approx(layout.net_g)
    assert sum(tone.ml for tone in layout.tones) == pytest.approx(layout.fill_ml + layout.top_ml)
    assert layout.tones[0].grams == pytest.approx(layout.tones[1].grams)
    angle = 3.6 * layout.tones[0].wall_pct
    assert angle == pytest.approx(169.231, abs=0.2)  # 0.62 against 0.55 g/ml at equal mass


def test_a_star_of_one_tone_is_missing_in_the_fill():
    layout = filled(kind="wedges", top="star", top_tone="b")
    above = layout.tones[1].ml - layout.solid.shares[1] * layout.fill_ml
    assert above == pytest.approx(layout.top_ml)
    assert [tone.above_pct for tone in layout.tones] == [0, 100]
    assert filled(kind="wedges", shares=(95, 5), top="star", top_tone="b").feasible is False


def test_shares_that_do_not_add_up_are_drawn_in_proportion():
    part, whole = filled(shares=(20, 20, 40)), filled(shares=(25, 25, 50))
    assert part.solid == whole.solid


@given(st.floats(0, 5), st.floats(0, 5))
def test_more_dust_covers_more_and_never_all(dose, another):
    areal = dust.areal_cover(0.5, 3.0, 0.2)
    low, high = sorted((dose, another))
    assert 0 <= dust.coverage(low, areal) <= dust.coverage(high, areal) < 1


def test_plates_on_a_square_millimetre():
    """Plates of 30 um, 0.5 um thick, 3 g/ml: 1.0603e-6 mg each; a fifth of 0.35 mg/cm2 lies flat."""
    covered, plates = dust.lying(0.35)
    one_mg = 3.0 * 0.5e-3 * math.pi * 0.030**2 / 4  # mg of one plate: g/ml are mg/mm3
    assert plates == pytest.approx(0.2 * 0.35 / 100 / one_mg)
    assert covered == pytest.approx(1 - math.exp(-plates * math.pi * 0.015**2))


@pytest.mark.parametrize("kind", ["layers", "wedges", "helix", "fade", "chord", "core", "marble"])
@pytest.mark.parametrize(("hand", "edge"), [("right", 32.4), ("left", -32.4)])
def test_a_star_swirls_by_its_hand(kind, hand, edge):
    """0.18 of a turn from wall to peak: half way in, the edge at 0 degrees stands at 32.4."""
    solid = filled(kind=kind, top="star", hand=hand, turns=1.0).solid
    for r, place in ((1.0, 0.0), (0.5, edge), (0.0, 2 * edge)):
        before, after = (solid.top_coverage(np.array([place + step]), r, 0.01)[0, 0] for step in (-1, 1))
        assert (before, after) == pytest.approx((0, 1), abs=1e-9)


def test_coverage_of_a_row_of_pieces_is_a_box_filter():
    """Counted on a fine grid inside each box."""
    edges = [0, 0.2, 0.35, 1]
    rng = np.random.default_rng(5)
    u, foot = rng.uniform(-2, 2, 40), rng.uniform(0.01, 2.5, 40)
    grid = u + foot * ((np.arange(20000) + 0.5) / 20000 - 0.5)[:, None]
    counted = [np.mean(((grid % 1) >= a) & ((grid % 1) < b), axis=0) for a, b in itertools.pairwise(edges)]
    assert projection.coverage_1d(u, foot, edges) == pytest.approx(np.array(counted), abs=2e-4)


def test_unknown_walls_are_named():
    with pytest.raises(LookupError, match="known: glass"):
        figure("jar/materials", "tin")


def test_a_rule_without_its_coverage_and_a_passage_without_its_way_cannot_be_made():
    class Bare(Rule):
        word, noun = "Bare", "bare"

    class Wayless(PassageRule):
        word, noun = "Wayless", "wayless"

        def coverage(self, solid, phi, r, z, dphi, dz):
            return np.ones((1, 1))

    for rule, lacks in ((Bare, "coverage"), (Wayless, "path")):
        with pytest.raises(TypeError, match=lacks):
            rule()
    passing = {kind for kind, rule in RULES.items() if isinstance(rule, PassageRule)}
    assert passing == {"fade"}

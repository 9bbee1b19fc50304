"""What a picture promises: exact flat colours, honest shading, an exact ground, the same bytes again."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from blendlab.errors import OutOfRange, UnknownName
from blendlab.jar import (
    content,
    encode,
    halves,
    layout,
    light,
    paint,
    painter,
    palette,
    planes,
    scene,
    texture,
)
from blendlab.recipe import ARRANGEMENTS, TOPS
from blendlab.tint.appearance import decode
from blendlab.tint.appearance import encode as encode_srgb
from tests.jar.jar_kit import COAL, CREAM, JAR, PLUM, RED, SMALL, TEAL, WHITE, coloured, design, filled

PANEL = 184
PAIRS = {"pale": (WHITE, CREAM), "dark": (COAL, PLUM), "saturated": (RED, TEAL)}
ALL = [("layers", "flat"), ("wedges", "dome"), ("helix", "star"), ("marble", "flat"), ("fade", "flat")]


def codes(srgb):
    return np.floor(np.array(srgb) * 255 + 0.5).astype(int)


def border(picture):
    return np.concatenate([picture[0], picture[-1], picture[:, 0], picture[:, -1]])


def delta_e(srgb8, srgb):
    """CIEDE2000 by colour-science from coded sRGB, the outside route."""
    colour = pytest.importorskip("colour")
    lab = [
        colour.XYZ_to_Lab(colour.sRGB_to_XYZ(np.asarray(code))) for code in (np.asarray(srgb8) / 255, srgb)
    ]
    return float(colour.delta_E(*lab, method="CIE 2000"))


def taken(view, layout, turn=0.0, flat=False, px=SMALL):
    shot = planes.Shot(turn, layout.dust_mg_per_cm2, flat, px, PANEL)
    return painter.VIEWS[view](layout.solid, painter.vessel(layout), shot)


def front_planes(layout, turn=0.0, flat=False, px=SMALL):
    return taken("front", layout, turn, flat, px)


@pytest.mark.parametrize("view", ["front", "wall", "above"])
@pytest.mark.parametrize("mode", ["shaded", "flat"])
@pytest.mark.parametrize(("kind", "top"), ALL)
def test_every_pixel_of_the_border_is_the_panel(view, mode, kind, top):
    picture = paint(filled(kind=kind, top=top), coloured(TEAL, CREAM, fade=True), view, 30, mode, SMALL)
    assert picture.shape == (SMALL[1], SMALL[0], 3)
    assert picture.dtype == np.uint8
    assert (border(picture) == PANEL).all()


@pytest.mark.parametrize(
    ("px", "jar"), [((420, 360), "j030-pp"), ((360, 420), "j500-89"), ((300, 90), "j240-89")]
)
def test_the_shadow_runs_out_before_the_edge(px, jar):
    picture = paint(filled(jar=jar, top="star"), coloured(TEAL, CREAM), px=px, bar=True)
    assert (border(picture) == PANEL).all()
    assert (picture < PANEL - 30).any()


@pytest.mark.parametrize("view", ["front", "wall", "above"])
@pytest.mark.parametrize(("kind", "top"), ALL[:4])
@pytest.mark.parametrize("pair", PAIRS)
def test_flat_colours_are_exact(view, kind, top, pair):
    """Every pixel that one tone covers alone is that tone's rounded sRGB."""
    layout = filled(kind=kind, top=top)
    picture = paint(layout, coloured(*PAIRS[pair]), view, 0, "flat", SMALL)
    form = taken(view, layout, flat=True)
    inside = picture[form.rows, form.columns]
    alone = form.gains[1:] >= 1 - 1e-6
    assert alone.any()
    for index, plane in enumerate(alone):
        tone = PAIRS[pair][index % 2]
        assert (inside[plane] == codes(tone)).all()


def test_a_flat_fade_ends_in_its_tones():
    layout = filled(kind="fade", width=0.3)
    picture = paint(layout, coloured(TEAL, CREAM, fade=True), "wall", 0, "flat", SMALL)
    form = taken("wall", layout, flat=True)
    inside = picture[form.rows, form.columns]
    solid = form.along > 1 - 1e-6
    assert (inside[solid & (form.path == 0)] == codes(CREAM)).all()
    assert (inside[solid & (form.path == planes.FINE_PATH)] == codes(TEAL)).all()


@pytest.mark.parametrize("kind", ["layers", "wedges", "helix"])
@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("turn", [0.0, 40.0])
def test_the_lit_wall_shows_the_predicted_colour(kind, pair, turn):
    """Median of each tone's fully covered lit pixels within dE2000 1 of its own colour."""
    layout, px = filled(kind=kind), (420, 460)
    picture = paint(layout, coloured(*PAIRS[pair]), "front", turn, "shaded", px)
    view = scene.scene(painter.vessel(layout), px, PANEL)
    wall = content.wall(layout.solid, view, turn, False)
    lit = (wall.alpha > 0.999) & (view.shine < 0.004) & (np.abs(view.x) < 0.8 * layout.jar.outer_mm / 2)
    share = wall.gains / wall.gains.sum(axis=0)
    inside = picture[view.rows, view.columns]
    for tone, covered in zip(PAIRS[pair], share, strict=True):
        chosen = inside[lit & (covered > 0.999)]
        assert len(chosen) > 100
        assert delta_e(np.median(chosen, axis=0), tone) < 1.0


def test_shading_never_recolours():
    """All channels of a single tone keep their ratio wherever no reflection lies on the wall."""
    layout = filled(shares=(100,))
    form = front_planes(layout)
    linear = planes.render(form, coloured(PLUM), False)
    view = scene.scene(painter.vessel(layout), SMALL, PANEL)
    wall = content.wall(layout.solid, view, 0.0, False)
    clear = (wall.alpha == 1) & (view.shine == 0)
    colour = decode(PLUM)
    if not clear.any():
        linear = linear - view.shine
        clear = wall.alpha == 1
    for channel in (1, 2):
        ratio = linear[channel][clear] / linear[0][clear]
        assert ratio == pytest.approx(np.full(ratio.shape, colour[channel] / colour[0]), rel=2e-3)


def test_over_white_all_channels_shrink_together():
    """Every pixel of the box against its own linear light over its brightest channel, IEC 61966-2-1."""
    made, tones = filled(shares=(100,)), coloured((1.0, 0.98, 0.90))
    form = front_planes(made)
    linear = planes.render(form, tones, False).astype(float)
    over = linear.max(axis=0) > 1.02
    assert over.sum() > 500
    wanted = np.moveaxis(encode_srgb(linear / linear.max(axis=0)), 0, -1)[over] * 255
    drawn = paint(made, tones, px=SMALL)[form.rows, form.columns][over]
    assert np.abs(drawn - wanted).max() <= 0.7
    assert (drawn.max(axis=1) == 255).all()


def test_foam_keeps_the_mean():
    drawn = texture.wall(33.75, 51.0)
    assert float(drawn.shade.mean(dtype=float)) == pytest.approx(1, abs=1e-6)
    assert 0.01 < float(drawn.shade.std()) < 0.04
    assert abs(float(drawn.ds.mean(dtype=float))) < 1e-4


def test_the_picture_is_linear_in_its_colours():
    form = front_planes(filled(kind="helix", top="star"))
    bright, dull = coloured(TEAL, COAL), coloured(COAL, PLUM)
    both = palette.Colours(
        bright.open + dull.open,
        bright.wall + dull.wall,
        bright.dusted + dull.dusted,
        bright.fade_open,
        bright.fade_wall,
    )
    none = palette.Colours(*(np.zeros((2, 3)),) * 3, bright.fade_open, bright.fade_wall)
    black = planes.render(form, none, False)
    summed = planes.render(form, bright, False) + planes.render(form, dull, False) - black
    assert planes.render(form, both, False) == pytest.approx(summed, abs=1e-5)


@pytest.mark.parametrize("kind", ["wedges", "helix"])
def test_turning_by_a_full_turn_changes_nothing(kind):
    layout, tones = filled(kind=kind, top="dome"), coloured(TEAL, CREAM)
    assert np.array_equal(paint(layout, tones, turn=25, px=SMALL), paint(layout, tones, turn=385, px=SMALL))


def test_turning_is_rolling_the_wall():
    layout = filled(kind="helix", turns=1.5)
    view = scene.scene(painter.vessel(layout), SMALL, PANEL)
    turned = content.wall(layout.solid, view, 40.0, True)
    z = view.z
    rolled = layout.solid.coverage(view.phi + 40.0, 1.0, z)
    inside = (turned.alpha == 1) & (turned.gains.max(axis=0) > 0.999)
    assert inside.sum() > 5000
    assert turned.gains[:, inside] == pytest.approx(rolled[:, inside], abs=1e-3)


def test_reflections_stand_still_when_the_jar_turns():
    layout, black = filled(kind="wedges"), coloured((0, 0, 0), (0, 0, 0))
    front, turned = (paint(layout, black, turn=turn, px=SMALL) for turn in (0, 130))
    wall = np.s_[110:190, 30:190]
    assert front[wall].max() > 60
    assert np.abs(front[wall].astype(int) - turned[wall]).max() <= 1


def test_dust_shows_more_with_its_dose():
    tones = palette.plain([COAL], None, (0.9, 0.8, 0.5))
    seen = [
        paint(filled(shares=(100,), dust=dose), tones, "above", px=SMALL)[80:160, 70:150].mean()
        for dose in (0.0, 0.2, 0.5, 1.5)
    ]
    assert seen == sorted(seen)
    assert seen[1] > seen[0] + 5


def test_an_unknown_powder_only_lightens():
    lifted = palette.veil(decode([PLUM, CREAM]), None)
    assert (lifted >= decode([PLUM, CREAM])).all()
    assert lifted[0] / decode(PLUM) == pytest.approx(np.full(3, lifted[0, 0] / decode(PLUM)[0]))


def test_new_colours_keep_the_masks_and_the_same_design_gives_the_same_bytes():
    layout = filled(kind="helix", top="star")
    first = paint(layout, coloured(TEAL, CREAM), px=SMALL)
    kept = front_planes(layout)
    paint(layout, coloured(PLUM, WHITE), px=SMALL)
    assert front_planes(layout) is kept
    for cached in (planes.front, scene.scene, texture.wall):
        cached.cache_clear()
    assert paint(layout, coloured(TEAL, CREAM), px=SMALL).tobytes() == first.tobytes()


def test_a_white_ground_and_unknown_words():
    layout, tones = filled(), coloured(TEAL, CREAM)
    assert (border(paint(layout, tones, ground="white", px=SMALL)) == 255).all()
    for wrong in ({"view": "below"}, {"mode": "neon"}, {"ground": "sky"}):
        with pytest.raises(UnknownName):
            paint(layout, tones, px=SMALL, **wrong)
    with pytest.raises(OutOfRange):
        paint(layout, tones, px=(20, 20))


def test_all_codes_survive_the_encoding_table():
    every = np.arange(256)
    assert (light.to_codes(decode(every / 255).astype(np.float32)) == every).all()


def test_jpeg_keeps_the_panel_and_flat_tones_within_one_code():
    layout = filled(kind="layers", wave_mm=0.0)
    for pair in PAIRS.values():
        picture = paint(layout, coloured(*pair), "wall", 0, "flat", (420, 260))
        read = np.asarray(Image.open(BytesIO(encode(picture, "jpeg")))).astype(int)
        assert np.abs(border(read) - PANEL).max() <= 1
        for tone, rows in zip(pair, (np.s_[85:105], np.s_[135:150]), strict=True):
            patch = read[rows, 60:360]
            assert (picture[rows, 60:360] == codes(tone)).all()
            assert np.abs(np.median(patch, axis=(0, 1)) - codes(tone)).max() <= 1


def test_png_is_exact():
    picture = paint(filled(), coloured(TEAL, CREAM), px=SMALL)
    assert np.array_equal(np.asarray(Image.open(BytesIO(encode(picture)))), picture)
    with pytest.raises(UnknownName):
        encode(picture, "gif")


def test_halves_take_one_side_of_each():
    layout = filled(kind="helix")
    now, later = (paint(layout, coloured(*pair), px=SMALL) for pair in ((TEAL, CREAM), (PLUM, COAL)))
    joined = halves(now, later)
    middle = SMALL[0] // 2
    assert np.array_equal(joined[:, : middle - 2], now[:, : middle - 2])
    assert np.array_equal(joined[:, middle + 2 :], later[:, middle + 2 :])
    assert (joined[:, middle] == PANEL).all()
    with pytest.raises(OutOfRange):
        halves(now, later[:, :-2])


def test_the_unrolled_wall_counts_the_shares():
    """Pixels of each tone on the flat rolled-out wall against the shares, within 1 %."""
    for kind in ("layers", "wedges", "helix"):
        layout = filled(kind=kind, shares=(20, 30, 50))
        form = taken("wall", layout, flat=True, px=(700, 320))
        counted = form.gains[1:].sum(axis=(1, 2))
        assert 100 * counted / counted.sum() == pytest.approx([20, 30, 50], rel=0.01)


@pytest.mark.parametrize(("radius", "height"), [(5.0, 400.0), (34.0, 60.0), (150.0, 5.0)])
def test_the_foam_of_no_jar_has_more_cells_than_a_picture_can_show(radius, height):
    """At 5 mm and 400 mm its cells would be 10 million, and the first picture take many seconds."""
    drawn = texture.wall(radius, height)
    rows, columns = drawn.shade.shape
    assert columns <= 900
    assert rows <= 1530
    assert columns * drawn.cell == pytest.approx(2 * np.pi * radius)
    assert rows * drawn.cell >= height


@settings(max_examples=15)
@given(
    shares=st.lists(st.sampled_from([0.0, 0.001, 5.0, 50.0, 100.0]), min_size=1, max_size=6),
    kind=st.sampled_from(ARRANGEMENTS),
    top=st.sampled_from(TOPS),
    inner=st.sampled_from([10.0, 60.0, 300.0]),
    wall=st.sampled_from([-5.0, 0.0, 3.0]),
    height=st.sampled_from([5.0, 80.0, 400.0]),
    headspace=st.sampled_from([0.0, 100.0]),
    view=st.sampled_from(sorted(painter.VIEWS)),
    mode=st.sampled_from(painter.MODES),
    px=st.sampled_from([(64, 64), (200, 90), (90, 200)]),
)
def test_whatever_is_typed_is_drawn_inside_its_panel(
    shares, kind, top, inner, wall, height, headspace, view, mode, px
):
    made = design(kind=kind, shares=tuple(shares), top=top, dust=0.3)
    jar = replace(
        JAR["j180-70"],
        inner_mm=inner,
        outer_mm=min(max(inner + wall, 10.0), 300.0),
        height_mm=height,
        headspace_mm=headspace,
    )
    filled_jar = layout(made, jar, {})
    for seen in ("wall_pct", "picture_pct", "above_pct"):
        assert sum(getattr(tone, seen) for tone in filled_jar.tones) == pytest.approx(100, abs=0.01)
    tones = coloured(*[TEAL] * len(shares), fade=True)
    assert (border(paint(filled_jar, tones, view, 33.0, mode, px)) == PANEL).all()

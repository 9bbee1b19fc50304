"""Pictures to take away: without a ground, with a lid, turning, in a row; and the wipe against a photo."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from blendlab.errors import OutOfRange
from blendlab.jar import (
    Band,
    encode,
    layout,
    light,
    paint,
    painter,
    row,
    scene,
    shrunk,
    strip,
    texture,
    turning,
    wipe,
)
from blendlab.jar.vessel import extent
from blendlab.recipe import ARRANGEMENTS
from tests.jar.jar_kit import COAL, CREAM, JAR, PLUM, SMALL, TEAL, WHITE, coloured, design, filled
from tests.jar.test_jar_pictures import PANEL, codes, front_planes, taken


def over(picture, code):
    """A picture without ground laid over a grey as viewers do it: in coded values."""
    alpha = picture[..., 3:].astype(float) / 255
    return picture[..., :3] * alpha + code * (1 - alpha)


@pytest.mark.parametrize("view", ["front", "above", "cut"])
@pytest.mark.parametrize(("code", "ground"), [(PANEL, "panel"), (255, "white")])
def test_without_a_ground_it_is_the_same_over_that_ground(view, code, ground):
    layout_, tones = filled(kind="helix", top="star"), coloured(TEAL, CREAM)
    free = paint(layout_, tones, view, px=SMALL, ground="none")
    opaque = paint(layout_, tones, view, px=SMALL, ground=ground)
    assert free.shape[2] == 4
    assert (free[0, :, 3] == 0).all()
    apart = np.abs(over(free, code) - opaque)
    assert apart.max() <= 8  # edges of a colour, where light is blended and viewers blend codes
    assert np.mean(apart > 2.5) < 0.01


def test_content_is_opaque_and_glass_is_not():
    free = paint(filled(kind="layers"), coloured(TEAL, CREAM), px=SMALL, ground="none")
    assert (free[150:170, 90:130, 3] == 255).all()
    partly = (free[..., 3] > 5) & (free[..., 3] < 250)
    assert partly.sum() > 500
    read = np.asarray(Image.open(BytesIO(encode(free, "png", "a jar"))))
    assert np.array_equal(read, free)


def test_words_travel_in_the_file():
    file = Image.open(BytesIO(encode(paint(filled(), coloured(TEAL, CREAM), px=SMALL), "png", "halves of x")))
    assert file.text["Description"] == "halves of x"
    assert "srgb" in file.info


@pytest.mark.parametrize("kind", ["layers", "wedges", "helix", "chord", "marble"])
def test_wall_shares_by_counting_pixels(kind):
    """Pixels of the flat rolled-out wall against the share that is told, within 1 %."""
    made = filled(kind=kind, shares=(30, 70))
    counted = taken("wall", made, flat=True, px=(900, 400)).gains[1:].sum(axis=(1, 2))
    told = [tone.wall_pct for tone in made.tones]
    assert 100 * counted / counted.sum() == pytest.approx(told, rel=0.01, abs=0.05)


def test_rough_edges_leave_the_shares_of_the_wall():
    made = filled(kind="helix", shares=(30, 70))
    rough, smooth = (taken("wall", made, flat=flat, px=(700, 320)).gains[1:] for flat in (False, True))
    foamy, plain = (plane.sum(axis=(1, 2)) / plane.sum() for plane in (rough, smooth))
    assert foamy == pytest.approx(plain, abs=0.006)


def test_texture_leaves_the_mean_colour():
    """Mean linear light of a single tone on the rolled-out wall, with foam and without, within 0.2 %."""
    made = filled(shares=(100,))
    with_foam, without = (
        taken("wall", made, flat=flat, px=(700, 320)).gains[1].sum() for flat in (False, True)
    )
    assert with_foam == pytest.approx(without, rel=2e-3)
    assert float(texture.wall(33.75, 51.0).shade.mean(dtype=float)) == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize("kind", ARRANGEMENTS)
def test_two_tones_alike_are_drawn_as_one(kind):
    """No edge is drawn darker to make a difference that is not there."""
    pair = paint(filled(kind=kind, shares=(50, 50)), coloured(TEAL, TEAL, fade=True), px=SMALL)
    alone = paint(filled(shares=(100,)), coloured(TEAL), px=SMALL)
    assert np.abs(pair.astype(int) - alone).max() <= 2


def test_outside_the_box_there_is_only_ground():
    form = front_planes(filled(kind="wedges", top="star"))
    picture = paint(filled(kind="wedges", top="star"), coloured(TEAL, CREAM), px=SMALL)
    box = np.zeros(SMALL[::-1], bool)
    box[form.rows, form.columns] = True
    assert np.array_equal(picture[~box], form.canvas[~box])
    rim = [form.rows.start, form.rows.stop - 1]
    assert np.abs(picture[rim].astype(int) - form.canvas[rim]).max() <= 1


def test_a_cut_shows_the_core():
    made = filled(kind="core", shares=(25, 75), core_height=0.7)
    front, opened = (paint(made, coloured(PLUM, CREAM), view, 0, "flat", SMALL) for view in ("front", "cut"))
    assert not (front == codes(PLUM)).all(axis=2).any()
    assert (opened == codes(PLUM)).all(axis=2).sum() > 3000
    core = (opened == codes(PLUM)).all(axis=2).any(axis=0).sum() / (opened == codes(CREAM)).all(axis=2).any(
        axis=0
    ).sum()
    assert core == pytest.approx(np.sqrt(0.25 / 0.7), abs=0.02)  # radius of the core over that of the jar


def test_a_flat_lid_hides_the_top_and_a_domed_one_does_not():
    glass = JAR["j180-70"]
    for kind, seen in (("flat", False), ("domed", True)):
        made = design(kind="layers", shares=(100,), top="star")
        lidded = layout(made, replace(glass, lid=kind, lid_inner_mm=22.0), {})
        picture = paint(lidded, coloured(PLUM), px=SMALL, lid=True)
        form = scene.scene(painter.vessel(lidded, True), SMALL, PANEL)
        rim = int(np.argmin(np.abs(form.v - lidded.jar.height_mm))) + form.rows.start
        redness = picture[:rim, :, 0].astype(int) - picture[:rim, :, 1]
        assert bool(redness.max() > 20) is seen
        edges = np.concatenate([picture[0], picture[-1], picture[:, 0], picture[:, -1]])
        assert (edges == PANEL).all()


def test_dry_content_stops_before_the_wall():
    wet, dry = (paint(filled(shares=(100,)), coloured(COAL), px=SMALL, dry=film) for film in (False, True))
    line = 170
    dark = [(picture[line].max(axis=1) < 80).sum() for picture in (wet, dry)]
    assert dark[1] < dark[0]


def test_a_turntable_goes_round_once():
    seen = []
    made = turning(
        filled(kind="wedges"),
        coloured(TEAL, CREAM),
        6,
        SMALL,
        progress=lambda done, all_: seen.append((done, all_)),
    )
    film = Image.open(BytesIO(made))
    assert (film.n_frames, film.info["loop"], film.size) == (6, 0, SMALL)
    assert seen == [(number, 6) for number in range(1, 7)]
    frames = []
    for number in range(6):
        film.seek(number)
        frames.append(np.asarray(film.convert("RGB")).astype(int))
    for frame, following in zip(frames, [*frames[1:], frames[0]], strict=True):
        assert np.abs(frame - following).max() > 40
    with pytest.raises(OutOfRange):
        turning(filled(), coloured(TEAL, CREAM), 0)


def test_a_row_has_one_scale_and_one_base_line():
    tones = coloured(COAL)
    jars = [(filled(shares=(100,), jar=jar), tones, 0.0) for jar in ("j120-70", "j120-58", "j240-89")]
    picture = row(jars, 400)
    widths, floors, left = [], [], 0
    scale = 0.74 * 400 / max(np.subtract(*extent(painter.vessel(made))[::-1]) for made, _, _ in jars)
    for made, _, _ in jars:
        width = round(2 * made.solid.outer * 1.35 * scale)
        part = picture[:, left : left + width]
        dark = part.max(axis=2) < 60
        widths.append(dark.any(axis=0).sum() / (2 * made.solid.outer))
        floors.append(np.flatnonzero((part != PANEL).any(axis=2).any(axis=1))[-1])
        left += width
    assert left == picture.shape[1]
    assert widths == pytest.approx([widths[0]] * 3, rel=0.01)
    assert widths == pytest.approx([scale] * 3, rel=0.06)  # the limbs of the glass reflect
    assert max(floors) - min(floors) <= 0.02 * 400
    assert (picture[:, 0] == PANEL).all()
    assert row(jars[:1], 200, ground="none").shape[2] == 4
    with pytest.raises(OutOfRange):
        row([], 400)


def test_the_strip_is_exact():
    bands = [
        Band("a", (140, 200, 190), (90, 163, 160), (50, 130, 130), 3.1),
        Band("a very long name " * 4, *[(1, 2, 3)] * 3),
    ]
    picture = strip(bands, 700, 36)
    for band, y in zip(bands, (50, 92), strict=True):
        found = {tuple(code) for code in picture[y].tolist()}
        assert {band.weak, band.likely, band.strong} <= found
    likely = (picture[50] == bands[0].likely).all(axis=1).sum()
    weak = (picture[50] == bands[0].weak).all(axis=1).sum()
    assert likely == pytest.approx(2 * weak, abs=2)
    touching = np.flatnonzero((picture[50] == bands[0].likely).all(axis=1))
    assert tuple(picture[50, touching[0] - 1]) == bands[0].weak
    assert tuple(picture[50, touching[-1] + 1]) == bands[0].strong


def test_smaller_pictures_keep_the_mean_of_light():
    chequer = np.indices((8, 8)).sum(axis=0) % 2 * 255
    small = shrunk(np.repeat(chequer[..., None], 3, axis=2).astype(np.uint8), 2)
    assert (small == light.to_codes(np.float32(0.5))).all()


def test_a_photo_is_laid_over_the_predicted_jar():
    """The predicted picture taken as the photo, moved and scaled: laid over itself it fits."""
    made, tones = filled(kind="helix"), coloured(COAL, WHITE)
    predicted = paint(made, tones, px=SMALL)
    target = wipe.outline(made, SMALL)
    wide = Image.fromarray(predicted).resize((SMALL[0] * 2, SMALL[1] * 2), Image.Resampling.BICUBIC)
    photo = np.full((600, 560, 3), PANEL, np.uint8)
    photo[60 : 60 + SMALL[1] * 2, 40 : 40 + SMALL[0] * 2] = np.asarray(wide)
    marked = wipe.Outline(*(2 * edge + shift for edge, shift in zip(target, (40, 60, 40, 60), strict=True)))
    moved = wipe.laid_over(photo, marked, target, SMALL)
    assert np.median(np.abs(moved.astype(int) - predicted)) <= 2
    dark = (predicted.max(axis=2) < 70).any(axis=0)
    assert np.flatnonzero(dark)[0] == pytest.approx(target.left, abs=3)
    assert np.flatnonzero(dark)[-1] == pytest.approx(target.right, abs=3)
    joined = wipe.wiped(predicted, moved, 0.25)
    at = round(0.25 * SMALL[0])
    assert np.array_equal(joined[:, : at - 1], predicted[:, : at - 1])
    assert np.array_equal(joined[:, at + 1 :], moved[:, at + 1 :])
    with pytest.raises(OutOfRange):
        wipe.wiped(predicted, moved, 1.5)
    with pytest.raises(OutOfRange):
        wipe.laid_over(photo, wipe.Outline(5, 5, 6, 90), target, SMALL)

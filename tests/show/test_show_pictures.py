"""Pictures of judged designs: what is drawn, what is beside it in words, and what cannot be drawn."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from blendlab import photo, recipe
from blendlab.assess import assess
from blendlab.errors import UnknownName
from blendlab.facts.demo import demo_shelf
from blendlab.jar import light, wipe
from blendlab.recipe import Dust, Ref
from blendlab.show import (
    jar_rows,
    photo_halves,
    pictures,
    shelf_pictures,
    thumbnails,
    tone_strips,
    views,
)  # fmt: skip
from blendlab.tint import see

DAY = date(2026, 3, 7)
PX = (150, 160)


def again(assessed, **change):
    return assess(replace(assessed.design, **change), demo_shelf(), DAY)


def size(data: bytes) -> tuple[int, int]:
    return Image.open(BytesIO(data)).size


def test_what_has_no_jar_is_not_drawn_but_answered(bare):
    for ask in (pictures.drawable, pictures.in_place, views.picture, pictures.describe, thumbnails.tops):
        with pytest.raises(UnknownName, match="jar or base"):
            ask(bare)
    assert pictures.caption(bare) == ""


def test_every_side_has_its_size_and_its_words(lagoon):
    for view, (w, h) in views.SIDES.items():
        assert views.picture(lagoon, view, (w // 5, h // 5)).shape == (h // 5, w // 5, 3)
        said = pictures.describe(lagoon, view)
        assert all(tone.name in said for tone in lagoon.design.tones) or view == "cut"
    measured = [judged.tint.known == "measured" for judged in lagoon.tones]
    assert ("measured" if all(measured) else "estimated") in pictures.describe(lagoon)


def test_dust_is_said_by_its_name(lagoon):
    gold = Ref(kind="pigment", id="mica_white")
    dusted = again(lagoon, top=replace(lagoon.design.top, dust=Dust(pigment=gold)))
    name = demo_shelf().find(gold).name
    assert name in pictures.describe(dusted)
    plain = again(lagoon, top=replace(lagoon.design.top, dust=None))
    assert name not in pictures.describe(plain)
    assert not np.array_equal(views.picture(dusted, "above", PX), views.picture(plain, "above", PX))
    gone = again(lagoon, top=replace(lagoon.design.top, dust=Dust(pigment=Ref(kind="pigment", id="gone"))))
    assert np.array_equal(views.picture(gone, "above", PX), views.picture(plain, "above", PX))


def test_the_caption_says_grams_and_volume_and_what_is_left_and_right(lagoon):
    said = pictures.caption(lagoon)
    for tone in lagoon.layout.tones:
        assert f"{tone.name} {tone.grams:.0f} g" in said
    assert f"{lagoon.layout.fill_ml + lagoon.layout.top_ml:.0f} ml in the jar." in said
    assert "rule of thumb" not in said
    aged = pictures.caption(again(lagoon, weeks=12.0))
    assert aged.endswith("Left fresh, right after 12 weeks, rule of thumb.")


def test_weeks_on_the_shelf_show_fresh_beside_aged(line):
    """Vanillin browns the aged half; the fresh half is the fresh jar, pixel by pixel."""
    scented = max(line, key=lambda assessed: assessed.vanillin_pct or 0)
    assert scented.vanillin_pct
    fresh, aged = again(scented, weeks=0.0), again(scented, weeks=26.0)
    now, both = views.picture(fresh, px=PX), views.picture(aged, px=PX)
    half = PX[0] // 2 - 3
    assert np.array_equal(both[:, :half], now[:, :half])
    changed = both[:, half + 6 :].astype(int) - now[:, half + 6 :]
    assert changed[..., 2].sum() < 0  # less blue: browner
    from_above = views.picture(aged, "above", PX)
    assert not np.array_equal(from_above, views.picture(fresh, "above", PX))
    sunk = again(scented, weeks=26.0, view=replace(scented.design.view, sunk_mm=6.0))
    assert not np.array_equal(views.picture(sunk, px=PX)[:, half + 6 :], both[:, half + 6 :])
    assert np.array_equal(views.picture(sunk, px=PX)[:, :half], now[:, :half])


def test_weak_is_paler_than_likely_and_strong_is_deeper(lagoon):
    weak, likely, strong = (views.shifted(lagoon, end, px=PX).mean() for end in ("weak", "likely", "strong"))
    assert weak > likely > strong
    assert np.array_equal(views.shifted(lagoon, "likely", px=PX), views.picture(lagoon, px=PX))


def test_a_still_carries_its_words_and_its_size(lagoon):
    data, said = views.still(lagoon, "above", 1)
    held = Image.open(BytesIO(data))
    assert held.size == views.SIDES["above"]
    assert held.text["Description"] == f"{said} Design {lagoon.design.id}."


def test_for_the_screen_a_view_is_a_jpeg(lagoon):
    assert views.encoded(lagoon, "front", PX)[:2] == b"\xff\xd8"


def test_the_turntable_goes_round_and_tells_how_far_it_is(lagoon):
    told = []
    data = views.turntable(lagoon, lambda done, total: told.append((done, total)), frames=3)
    assert Image.open(BytesIO(data)).n_frames == 3
    assert told[-1] == (3, 3)


# --- rows, strips, thumbnails -------------------------------------------------------------------------


def test_jars_stand_in_a_row_at_one_scale_and_in_one_light(line):
    drawn = jar_rows.row(line, 120)
    assert drawn.shape[0] == 120
    assert drawn.shape[1] > 2 * jar_rows.row(line[:1], 120).shape[1]
    said = jar_rows.row_words(line)
    assert said.startswith("3 jars in a row at one scale: ")
    assert all(assessed.design.name in said for assessed in line)


def test_beside_each_other_all_stand_in_the_lamp_of_the_first(lagoon):
    evening = again(lagoon, view=replace(lagoon.design.view, lamp="A"))
    assert not np.array_equal(jar_rows.row([evening], 160), jar_rows.row([lagoon], 160))
    pair = jar_rows.side_by_side([lagoon, evening], 160)
    assert np.array_equal(pair, jar_rows.side_by_side([lagoon, lagoon], 160))
    assert not np.array_equal(pair, jar_rows.side_by_side([evening, lagoon], 160))


def test_the_strip_holds_the_colours_of_every_tone_exactly(lagoon):
    drawn = tone_strips.strip(lagoon, 400)
    said = tone_strips.strip_words(lagoon)
    for judged in lagoon.tones:
        for shade in (judged.weak, judged.seen, judged.strong):
            rgb = [int(shade.hex[at : at + 2], 16) for at in (1, 3, 5)]
            assert (drawn == rgb).all(-1).sum() > 50
            assert shade.hex in said
        assert f"spread Delta E {judged.spread.delta_e00:.1f}" in said


def test_every_arrangement_and_every_top_has_its_small_picture(lagoon):
    found = {**thumbnails.arrangements(lagoon), **thumbnails.tops(lagoon)}
    assert set(found) == {*recipe.ARRANGEMENTS, *recipe.TOPS}
    assert {size(data) for data in found.values()} == {thumbnails.THUMB}
    assert len(set(found.values())) > len(found) / 2


def test_another_arrangement_has_a_turn_of_its_own(lagoon):
    turns = [thumbnails.turn_of(lagoon, kind) for kind in recipe.ARRANGEMENTS]
    assert all(0 <= turn < 360 for turn in turns)


# --- the shelf, a photo -------------------------------------------------------------------------------


def test_a_jar_of_the_shelf_is_shown_filled_with_white():
    for glass in demo_shelf().of("jar"):
        data, said = shelf_pictures.plain_jar(glass, (70, 70))
        assert size(data) == (70, 70)
        assert "white" in said


def test_a_pigment_alone_is_paler_weak_and_deeper_strong():
    base, blue = demo_shelf().today("base", "soap-white"), demo_shelf().today("pigment", "ultramarine_blue")
    weak, likely, strong = shelf_pictures.pigment_swatch(blue, base, 0.5)
    light_of = [sum(int(code[at : at + 2], 16) for at in (1, 3, 5)) for code in (weak, likely, strong)]
    assert light_of == sorted(light_of, reverse=True)
    assert likely not in (weak, see(np.full(31, 0.9)).hex)


def test_a_photo_without_a_card_keeps_its_own_light(lagoon):
    """The photo is the prediction itself, darkened: without a card it stays dark, with one it comes back."""
    from blendlab.tint.appearance import decode

    px = (190, 175)
    drawn = views.picture(lagoon, px=px)
    drawn[:20, :20] = light.to_codes(np.float32(0.18))
    dim = light.to_codes((decode(drawn / 255.0) * 0.5).astype(np.float32))
    held = BytesIO()
    Image.fromarray(dim).save(held, "PNG")
    box = wipe.outline(pictures.drawable(lagoon), px)
    marked = photo.Box(
        box.left / 190, box.top / 175, (box.right - box.left) / 190, (box.bottom - box.top) / 175
    )
    card = photo.Box(0, 0, 20 / 190, 20 / 175)
    dark = photo_halves.beside_photo(lagoon, held.getvalue(), marked, 0.0, px=px)
    bright = photo_halves.beside_photo(lagoon, held.getvalue(), marked, 0.0, card, px)
    predicted = photo_halves.beside_photo(lagoon, held.getvalue(), marked, 1.0, card, px)
    wall = np.s_[100:140, 60:130]
    assert np.abs(bright[wall].astype(int) - predicted[wall]).mean() < 4
    assert dark[wall].mean() < 0.85 * predicted[wall].mean()

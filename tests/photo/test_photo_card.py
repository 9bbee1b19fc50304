"""Patches on a picture with a card, a base, a chart: made with known colours, found again."""

import numpy as np
import pytest
from picture_kit import box, file_of, linear_of, scene

from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases, starter
from blendlab.photo import BadPicture, Box, Marks, Refused, measure, open_picture
from blendlab.photo.chart import reference
from blendlab.tint import delta_e_2000, mix
from blendlab.tint.appearance import SRGB_WHITE, lab_to_xyz, xyz_to_linear
from blendlab.tint.kubelka_munk import reflectance
from blendlab.tint.spectra import lab_of

BASE = reflectance(np.array(bases()[0].k0))
RED = starter("iron_oxide_red")
SWATCH = mix([0.3], np.array([RED.k]), np.array([RED.s]), bases()[0].k0, bases()[0].s0)[2]
GREY = np.full(3, 0.18)
TINTED = (0.95, 0.85, 0.6)
"""A warm light: blue at 63 % of red."""


def three(light=TINTED, exposure=0.9, **more):
    """Card, base, swatch beside each other."""
    patches = [exposure * GREY, exposure * linear_of(BASE), exposure * linear_of(SWATCH)]
    return open_picture(file_of(scene(patches, light, **more)))


def marks(**more):
    return Marks(**{"swatches": {"red": box(2, 3)}, "card": box(0, 3), **more})


def test_a_card_takes_light_and_exposure_out():
    """Second route: the Lab of the spectrum that was painted; 8 bit cost a few tenths."""
    for exposure in (0.4, 0.7, 0.95):
        found = measure(three(exposure=exposure), marks()).swatches["red"]
        assert float(delta_e_2000(found.lab, lab_of(SWATCH))) < 1.0
        assert found.hex.startswith("#")


def test_without_a_card_the_same_patch_would_be_far_off():
    raw = three().patch(box(2, 3)).mean(axis=(0, 1))
    from blendlab.tint.appearance import linear_to_xyz, xyz_to_lab

    assert float(delta_e_2000(xyz_to_lab(linear_to_xyz(raw), SRGB_WHITE), lab_of(SWATCH))) > 8


def test_grain_is_averaged_out():
    found = measure(three(noise=0.04), marks()).swatches["red"]
    assert float(delta_e_2000(found.lab, lab_of(SWATCH))) < 1.2


def test_a_card_alone_leaves_hue_unchecked_and_says_so():
    found = measure(three(), marks())
    assert not found.hue_checked
    assert found.error == 3
    assert any("Hue unchecked" in note for note in found.notes)
    assert found.base_apart is None


def test_the_base_in_the_picture_is_checked_and_used():
    found = measure(three(), marks(base=box(1, 3)), BASE)
    assert found.base_apart < 1
    assert float(delta_e_2000(found.swatches["red"].lab, lab_of(SWATCH))) < 0.6


def test_a_wrong_card_shows_on_the_base():
    with pytest.raises(Refused, match=r"The base in the picture lies Delta E"):
        measure(three(exposure=0.8), marks(card_share=0.25, base=box(1, 3)), BASE)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"light": (1, 1, 1), "exposure": 1.2}, "clipped"),
        ({"exposure": 0.1}, "too dark"),
        ({"gradient": 0.5}, "uneven"),
    ],
)
def test_what_cannot_be_measured_is_refused_with_its_reason(more, words):
    with pytest.raises(Refused, match=words) as told:
        measure(three(**more), marks())
    assert told.value.reasons
    assert all(reason.endswith(".") for reason in told.value.reasons)


def coded(swatch):
    """A grey card at 18 % beside a swatch of given sRGB codes, shape (120, 120, 3) or one colour."""
    card = np.full((120, 120, 3), 118, np.uint8)
    return open_picture(
        file_of(np.concatenate([card, np.broadcast_to(swatch, card.shape)], axis=1).astype(np.uint8))
    )


def red_of(picture):
    return measure(picture, Marks({"red": box(1, 2)}, card=box(0, 2))).swatches["red"]


@pytest.mark.parametrize("channel", range(3))
def test_one_clipped_channel_is_enough_to_refuse_and_a_code_below_is_not(channel):
    """97 % of linear light lies between the codes 251 (0.965) and 252 (0.973) of sRGB, IEC 61966-2-1."""
    swatch = np.array([120, 120, 120])
    swatch[channel] = 251
    assert red_of(coded(swatch)).linear[channel] == pytest.approx(0.965 * 0.18 / 0.181, rel=2e-3)
    swatch[channel] = 252
    with pytest.raises(Refused, match=r"The swatch red is clipped \(97 % of full light\); expose less"):
        red_of(coded(swatch))


@pytest.mark.parametrize(("share", "refused"), [(0.01, False), (0.04, True)])
def test_glints_on_a_few_pixels_are_let_pass_and_on_many_are_not(share, refused):
    """One pixel in fifty may be clipped: dust and glints on a dry swatch."""
    glints = np.random.default_rng(3).random((120, 120, 1)) < share
    picture = coded(np.where(glints, 255, 190))
    if refused:
        with pytest.raises(Refused, match="clipped"):
            red_of(picture)
    else:
        assert red_of(picture).uneven_pct < 3


def test_every_reason_is_told_at_once():
    with pytest.raises(Refused) as told:
        measure(three(light=(1.6, 1, 0.1)), marks())
    assert len(told.value.reasons) >= 2


def test_two_cards_see_the_gradient_and_take_it_out():
    def across(gradient):
        patches = [GREY, linear_of(SWATCH), GREY]
        picture = open_picture(
            file_of(scene([0.9 * patch for patch in patches], gradient=gradient, side=100))
        )
        return measure(
            picture,
            Marks({"red": box(1, 3, 0.4)}, card=box(0, 3, 0.4), second_card=box(2, 3, 0.4)),
        )

    found = across(0.05)
    assert 2 < found.gradient_pct < 5
    assert float(delta_e_2000(found.swatches["red"].lab, lab_of(SWATCH))) < 0.8
    with pytest.raises(Refused, match="between the two cards"):
        across(0.12)


def chart_picture(turned=0, matrix=None, light=(0.9, 0.85, 0.7)):
    patches = xyz_to_linear(lab_to_xyz(reference(), SRGB_WHITE)).reshape(4, 6, 3)
    camera = np.eye(3) if matrix is None else matrix
    grid = np.kron(np.clip(patches @ camera.T, 0, None) * light, np.ones((40, 40, 1)))
    grid = np.rot90(grid, turned)
    swatch = np.tile(np.clip(linear_of(SWATCH) @ camera.T, 0, None) * light, (*grid.shape[:1], 80, 1))
    from blendlab.tint.appearance import encode

    whole = np.concatenate([grid, swatch], axis=1)
    picture = open_picture(file_of(np.round(255 * encode(np.clip(whole, 0, 1))).astype(np.uint8)))
    share = grid.shape[1] / whole.shape[1]
    return picture, Marks({"red": Box(share + 0.02, 0.3, 0.9 * (1 - share), 0.4)}, chart=Box(0, 0, share, 1))


CAMERA = np.array([[0.9, 0.15, -0.05], [0.1, 0.8, 0.1], [0.0, 0.12, 0.88]])
"""A camera whose channels look into one another."""


@pytest.mark.parametrize("turned", [0, 1, 2, 3])
def test_a_chart_takes_the_hues_of_the_camera_out_however_it_lies(turned):
    picture, marked = chart_picture(turned, CAMERA)
    found = measure(picture, marked)
    assert found.hue_checked
    assert found.error < 3
    assert float(delta_e_2000(found.swatches["red"].lab, lab_of(SWATCH))) < 1.5


def test_a_card_cannot_do_what_the_chart_does():
    picture, marked = chart_picture(0, CAMERA)
    neutral = Box(3.1 / 8, 0.8, 0.08, 0.1)
    plain = measure(picture, Marks(marked.swatches, card=neutral, card_share=0.2))
    assert float(delta_e_2000(plain.swatches["red"].lab, lab_of(SWATCH))) > 2.5


def test_a_mark_that_is_no_chart_is_told():
    picture = three()
    with pytest.raises(BadPicture, match="does not look like 24 patches"):
        measure(picture, Marks({"red": box(2, 3)}, chart=Box(0, 0, 1, 1)))


def test_marks_that_make_no_sense_are_answered():
    picture = three()
    with pytest.raises(BadPicture, match="no scale"):
        measure(picture, Marks({"red": box(2, 3)}))
    with pytest.raises(BadPicture, match="covers"):
        measure(picture, marks(card=Box(0.1, 0.1, 0.01, 0.01)))
    with pytest.raises(OutOfRange):
        measure(picture, marks(card_share=0.0))
    for wrong in ((1.2, 0, 0.1, 0.1), (0.5, 0, 0.6, 0.1), (0, 0, 0, 0.1), (-0.1, 0, 0.5, 0.5)):
        with pytest.raises(OutOfRange):
            Box(*wrong)


def test_the_chart_table_is_derived_again(colour):
    """Second route: the spectra ISO 17321-1 prints, through colour-science."""
    from blendlab.facts.derive import chart
    from blendlab.facts.read import parse, table

    again = parse("chart24.csv", "\n".join(chart.rows()))
    assert [dict(row) for row in again] == [dict(row) for row in table("tint/chart24")]

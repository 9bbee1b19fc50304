"""Lamps, observers, eyes and screens, with colour-science as the second route."""

import ast
import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blendlab.errors import BadNumber, OutOfRange, UnknownName
from blendlab.facts.derive import vision as derive_vision
from blendlab.shelf import resolve
from blendlab.tint import EYES, LAMPS, appearance, bulk, delta_e_2000, mix, see, spectra, vision

OBSERVERS = {2: "CIE 1931 2 Degree Standard Observer", 10: "CIE 1964 10 Degree Standard Observer"}
RNG = np.random.default_rng(20)
ROUGH = RNG.uniform(0.05, 0.95, (12, 31))
SMOOTH = 0.5 + 0.4 * np.sin(np.linspace(0, 3, 31) * RNG.uniform(0.5, 2, (12, 1)) + RNG.uniform(0, 6, (12, 1)))
labs = st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))


@pytest.mark.parametrize("observer", OBSERVERS)
@pytest.mark.parametrize("lamp", LAMPS)
def test_xyz_agrees_with_the_astm_route(colour, lamp, observer):
    """Second route: colour.sd_to_XYZ by ASTM E308 on the same spectra; Lab by colour.XYZ_to_Lab."""
    seen = see(SMOOTH, lamp, observer)
    observing, shining = colour.MSDS_CMFS[OBSERVERS[observer]], colour.SDS_ILLUMINANTS[lamp]
    for xyz, R in zip(seen.xyz, SMOOTH, strict=True):
        values = dict(zip(range(400, 701, 10), R, strict=True))
        spectrum = colour.SpectralDistribution(values)
        with colour.utilities.suppress_warnings(colour_runtime_warnings=True):
            again = colour.sd_to_XYZ(spectrum, observing, shining)
        assert xyz == pytest.approx(again, abs=0.002)
    white = spectra.white_point(lamp, observer)
    again = colour.XYZ_to_Lab(seen.xyz / 100, colour.XYZ_to_xy(white / 100))
    assert seen.lab == pytest.approx(again, abs=0.001)


@pytest.mark.parametrize("observer", OBSERVERS)
@pytest.mark.parametrize("lamp", LAMPS)
def test_the_screen_is_adapted_by_cat16(colour, lamp, observer):
    """Second route: colour.adaptation.chromatic_adaptation_VonKries, then colour.XYZ_to_RGB."""
    seen = see(SMOOTH, lamp, observer)
    adapted = colour.adaptation.chromatic_adaptation_VonKries(
        seen.xyz / 100, spectra.white_point(lamp, observer) / 100, appearance.SRGB_WHITE, transform="CAT16"
    )
    again = adapted @ np.linalg.inv(appearance.matrix("srgb_to_xyz")).T
    assert seen.linear == pytest.approx(again, abs=1e-9)


@pytest.mark.parametrize("observer", OBSERVERS)
@pytest.mark.parametrize("lamp", LAMPS)
def test_a_perfect_white_is_white_under_every_lamp(lamp, observer):
    seen = see(np.ones(31), lamp, observer)
    assert seen.hex == "#ffffff"
    assert seen.lab == pytest.approx([100, 0, 0], abs=1e-4)
    assert bool(seen.in_gamut)


def test_oklab_and_its_polar_form_agree_with_colour_science(colour):
    xyz = see(SMOOTH).xyz / 100
    oklab = appearance.xyz_to_oklab(xyz)
    assert oklab == pytest.approx(colour.XYZ_to_Oklab(xyz), abs=1e-5)
    assert appearance.polar(oklab) == pytest.approx(colour.models.Oklab_to_Oklch(oklab), abs=1e-9)
    assert appearance.oklab_to_xyz(oklab) == pytest.approx(xyz, abs=1e-12)


def test_srgb_agrees_with_colour_science(colour):
    linear = np.linspace(0, 1, 101)
    assert appearance.encode(linear) == pytest.approx(colour.cctf_encoding(linear, function="sRGB"), abs=1e-7)
    assert appearance.decode(appearance.encode(linear)) == pytest.approx(linear, abs=1e-12)


def test_lab_agrees_with_colour_science_and_goes_back(colour):
    xyz = see(np.vstack([ROUGH, ROUGH * 0.004])).xyz
    white = spectra.white_point()
    lab = appearance.xyz_to_lab(xyz, white)
    assert lab == pytest.approx(colour.XYZ_to_Lab(xyz / 100, colour.XYZ_to_xy(white / 100)), abs=0.001)
    assert appearance.lab_to_xyz(lab, white) == pytest.approx(xyz, abs=1e-9)


def test_lab_of_the_screen_agrees_with_colour_science_and_goes_back(colour):
    linear = RNG.uniform(0, 1, (50, 3))
    lab = appearance.linear_to_lab(linear)
    again = colour.XYZ_to_Lab(appearance.linear_to_xyz(linear), colour.XYZ_to_xy(appearance.SRGB_WHITE))
    assert lab == pytest.approx(again, abs=1e-3)
    assert appearance.lab_to_linear(lab) == pytest.approx(linear, abs=1e-12)


@pytest.mark.parametrize("observer", OBSERVERS)
@pytest.mark.parametrize("lamp", LAMPS)
def test_lab_of_a_spectrum_is_what_is_seen_under_the_lamp(lamp, observer):
    assert spectra.lab_of(SMOOTH, lamp, observer) == pytest.approx(see(SMOOTH, lamp, observer).lab, abs=1e-12)


def test_every_code_comes_back_and_halves_go_up():
    every = np.arange(256)
    assert np.array_equal(appearance.codes(every / 255), every)
    assert appearance.codes([-0.1, 0.5 / 255, 1.5 / 255, 1.1]).tolist() == [0, 1, 2, 255]
    assert appearance.to_hex([1.5 / 255, 0.0, 2.0]) == "#0200ff"


@pytest.mark.parametrize(
    ("figures", "home"),
    [
        ({0.0031308, 0.04045, 12.92, 1.055}, "tint/appearance.py"),  # sRGB, IEC 61966-2-1
        ({116.0, 500.0, 6.0 / 29.0}, "tint/appearance.py"),  # Lab, CIE 15:2004
    ],
)
def test_a_law_of_colour_stands_in_one_place(figures, home):
    """Constants that no other law shares, found in the syntax trees; divisions of constants worked out."""
    package = Path(appearance.__file__).parents[1]
    homes = {
        path.relative_to(package).as_posix()
        for path in package.rglob("*.py")
        if len(figures & set(_constants(path))) >= 2
    }
    assert homes == {home}


def _constants(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        match node:
            case ast.Constant(value=float() | int() as value):
                yield float(value)
            case ast.BinOp(ast.Constant(value=float() as top), ast.Div(), ast.Constant(value=float() as by)):
                yield top / by


@settings(max_examples=150)
@given(labs, labs)
def test_ciede2000_agrees_with_colour_science_and_is_symmetric(colour, lab, other):
    ours = float(delta_e_2000(lab, other))
    assert ours == pytest.approx(float(colour.difference.delta_E_CIE2000(lab, other)), abs=1e-6)
    assert ours == pytest.approx(float(delta_e_2000(other, lab)), abs=1e-9)


@pytest.mark.parametrize("eye", derive_vision.NAMES)
def test_eyes_agree_with_the_published_matrices_and_lie_between_them(colour, eye):
    """Machado, Oliveira, Fernandes 2009, the tables as colour-science prints them."""
    printed = colour.blindness.CVD_MATRICES_MACHADO2010[derive_vision.NAMES[eye]]
    for severity, again in printed.items():
        assert vision.eye_matrix(eye, severity) == pytest.approx(np.array(again), abs=1e-6)
    half = (np.array(printed[0.4]) + np.array(printed[0.5])) / 2
    assert vision.eye_matrix(eye, 0.45) == pytest.approx(half, abs=1e-6)


@pytest.mark.parametrize("eye", EYES)
def test_grey_stays_grey_for_every_eye(eye):
    """Rows of the published matrices add up to 1."""
    assert see(np.full(31, 0.4), eye=eye).lab == pytest.approx(see(np.full(31, 0.4)).lab, abs=0.02)


def test_red_and_green_come_nearer_for_a_deutan_eye(make, shelf):
    from blendlab.tint import predict

    design = make({"Red": {"iron_oxide_red": 0.3}, "Green": {"chromium_oxide_green": 0.4}})
    red, green = (tint.R for tint in predict(resolve(design, shelf)).values())
    usual = float(delta_e_2000(see(red).lab, see(green).lab))
    deutan = float(delta_e_2000(see(red, eye="deutan").lab, see(green, eye="deutan").lab))
    assert usual > 20
    assert deutan < 5


def test_a_colour_beyond_the_screen_keeps_hue_and_lightness_and_is_marked():
    R = np.where((spectra.WAVELENGTHS > 480) & (spectra.WAVELENGTHS < 540), 0.95, 0.02)
    seen = see(R)
    assert not bool(seen.in_gamut)
    shown = appearance.polar(appearance.xyz_to_oklab(appearance.linear_to_xyz(appearance.decode(seen.srgb))))
    assert shown[0] == pytest.approx(seen.oklch[0], abs=0.03)
    assert (shown[2] - seen.oklch[2] + 180) % 360 - 180 == pytest.approx(0, abs=12)
    assert shown[1] < seen.oklch[1]


@settings(max_examples=80)
@given(st.lists(st.floats(-0.5, 1.5), min_size=3, max_size=3))
def test_whatever_the_colour_the_screen_gets_values_between_0_and_1(linear):
    srgb, fits = appearance.to_screen(linear)
    assert np.all((srgb >= 0) & (srgb <= 1))
    if bool(fits):
        assert appearance.decode(srgb) == pytest.approx(np.clip(linear, 0, 1), abs=1e-9)


def test_seeing_many_is_seeing_each():
    many = see(ROUGH.reshape(3, 4, 31), "A", 10, "protan")
    assert many.srgb.shape == (3, 4, 3)
    assert many.in_gamut.shape == (3, 4)
    alone = see(ROUGH[5], "A", 10, "protan")
    assert many.srgb[1, 1] == pytest.approx(alone.srgb)
    assert many.lab[1, 1] == pytest.approx(alone.lab)


def test_bulk_is_mix_and_see():
    rng = np.random.default_rng(5)
    c, k, s = rng.uniform(0, 1, (37, 3)), rng.uniform(0, 1, (3, 31)), rng.uniform(0, 0.1, (3, 31))
    k0, s0 = np.full(31, 0.006), np.ones(31)
    made, seen = bulk(c, k, s, k0, s0, chunk=10), see(mix(c, k, s, k0, s0)[2])
    assert made.lab == pytest.approx(seen.lab)
    assert appearance.polar(made.oklab)[:, 0] == pytest.approx(seen.oklch[:, 0])
    assert made.srgb == pytest.approx(appearance.encode(np.clip(seen.linear, 0, 1)))


def test_text_of_the_theme_can_be_read_on_its_grounds():
    """WCAG 2.2, 1.4.3: at least 4.5 to 1."""
    config = Path(appearance.__file__).parents[1] / "ui" / ".streamlit" / "config.toml"
    theme = tomllib.loads(config.read_text(encoding="utf-8"))["theme"]
    for mode in (theme["light"], theme["dark"]):
        for ground in ("backgroundColor", "secondaryBackgroundColor"):
            text, behind = (appearance.from_hex(mode[name]) for name in ("textColor", ground))
            assert appearance.contrast_ratio(text, behind) >= 4.5


@pytest.mark.parametrize("wrong", [{"lamp": "moon"}, {"observer": 5}, {"eye": "cat"}])
def test_an_unknown_lamp_observer_or_eye_answers_with_the_known_ones(wrong):
    with pytest.raises(UnknownName, match="known: "):
        see(np.ones(31), **wrong)


def test_severity_and_hex_are_checked():
    with pytest.raises(OutOfRange):
        vision.eye_matrix("protan", 1.5)
    for code in ("#12", "zzzzzz", ""):
        with pytest.raises(BadNumber):
            appearance.from_hex(code)
    assert appearance.to_hex(appearance.from_hex("#C08081")) == "#c08081"


def test_a_spectrum_on_other_wavelengths_is_brought_to_the_grid():
    fine = np.linspace(0.2, 0.9, 91)
    assert spectra.on_grid(fine, range(330, 781, 5)) == pytest.approx(fine[14:76:2])
    assert spectra.on_grid([0.3, 0.5], [450, 650])[[0, -1]].tolist() == [0.3, 0.5]
    with pytest.raises(OutOfRange):
        spectra.on_grid(fine, range(400, 701, 10))

"""Figures of the tint room worked out another way: lamps, eyes, recovered colours, edges of a spectrum."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from blendlab.facts.palette import bases, starter
from blendlab.shelf import Swatch, resolve
from blendlab.tint import delta_e_2000, mix, predict, recipe_search, see, spectra
from blendlab.tint.appearance import (
    SRGB_WHITE,
    decode,
    from_hex,
    linear_to_xyz,
    matrix,
    oklab_to_xyz,
    to_screen,
    xyz_to_linear,
    xyz_to_oklab,
)
from blendlab.tint.inconstancy import OTHERS, inconstancy
from blendlab.tint.look import Look
from blendlab.tint.measured_items import measured_pigment
from blendlab.tint.pair_findings import clarity, pair_findings
from blendlab.tint.readings import read_spectra
from blendlab.tint.recovery import NoSuchSpectrum, pigment_from_hex
from blendlab.tint.swatches import from_hex_code, from_photo, recovered

BASE_R = np.full(31, 0.9)
SMOOTH = 0.45 + 0.3 * np.sin(np.linspace(0.3, 4, 31))


def told_of(make, shelf, **spectra_of):
    """Findings on the pairs of a design whose tones have spectra of their own."""
    resolved = resolve(make({name: {} for name in spectra_of}), shelf)
    tints = {
        tone: replace(tint, R=R)
        for (tone, tint), R in zip(predict(resolved).items(), spectra_of.values(), strict=True)
    }
    return {finding.id: finding for finding in pair_findings(Look(resolved, tints))}


def hidden_from(lamp):
    """A difference of spectra that an eye does not see under a lamp: nothing of it is in its weights."""
    wave = np.sin(np.linspace(0, 9, 31))
    seen = spectra.weights(lamp)
    return wave - seen @ np.linalg.lstsq(seen, wave, rcond=None)[0]


@pytest.mark.parametrize(("lamp", "words"), [("A", "under a light bulb"), ("FL2", "fluorescent tube")])
def test_the_lamp_under_which_two_tones_meet_is_named(make, shelf, lamp, words):
    other = SMOOTH + 0.4 * hidden_from(lamp)
    daylight = float(delta_e_2000(see(SMOOTH).lab, see(other).lab))
    assert daylight > 3
    told = told_of(make, shelf, One=SMOOTH, Other=other)["tint.lamp.one"]
    assert (told.level, told.where) == ("caution", "look.tones.other")
    assert f"{words}: Delta E 0.0, in daylight {daylight:.1f}" in told.text


def test_the_tone_that_changes_most_from_lamp_to_lamp_is_told_with_how_much(make, shelf, colour):
    """Second route: CAT16 and CIEDE2000 of colour-science."""
    white = SRGB_WHITE

    def change(R, lamp):
        labs = []
        for source in (lamp, "D65"):
            xyz = spectra.spectrum_to_xyz(R, source) / 100
            adapted = colour.adaptation.chromatic_adaptation_VonKries(
                xyz, spectra.white_point(source) / 100, white, transform="CAT16"
            )
            labs.append(colour.XYZ_to_Lab(adapted, colour.XYZ_to_xy(white)))
        return float(colour.difference.delta_E_CIE2000(*labs))

    rough = SMOOTH + 1.2 * hidden_from("D65")
    for R in (SMOOTH, rough):
        assert inconstancy(R) == {lamp: pytest.approx(change(R, lamp), abs=0.01) for lamp in OTHERS}
    most = max(change(rough, lamp) for lamp in OTHERS)
    assert most > 5 > max(change(np.full(31, 0.5), lamp) for lamp in OTHERS)
    told = told_of(make, shelf, Grey=np.full(31, 0.5), Rough=rough)["tint.lamp"]
    assert told.where == "look.tones.rough"
    assert told.text.startswith(f"Rough changes by Delta E {most:.1f} ")
    assert "tint.lamp" not in told_of(make, shelf, Grey=np.full(31, 0.5), Pale=np.full(31, 0.8))


def test_two_tones_are_clear_by_colour_or_by_lightness_alone():
    """L* of a grey is 116 Y^(1/3) - 16: 12 apart is clear whatever the colours, 8 by colour."""
    greys = {L: np.full(31, ((L + 16) / 116) ** 3) for L in (60, 71.9, 72.1)}
    assert clarity(greys[60], greys[72.1]).lightness == pytest.approx(12.1, abs=1e-3)
    for L, clear in ((71.9, 11.9), (72.1, 12.1)):
        found = clarity(greys[60], greys[L])
        assert found.lightness == pytest.approx(clear, abs=1e-3)
        assert found.least == min(found.by_eye.values())
    near = clarity(greys[60], np.full(31, ((66 + 16) / 116) ** 3))
    assert (bool(near.passes), near.least < 8, near.lightness < 12) == (False, True, True)
    many = clarity(np.array(list(greys.values()))[:, None], np.array(list(greys.values())))
    assert many.passes.shape == (3, 3)
    for at, first in enumerate(greys.values()):
        for beside, other in enumerate(greys.values()):
            assert many.passes[at, beside] == clarity(first, other).passes
            assert many.lightness[at, beside] == pytest.approx(clarity(first, other).lightness)


@pytest.mark.parametrize("eye", ["usual", "protan", "deutan", "tritan"])
def test_what_an_eye_sees_has_one_colour_in_all_its_figures(eye, colour):
    """XYZ, Lab, Oklab and linear sRGB of one colour; Lab and sRGB by colour-science."""
    seen = see(SMOOTH, "A", 10, eye)
    daylight = seen.linear @ np.array(matrix("srgb_to_xyz")).T
    if eye != "usual":
        assert seen.xyz == pytest.approx(100 * daylight, abs=1e-9)
        assert seen.lab == pytest.approx(colour.XYZ_to_Lab(daylight, colour.XYZ_to_xy(SRGB_WHITE)), abs=1e-3)
    assert seen.oklch == pytest.approx(colour.models.Oklab_to_Oklch(colour.XYZ_to_Oklab(daylight)), abs=2e-3)


def test_a_colour_a_little_paler_than_its_base_is_recovered_below_a_white():
    """A grey is recovered as the same grey; up to 5 % paler than the base may be a measuring error."""
    ceiling = np.full(31, 0.5)
    white = spectra.white_point()
    assert recovered(0.3 * white, ceiling) == pytest.approx(0.3, abs=1e-6)
    assert recovered(0.52 * white, ceiling) == pytest.approx(0.52, abs=1e-6)
    with pytest.raises(NoSuchSpectrum):
        recovered(0.54 * white, ceiling)
    assert recovered(0.99 * white, np.full(31, 0.96)) == pytest.approx(0.99, abs=1e-6)
    with pytest.raises(NoSuchSpectrum):
        recovered(1.005 * white, np.full(31, 0.98))


@pytest.mark.parametrize("code", ["#d9b48f", "#8f9fb4", "#404040"])
def test_a_swatch_of_a_screen_colour_has_that_colour(code):
    linear = decode(from_hex(code))
    for swatch in (
        from_hex_code(code, {"red": 0.3}, BASE_R),
        from_photo(linear, {"red": 0.3}, BASE_R, 3.0, "a photo"),
    ):
        assert see(np.array(swatch.R)).linear == pytest.approx(linear, abs=1e-5)
        assert see(np.array(swatch.R)).hex == code


@pytest.mark.parametrize(("group", "scatters"), [("pearl-absorbing", True), ("absorbing", False)])
def test_a_pigment_of_a_screen_colour_gives_that_colour_back_at_its_percent(group, scatters):
    base, pct = bases()[0], 0.8
    made = pigment_from_hex("mine", "Mine", group, ("77491",), "#b98d72", pct, base)
    K = np.array(base.k0) + pct * np.array(made.k)
    S = np.array(base.s0) + pct * np.array(made.s)
    # Kubelka and Munk 1931: R = 1 + K/S - sqrt((K/S)^2 + 2 K/S)
    ratio = K / S
    R = 1 + ratio - np.sqrt(ratio**2 + 2 * ratio)
    assert see(R).hex == "#b98d72"
    assert bool(np.any(np.array(made.s) > 0)) is scatters


def rising(*nm):
    return "\n".join(f"{each};{0.3 + each / 2000}" for each in nm)


@pytest.mark.parametrize(
    ("nm", "told"),
    [
        ((400, *range(420, 700, 20), 700), ()),
        ((405, *range(420, 700, 20), 700), ("405 to 700",)),
        ((400, *range(420, 700, 20), 695), ("400 to 695",)),
        ((380, 401, *range(420, 721, 20)), ("up to 21 nm",)),
        ((380, 400, *range(420, 700, 20), 699, 720), ("up to 21 nm",)),
        ((379, 400, *range(420, 700, 20), 700, 721), ()),
    ],
)
def test_what_is_missing_at_the_ends_of_a_spectrum_is_said(nm, told):
    (reading,) = read_spectra(rising(*nm))
    assert len(reading.notes) == len(told)
    for note, words in zip(reading.notes, told, strict=True):
        assert words in note


@pytest.mark.parametrize(("count", "words"), [(1, "1 swatch: a card"), (2, "2 swatches: a card")])
def test_a_measured_pigment_says_from_how_many_swatches(count, words):
    red, base = starter("iron_oxide_red"), bases()[0]
    R = mix([0.3], np.array([red.k]), np.array([red.s]), base.k0, base.s0)[2]
    swatch = Swatch(doses={red.id: 0.3}, R=tuple(R), how="spectrum", words="a card")
    assert measured_pigment(red, base, [swatch] * count)[0].basis.startswith(words)
    long = replace(swatch, words="w" * 299)
    assert len(measured_pigment(red, base, [long] * count)[0].basis) == 300


# --- the search for a recipe, and a colour beyond the screen --------------------------------------------


@pytest.mark.parametrize(
    ("x", "pull", "free"),
    [
        ((0.2, 0.3), (1, 1), (True, True)), ((0.0, 0.3), (1, 1), (False, True)),
        ((0.0, 0.3), (-1, 1), (True, True)), ((0.05, 0.3), (1, 1), (True, True)),
        ((0.2, 0.5), (1, -1), (True, False)), ((0.2, 0.5), (1, 1), (True, True)),
        ((0.2, 0.45), (1, -1), (True, True)), ((0.0, 0.5), (1, -1), (False, False)),
    ],
)  # fmt: skip
def test_a_step_of_the_search_is_the_damped_one_of_the_doses_that_may_move(x, pull, free):
    """Levenberg and Marquardt on the doses that no bound holds: (JJ + damping diag JJ) step = -J f."""
    J = np.array([[1.5, 0.2], [0.3, 2.0], [0.1, 0.4]])
    f = np.linalg.lstsq(J.T, np.array(pull, float), rcond=None)[0]
    damping, moves = 0.07, np.flatnonzero(free)
    square = (J.T @ J)[np.ix_(moves, moves)]
    wanted = np.zeros(2)
    wanted[moves] = -np.linalg.solve(square + damping * np.diag(np.diag(square)), (J.T @ f)[moves])
    step = recipe_search._step(f[None], J[None], np.array([x]), np.full(2, 0.5), np.array([damping]))
    assert step[0] == pytest.approx(wanted, abs=1e-8)


@pytest.mark.parametrize(("doses", "start"), [((0.2,), (0.3,)), ((0.12, 0.2), (0.16, 0.14))])
def test_polishing_ends_where_the_colour_is(doses, start):
    among = [starter("iron_oxide_red"), starter("ultramarine_blue")][: len(doses)]
    k, s = (np.array([getattr(pigment, part) for pigment in among]) for part in ("k", "s"))
    target = see(mix(doses, k, s, bases()[0].k0, bases()[0].s0)[2]).lab
    problem = recipe_search.problem_of(target, among, bases()[0], {pigment.id: 0.5 for pigment in among})
    sets = np.arange(len(doses))[None]
    (found,) = recipe_search.polish(problem, sets, np.array([start]))
    assert found == pytest.approx(doses, abs=1e-3)
    (kept,) = recipe_search.polish(problem, sets, np.array([doses]))
    assert kept == pytest.approx(doses, abs=1e-12)


@pytest.mark.parametrize("linear", [(1.3, 0.2, 0.1), (-0.2, 0.5, 0.5), (0.4, -0.05, 0.9), (0.7, 1.05, 0.1)])
def test_a_colour_beyond_the_screen_loses_chroma_until_clipping_hardly_moves_it(linear):
    """Second route: the zero of the distance that clipping moves less 0.02, by Brent's method."""
    full = xyz_to_oklab(linear_to_xyz(linear))

    def clipped(part):
        return np.clip(xyz_to_linear(oklab_to_xyz(full * [1, part, part])), 0, 1)

    def moved(part):
        return np.linalg.norm(xyz_to_oklab(linear_to_xyz(clipped(part))) - full * [1, part, part]) - 0.02

    shown, fits = to_screen([linear])
    assert not fits[0]
    part = brentq(moved, 0, 1) if moved(1) > 0 else 1
    assert decode(shown[0]) == pytest.approx(clipped(part), abs=1e-5)

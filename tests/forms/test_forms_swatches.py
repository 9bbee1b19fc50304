"""Swatches as they are typed, and the measured pigment or base they make."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from blendlab import photo, store
from blendlab.facts.palette import bases
from blendlab.forms import calibrations, swatches
from blendlab.forms.on_shelf import save
from blendlab.shelf import Shelf
from blendlab.tint import delta_e_2000, mix, see
from blendlab.tint.kubelka_munk import foam_factor
from blendlab.tint.measured_items import base_reflectance
from blendlab.tint.spectra import lab_of
from blendlab.tint.swatches import from_reflectance
from tests.store import samples
from tests.store.samples import png

DAY = date(2026, 3, 7)
WAVELENGTHS = range(400, 701, 10)


@pytest.fixture
def blue(shelf):
    return shelf.today("pigment", "ultramarine_blue")


@pytest.fixture
def base(shelf):
    return shelf.today("base", "soap-white")


def reflectance(pigment, base, pct, times=1.0):
    k, s = times * np.array([pigment.k]), np.array([pigment.s])
    return np.asarray(mix([pct], k, s, base.k0, base.s0)[2])


def spectrum(R):
    return "\n".join(f"{nm} {value:.6f}" for nm, value in zip(WAVELENGTHS, R, strict=True))


# --- one swatch ---------------------------------------------------------------------------------------


def test_a_spectrum_is_taken_as_it_is(blue, base):
    R = reflectance(blue, base, 0.3)
    made, answers, told = swatches.swatch({"way": "spectrum", "text": spectrum(R), "pct": "0,3"}, blue, base)
    assert answers == []
    assert told
    assert np.allclose(made.R, R, atol=1e-6)
    assert made.doses == {"ultramarine_blue": 0.3}
    assert swatches.noun(swatches.plain(made)) == made


def test_a_second_sample_can_be_chosen(blue, base):
    pair = [reflectance(blue, base, pct) for pct in (0.1, 0.5)]
    text = "\n".join(f"{nm} {a:.6f} {b:.6f}" for nm, a, b in zip(WAVELENGTHS, *pair, strict=True))
    names = swatches.samples(text, None)
    assert len(names) == 2
    assert names[0].startswith("Sample 1: ")
    made, _, _ = swatches.swatch({"text": text, "pct": "0.5", "sample": 1}, blue, base)
    assert np.allclose(made.R, pair[1], atol=1e-6)
    made, _, _ = swatches.swatch({"text": text, "pct": "0.5", "sample": 9}, blue, base)
    assert np.allclose(made.R, pair[1], atol=1e-6)
    assert swatches.samples("no spectrum", None) == []


def test_lab_and_hex_come_back_as_the_colour_that_was_typed(blue, base):
    lab = [70.0, -8.0, -20.0]
    typed = {"way": "lab", "L": "70", "a": "-8", "b": "-20", "pct": "0.3"}
    made, answers, _ = swatches.swatch(typed, blue, base)
    assert answers == []
    assert float(delta_e_2000(lab_of(np.array(made.R)), lab)) < 0.1
    made, answers, _ = swatches.swatch({"way": "hex", "hex": "#8cb1e0", "pct": "0.3"}, blue, base)
    assert answers == []
    assert see(np.array(made.R)).hex.lower() == "#8cb1e0"


def test_another_lamp_and_observer_add_their_error(blue, base):
    typed = {"way": "lab", "L": "70", "a": "-8", "b": "-20", "pct": "0.3", "lamp": "A", "observer": "10"}
    made, answers, _ = swatches.swatch(typed, blue, base)
    assert answers == []
    assert made.error > 0


def test_a_photo_gives_its_colour_words_and_error(blue, base):
    linear = np.array([0.3, 0.45, 0.7])
    seen = photo.Colour(linear, np.array([70.0, 0.0, 0.0]), "#000000", 1.0)
    made, answers, _ = swatches.swatch({"way": "photo", "pct": "0.3"}, blue, base, seen, "grey card", 2.5)
    assert answers == []
    assert made.error == 2.5
    assert "grey card" in made.words
    assert np.allclose(see(np.array(made.R)).linear, linear, atol=0.003)


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ({"way": "photo", "pct": "0.3"}, "No colour was read off a picture yet."),
        ({"way": "spectrum", "text": "no spectrum", "pct": "0.3"}, "Spectrum: "),
        ({"way": "spectrum", "text": "", "geometry": "upside down", "pct": "0.3"}, "Spectrum: "),
        ({"way": "lab", "L": "70", "a": "-8", "pct": "0.3"}, "b* is missing."),
        ({"way": "hex", "hex": "blue", "pct": "0.3"}, "Hex: "),
        ({"way": "hex", "hex": "#8cb1e0"}, "Percent of the pigment in the swatch is missing."),
    ],
)
def test_a_swatch_that_cannot_be_read_is_answered(blue, base, typed, answer):
    made, answers, told = swatches.swatch(typed, blue, base)
    assert (made, told) == (None, [])
    assert len(answers) == 1
    assert answers[0].startswith(answer)


def test_a_swatch_of_the_base_has_no_dose(base):
    made, _, _ = swatches.swatch({"text": spectrum(np.full(31, 0.9))}, base, base)
    assert made.doses == {}


def test_what_to_weigh_for_a_swatch():
    """0.3 % of the finished swatch: p = 100 x / (100 - x) of the base; on top: x of the base."""
    said = swatches.weights("0,3")
    base_g = float(said.split(" g in ")[1].split(" g")[0])
    inside = float(said.split(" is ")[1].split(" g")[0])
    assert inside == pytest.approx(base_g * 0.3 / 99.7, rel=0.01)
    assert swatches.weights("much") == ""
    assert swatches.weights("") == ""


def test_the_base_is_the_chosen_one_or_the_first_or_a_starter(shelf):
    assert swatches.base_of(shelf, "soap-white").id == "soap-white"
    assert swatches.base_of(shelf, "gone").id == "soap-white"
    assert swatches.base_of(Shelf(), "") == bases()[0]


def test_a_picture_is_opened_once(tmp_path):
    data = png((10, 200, 30), (30, 20))
    assert swatches.picture(data) is swatches.picture(data)


# --- what they make -----------------------------------------------------------------------------------


def test_swatches_of_a_known_strength_give_that_strength(shelf, blue, base):
    """Made from the pigment's own K times 1.4: the fit must find 1.4 and meet its swatches."""
    made = [from_reflectance(reflectance(blue, base, pct, 1.4), {blue.id: pct}) for pct in (0.05, 0.15, 0.4)]
    shown = calibrations.preview(blue, base, made, "L-3", DAY)
    assert np.allclose(shown.made.k, 1.4 * np.array(blue.k), rtol=0.03, atol=1e-3)
    assert any(line.startswith("Strength 1.4") and "the estimate" in line for line in shown.lines)
    assert [row.words.split(" ")[0] for row in shown.rows] == ["0.05", "0.15", "0.4"]
    assert all(row.apart is None or row.apart < 0.5 for row in shown.rows)
    again = calibrations.preview(shown.made, base, made, "L-4", DAY)
    assert any("the last measurement" in line for line in again.lines)
    assert len(again.lines) > len(shown.lines)
    history = calibrations.history(again.made)
    assert history[0].startswith("2026-03-07 · lot L-4 · ")
    assert history[-1].startswith("before · ")
    assert "strength within" in history[0]


def test_swatches_that_do_not_fit_are_not_kept_whoever_asks(folder, shelf, blue, base):
    """The palest swatch has the highest percent written on it: no ladder of one pigment."""
    pcts = (0.05, 0.15, 0.4)
    ladder = [from_reflectance(reflectance(blue, base, pct), {blue.id: pct}) for pct in pcts]
    mixed_up = [replace(ladder[at], doses={blue.id: pcts[-1 - at]}) for at in range(3)]
    shown = calibrations.preview(blue, base, mixed_up, "L-3", DAY)
    assert shown.findings[0].level == "stop"
    assert calibrations.keep(folder, shown) == shown.findings[0].text
    assert store.read_shelf(folder).today("pigment", blue.id).calibrations == ()
    assert calibrations.keep(folder, calibrations.preview(blue, base, ladder, "L-3", DAY)) == ""
    assert store.read_shelf(folder).today("pigment", blue.id).calibrations[-1].lot == "L-3"


def test_readings_of_the_white_make_the_base(base):
    white = np.linspace(0.86, 0.9, 31)
    reading = from_reflectance(white, {})
    shown = calibrations.preview(base, base, [reading], "W-1", DAY)
    assert np.allclose(base_reflectance(shown.made), white, atol=2e-3)
    assert [row.apart for row in shown.rows] == [None]
    apart = float(delta_e_2000(lab_of(base_reflectance(base)), lab_of(white)))
    assert f"Delta E {apart:.1f} from what was known" in shown.lines[0]
    assert len(shown.lines) == 2
    five = calibrations.preview(base, base, [reading] * 5, "W-1", DAY)
    assert len(five.lines) == 1
    assert all(row.apart == pytest.approx(0, abs=0.01) for row in five.rows)
    assert "strength" not in calibrations.history(shown.made)[0]


def test_the_foam_law_is_read_off_two_swatches(base):
    """K/S after whipping divided by the foam factor of a known power gives that power back."""
    k_over_s = np.linspace(0.5, 1.0, 31)

    def R(ratio):
        return 1 + ratio - np.sqrt(ratio**2 + 2 * ratio)

    power = 0.5
    pair = [
        from_reflectance(R(k_over_s), {"x": 1.0}),
        from_reflectance(R(k_over_s / foam_factor(120, 0, power)), {"x": 1.0}),
    ]
    made, answers, told = calibrations.whip(base, pair, {"overrun": "120"})
    assert answers == []
    assert made.foam_power == pytest.approx(power, abs=0.02)
    assert told[0].startswith(f"Whipped to 120 % it scatters {foam_factor(120, 0, power):.2f} times (")


def test_browning_is_read_off_a_fresh_and_an_aged_swatch(base):
    """K/S grows by v a exp(-(nm-400)/60) (1 - exp(-weeks/6)), the rule of thumb; a = 3 comes back."""
    nm, v, weeks, rate = np.arange(400, 701, 10), 0.1, 4.0, 3.0
    fresh = np.full(31, 0.05)
    aged = fresh + v * rate * np.exp(-(nm - 400) / 60) * (1 - np.exp(-weeks / 6))

    def R(ratio):
        return 1 + ratio - np.sqrt(ratio**2 + 2 * ratio)

    pair = [from_reflectance(R(ratio), {"x": 1.0}) for ratio in (fresh, aged)]
    made, answers, told = calibrations.aged(base, pair, {"vanillin": "0,1", "weeks": "4"})
    assert answers == []
    assert made.brown_rate == pytest.approx(rate, rel=0.02)
    assert told[0].startswith("Browning 3.0 per percent of vanillin")


@pytest.mark.parametrize(
    ("read", "typed", "count"),
    [
        (calibrations.whip, {}, 2),
        (calibrations.whip, {"overrun": "120"}, 1),
        (calibrations.aged, {}, 3),
        (calibrations.aged, {"vanillin": "0.1", "weeks": "4"}, 1),
    ],
)
def test_one_swatch_is_no_pair(base, read, typed, count):
    made, answers, _ = read(base, [from_reflectance(np.full(31, 0.8), {})], typed)
    assert made is None
    assert len(answers) == count
    assert answers[-1].startswith("Two swatches are wanted")


def test_a_pair_that_says_nothing_is_answered(base):
    same = [from_reflectance(np.full(31, 0.8), {}), from_reflectance(np.full(31, 0.95), {})]
    made, answers, _ = calibrations.aged(base, same, {"vanillin": "0.1", "weeks": "4"})
    assert made is None
    assert answers == ["The second swatch is no browner than the first; the first must be the fresh one."]
    made, answers, _ = calibrations.whip(base, same[::-1], {"overrun": "0"})
    assert made is None
    assert answers[0].startswith("Whip: ")


def test_what_was_measured_takes_the_place_of_the_estimate(folder, blue):
    assert save(folder, replace(blue, known="measured")) == ""
    assert store.read_shelf(folder).today("pigment", blue.id).known == "measured"


def test_saved_cards_say_which_swatch_would_tell_most(folder):
    shelf = Shelf(samples.ITEMS)
    assert calibrations.suggestions(store.listing(folder), shelf) == ()
    store.save(folder, samples.card(), samples.png(), None)
    (first, *_) = calibrations.suggestions(store.listing(folder), shelf)
    assert "Iron blue" in first.names
    later = [replace(entry, newer=True) for entry in store.listing(folder)]
    assert calibrations.suggestions(later, shelf) == ()

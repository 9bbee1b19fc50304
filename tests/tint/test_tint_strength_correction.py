"""Made colours teach strengths; lamps, foam and browning against other routes."""

import dataclasses

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases, pigments, starter
from blendlab.recipe import Design, Dose, Tone
from blendlab.shelf import Shelf, resolve
from blendlab.tint import delta_e_2000, inconstancy, mix
from blendlab.tint.browning import browning, fit_browning
from blendlab.tint.kubelka_munk import fit_foam, foam_factor, k_over_s, reflectance
from blendlab.tint.next_swatch import calibrate_next
from blendlab.tint.prediction import tone_recipe
from blendlab.tint.recipe_search import match
from blendlab.tint.spectra import lab_of
from blendlab.tint.strength_correction import Made, correct
from blendlab.tint.uncertainty import spread

BASE = bases()[0]
GREEN = starter("chromium_hydroxide_green")
RED, YELLOW, BLUE = (starter(name) for name in ("iron_oxide_red", "iron_oxide_yellow", "ultramarine_blue"))


def lab(doses, factors=None):
    used = [starter(name) for name in doses]
    k, s = (np.array([getattr(pigment, name) for pigment in used]) for name in ("k", "s"))
    c = np.array([pct * (factors or {}).get(name, 1.0) for name, pct in doses.items()])
    return lab_of(mix(c, k, s, BASE.k0, BASE.s0)[2])


def test_one_mixed_swatch_corrects_several_pigments():
    doses, real = {RED.id: 0.1, BLUE.id: 0.2}, {RED.id: 1.6, BLUE.id: 0.7}
    found = correct([Made(doses, lab(doses, real), 0.3)], [RED, BLUE], BASE)
    assert found.factors == pytest.approx(real, rel=0.12)
    assert found.before[0] > 5
    assert found.after[0] < 0.8
    assert all(sd < RED.strength_sd / 2 for sd in found.sd.values())
    assert not found.at_bound


def test_what_is_known_well_moves_less():
    sure = dataclasses.replace(RED, strength_sd=0.05)
    doses = {RED.id: 0.1, YELLOW.id: 0.1}
    seen = lab(doses, {RED.id: 1.5, YELLOW.id: 1.5})
    found = correct([Made(doses, seen, 0.5)], [sure, YELLOW], BASE)
    assert abs(np.log(found.factors[RED.id])) < 0.16
    assert found.factors[YELLOW.id] > 1.2


def test_a_bad_way_of_measuring_teaches_less():
    doses = {RED.id: 0.2}
    seen = lab(doses, {RED.id: 2.0})
    by_meter, by_photo = (correct([Made(doses, seen, error)], [RED], BASE) for error in (0.3, 5.0))
    assert by_photo.sd[RED.id] > by_meter.sd[RED.id]
    assert (
        abs(np.log(by_photo.factors[RED.id])) < np.log(2.0) < 1.05 * np.log(by_meter.factors[RED.id]) + 0.05
    )


def test_corrections_stay_within_their_bounds():
    sure = dataclasses.replace(RED, strength_sd=0.05)
    found = correct([Made({RED.id: 0.2}, lab({RED.id: 0.2}, {RED.id: 30.0}))], [sure], BASE)
    assert found.at_bound == (RED.id,)
    assert found.factors[RED.id] <= np.exp(3 * 0.05) + 1e-6
    with pytest.raises(OutOfRange):
        correct([], [RED], BASE)
    assert correct([Made({}, lab_of(reflectance(np.array(BASE.k0))))], [RED], BASE).factors == {}


def test_a_corrected_pigment_says_so():
    found = correct([Made({RED.id: 0.2}, lab({RED.id: 0.2}, {RED.id: 1.5}), 0.3)], [RED, BLUE], BASE)
    mine = found.apply(RED)
    assert np.array(mine.k) == pytest.approx(found.factors[RED.id] * np.array(RED.k))
    assert "corrected" in mine.basis
    assert mine.strength_sd == found.sd[RED.id]
    assert found.apply(BLUE) is BLUE


def design(shelf, **tones):
    return Design(
        id="d",
        name="D",
        product="whipped_soap",
        jar=next(shelf.of("jar")).ref,
        base=BASE.ref,
        tones=tuple(
            Tone(
                id=name,
                name=name,
                share_pct=50,
                doses=tuple(
                    Dose(pigment=shelf.today("pigment", name).ref, pct=pct) for name, pct in doses.items()
                ),
            )
            for name, doses in tones.items()
        ),
    )


def test_calibrate_next_names_the_swatch_that_narrows_most(shelf):
    cards = [
        design(shelf, a={RED.id: 0.1}, b={RED.id: 0.2}),
        design(shelf, c={RED.id: 0.3, YELLOW.id: 0.01}),
    ]
    best = calibrate_next(cards, shelf)[0]
    assert RED.id in best.doses
    assert best.after < 0.5 * best.before
    assert best.tones == 3
    assert best.words.startswith("Measure ")
    assert "3 mm deep or more" in best.words


def test_calibrate_next_holds_what_it_promises(shelf, jar):
    """Second route: the Monte Carlo spread with that pigment's strength known."""
    cards = [design(shelf, a={RED.id: 0.1, YELLOW.id: 0.1}, b={BLUE.id: 0.05})]

    def width(on):
        return np.mean(
            [found.delta_e00 for found in spread(resolve(cards[0], on), sources=("strength",)).values()]
        )

    now = width(shelf)
    falls = {}
    for pigment in (RED, YELLOW, BLUE):
        known = dataclasses.replace(pigment, strength_sd=0.1)
        falls[pigment.id] = now - width(
            Shelf((*(each for each in shelf.items if each.id != pigment.id), known))
        )
    single = [swatch for swatch in calibrate_next(cards, shelf, 9) if len(swatch.doses) == 1]
    assert next(iter(single[0].doses)) == max(falls, key=falls.__getitem__)


def test_nothing_is_suggested_where_all_is_known(jar):
    known = [dataclasses.replace(pigment, strength_sd=0.05) for pigment in pigments()]
    shelf = Shelf((*known, *bases(), jar))
    assert calibrate_next([design(shelf, a={RED.id: 0.1})], shelf) == ()
    assert calibrate_next([], shelf) == ()
    assert calibrate_next([design(shelf, a={RED.id: 0.1})], Shelf((*bases(), jar))) == ()


@pytest.mark.parametrize("lamp", ["A", "FL2", "LED-B3"])
def test_metamerism_agrees_with_colour_science(lamp, colour):
    """Second route: colour-science, additive correction, CIE 2000."""
    from blendlab.tint.appearance import xyz_to_lab
    from blendlab.tint.spectra import spectrum_to_xyz, white_point
    from blendlab.tint.swatches import recovered

    R = mix([0.2], np.array([BLUE.k]), np.array([BLUE.s]), BASE.k0, BASE.s0)[2]
    other = recovered(spectrum_to_xyz(R) * 1.003, np.full(31, 0.99))
    labs = {
        (name, at): xyz_to_lab(spectrum_to_xyz(spectrum, at), white_point(at))
        for name, spectrum in (("spl", R), ("std", other))
        for at in ("D65", lamp)
    }
    theirs = colour.difference.Lab_to_metamerism_index(
        labs["spl", lamp], labs["std", lamp], labs["spl", "D65"], labs["std", "D65"],
        correction="Additive", method="CIE 2000",
    )  # fmt: skip
    assert inconstancy.metamerism(R, other, lamp) == pytest.approx(float(theirs), abs=1e-6)


def test_metamerism_is_not_defined_for_two_different_colours():
    tints = [mix([pct], np.array([RED.k]), np.array([RED.s]), BASE.k0, BASE.s0)[2] for pct in (0.1, 0.3)]
    assert inconstancy.metamerism(*tints, "A") is None
    assert inconstancy.metamerism(tints[0], tints[0], "A") == pytest.approx(0, abs=1e-9)


def test_the_lamp_that_tells_two_recipes_apart_is_the_one_with_the_largest_index():
    """Two greens of one colour in daylight: of a green oxide, and of dyes with a little red."""
    names = ("iron_oxide_red", "blue1_lake", "yellow5_lake")
    green = tone_recipe("green", BASE, [(GREEN, 0.1)]).mixed()[2]
    dyes = match(lab_of(green), [starter(name) for name in names], BASE)[0].doses
    same = tone_recipe("same", BASE, [(starter(name), pct) for name, pct in dyes.items()]).mixed()[2]
    lamp, index = inconstancy.parting_lamp(same, green)
    every = {lamp: inconstancy.metamerism(same, green, lamp) for lamp in ("D50", "A", "FL2", "LED-B3")}
    assert (lamp, index) == max(every.items(), key=lambda pair: pair[1])
    assert index > 1 > inconstancy.metamerism(green, green, lamp)
    assert inconstancy.parting_lamp(green, 0.5 * green) is None


def test_a_grey_is_constant_and_a_narrow_band_is_not():
    grey, band = np.full(31, 0.5), np.where(np.arange(31) == 18, 0.9, 0.2)
    assert max(inconstancy.inconstancy(grey).values()) < 0.05
    assert max(inconstancy.inconstancy(band).values()) > 2
    assert inconstancy.contrast(grey, band).keys() == {"D65", "D50", "A", "FL2", "LED-B3"}


def test_foam_is_fitted_from_an_unwhipped_and_a_whipped_swatch():
    rng = np.random.default_rng(2)
    q = k_over_s(mix([0.3], np.array([RED.k]), np.array([RED.s]), BASE.k0, BASE.s0)[2])
    for power in (0.6, 1.0, 1.8):
        flat, whipped = reflectance(q * foam_factor(75, 0, power)), reflectance(q)
        noisy = [R + rng.normal(0, 0.001, 31) for R in (flat, whipped)]
        fitted, sd = fit_foam(*noisy, 75)
        assert fitted == pytest.approx(power, abs=max(0.1, 2 * sd))
    with pytest.raises(OutOfRange):
        fit_foam(flat, whipped, 3)


def test_browning_is_fitted_from_her_own_aged_jar():
    fresh = reflectance(np.array(BASE.k0))
    aged = reflectance(np.array(BASE.k0) + browning(0.08, 4, rate=4.5))
    assert fit_browning(fresh, aged, 0.08, 4) == pytest.approx(4.5, rel=1e-6)
    assert fit_browning(aged, fresh, 0.08, 4) == 0
    for wrong in ({"vanillin_pct": 0, "weeks": 4}, {"vanillin_pct": 0.1, "weeks": 0.2}):
        with pytest.raises(OutOfRange):
            fit_browning(fresh, aged, **wrong)
    assert float(delta_e_2000(lab_of(fresh), lab_of(aged))) > 1

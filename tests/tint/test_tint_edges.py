"""Figures of tint on both sides of their edges: screens, words, fits, doubts, searches."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from blendlab.errors import BlendlabError, OutOfRange
from blendlab.facts.palette import bases, starter
from blendlab.shelf import Swatch, resolve
from blendlab.tint import recipe_ranking, recipe_search
from blendlab.tint.appearance import codes, contrast_ratio, decode, encode, from_hex, to_screen
from blendlab.tint.calibration import calibrate
from blendlab.tint.difference import metric
from blendlab.tint.kubelka_munk import fit_foam, foam_factor, mix, reflectance
from blendlab.tint.measured_items import between_lots, measured_pigment, new_lot
from blendlab.tint.prediction import tone_recipe, tone_recipes
from blendlab.tint.recipe_search import Match, match, problem_of
from blendlab.tint.spectra import lab_of
from blendlab.tint.strength_correction import Made, correct
from blendlab.tint.swatches import from_lab
from blendlab.tint.uncertainty import DoseWeighing, _draws, strengths, trials
from blendlab.tint.vision import eye_matrix
from blendlab.tint.words import words

BASE = bases()[0]
RED, BLUE, YELLOW = (starter(name) for name in ("iron_oxide_red", "ultramarine_blue", "iron_oxide_yellow"))
NEAR = pytest.approx


# --- screens and words ---------------------------------------------------------------------------------


def test_a_screen_value_is_straight_up_to_its_knee_and_a_power_above():
    """IEC 61966-2-1: 12.92 c up to 0.0031308, 1.055 c^(1/2.4) - 0.055 above; back at 0.04045."""
    for value in (-0.1, 0.0, 0.002, 0.0031308):
        assert float(encode(value)) == NEAR(12.92 * value, rel=1e-9)
    for value in (0.00314, 0.0033, 0.5, 1.0):
        assert float(encode(value)) == NEAR(1.055 * value ** (1 / 2.4) - 0.055, rel=1e-9)
    for value in (-0.1, 0.0, 0.03, 0.0404):
        assert float(decode(value)) == NEAR(value / 12.92, rel=1e-9)
    for value in (0.0406, 0.042, 0.5, 1.0):
        assert float(decode(value)) == NEAR(((value + 0.055) / 1.055) ** 2.4, rel=1e-9)


def test_codes_go_to_the_nearest_and_stay_within_a_byte():
    halves = [0.4999 / 255, 0.5 / 255, 0.5001 / 255, 1.0, -1.0, 2.0, 253.6 / 255]
    assert codes(halves).tolist() == [0, 1, 1, 255, 0, 255, 254]
    assert from_hex(" #0a8 ").tolist() == NEAR([0, 170 / 255, 136 / 255])
    for wrong in ("#12", "#1234", "#gg0000", "", "#1234567"):
        with pytest.raises(BlendlabError):
            from_hex(wrong)


def test_a_colour_at_the_bounds_of_the_screen_fits():
    shown, fits = to_screen([[0.0, 1.0, 0.5], [0.0, 1.0001, 0.5], [-0.0001, 1.0, 0.5]])
    assert fits.tolist() == [True, False, False]
    assert shown[0] == NEAR(encode([0.0, 1.0, 0.5]))


def test_contrast_by_its_formula():
    """Luminances 0.2126 and 1: (1 + 0.05) / (0.2126 + 0.05)."""
    assert contrast_ratio([1, 0, 0], [1, 1, 1]) == NEAR(1.05 / 0.2626)
    assert contrast_ratio([0, 1, 0], [0, 0, 1]) == NEAR((0.7152 + 0.05) / (0.0722 + 0.05))


@pytest.mark.parametrize(
    ("lab", "name"),
    [
        ((88, 0, 3), "pale grey"), ((88.1, 0, 6), "pale soft cream"), ((60, 0, 5), "soft yellow"),
        ((20, 0, 0), "dark grey"), ((45, 0, 0), "grey"), ((70, 0, 0), "pale grey"),
        ((60, 0, 15), "yellow"), ((85, -30, 0), "light blue-green"), ((70, -30, 0), "blue-green"),
        ((35, -30, 0), "blue-green"), ((80, 0, 25), "light yellow"), ((75, 0, 20), "light yellow"),
        ((50, 30, 29), "coral"), ((55, 30, 30), "orange"), ((60, -30, 30), "green"),
    ],
)  # fmt: skip
def test_a_word_begins_at_its_bound(lab, name):
    assert words(lab) == name


# --- fits and doubts -----------------------------------------------------------------------------------


def test_one_swatch_of_a_kind_that_scatters_is_checked_with_its_scattering():
    k, s = np.array(RED.k), np.full(31, 0.3)
    swatch = 2.0, mix([2.0], 1.3 * k[None], 1.3 * s[None], BASE.k0, BASE.s0)[2]
    found = calibrate(reflectance(np.array(BASE.k0)), [swatch], shape=(k, s))
    assert found.k == NEAR(1.3 * k)
    assert found.s == NEAR(1.3 * s)
    assert found.se == NEAR(0.05)  # nothing is missed: the usual scatter of her ladders alone
    assert found.way == "shape"


def test_what_a_kind_misses_becomes_its_doubt():
    """Residual over slope by least squares, three independent errors of a smooth spectrum."""
    k, s, white = np.array(RED.k), np.full(31, 0.3), np.array(BASE.k0)
    other = np.array(YELLOW.k)
    R = mix([1.0], (k + 0.05 * other)[None], s[None], BASE.k0, BASE.s0)[2]
    found = calibrate(reflectance(white), [(1.0, R)], shape=(k, s))
    q = (1 - R) ** 2 / (2 * R)
    slope, wanted = (k - q * s) / q, (q - white) / q
    factor = float(slope @ wanted / (slope @ slope))
    assert found.k == NEAR(factor * k)
    missed = wanted - factor * slope
    se = np.hypot(np.sqrt((missed @ missed) / 3 / (factor**2 * slope @ slope)), 0.05)
    assert found.se == NEAR(se)
    assert found.sd == NEAR(max(0.1, np.hypot(se, 0.05)))


def test_a_measured_pigment_keeps_the_doubt_of_its_fit():
    ladder = [
        Swatch(doses={RED.id: pct}, how="spectrum",
               R=tuple(mix([pct * off], np.array([RED.k]), np.array([RED.s]), BASE.k0, BASE.s0)[2]))
        for pct, off in ((0.1, 1.0), (0.3, 1.3), (0.5, 1.0))
    ]  # fmt: skip
    made, fit = measured_pigment(RED, BASE, ladder)
    assert 0.05 < fit.sd < 3
    assert made.strength_sd == made.calibrations[-1].strength_sd == NEAR(fit.sd)


def test_trials_are_the_mix_of_what_was_drawn():
    recipe = tone_recipe("t", BASE, [(RED, 0.1), (BLUE, 0.2)])
    only = trials(recipe, sources=("strength",))
    assert np.allclose(
        only, mix(recipe.c * strengths((RED, BLUE)), recipe.k, recipe.s, recipe.k0, recipe.s0)[2]
    )
    assert strengths((RED,))[:, 0] == NEAR(np.exp(RED.strength_sd * _draws(RED.rev)))
    weighed = trials(recipe, DoseWeighing({"t": 50.0}, 0.01), sources=("weighing",))
    sd = 100 * np.hypot(0.01 / np.sqrt(12), 0.01) / 50
    noise = np.stack([_draws("weighing t 0"), _draws("weighing t 1")], axis=-1)
    c = np.maximum(recipe.c + sd * noise, 0.0)
    assert np.allclose(weighed, mix(c, recipe.k, recipe.s, recipe.k0, recipe.s0)[2])
    rest = trials(recipe, sources=("base",))
    k0 = recipe.k0 * np.exp(0.4 * _draws(f"base {BASE.rev}"))[:, None]
    assert np.allclose(rest, mix(np.tile(recipe.c, (500, 1)), recipe.k, recipe.s, k0, recipe.s0)[2])


def test_the_scatter_of_a_foam_is_that_of_its_bands():
    """Half of the bands ask for 1.0, half for 1.6; weights are the roots of what whipped foam absorbs."""
    q = np.linspace(0.1, 0.5, 31)
    asked = np.where(np.arange(31) < 15, 1.0, 1.6)
    whipped = q / foam_factor(100, 0, 1.0) ** asked
    middle, scatter = fit_foam(reflectance(q), reflectance(whipped), 100)
    weight = np.sqrt(whipped) / np.sqrt(whipped).sum()
    assert middle == NEAR(weight @ asked)
    assert scatter == NEAR(np.sqrt(weight @ (asked - weight @ asked) ** 2))
    for overrun, apart in ((25.0, False), (25.1, True)):
        if apart:
            assert fit_foam(reflectance(q), reflectance(q), overrun, 20.0)[0] == 0
        else:
            with pytest.raises(OutOfRange):
                fit_foam(reflectance(q), reflectance(q), overrun, 20.0)


@pytest.mark.parametrize("sd", [0.2, 0.7])
def test_a_correction_is_the_least_of_what_is_missed_and_what_is_moved(sd):
    """Steps around the answer: the colour in errors of measuring and making, the strength in its doubt."""
    pigment = replace(RED, strength_sd=sd)
    target = lab_of(mix([0.4], np.array([RED.k]), np.array([RED.s]), BASE.k0, BASE.s0)[2])
    found = correct([Made({RED.id: 0.2}, target, 5.0)], [pigment], BASE)

    def cost(x: float) -> float:
        seen = lab_of(mix([0.2 * np.exp(x)], np.array([RED.k]), np.array([RED.s]), BASE.k0, BASE.s0)[2])
        away = metric(target) @ (seen - target) / np.hypot(5.0, 0.7)
        return float(away @ away + (x / sd) ** 2)

    x = float(np.log(found.factors[RED.id]))
    assert 0.03 < x < np.log(2)
    assert cost(x) < min(cost(x - 0.02), cost(x + 0.02))
    assert 0.05 <= found.sd[RED.id] < sd


@pytest.mark.parametrize(("L", "fine"), [(-0.5, False), (0, False), (0.5, True), (100, True), (100.5, False)])
def test_a_lightness_lies_between_nothing_and_white(L, fine):
    try:
        from_lab([L, 0, 0], {"red": 0.3}, np.full(31, 0.9))
        refused = False
    except OutOfRange:
        refused = True
    except BlendlabError:
        refused = False  # no such spectrum in that base is another answer
    assert refused is not fine


def test_a_recipe_browns_only_by_vanillin(make, shelf):
    aged = resolve(make({"Tone": {"iron_oxide_red": 0.1}}, weeks=26.0), shelf)
    (plain,) = tone_recipes(aged)
    (none,) = tone_recipes(aged, vanillin_pct=0.0)
    (brown,) = tone_recipes(aged, vanillin_pct=0.1)
    assert plain.k0 == NEAR(np.array(BASE.k0))
    assert none.k0 == NEAR(plain.k0)
    assert (brown.k0 > plain.k0).all()


# --- searches ------------------------------------------------------------------------------------------


def test_bounds_of_a_search():
    problem = problem_of((60, 10, 10), [RED, BLUE], BASE, {RED.id: 0.5})
    assert problem.caps.tolist() == [0.5, BLUE.cap_pct]
    assert problem.total == 3.0  # solids a base bears unchanged, common practice
    assert problem_of((60, 10, 10), [RED], BASE, total_pct=0.4).total == 0.4
    held = recipe_search.inside(np.array([[-1.0, 0.2], [2.0, 2.0], [2.0, 0.1]]), np.array([1.5, 3.0]), 3.0)
    assert held.tolist() == [[0.0, 0.2], [NEAR(1.5 * 3 / 3.5), NEAR(2 * 3 / 3.5)], [1.5, 0.1]]


def test_what_stands_on_a_cap_is_named():
    problem = problem_of((60, 10, 10), [RED, BLUE], BASE, {RED.id: 0.5, BLUE.id: 0.4}, 0.8)
    for doses, said in (
        ((0.5, 0.1), (RED.id,)), ((0.499, 0.1), ()), ((0.1, 0.4), (BLUE.id,)), ((0.45, 0.35), ("total",)),
        ((0.5, 0.3), (RED.id, "total")), ((0.45, 0.349), ()),
    ):  # fmt: skip
        assert recipe_search._limits(problem, [RED, BLUE], np.array([0, 1]), np.array(doses)) == said


def test_doses_go_to_the_step_that_comes_nearest():
    wanted = lab_of(tone_recipe("t", BASE, [(RED, 0.12), (BLUE, 0.21)]).mixed()[2])
    problem = problem_of(wanted, [RED, BLUE], BASE, {RED.id: 0.5, BLUE.id: 0.2})
    sets = np.array([[0, 1]])
    (found,) = recipe_search._to_scale(problem, sets, np.array([[0.118, 0.2]]), 0.02)
    assert found == NEAR([0.12, 0.2])
    (capped,) = recipe_search._to_scale(problem, sets, np.array([[0.12, 0.2]]), 0.03)
    assert capped[1] <= 0.2
    assert capped / 0.03 == NEAR(np.round(capped / 0.03))


def test_a_search_counts_from_one_to_three_pigments():
    target = lab_of(tone_recipe("t", BASE, [(RED, 0.1)]).mixed()[2])
    for most in (0, 4):
        with pytest.raises(OutOfRange):
            match(target, [RED, BLUE], BASE, most=most)
    assert {len(found.doses) for found in match(target, [RED, BLUE], BASE, most=1)} == {1}
    assert len(match(target, [RED, BLUE, YELLOW], BASE, count=2)) == 2
    assert all(min(found.doses.values()) > 1e-6 for found in match(target, [RED, BLUE, YELLOW], BASE))
    assert RED.id in match(target, [RED], BASE, most=3)[0].doses


def test_half_a_delta_e_counts_and_then_fewer_pigments():
    def rank(apart: float, *names: str):
        return recipe_search._rank(Match(dict.fromkeys(names, 0.1), np.zeros(3), apart, ()))

    assert rank(0.7, "a", "b") == (0.5, 2, 0.7)
    assert rank(0.76, "a") == (1.0, 1, 0.76)
    assert rank(0.3, "a") < rank(0.26, "a", "b") < rank(0.8, "a")


def test_a_recipe_costs_the_sum_of_its_pigments():
    dear, cheap = replace(RED, price_per_g=0.5), replace(BLUE, price_per_g=0.2)
    assert recipe_ranking._cost([dear, cheap], {RED.id: 0.4, BLUE.id: 3.0}) == NEAR(0.8)
    assert recipe_ranking._cost([dear, BLUE], {RED.id: 0.4, BLUE.id: 3.0}) is None
    assert recipe_ranking._cost([], {}) == 0.0


def test_two_lots_are_told_apart_by_their_own_swatches():
    """Each lot has a ladder of its own; the second is 1.3 times as strong."""

    def measured(pigment, lot: str, factor: float):
        ladder = [
            Swatch(doses={RED.id: pct}, how="spectrum",
                   R=tuple(mix([pct * factor], np.array([RED.k]), np.array([RED.s]), BASE.k0, BASE.s0)[2]))
            for pct in (0.1, 0.3)
        ]  # fmt: skip
        return measured_pigment(pigment, BASE, ladder, lot=lot)[0]

    both = measured(measured(RED, "1", 1.0), "2", 1.3)
    assert between_lots(both, BASE, "1", "2").ratio == NEAR(1.3, rel=0.01)
    assert between_lots(both, BASE, "2", "1").ratio == NEAR(1 / 1.3, rel=0.01)
    assert between_lots(both, BASE, "1", "3") is None
    assert between_lots(both, BASE, "3", "2") is None


@pytest.mark.parametrize(("above", "lightens"), [(0.4, False), (0.6, True)])
def test_only_what_is_lighter_than_the_base_cannot_be_lightened(above, lightens):
    white = lab_of(reflectance(np.array(BASE.k0) / np.array(BASE.s0)))
    target = (float(white[0]) + above, 60.0, 0.0)
    obstacle = recipe_ranking.ways(target, [RED], BASE, recipe_ranking.Wanted(most=1)).obstacle
    assert ("no pigment lightens it" in obstacle) is lightens


@pytest.mark.parametrize(
    ("x", "held"),
    [((0.05, 0.2), ()), ((0.0, 0.2), (0,)), ((0.05, 0.5), (1,)), ((0.0, 0.5), (0, 1)), ((0.45, 0.001), ())],
)
def test_a_step_is_that_of_least_squares_and_holds_what_leaves_its_bounds(x, held):
    """The first dose wants down, the second up: on its bound each is left alone."""
    J = np.array([[[1.0, -0.2], [0.3, -2.0], [0.1, 0.4]]])
    f = np.array([[1.0, 1.0, 0.5]])
    g = (J[0].T @ f[0]).tolist()
    assert g[0] > 0 > g[1]
    free = [at for at in (0, 1) if at not in held]
    wanted = np.zeros(2)
    if free:
        own = J[0][:, free]
        wanted[free] = -np.linalg.solve(own.T @ own, own.T @ f[0])
    found = recipe_search._step(f, J, np.array([x]), np.array([[0.5, 0.5]]), np.array([0.0]))
    assert found[0] == NEAR(wanted, rel=1e-6, abs=1e-6)
    (damped,) = recipe_search._step(f, J[:, :, :1], np.array([x])[:, :1], np.array([[0.5]]), np.array([0.5]))
    assert damped[0] == NEAR(0.0 if 0 in held else -g[0] / (1.5 * float(J[0, :, 0] @ J[0, :, 0])))


def test_a_new_lot_carries_the_error_of_its_fit():
    R = mix([0.3 * 1.2], np.array([RED.k]), np.array([RED.s]), BASE.k0, BASE.s0)[2]
    found = new_lot(RED, BASE, [Swatch(doses={RED.id: 0.3}, how="spectrum", R=tuple(R))])
    assert (found.ratio, found.se) == (NEAR(1.2), NEAR(0.05))
    assert found.apart == NEAR(0.0, abs=1e-6)
    assert not found.hue_changed


def test_a_picture_is_shown_like_its_points():
    points = np.array([[0.2, 0.3, 0.4], [-0.2, 0.5, 0.5], [0.1, 1.2, 0.1], [0.9, 0.9, 0.9]])
    flat, fits = to_screen(points)
    picture, fit = to_screen(points.reshape(2, 2, 3))
    assert np.allclose(picture.reshape(4, 3), flat)
    assert fit.reshape(4).tolist() == fits.tolist() == [True, False, False, True]


def test_a_recipe_of_other_strengths_is_one_of_other_doses():
    recipe = tone_recipe("t", BASE, [(RED, 0.1), (BLUE, 0.2)])
    twice = tone_recipe("t", BASE, [(RED, 0.2), (BLUE, 0.1)])
    assert np.allclose(recipe.mixed(np.array([2.0, 0.5]))[2], twice.mixed()[2])


def test_the_usual_eye_changes_nothing():
    assert eye_matrix("usual").tolist() == np.eye(3).tolist()
    for wrong in (-0.01, 1.01):
        with pytest.raises(OutOfRange):
            eye_matrix("deutan", wrong)
    assert eye_matrix("deutan", 0.0) == NEAR(np.eye(3))


def test_a_change_from_lamp_to_lamp_counts_to_half_a_delta_e():
    (way,) = recipe_ranking.ways((75, 10, 20), [RED], BASE, recipe_ranking.Wanted(most=1)).ways
    for change, shown in ((0.2, 0.0), (0.3, 0.5), (1.6, 1.5), (4.0, 4.0)):
        assert recipe_ranking._rank(replace(way, lamp=("A", change)))[4] == shown
    assert recipe_ranking._rank(replace(way, expected=1.3))[1] == 1.5
    assert recipe_ranking._rank(replace(way, cost=0.126))[3] == 0.13

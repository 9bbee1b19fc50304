"""From a design to tints and their spread."""

import dataclasses
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts import demo
from blendlab.facts.palette import bases, pigments, starter
from blendlab.facts.read import figure
from blendlab.shelf import Shelf, resolve
from blendlab.tint import delta_e_2000, predict, see, spread
from blendlab.tint.browning import browning
from blendlab.tint.kubelka_munk import behind_wall
from blendlab.tint.spectra import lab_of
from blendlab.tint.uncertainty import TRIALS, strengths

PAIR = {
    "Deep": {"chromium_hydroxide_green": 0.4, "ferric_ferrocyanide": 0.06},
    "Cream": {"iron_oxide_yellow": 0.05},
}


def test_a_tint_is_the_mix_of_its_doses_in_the_base(make, shelf):
    base, red = bases()[0], starter("iron_oxide_red")
    tint = predict(resolve(make({"Red": {"iron_oxide_red": 0.3}}), shelf))["red"]
    assert pytest.approx(np.array(base.k0) + 0.3 * np.array(red.k)) == tint.K
    assert pytest.approx(1 + 0.3 * np.array(red.s)) == tint.S
    assert see(tint.R).lab == pytest.approx([82.399, 13.8755, 6.2719], abs=0.001)
    assert tint.known == "estimate"


def test_tones_come_by_their_id_in_the_order_of_the_design(make, shelf):
    assert list(predict(resolve(make(PAIR), shelf))) == ["deep", "cream"]


def test_the_overrun_of_the_batch_counts_unless_another_is_asked(make, shelf):
    from blendlab.recipe import Batch

    design = make(PAIR, batch=Batch(overrun_pct=150))
    at_base, whipped = predict(resolve(make(PAIR), shelf)), predict(resolve(design, shelf))
    assert see(whipped["deep"].R).lab[0] > see(at_base["deep"].R).lab[0]
    back = predict(resolve(design, shelf), overrun=bases()[0].ref_overrun_pct)
    assert pytest.approx(at_base["deep"].R) == back["deep"].R


def test_a_wetted_wall_is_deeper_and_an_unknown_one_is_drawn_open(make, shelf, jar):
    tint = predict(resolve(make(PAIR), shelf))["deep"]
    assert np.array_equal(tint.R_wall, tint.R)
    wet = dataclasses.replace(jar, wall_contact=0.6)
    tint = predict(resolve(make(PAIR, jar=wet.ref), Shelf((*pigments(), *bases(), wet))))["deep"]
    assert 1.6 < float(delta_e_2000(see(tint.R).lab, see(tint.R_wall).lab)) < 12
    assert np.all(tint.R_wall < tint.R)


def test_what_is_said_of_a_wetted_wall_is_what_the_law_of_the_wall_makes_of_the_demo():
    told, demo_shelf = figure("tint", "wall_deeper"), demo.demo_shelf()
    steps = [
        float(delta_e_2000(lab_of(tint.R), lab_of(behind_wall(tint.R, 0.5))))
        for design in demo.demo_designs(demo_shelf)
        for tint in predict(resolve(design, demo_shelf)).values()
    ]
    assert (round(min(steps)), round(max(steps))) == (told.low, told.high)
    assert told.value == round(float(np.median(steps)))


@pytest.mark.parametrize(
    ("base_known", "plain", "single", "mixed"),
    [
        ("measured", "measured", "measured", "estimate"),
        ("estimate", "estimate", "estimate", "estimate"),
    ],
)
def test_measured_is_said_only_when_base_and_all_pigments_are(make, jar, base_known, plain, single, mixed):
    base = dataclasses.replace(bases()[0], known=base_known)
    red = dataclasses.replace(starter("iron_oxide_red"), known="measured")
    shelf = Shelf((base, red, jar, starter("carmine")))
    tones = {"White": {}, "Red": [(red, 0.1)], "Mixed": [(red, 0.1), ("carmine", 0.01)]}
    tints = predict(resolve(make(tones, base=base), shelf))
    assert [tint.known for tint in tints.values()] == [plain, single, mixed]


def test_the_revision_a_design_used_is_found_before_todays(make, shelf):
    old = starter("iron_oxide_red")
    new = dataclasses.replace(old, k=tuple(2 * value for value in old.k))
    today = Shelf((new, *bases(), *shelf.of("jar")), embedded=(old,))
    design = make({"Red": {"iron_oxide_red": 0.2}})
    assert pytest.approx(predict(resolve(design, shelf))["red"].R) == predict(resolve(design, today))["red"].R


def test_what_is_not_on_the_shelf_is_named(make, jar):
    bare = resolve(make({"Red": {"iron_oxide_red": 0.2}}), Shelf((*bases(), jar)))
    assert [(place.path, place.ref.id) for place in bare.missing] == [
        ("tones.0.doses.0.pigment", "iron_oxide_red")
    ]
    assert pytest.approx(predict(resolve(make({"Red": {}}), bare.shelf))["red"].R) == predict(bare)["red"].R
    with pytest.raises(UnknownName, match="soap-white"):
        resolve(make({"Red": {}}), Shelf((jar,)))


def test_browning_grows_with_vanillin_and_weeks_and_is_no_more_than_yellow_to_brown(make, shelf):
    white = make({"White": {}})
    tints = [predict(resolve(white, shelf), weeks=weeks, vanillin_pct=0.1) for weeks in (0, 2, 8, 52)]
    labs = [see(tint["white"].R).lab for tint in tints]
    assert labs[0] == pytest.approx(see(predict(resolve(white, shelf))["white"].R).lab)
    assert all(b[2] > a[2] and b[0] < a[0] for a, b in pairwise(labs))
    low, likely, high = (
        predict(resolve(white, shelf), weeks=8, vanillin_pct=0.1, how_brown=how)["white"].R
        for how in ("low", "likely", "high")
    )
    assert np.all(low > likely)
    assert np.all(likely > high)


def test_browning_follows_its_rule():
    """K = v a exp(-(wl - 400)/60) (1 - exp(-weeks/6)), a = 2 (0.5 to 8): a rule of thumb."""
    assert browning(0.3, 6)[6] == pytest.approx(0.3 * 2 * np.exp(-1) * (1 - np.exp(-1)))
    assert browning(0.3, 6, "high") == pytest.approx(4 * browning(0.3, 6))
    assert browning(0.3, 6, "low") == pytest.approx(browning(0.3, 6) / 4)
    for wrong in ({"vanillin_pct": -1, "weeks": 1}, {"vanillin_pct": 1, "weeks": -1}):
        with pytest.raises(OutOfRange):
            browning(**wrong)
    with pytest.raises(UnknownName):
        browning(0.1, 1, "huge")


def test_the_design_says_the_weeks_unless_others_are_asked(make, shelf):
    aged = predict(resolve(make({"White": {}}, weeks=8), shelf), vanillin_pct=0.1)["white"].R
    assert aged == pytest.approx(
        predict(resolve(make({"White": {}}), shelf), weeks=8, vanillin_pct=0.1)["white"].R
    )


def test_the_spread_of_one_pigment_is_its_strength_10_and_90_percent_points(make, shelf):
    """Closed form: the quantiles of one log-normal strength are exp(+-1.2816 sd) = 2.5 and 1/2.5."""
    found = spread(resolve(make({"Red": {"iron_oxide_red": 0.1}}), shelf), sources=("strength",))["red"]
    for shade, factor in ((found.weak, 1 / 2.5), (found.strong, 2.5)):
        exact = predict(resolve(make({"Red": {"iron_oxide_red": 0.1 * factor}}), shelf))["red"].R
        assert float(delta_e_2000(shade.lab, see(exact).lab)) < 0.15
    assert found.delta_e00 > 3
    assert 0.8 <= found.inside <= 0.95


def test_the_strong_end_is_farther_from_white_than_the_weak_end(make, shelf):
    white = see(predict(resolve(make({"White": {}}), shelf))["white"].R).lab
    for found in spread(resolve(make(PAIR), shelf)).values():
        away = [float(delta_e_2000(shade.lab, white)) for shade in (found.weak, found.likely, found.strong)]
        assert away == sorted(away)


def test_a_tone_without_doses_has_no_spread(make, shelf):
    found = spread(resolve(make({"White": {}}), shelf), sources=("strength", "weighing"))["white"]
    assert found.delta_e00 == pytest.approx(0, abs=1e-9)
    assert found.inside == 1


def test_a_measured_pigment_spreads_less(make, jar):
    red = starter("iron_oxide_red")
    own = dataclasses.replace(red, id="own", strength_sd=0.05, known="measured")
    shelf = Shelf((red, own, *bases(), jar))
    wide, narrow = (
        spread(resolve(make({"Red": [(pigment, 0.1)]}), shelf))["red"].delta_e00 for pigment in (red, own)
    )
    assert narrow < wide / 8


def test_equal_content_gives_equal_draws_and_two_tones_share_them():
    red, blue = starter("iron_oxide_red"), starter("ultramarine_blue")
    both, alone = strengths((red, blue)), strengths((blue,))
    assert np.array_equal(both[:, 1], alone[:, 0])
    assert both.shape == (TRIALS, 2)
    assert abs(np.corrcoef(np.log(both).T)[0, 1]) < 0.15


@given(st.sampled_from(pigments()))
def test_strengths_are_log_normal_around_1(pigment):
    drawn = np.log(strengths((pigment,))[:, 0])
    assert drawn.mean() == pytest.approx(0, abs=1e-9)
    assert drawn.std() == pytest.approx(pigment.strength_sd, rel=0.01)


def test_each_source_widens_the_spread_and_is_named(make, shelf):
    from blendlab.tint.uncertainty import DoseWeighing

    design = make({"Red": {"iron_oxide_red": 0.05}})
    coarse = spread(resolve(design, shelf), weighing=DoseWeighing({"red": 100.0}, 0.01))["red"]
    fine = spread(resolve(design, shelf), weighing=DoseWeighing({"red": 100.0}, 0.001))["red"]
    assert set(coarse.parts) == {"strength:iron_oxide_red", "weighing", "overrun", "base"}
    assert coarse.parts["weighing"] == pytest.approx(10 * fine.parts["weighing"], rel=0.1)
    alone = {
        source: spread(
            resolve(design, shelf), weighing=DoseWeighing({"red": 100.0}, 0.01), sources=(source,)
        )["red"].delta_e00
        for source in ("strength", "weighing", "overrun", "base")
    }
    assert all(0 < width < coarse.delta_e00 + 0.3 for width in alone.values())
    assert alone["base"] == pytest.approx(coarse.parts["base"], rel=0.5)


def test_weighing_follows_the_step_of_the_scale_and_the_mass_of_the_portion():
    """100 d / (M sqrt 12) percent for the step, the repeatability in quadrature."""
    from blendlab.tint.uncertainty import DoseWeighing

    assert DoseWeighing({"a": 100.0}, 0.01, 0.0).sd_pct("a") == pytest.approx(0.01 / 12**0.5)
    assert DoseWeighing({"a": 100.0}, 0.01, 0.02).sd_pct("a") == pytest.approx((1e-4 / 12 + 4e-4) ** 0.5)
    assert DoseWeighing({"a": 100.0}, 0.01).sd_pct("b") == 0


def test_her_own_foam_and_browning_replace_the_trend(make, jar):
    from blendlab.recipe import Batch
    from blendlab.tint.kubelka_munk import foam_factor

    base = dataclasses.replace(bases()[0], foam_power=1.6, foam_power_sd=0.1, brown_rate=5.0)
    shelf = Shelf((*pigments(), base, jar))
    tint = predict(resolve(make({"White": {}}, base=base, batch=Batch(overrun_pct=150)), shelf))["white"]
    assert pytest.approx(np.full(31, foam_factor(150, base.ref_overrun_pct, 1.6))) == tint.S
    low, high = (
        predict(resolve(make({"White": {}}, base=base, weeks=6), shelf), vanillin_pct=0.1, how_brown=how)[
            "white"
        ].K
        for how in ("low", "high")
    )
    assert np.array_equal(low, high)
    assert low[0] - base.k0[0] == pytest.approx(0.1 * 5 * (1 - np.exp(-1)))

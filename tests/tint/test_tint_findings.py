"""What an unwise look is told."""

import dataclasses
import re
from dataclasses import replace

import pytest

from blendlab.facts.palette import bases, composite, pigments, starter
from blendlab.recipe import Batch, OilShare, Scent, from_dict, to_dict
from blendlab.shelf import Constituent, Oil, Shelf, resolve
from blendlab.tint import DoseWeighing, findings, predict, spread

FORBIDDEN = (
    "safe|compliant|approved|legal|certified|guaranteed|allergen-free|hypoallergenic|non-toxic|OK|all good|!"
)


def changed(design, act):
    data = to_dict(design)
    for path, value in act.items():
        *stem, leaf = path.split(".")
        place = data
        for part in stem:
            place = place[int(part)] if part.isdigit() else place[part]
        assert leaf in place
        place[leaf] = value
    return from_dict(data)


def test_a_quiet_design_hears_only_notes(make, told):
    found = told(make({"Slate": {"iron_oxide_black": 0.3}, "White": {}}))
    assert set(found) == {"tint.estimate", "tint.wall"}
    assert all(finding.level == "note" for finding in found.values())
    assert "black iron oxide" in found["tint.estimate"].text
    assert "black iron oxide first" in found["tint.estimate"].fix
    assert "Whipped soap base" in found["tint.estimate"].text


@pytest.mark.parametrize(
    ("doses", "name", "most"),
    [
        ({"iron_oxide_red": 0.9}, "tint.cap.iron_oxide_red", 0.4),
        ({"mica_gold": 2.5}, "tint.cap.mica_gold", 2.0),
        ({"mica_gold": 1.5, "mica_bronze": 1.0}, "tint.micas", 2.0),
        ({"kaolin": 2.5, "mica_gold": 1.0}, "tint.solids", 3.0),
    ],
)
def test_too_much_is_told_and_its_button_mends_it(make, told, doses, name, most):
    design = make({"White": {}, "Full": doses})
    found = told(design)[name]
    assert (found.level, found.where) == ("caution", "look.tones.full")
    assert f"{most:.2f} % of the portion" in found.text
    assert found.button == f"Lower to {most:.2f} %"
    mended = changed(design, found.act)
    assert name not in told(mended)
    assert sum(dose.pct for dose in mended.tones[1].doses) > 0.9 * most - 0.1
    assert mended.tones[0] == design.tones[0]


def test_what_is_just_within_a_cap_is_quiet_and_lowering_keeps_the_shares(make, told):
    cap = starter("iron_oxide_red").cap_pct
    assert "tint.cap.iron_oxide_red" not in told(make({"Red": {"iron_oxide_red": cap}}))
    doses = [("kaolin", 2.4), ("titanium_dioxide", 0.8), ("mica_gold", 0.8)]
    found = told(make({"Full": doses}))["tint.solids"]
    assert found.act == {
        "tones.0.doses.0.pct": 1.8, "tones.0.doses.1.pct": 0.6, "tones.0.doses.2.pct": 0.6,
    }  # fmt: skip
    assert "4.00 % pigment in all; the most in use is 3.00 %" in found.text


def test_a_single_mica_within_its_cap_is_not_told_twice(make, told):
    found = told(make({"Gold": {"mica_gold": 2.5}}))
    assert "tint.cap.mica_gold" in found
    assert "tint.micas" not in found


def test_her_own_mica_with_a_higher_cap_still_ends_at_two_percent(make, told, jar):
    own = dataclasses.replace(starter("mica_gold"), id="own", cap_pct=10)
    design = make({"Gold": [(own, 2.2)], "White": {}})
    assert told(design, Shelf((own, *bases(), jar)))["tint.micas"].act == {"tones.0.doses.0.pct": 2.0}


@pytest.mark.parametrize(
    ("pigment", "pH", "level"),
    [
        ("ultramarine_blue", 6.0, None),
        ("ultramarine_blue", 5.5, "caution"),
        ("ultramarine_pink", 4.9, "stop"),
        ("ferric_ferrocyanide", 8.0, None),
        ("ferric_ferrocyanide", 8.5, "caution"),
        ("ferric_ferrocyanide", 9.5, "stop"),
        ("manganese_violet", 9.5, "stop"),
        ("carmine", 4.5, "caution"),
        ("carmine", 7.0, None),
        ("blue1_lake", 4.5, None),
        ("blue1_lake", 9.5, "caution"),
        ("iron_oxide_red", 3.0, None),
        ("ultramarine_blue", None, "caution"),
        ("iron_oxide_red", None, None),
    ],
)
def test_ph(make, told, jar, pigment, pH, level):
    base = dataclasses.replace(bases()[0], pH=pH)
    shelf = Shelf((*pigments(), base, jar))
    found = told(make({"Tone": {pigment: 0.05}, "White": {}}, base=base), shelf)
    assert getattr(found.get(f"tint.ph.{pigment}"), "level", None) == level


def test_ph_has_no_meaning_without_water_but_a_dyed_mica_keeps_the_rule_of_its_dye(make, told, jar):
    butter = next(base for base in bases() if base.product == "body_butter")
    assert "tint.ph.ultramarine_blue" not in told(make({"Blue": {"ultramarine_blue": 0.1}}, base=butter))
    sea = composite("sea", "Sea mica", [(starter("mica_white"), 9), (starter("ultramarine_blue"), 1)])
    sour = dataclasses.replace(bases()[0], pH=4.5)
    found = told(make({"Sea": [(sea, 1)]}, base=sour), Shelf((sea, sour, jar)))
    assert found["tint.ph.sea"].level == "stop"


def test_two_tones_alike(make, told):
    found = told(make({"One": {"iron_oxide_red": 0.1}, "Other": {"iron_oxide_red": 0.105}}))
    assert found["tint.alike.one"].level == "caution"
    assert found["tint.alike.one"].where == "look.tones.other"


def test_two_tones_whose_spreads_meet(make, told):
    near = told(make({"One": {"ultramarine_violet": 0.25}, "Other": {"manganese_violet": 0.3}}))
    far = told(make({"One": {"ultramarine_blue": 0.3}, "Other": {"iron_oxide_red": 0.3}}))
    assert near["tint.meet.one"].level == "caution"
    assert "tint.meet.one" not in far


def test_red_and_green_of_one_lightness_are_told_for_other_eyes(make, told):
    found = told(make({"Red": {"iron_oxide_red": 0.3}, "Green": {"chromium_oxide_green": 0.4}}))
    eyes = found["tint.eyes.red"]
    assert (eyes.level, eyes.where) == ("caution", "look.tones.green")
    assert "an eye without green cones" in eyes.text
    assert eyes.button


def test_the_suggestion_for_other_eyes_passes_the_rule(make, told):
    design = make({"Red": {"iron_oxide_red": 0.3}, "Green": {"chromium_oxide_green": 0.4}})
    mended = changed(design, told(design)["tint.eyes.red"].act)
    assert "tint.eyes.red" not in told(mended)
    assert "tint.cap.iron_oxide_red" not in told(mended)


@pytest.mark.parametrize(
    ("first", "second", "level"),
    [
        ({"iron_oxide_red": 0.3}, {"chromium_oxide_green": 0.4}, "caution"),
        ({"mica_gold": 1.0}, {"ultramarine_pink": 1.0}, "caution"),
        ({"iron_oxide_red": 1.0}, {"iron_oxide_yellow": 0.1}, None),
    ],
)
def test_the_two_tone_rule_on_pairs_worked_elsewhere(make, told, first, second, level):
    """Red and green 27, 4.5, 3.0: fails; gold and pink, tritan 3.3: fails; deep red, pale yellow: passes."""
    found = told(make({"One": first, "Other": second})).get("tint.eyes.one")
    assert getattr(found, "level", None) == level


def test_a_pair_that_closes_up_under_a_lamp_is_told(make, told, shelf):
    from blendlab.tint import inconstancy

    design = make({"One": {"ultramarine_violet": 0.3}, "Other": {"manganese_violet": 0.4}})
    tints = predict(resolve(design, shelf))
    apart = inconstancy.contrast(tints["one"].R, tints["other"].R)
    found = told(design)
    assert ("tint.lamp.one" in found) == (min(apart.values()) < 3 <= apart["D65"])


def test_phenols_beside_iron_and_indole_are_told_with_their_numbers(make, told, shelf):
    def held(low, high):
        return Constituent(name="x", low=low, typical=low, high=high)

    oil = Oil(
        id="o",
        name="Oil",
        group="fragrance_oil",
        constituents={"97-53-0": held(10, 20), "120-72-9": held(0.1, 0.4)},
    )
    scent = Scent(load_pct=1, oils=(OilShare(oil=oil.ref, share_pct=50),))
    on = Shelf((*shelf.items, oil))
    found = told(make({"Red": {"iron_oxide_red": 0.2}}, scent=scent), on)
    assert "10 % phenols" in found["tint.reaction.vanillin_iron"].text
    assert "0.1 % of the jar" in found["tint.reaction.vanillin_iron"].text
    assert found["tint.reaction.indole"].level == "caution"
    white = told(make({"White": {}}, scent=scent), on)
    assert "tint.reaction.vanillin_iron" not in white
    assert not any(
        "reaction" in name for name in told(make({"Red": {}}, scent=replace(scent, load_pct=0)), on)
    )


@pytest.mark.parametrize(
    ("amine", "aldehyde", "told_of"), [(0.11, 0.11, True), (0.1, 0.5, False), (0.5, 0.1, False)]
)
def test_an_amine_reacts_only_beside_enough_aldehyde(make, told, shelf, amine, aldehyde, told_of):
    """Methyl anthranilate with citral, each above 0.1 % of the scent, summed over the oils."""
    oils = [
        Oil(
            id=name, name=name, group="fragrance_oil",
            constituents={cas: Constituent(name=cas, low=0, typical=pct, high=2 * pct)},
        )
        for name, cas, pct in (("a", "134-20-3", amine), ("b", "5392-40-5", aldehyde))
    ]  # fmt: skip
    shares = tuple(OilShare(oil=oil.ref, share_pct=50) for oil in oils)
    found = told(make({"White": {}}, scent=Scent(load_pct=1, oils=shares)), Shelf((*shelf.items, *oils)))
    assert ("tint.reaction.amine_aldehyde" in found) is told_of
    if told_of:
        text = found["tint.reaction.amine_aldehyde"].text
        assert "0.11 % methyl anthranilate and 0.11 % aldehydes, 0.0011 % of the jar" in text


def test_a_colour_beyond_the_screen_is_told(make, told):
    found = told(make({"Deep": {"yellow5_lake": 3.0}}))
    assert found["tint.screen"].where == "look.tones.deep"


def test_a_known_wall_and_a_measured_shelf_are_quiet(make, told, jar):
    jar = dataclasses.replace(jar, wall_contact=0.4)
    base = dataclasses.replace(bases()[0], known="measured")
    red = dataclasses.replace(starter("iron_oxide_red"), known="measured", strength_sd=0.05)
    assert told(make({"Red": [(red, 0.2)]}, base=base, jar=jar.ref), Shelf((base, red, jar))) == {}


def test_another_whip_is_told_as_a_trend_with_its_range_until_it_is_measured(make, told, jar):
    """Law of Vera, Saint-Jalmes, Durian 2001: a path of 0.14 + 1.5 / (1 + overrun), to the power 0.5 to 2.

    From 75 to 150 %: (0.14 + 1.5 / 1.75) / (0.14 + 1.5 / 2.5) = 1.347; its root 1.161, its square 1.816.
    """
    design = make({"White": {}}, batch=Batch(overrun_pct=150))
    assert bases()[0].ref_overrun_pct == 75
    found = told(design)["tint.whip"]
    assert (found.level, found.where) == ("note", "look.base")
    assert "1.35 times (1.16 to 1.82)" in found.text
    assert "tint.whip" not in told(make({"White": {}}, batch=Batch(overrun_pct=75)))
    own = dataclasses.replace(bases()[0], foam_power=1.3)
    same = make({"White": {}}, base=own, batch=Batch(overrun_pct=150))
    assert "tint.whip" not in told(same, Shelf((own, jar)))


@pytest.fixture
def wide(make, jar):
    """The finding on the spread of a measured tone, if there is one."""

    def found(sd=0.05, **how):
        base = dataclasses.replace(bases()[0], known="measured")
        red = dataclasses.replace(starter("iron_oxide_red"), known="measured", strength_sd=sd)
        there = resolve(make({"Red": [(red, 0.2)]}, base=base), Shelf((base, red, jar)))
        spreads = spread(there, **how)
        told = {finding.id: finding for finding in findings(there, predict(there), spreads=spreads)}
        return told.get("tint.spread"), spreads["red"]

    return found


def test_a_measured_tone_that_may_lie_off_says_by_how_much_and_what_narrows_it(wide):
    unsure, spreads = wide(sd=0.4)
    assert (unsure.level, unsure.where) == ("note", "look.tones.red")
    assert f"may lie Delta E {spreads.delta_e00:.1f} from its prediction" in unsure.text
    assert (
        f"the strength of red iron oxide (Delta E {spreads.parts['strength:iron_oxide_red']:.1f})"
        in unsure.text
    )
    assert unsure.fix == "Add a swatch of it at another percent."
    coarse, _ = wide(weighing=DoseWeighing({"red": 10.0}, 0.01))
    assert "comes from weighing" in coarse.text
    assert coarse.fix == "Weigh its pigments through a stock, or make a bigger trial."
    fine, spreads = wide()
    assert fine is None
    assert spreads.delta_e00 <= 1


def test_the_spread_of_a_starter_pigment_is_left_to_the_note_on_estimates(make, told):
    found = told(make({"Red": {"iron_oxide_red": 0.2}}))
    assert "tint.spread" not in found
    said = float(re.search(r"Red by Delta E (\d+\.\d)", found["tint.estimate"].text)[1])
    assert said > 3


def test_the_white_of_a_measured_base_asks_for_this_lot(make, jar):
    base = dataclasses.replace(bases()[0], known="measured")
    there = resolve(make({"White": {}}, base=base), Shelf((base, jar)))
    off = dataclasses.replace(spread(there)["white"], delta_e00=1.5, parts={"overrun": 0.2, "base": 1.4})
    (told,) = (
        finding
        for finding in findings(there, predict(there), spreads={"white": off})
        if finding.id == "tint.spread"
    )
    assert "the white of the base (Delta E 1.4)" in told.text
    assert told.fix == "Measure this lot of the base."


def test_sheen_and_bleeding_are_notes(make, told):
    found = told(make({"Pink": {"red40_lake": 0.1, "mica_white": 1.0}, "White": {}}))
    assert found["tint.sheen"].level == found["tint.bleed"].level == "note"
    assert "white pearl sheen" in found["tint.sheen"].text
    assert "tint.bleed" not in told(make({"Pink": {"red40_lake": 0.1}}))


@pytest.mark.parametrize(
    ("vanillin", "level", "words"),
    [
        (0.005, "note", "no browning expected"),
        (0.02, "caution", "light cream to tan"),
        (0.1, "caution", "clear brown"),
        (0.4, "caution", "dark brown"),
    ],
)
def test_browning_says_band_and_range(make, told, vanillin, level, words):
    found = told(make({"White": {}}, weeks=8), vanillin_pct=vanillin)["tint.browning"]
    assert (found.level, found.where) == (level, "look.weeks")
    assert words in found.text
    likely, low, high = map(
        float, re.search(r"Delta E ([\d.]+) \(([\d.]+) to ([\d.]+)\)", found.text).groups()
    )
    assert low < likely < high
    assert "8 weeks" in found.text


@pytest.mark.parametrize(("load", "unknown"), [(0.5, True), (0, False)])
def test_vanillin_is_asked_for_where_a_scent_goes_in(make, told, shelf, load, unknown):
    oil = Oil(id="o", name="Oil", group="fragrance_oil")
    scent = Scent(load_pct=load, oils=(OilShare(oil=oil.ref, share_pct=100),))
    found = told(make({"White": {}}, scent=scent), Shelf((*shelf.items, oil)))
    assert ("tint.browning" in found) is unknown
    assert "tint.browning" not in told(make({"White": {}}), vanillin_pct=0.0)


def test_vanillin_just_under_a_band_is_not_shown_on_its_edge(make, told):
    text = told(make({"White": {}}), vanillin_pct=0.0096)["tint.browning"].text
    assert "0.0096 %" in text
    assert "by the usual bands no browning expected" in text


def test_browning_is_one_band_worse_above_ph_7_and_absent_without_vanillin(make, told, jar):
    base = dataclasses.replace(bases()[0], pH=9.5)
    shelf = Shelf((base, jar))
    found = told(make({"White": {}}, base=base), shelf, vanillin_pct=0.06)
    assert "clear brown" in found["tint.browning"].text
    assert "tint.browning" not in told(make({"White": {}}), vanillin_pct=0.0)


def test_unknown_vanillin_in_a_scent_is_said(make, told, shelf):
    oil = Oil(id="o", name="Oil", group="fragrance_oil")
    scent = Scent(load_pct=1, oils=(OilShare(oil=oil.ref, share_pct=100),))
    there = Shelf((*shelf.items, oil))
    assert told(make({"White": {}}, scent=scent), there)["tint.browning"].level == "caution"
    assert "tint.browning" not in told(make({"White": {}}))


def test_findings_come_worst_first_without_a_forbidden_word(make, shelf):
    doses = {pigment.id: 2.5 for pigment in pigments()}
    design = make({"All": doses, "Most": {**doses, "carmine": 2.4}}, markets=("EU", "GB", "US", "CA"))
    found = findings(resolve(design, shelf), predict(resolve(design, shelf)), vanillin_pct=0.2)
    ranks = [("stop", "caution", "note").index(finding.level) for finding in found]
    assert ranks == sorted(ranks)
    assert len(found) > 30
    for finding in found:
        assert not re.search(rf"\b({FORBIDDEN})\b", f"{finding.text} {finding.fix} {finding.button}"), (
            finding.text
        )
        assert finding.where.startswith("look.")

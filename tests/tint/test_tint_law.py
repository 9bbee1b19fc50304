"""What the colour lists of the markets say of the colorants of a design."""

import dataclasses

import pytest

from blendlab.facts.palette import bases, composite, starter
from blendlab.recipe import Dust, Top
from blendlab.shelf import Shelf
from blendlab.tint.law import is_lake, listed


@pytest.mark.parametrize(
    ("pigment", "market", "product", "level"),
    [
        ("ultramarine_blue", "EU", "whipped_soap", None),
        ("ultramarine_blue", "US", "whipped_soap", None),
        ("ultramarine_blue", "US", "lip_balm", "stop"),
        ("carbon_black", "EU", "whipped_soap", None),
        ("carbon_black", "US", "whipped_soap", "stop"),
        ("blue1_lake", "US", "whipped_soap", "caution"),
        ("blue1_lake", "GB", "whipped_soap", None),
        ("mica_gold", "US", "whipped_soap", None),
        ("mica_gold", "EU", "whipped_soap", None),
    ],
)
def test_colour_lists(make, told, pigment, market, product, level):
    """21 CFR 73.2725 (ultramarines, not lips), 74.2052 (carbon black, listed make-up only), 74.2101
    (lots tested by the agency), 73.2496 (mica); Annex IV of Regulation (EC) 1223/2009.
    """
    found = told(make({"Tone": {pigment: 0.05}}, markets=(market,), product=product))
    laws = [finding for name, finding in found.items() if name.startswith("tint.law")]
    assert [finding.level for finding in laws] == ([level] if level else [])
    if market == "US" and laws:
        assert laws[0].source.startswith("21 CFR")
        assert laws[0].where == "look.tones.tone"


def test_a_number_in_no_list_is_a_stop_and_a_missing_one_too(make, told, jar):
    odd = dataclasses.replace(starter("carmine"), id="odd", ci=("99999",))
    bare = dataclasses.replace(starter("carmine"), id="bare", ci=())
    shelf = Shelf((odd, bare, *bases(), jar))
    found = told(make({"Odd": [(odd, 0.01)], "Bare": [(bare, 0.01)]}, markets=("EU",)), shelf)
    assert found["tint.law.EU.odd.99999"].level == "stop"
    assert found["tint.law.EU.bare"].level == "stop"


def test_a_composite_meets_the_strictest_list_of_its_parts(make, told, jar):
    grey = composite("grey", "Grey mica", [(starter("mica_white"), 19), (starter("carbon_black"), 1)])
    found = told(make({"Grey": [(grey, 1)]}, markets=("US",)), Shelf((grey, *bases(), jar)))
    assert found["tint.law.US.grey.77266"].level == "stop"


def test_the_dusted_top_is_asked_for_too_and_a_market_without_list_is_not_fine(make, told):
    top = Top(dust=Dust(pigment=starter("carbon_black").ref))
    found = told(make({"White": {}}, top=top, markets=("US", "CA")))
    assert found["tint.law.US.carbon_black.77266"].where == "look.top"
    assert found["tint.law.CA"].level == "caution"


def test_from_memory_is_said_in_the_source(make, told):
    found = told(make({"Pink": {"red40_lake": 0.1}}, markets=("US",)))
    assert "74.2340" in found["tint.law.US.red40_lake.16035"].source
    assert all(finding.source for finding in found.values())


@pytest.mark.parametrize(
    ("market", "place", "pigment", "pct", "level"),
    [
        ("US", "body", "ultramarine_blue", 0.2, None),
        ("US", "lips", "ultramarine_blue", 0.2, "stop"),
        ("US", "eye", "ultramarine_blue", 0.2, None),
        ("US", "eye", "blue1_lake", 0.1, "caution"),
        ("US", "lips", "iron_oxide_red", 0.2, None),
        ("US", "eye", "iron_oxide_red", 0.2, None),
        ("US", "body", "carbon_black", 0.02, "stop"),
        ("EU", "body", "carbon_black", 0.02, None),
        ("EU", "lips", "ultramarine_blue", 0.2, None),
    ],
)
def test_the_place_of_use_counts(make, told, market, place, pigment, pct, level):
    """21 CFR 73.2725 (ultramarines: not lips, eye area listed), 73.2250, 74.2101; Annex IV of 1223/2009."""
    found = told(make({"Tone": {pigment: pct}}, markets=(market,), place=place))
    laws = [finding.level for name, finding in found.items() if name.startswith(f"tint.law.{market}")]
    assert laws == ([level] if level else [])


def test_a_dye_has_a_highest_percent_on_lips_and_a_ban_near_eyes(make, told, shelf):
    """21 CFR 74.2333: D&C Red No. 33 up to 3 % on lips; EU Annex IV: green 74260 not in eye products."""
    red = dataclasses.replace(starter("red40_lake"), id="red33", ci=("17200",), cap_pct=10)
    green = dataclasses.replace(starter("chromium_oxide_green"), id="green7", ci=("74260",))
    on = Shelf((*shelf.items, red, green))

    def levels(pigment, pct, market, place):
        found = told(make({"Tone": [(pigment, pct)]}, markets=(market,), place=place), on)
        return {finding.level for name, finding in found.items() if name.startswith("tint.law")}

    assert levels(red, 2.0, "US", "lips") == {"caution"}
    assert levels(red, 4.0, "US", "lips") == {"stop"}
    assert levels(green, 0.1, "EU", "eye") == {"stop"}
    assert levels(green, 0.1, "EU", "body") == set()


@pytest.mark.parametrize(
    ("place", "product", "level"),
    [("lips", "whipped_soap", "stop"), ("body", "lip_balm", "stop"), ("body", "whipped_soap", None)],
)
@pytest.mark.parametrize("market", ["EU", "GB"])
def test_what_annex_iv_keeps_from_mucous_membranes_is_kept_from_lips(
    make, told, shelf, market, place, product, level
):
    """Regulation (EC) 1223/2009, Annex IV, 60730: not to be used in products applied to mucous membranes."""
    violet = dataclasses.replace(starter("ultramarine_violet"), id="violet", ci=("60730",))
    design = make({"Tone": [(violet, 0.1)]}, markets=(market,), place=place, product=product)
    found = told(design, Shelf((*shelf.items, violet)))
    laws = [finding for name, finding in found.items() if name.startswith("tint.law")]
    assert [finding.level for finding in laws] == ([level] if level else [])
    assert all("lips" in finding.text for finding in laws)


def test_a_mica_is_judged_by_every_part(make, told, shelf):
    sea = composite("sea", "Sea mica", [(starter("mica_white"), 9), (starter("ultramarine_blue"), 1)])
    found = told(make({"Tone": [(sea, 0.5)]}, markets=("US",), place="lips"), Shelf((*shelf.items, sea)))
    stops = [
        finding for name, finding in found.items() if name.startswith("tint.law") and finding.level == "stop"
    ]
    assert [finding.id for finding in stops] == ["tint.law.US.sea.77007"]


@pytest.mark.parametrize(
    ("ci", "market", "place", "pct", "level", "words"),
    [
        ("77004", "US", "body", 1.0, "note", "as a filler, not for its colour"),
        ("77004", "US", "eye", 1.0, "stop", "not known to be listed"),
        ("42053", "US", "eye", 0.1, "stop", "not listed for the eye area"),
        ("42053", "US", "body", 0.1, "caution", "only from a lot the US agency has tested"),
        ("12085", "US", "lips", 3.0, "caution", "only from a lot"),
        ("12085", "US", "lips", 3.01, "stop", "at most 3 % on lips, here 3.01 %"),
        ("60725", "US", "lips", 0.1, "stop", "listed for external use, not for lips"),
        ("77820", "US", "body", 0.1, "stop", "not in the list of colour additives"),
        ("15510", "EU", "eye", 0.1, "stop", "not for the eye area"),
        ("15510", "EU", "lips", 0.1, None, ""),
        ("60730", "EU", "eye", 0.1, "stop", "not for the eye area"),
        ("60730", "EU", "body", 0.1, None, ""),
    ],
)
def test_each_kind_of_row_says_its_own(ci, market, place, pct, level, words):
    """21 CFR 73, 74 and 82; Regulation (EC) 1223/2009, Annex IV, as `colour_additives.csv` has them."""
    pigment = dataclasses.replace(starter("carmine"), ci=(ci,), name="some colorant")
    found = list(listed(market, "look.tones.x", pigment, place, pct))
    assert [finding.level for finding in found] == ([level] if level else [])
    assert all(words in finding.text and finding.where == "look.tones.x" for finding in found)
    assert all(finding.text.startswith("Some colorant (CI ") for finding in found)


def test_the_doses_of_a_pigment_in_one_tone_are_judged_together(make, told, shelf):
    """21 CFR 74.2333: up to 3 % on lips, of all doses of it in the portion, in the tone that holds most."""
    red = dataclasses.replace(starter("red40_lake"), id="red33", ci=("17200",), cap_pct=10)
    on = Shelf((*shelf.items, red))
    for doses, level in (([(red, 1.6), (red, 1.6)], "stop"), ([(red, 1.4), (red, 1.4)], "caution")):
        design = make({"Pale": [(red, 0.1)], "Deep": doses}, markets=("US",), place="lips")
        laws = [finding for name, finding in told(design, on).items() if name.startswith("tint.law")]
        assert [finding.level for finding in laws] == [level]


def test_a_dye_alone_or_in_a_mica_can_bleed():
    sea = composite("sea", "Sea mica", [(starter("mica_white"), 9), (starter("blue1_lake"), 1)])
    dye = dataclasses.replace(starter("iron_oxide_red"), id="dye", ci=("42053",))
    oddity = dataclasses.replace(starter("iron_oxide_red"), id="odd", ci=("99999",))
    assert [is_lake(pigment) for pigment in (sea, dye, oddity)] == [True, True, False]

"""In the product: usual loads beside limits, several kinds, words, and jars that look like food."""

from __future__ import annotations

from dataclasses import replace

import pytest

from blendlab.facts.products import categories_of, product, strictest
from blendlab.fragrance import check, declare
from blendlab.fragrance.wording import Impression, imitation, label_warnings, of_words, signs
from blendlab.recipe import Answer, Caps
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

CREAM, BROWN, BLUE = (90.0, 2.0, 15.0), (38.0, 14.0, 22.0), (60.0, -20.0, -20.0)


# --- usual and listed -----------------------------------------------------------------------------


def test_the_usual_load_stands_beside_the_ceiling_and_never_binds():
    made = check(*scent(4.0, (oil("A", sheet(c9=70.0)), 100)), base(), "whipped_soap", "EU", TODAY)
    row = next(row for row in made.rows if row.kind == "practice")
    assert (made.ceiling_pct, made.usual_pct, row.limit_pct, row.over, row.binds) == (
        70.0,
        2.5,
        2.5,
        True,
        False,
    )
    assert row.source == "common practice"
    assert not [finding for finding in made.findings if finding.level == "stop"]
    assert "load.usual" in [finding.id for finding in made.findings if finding.level == "caution"]


def test_nothing_in_the_usual_load_counts_as_checked():
    made = check(*scent(1.0, (oil("A", sheet(c9=70.0)), 100)), base(), "whipped_soap", "EU", TODAY)
    assert made.counts.checked == made.counts.unverified == 0


# --- sold as two kinds ----------------------------------------------------------------------------


def test_two_kinds_take_the_stricter_of_each():
    both = strictest([product("whipped_soap"), product("body_butter")])
    assert (both.rinse, both.usual_high_pct) == ("leave_on", 1.0)
    assert both.scopes == {"rinse_off", "leave_on"}
    assert categories_of([product("whipped_soap"), product("hand_cream")]) == ["9", "5C"]


def test_a_soap_sold_as_a_butter_is_named_and_limited_as_a_butter():
    both_sheets = oil("A", sheet(c9=40.0, c5A=3.0), {"6259-76-3": 20.0}, declaration=declared(n106_24_1=0.5))
    plain, oils = scent(1.0, (both_sheets, 100))
    both = replace(plain, also_kinds=("body_butter",))
    soap = check(plain, oils, base(), "whipped_soap", "EU", TODAY)
    sold = check(both, oils, base(), "whipped_soap", "EU", TODAY)
    butter = check(plain, oils, base(), "body_butter", "EU", TODAY)
    assert sold.ceiling_pct == butter.ceiling_pct < soap.ceiling_pct
    assert not declare(plain, oils, "whipped_soap", "EU", TODAY).names
    assert [each.name for each in declare(both, oils, "whipped_soap", "EU", TODAY).names] == ["Geraniol"]


def test_phototoxic_oils_are_summed_once_however_many_kinds():
    bergamot = oil("Bergamot", sheet(c5A=40.0, c5C=40.0), cas="8007-75-8", plant_part="peel_expressed")
    plain, oils = scent(0.4, (bergamot, 50), (oil("B", sheet(c5A=40.0, c5C=40.0)), 50))
    sums = [
        next(
            row.used_pct
            for row in check(wish, oils, base(), "body_butter", "EU", TODAY).rows
            if row.kind == "sum"
        )
        for wish in (plain, replace(plain, also_kinds=("hand_cream", "face_cream")))
    ]
    # bergamot expressed: 0.4 % on skin that meets the sun; 0.2 % is half of the sum
    assert sums == [pytest.approx(50.0), pytest.approx(50.0)]


# --- her own ceilings -----------------------------------------------------------------------------


def test_her_own_ceiling_is_a_caution_and_no_ceiling_for_sale():
    plain, oils = scent(1.0, (oil("A", sheet(c9=40.0), vanillin_pct=5.0, declaration=declared()), 100))
    made = check(replace(plain, caps=Caps(vanillin_pct=0.01)), oils, base(), "whipped_soap", "EU", TODAY)
    assert made.ceiling_pct == 40.0
    told = [finding for finding in made.findings if finding.id.startswith("house")]
    assert [finding.level for finding in told] == ["caution"]
    assert "0.05 %, you allow 0.01 %" in told[0].text


def test_a_ceiling_that_cannot_be_known_is_told():
    plain, oils = scent(1.0, (oil("A", sheet(c9=40.0)), 100))
    made = check(replace(plain, caps=Caps(cost=0.3)), oils, base(), "whipped_soap", "EU", TODAY)
    assert "cannot be kept for certain" in next(
        finding.text for finding in made.findings if finding.id.startswith("house")
    )


def test_strength_moves_the_balance_by_odour_only():
    a, b = oil("A", sheet(c9=40.0), notes=(1.0, 0, 0)), oil("B", sheet(c9=40.0), notes=(0, 0, 1.0))
    plain, oils = scent(1.0, (a, 50), (b, 50))
    made = check(replace(plain, strengths={"b": 3.0}), oils, base(), "whipped_soap", "EU", TODAY)
    assert (made.notes.top, made.notes.base) == (0.5, 0.5)
    assert (made.odour.top, made.odour.base) == (0.25, 0.75)


# --- words and food -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["Calming lagoon", "Eczema balm", "Antibacterial foam", "Aromatherapy whip"])
def test_a_promise_of_health_is_a_stop(name):
    assert [finding.level for finding in of_words([name])] == ["stop"]


@pytest.mark.parametrize("name", ["Lagoon", "Fern Glade", "Dune Rose", "Spaint", "Curette"])
def test_plain_names_are_left_alone(name):
    assert not list(of_words([name]))


def test_small_children_are_out_of_scope():
    assert [finding.level for finding in of_words(["Baby cloud"])] == ["stop"]


@pytest.mark.parametrize(
    ("jar", "food"),
    [
        (Impression(("Vanilla cupcake",), (), "star", (BLUE,)), True),
        (Impression(("Lagoon",), ("Ripe peach accord",), "flat", (CREAM,)), True),
        (Impression(("Lagoon",), ("Coconut cream accord",), "flat", (BROWN,)), True),
        (Impression(("Vanilla cupcake",), (), "flat", (BLUE,)), False),
        (Impression(("Lagoon",), ("Lavender",), "star", (CREAM,)), False),
        (Impression(("Fern Glade",), ("Sweet orange cold pressed",), "star", (CREAM,)), False),
    ],
)
def test_food_needs_a_name_or_scent_and_a_look(jar, food):
    assert bool(signs(jar)) is food


@pytest.mark.parametrize(
    ("markets", "level"), [(["EU"], "stop"), (["GB"], "stop"), (["US"], "caution"), (["CA", "EU"], "stop")]
)
def test_a_jar_like_food_waits_for_the_assessor_in_the_eu_and_gb(markets, level):
    jar = Impression(("Vanilla cupcake",), (), "star", ())
    told = list(imitation(jar, markets, None))
    assert [finding.level for finding in told] == [level]
    assert label_warnings(jar, told) == (
        "Cosmetic product, not food. Do not eat. Keep away from small children.",
    )


def test_an_answer_holds_for_the_jar_it_was_about_only():
    jar = Impression(("Vanilla cupcake",), (), "star", ())
    answer = Answer(words="Lid and label make it plain.", by="A. Assessor", on=TODAY, about=signs(jar))
    assert [finding.level for finding in imitation(jar, ["EU"], answer)] == ["note"]
    other = Impression(("Vanilla cupcake",), ("Ripe peach accord",), "star", (CREAM,))
    told = list(imitation(other, ["EU"], answer))
    assert [finding.level for finding in told] == ["stop"]
    assert "The answer on file was about" in told[0].text
    empty = Answer(words=" ", by="A. Assessor", about=signs(jar))
    assert [finding.level for finding in imitation(jar, ["EU"], empty)] == ["stop"]

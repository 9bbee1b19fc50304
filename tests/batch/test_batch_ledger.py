"""Accounts of actives, top-ups and what is said of them: figures by hand, edges on both sides."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace

import pytest

from blendlab.batch import ledger, plan_findings, preservative, preservative_findings
from blendlab.batch.whip import Density
from blendlab.errors import OutOfRange
from blendlab.facts.library import demo_oils
from blendlab.shelf import Component, Constituent
from tests.batch import plans_to_try as tries
from tests.batch.test_batch_accounts import thing
from tests.batch.test_batch_rounding import drafted, made

NEAR = pytest.approx
BENZOATE = 122.12 / 144.11
"""Grams of benzoic acid in a gram of its sodium salt, by molar masses."""


def parts(**percents: float) -> tuple[Component, ...]:
    return tuple(
        Component(inci=name.replace("_", " "), low_pct=0.0, high_pct=pct) for name, pct in percents.items()
    )


def blend(**percents: float):
    return thing("blend", function="preservative", components=parts(**percents))


def base(**change):
    plain = {"actives": {}, "preservative": None, "preservative_pct": None}
    return replace(tries.shelf().today("base", "cooked"), **{**plain, **change})


# --- actives -------------------------------------------------------------------------------------------


def test_an_acid_and_its_salt_are_one_active():
    both = ledger.of_ingredient(blend(Sodium_Benzoate=20, Benzoic_Acid=5, Glycerin=75))
    assert both == {"benzoic acid": NEAR(20 * BENZOATE + 5, rel=1e-4), "glycerin": 75}
    declared = ledger.of_base(base(actives={"Sodium Benzoate": 0.4, "Benzoic Acid": 0.1, "Sorbitol": 2.0}))
    assert declared == {"benzoic acid": NEAR(0.4 * BENZOATE + 0.1, rel=1e-4), "sorbitol": 2.0}


def test_an_active_of_a_scent_is_the_sum_of_its_oils():
    oil = replace(demo_oils()[0], constituents={}, declaration=None, cas="")
    held = {"1-1": Constituent(name="x", low=0, typical=1, high=4, source="")}
    holds, silent = replace(oil, constituents=held), oil
    assert ledger.of_scent("1-1", [(holds, 0.25), (replace(holds), 0.5)]) == NEAR(3.0)
    assert ledger.of_scent("1-1", [(holds, 0.5), (silent, 0.0)]) == NEAR(2.0)
    assert ledger.of_scent("1-1", [(holds, 0.5), (silent, 0.5)]) is None
    assert ledger.of_scent("1-1", [(silent, 1.0)]) is None
    assert ledger.of_scent("1-1", []) == 0.0


def test_what_a_base_holds_of_a_blend_follows_from_its_actives():
    """0.9 % of a part of 90 % are 1 % of the blend, 0.12 % of one of 10 % are 1.2 %."""
    two = blend(Phenoxyethanol=90, Sorbitol=10)
    known = ledger.held(base(actives={"Phenoxyethanol": 0.9, "Sorbitol": 0.12}), two)
    assert known == ("actives", True, NEAR(1.0), NEAR(1.2))
    assert ledger.held(base(actives={"Glycerin": 3.0}), two) == ("unknown", False, 0.0, 0.0)
    assert ledger.held(base(actives={"Sorbitol": 0.1}), blend(Sorbitol=0.0)).how == "unknown"
    assert ledger.held(base(actives={"Sorbitol": 0.004}), blend(Sorbitol=0.5))[1:] == (
        True, NEAR(0.8), NEAR(0.8)
    )  # fmt: skip
    declared = base(actives={"Phenoxyethanol": 0.9}, preservative=two.ref, preservative_pct=(0.7, 0.8))
    assert ledger.held(declared, two) == ("declared", True, 0.7, 0.8)
    other = ledger.held(replace(declared, preservative=tries.PRESERVATIVE), two)
    assert (other.known, other.how) == (False, "other")


def test_unsplit_acid_by_the_ph_of_the_base():
    """Henderson and Hasselbalch; pKa of benzoic acid 4.19."""
    acid = blend(Sodium_Benzoate=50, Glycerin=50)
    assert ledger.free_acid(base(pH=4.19), acid) == {"benzoic acid": NEAR(0.5)}
    assert ledger.free_acid(base(pH=5.19), acid) == {"benzoic acid": NEAR(1 / 11)}
    assert ledger.free_acid(base(pH=None), acid) == {}


# --- top-ups -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("target", "strength", "fine"),
    [(0.0, 100, True), (0.5, 100, True), (-0.5, 100, False), (10, 10, False), (9.5, 10, True),
     (1.0, 100.5, False)],
)  # fmt: skip
def test_a_wish_lies_between_nothing_and_the_strength(target, strength, fine):
    for sized in (preservative.top_up_open, preservative.top_up_fixed):
        if fine:
            assert sized(1000, 0.0, 0, target, strength).final_pct == NEAR(target)
        else:
            with pytest.raises(OutOfRange):
                sized(1000, 0.0, 0, target, strength)


def test_what_tops_up_is_stronger_than_the_base():
    assert preservative.top_up_fixed(1000, 9.5, 0, 1.0, 10.0).topup_g == 0
    for held in (10.0, 10.5):
        with pytest.raises(OutOfRange):
            preservative.top_up_fixed(1000, held, 0, 1.0, 10.0)


def test_top_ups_by_their_mass_balance():
    """(1 x 1000 - 0.8 x 900 - 0.5 x 100) / (20 - 1) grams where it grows, / (20 - 0.8) where not."""
    grown = preservative.top_up_open(900, 0.8, 100, 1.0, 20.0, additions_pct=0.5)
    assert grown.topup_g == NEAR(230 / 19)
    assert (grown.base_g, grown.final_g) == (900, NEAR(1000 + 230 / 19))
    assert grown.final_pct == NEAR(1.0)
    kept = preservative.top_up_fixed(1000, 0.8, 100, 1.0, 20.0, additions_pct=0.5)
    assert kept.topup_g == NEAR(230 / 19.2)
    assert (kept.base_g, kept.final_g) == (NEAR(900 - 230 / 19.2), 1000)
    assert kept.final_pct == NEAR(1.0)
    assert preservative.top_up_open(0, 0, 0, 0.0) == (0, 0, 0, 0.0)


def test_a_range_is_sized_low_and_checked_high():
    told = preservative.top_up_range(1000, 0.8, 1.0, 100, 1.0, 1.1, 50.0)
    grams = (1100 - 800) / 49
    assert told.topup_g == NEAR(grams)
    assert told.final_pct_low == NEAR(1.0)
    high = (1000 + 50 * grams) / (1100 + grams)
    assert told.final_pct_high == NEAR(high)
    for most, within in ((high + 1e-6, True), (high - 1e-6, False)):
        assert preservative.top_up_range(1000, 0.8, 1.0, 100, 1.0, most, 50.0).within is within


def test_the_cap_of_a_blend_is_that_of_its_tightest_active():
    """(1.0 - 0.1) / 90 % = 1 %, (0.06 - 0) / 8 % = 0.75 %; what it does not hold limits nothing."""
    limits = {"a": 1.0, "b": 0.06, "c": 0.0, "d": 0.1}
    assert preservative.blend_cap({"a": 90, "b": 8, "c": 0.0}, limits, {"a": 0.1}) == NEAR(0.75)
    assert preservative.blend_cap({"a": 90, "d": 0.5}, limits) == NEAR(100 / 90)
    assert preservative.blend_cap({"d": 0.5}, limits) == NEAR(20)


def test_molar_masses_are_above_nothing():
    assert preservative.acid_equivalent(1.0, 0.25, 0.5) == NEAR(0.5)
    for wrong in (0, -1):
        with pytest.raises(OutOfRange):
            preservative.acid_equivalent(1.0, 122, wrong)


# --- what is said of it --------------------------------------------------------------------------------


def told(of) -> dict[str, str]:
    return {found.id: found.level for found in preservative_findings.preservative_findings(of)}


def wished(**change):
    of = drafted()
    return replace(of, wish=replace(of.wish, **change))


@pytest.mark.parametrize(("most", "said"), [(0.5, False), (0.49, True)])
def test_a_sheet_that_asks_for_more_than_law_allows_cannot_be_met(most, said):
    item = replace(drafted().wish.ingredient, low_pct=0.5)
    assert (told(wished(ingredient=item, most=most)).get("preservative-impossible") == "stop") is said
    silent = replace(item, low_pct=None)
    assert "preservative-impossible" not in told(wished(ingredient=silent, most=most))


def test_actives_nobody_knows_in_a_scent_are_told():
    assert told(wished(unknown=("benzyl alcohol",)))["active-unknown"] == "note"
    assert "active-unknown" not in told(wished(unknown=()))


def test_a_system_is_known_by_its_names_only():
    assert told(wished(ingredient=blend(Nobody_Knows=100)))["system-unknown"] == "note"
    assert "system-unknown" not in told(wished())


def late(of, low: float, high: float, **change) -> dict[str, str]:
    found = preservative_findings.settled_findings(of, made(of, **change), (), low, high)
    return {finding.id: finding.level for finding in found}


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.9, 1.0, {}),
        (0.9, 1.001, {"preservative-most": "stop"}),
        (0.899, 1.0, {"preservative-short": "caution"}),
        (0.5, 1.0, {"preservative-short": "caution"}),
        (0.499, 1.0, {"preservative-short": "stop"}),
    ],
)
def test_a_settled_preservative_keeps_its_most_and_its_wish(low, high, said):
    item = replace(drafted().wish.ingredient, low_pct=0.5)
    assert late(wished(ingredient=item, wanted=0.9, most=1.0), low, high) == said
    assert late(wished(ingredient=item, wanted=0.9, most=1.0), low, high, target=None) == {}


def test_without_a_lowest_figure_too_little_is_a_caution():
    item = replace(drafted().wish.ingredient, low_pct=None)
    assert late(wished(ingredient=item, wanted=0.9, most=1.0), 0.1, 1.0) == {"preservative-short": "caution"}


def test_a_load_that_rounding_takes_over_its_ceiling_is_a_stop():
    of = replace(drafted(), ceiling_pct=1.2)
    for highest, said in ((1.2, []), (1.2001, ["load-rounded"])):
        assert [found.id for found in plan_findings.load_findings(of, [0.5, highest])] == said
    assert not list(plan_findings.load_findings(of, []))


def test_a_batch_below_the_step_of_its_scale_names_the_coarsest():
    text = plan_findings.nothing_to_weigh(made(drafted())).text
    assert "scale of 1 g" in text


def test_a_tone_below_the_step_of_its_scale_is_told_with_its_grams():
    of = replace(drafted(), weights=(0.9996, 0.0004))
    (found,) = plan_findings.empty_tones(of, made(of, tones=(1000.0, 0.0)))
    assert found.id == "tone-nothing-cream"
    assert found.text.startswith("Cream would be 0.4 g of this batch")
    assert not list(plan_findings.empty_tones(replace(of, weights=(1.0, 0.0)), made(of, tones=(1000.0, 0.0))))
    assert not list(plan_findings.empty_tones(of, made(of)))


@pytest.mark.parametrize(("jars", "text"), [(24, "19 to 28 jars"), (1, "0 to 1 jars"), (0, "")])
def test_jars_of_a_foam_that_was_not_weighed(jars, text):
    """24 x 0.7 / 0.85 = 19.8 and 24 x 0.7 / 0.6 = 28; whole jars."""
    found = list(plan_findings.density_findings(Density(0.7, 0.6, 0.85, False), jars))
    assert bool(found) is bool(text)
    assert all(text in finding.text for finding in found)
    assert not list(plan_findings.density_findings(Density(0.7, 0.7, 0.7, True), jars))


@pytest.mark.parametrize(
    ("asked", "jars", "rest", "said"),
    [
        (None, 0, 0.0, ["no-jar"]), (24, 0, 0.0, ["no-jar"]), (None, 1, 0.0, []), (None, 3, 2.0, []),
        (None, 3, 2.1, ["short-jar"]), (3, 3, 50.0, []),
    ],
)  # fmt: skip
def test_a_short_last_jar_is_told_where_grams_were_asked(asked, jars, rest, said, monkeypatch):
    """Told from a share of the jar on: here 2 % of 100 g."""
    figures = SimpleNamespace(value=0.02)
    monkeypatch.setattr(plan_findings, "figure", lambda table, name: figures)
    assert [found.id for found in plan_findings.jar_findings(asked, jars, rest, 100.0)] == said


def unsplit(pH: float, **percents: float) -> dict[str, str]:
    of = drafted()
    moved = replace(of, resolved=replace(of.resolved, base=replace(of.base, pH=pH)))
    found = told(replace(moved, wish=replace(of.wish, ingredient=blend(**percents))))
    return {key: level for key, level in found.items() if key.startswith("acid-")}


def test_an_acid_alone_stops_where_most_of_it_is_split():
    """pKa 4.19 and 4.76: enough from a tenth unsplit, weak down to a twentieth or so (the row says)."""
    bounds = preservative.figure("batch", "undissociated")

    def at(share: float) -> float:
        return 4.19 + math.log10(1 / share - 1)

    alone = {"Sodium_Benzoate": 50.0}
    assert unsplit(at(bounds.value + 1e-4), **alone) == {}
    assert unsplit(at(bounds.value - 1e-4), **alone) == {"acid-benzoic acid": "caution"}
    assert unsplit(at(bounds.low + 1e-4), **alone) == {"acid-benzoic acid": "caution"}
    assert unsplit(at(bounds.low - 1e-4), **alone) == {"acid-benzoic acid": "stop"}
    helped = {**alone, "Phenoxyethanol": 50.0}
    assert unsplit(at(bounds.low + 1e-4), **helped) == {}
    assert unsplit(at(bounds.low - 1e-4), **helped) == {"acid-benzoic acid": "caution"}


def test_acids_that_are_all_split_stop_where_nothing_else_preserves():
    """Unsplit: 1 / (1 + 10^(6.5 - 4.19)) = 0.49 % of the benzoic acid, 1.79 % of the sorbic; under 3 %."""
    both = {"Sodium_Benzoate": 50.0, "Potassium_Sorbate": 50.0}
    weak = {"acid-benzoic acid", "acid-sorbic acid"}
    assert unsplit(6.5, **both) == dict.fromkeys(weak, "stop")
    assert unsplit(6.0, **both) == dict.fromkeys(weak, "caution")  # 1.5 % and 5.4 %
    assert unsplit(6.5, **both, Aqua=30.0, Glycerin=20.0) == dict.fromkeys(weak, "stop")
    assert unsplit(6.5, **both, Phenoxyethanol=50.0) == dict.fromkeys(weak, "caution")

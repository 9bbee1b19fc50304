"""What the base brings: its own fragrance and sheet, its contents, its preservative."""

from __future__ import annotations

from dataclasses import replace

import pytest

from blendlab.fragrance import check, closest, declare
from blendlab.fragrance.contents import in_base
from blendlab.recipe import Caps
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

CITRAL, BENZYL_ALCOHOL = "5392-40-5", "100-51-6"
SOAP, BUTTER = ("whipped_soap", "EU", TODAY), ("body_butter", "EU", TODAY)


def by_way(found):
    return {proposal.way: proposal for proposal in found.proposals}


def test_the_base_uses_the_lowest_figure_of_its_sheet_over_the_kinds():
    # 1 - 0.5 / 1.0 = half of the sheets is left: 0.5 x 2 = 1 %
    white = base(own_fragrance_pct=0.5, own_sheet=sheet(c9=2.0, c5C=1.0))
    plain, oils = scent(0.5, (oil("A", sheet(c9=2.0, c5C=2.0)), 100))
    both = replace(plain, also_kinds=("hand_cream",))
    assert check(plain, oils, white, *SOAP).ceiling_pct == pytest.approx(1.5)
    assert check(both, oils, white, *SOAP).ceiling_pct == pytest.approx(1.0)
    half = base(own_fragrance_pct=0.5, own_sheet=sheet(c9=2.0))
    assert check(both, oils, half, *SOAP).ceiling_pct is None
    assert check(both, oils, half, *SOAP).governing == "the base's own fragrance"


def test_a_base_that_uses_up_its_sheet_leaves_nothing():
    white = base(own_fragrance_pct=2.5, own_sheet=sheet(c9=2.0))
    made = check(*scent(0.5, (oil("A", sheet(c9=2.0)), 100)), white, *SOAP)
    assert made.ceiling_pct == 0.0
    assert "load.over" in [finding.id for finding in made.findings if finding.level == "stop"]


def test_the_whole_scent_of_the_jar_is_told():
    # 0.2 % of 98.5 % base and 1.5 % of load
    white = base(own_fragrance_pct=0.2, own_sheet=sheet(c9=2.0))
    made = check(*scent(1.5, (oil("A", sheet(c9=4.0)), 100)), white, *SOAP)
    (told,) = (finding.text for finding in made.findings if finding.id == "base.own")
    assert "already carries 0.2 % of scent; with the load that is up to 1.70 % of the jar." in told


def test_proposals_leave_room_for_the_scent_of_the_base():
    # (1 - 0.5 / 2) x 2 % = 1.5 %
    white = base(own_fragrance_pct=0.5, own_sheet=sheet(c9=2.0))
    wish = scent(3.0, (oil("A", sheet(c9=2.0)), 60), (oil("B", sheet(c9=2.0)), 40))
    assert by_way(closest(*wish, white, *SOAP))["scale"].scent.load_pct == 1.5


def test_proposals_leave_room_for_what_the_base_holds():
    # citral 0.15 % in category 5A (IFRA Standard, 49th Amendment): (0.15 - 0.05) / 4 %
    white = base(contents={CITRAL: 0.05})
    rich, plain = oil("Rich", sheet(c5A=100.0), {CITRAL: 4.0}), oil("Plain", sheet(c5A=100.0))
    alone = by_way(closest(*scent(5.0, (rich, 100)), white, *BUTTER))
    assert alone["scale"].scent.load_pct == 2.5
    for proposal in closest(*scent(5.0, (rich, 80), (plain, 20)), white, *BUTTER).proposals:
        share = next(each.share_pct for each in proposal.scent.oils if each.oil.id == "rich")
        assert 0.05 + proposal.scent.load_pct * share / 100 * 0.04 <= 0.15 + 1e-12


def test_her_own_ceiling_counts_what_the_base_holds():
    white = base(contents={CITRAL: 0.05})
    rich, plain = (
        oil("Rich", sheet(c9=100.0), {CITRAL: 4.0}),
        oil("Plain", sheet(c9=100.0), declaration=declared()),
    )
    made, oils = scent(2.0, (rich, 80), (plain, 20))
    wish = replace(made, caps=Caps(contents={"Citral": 0.09}))
    assert "house.your-ceiling-for-citral" in [
        finding.id for finding in check(wish, oils, white, *SOAP).findings
    ]
    found = closest(wish, oils, white, *SOAP)
    assert found.needs == {}
    for proposal in found.proposals:
        share = next(each.share_pct for each in proposal.scent.oils if each.oil.id == "rich")
        assert 0.05 + proposal.scent.load_pct * share / 100 * 0.04 <= 0.09 + 1e-12
    few = by_way(found)["few"]
    assert few.relaxed[0].most == 0.09
    assert few.relaxed[0].tried == pytest.approx(0.099)


def test_what_a_ceiling_would_have_to_be_counts_the_base():
    # 1 % of the oil alone brings 0.04 %, the base 0.05 %
    white, rich = base(contents={CITRAL: 0.05}), oil("Rich", sheet(c9=100.0), {CITRAL: 4.0})
    made, oils = scent(1.0, (rich, 100))
    found = closest(replace(made, caps=Caps(contents={"Citral": 0.06})), oils, white, *SOAP)
    assert found.needs == {"Your ceiling for Citral": pytest.approx(0.09)}


def test_a_preservative_counts_against_a_ceiling_and_never_brings_a_name():
    # Annex III entry 45 of Reg. (EC) 1223/2009: the threshold is for other purposes than preservation
    white = base(actives={"benzyl alcohol": 0.8})
    quiet = oil("Quiet", sheet(c9=40.0), declaration=declared(n100_51_6=0.5))
    plain, oils = scent(1.0, (quiet, 100))
    assert not declare(plain, oils, "whipped_soap", "EU", TODAY, white).names
    named = check(replace(plain, caps=Caps(unnamed=("Benzyl Alcohol",))), oils, white, *SOAP)
    assert not [row for row in named.rows if row.kind == "house" and row.over]
    capped = check(replace(plain, caps=Caps(contents={"Benzyl Alcohol": 0.5})), oils, white, *SOAP)
    (row,) = (row for row in capped.rows if row.kind == "house")
    assert (row.used_pct, row.over) == (pytest.approx(0.805), True)


def test_a_name_the_base_alone_brings_has_no_load_at_which_it_drops_out():
    white = base(contents={"78-70-6": 0.02})
    linalool = oil("A", sheet(c9=40.0), declaration=declared(n78_70_6=1.0))
    (name,) = declare(*scent(1.0, (linalool, 100)), "whipped_soap", "EU", TODAY, white).names
    assert (name.pct, name.drops_at_pct) == (pytest.approx(0.03), None)


def test_a_dilution_of_a_named_oil_counts_with_its_part():
    pure = oil("Lavender", sheet(c9=40.0), declaration=declared(), label_name="Lavandula Oil/Extract")
    thin = replace(pure, dilution_pct=10.0)
    names = [declare(*scent(0.5, (each, 100)), "whipped_soap", "EU", TODAY).names for each in (pure, thin)]
    assert [name.pct for found in names for name in found] == [0.5, pytest.approx(0.05)]


def test_an_active_counts_once_by_whichever_number_and_is_known_beyond_the_list():
    twice = base(contents={"5989-27-5": 0.1}, actives={"Limonene": 0.2})
    assert in_base(twice) == {"5989-27-5": 0.1}
    assert in_base(base(actives={"myrcene": 0.3, "nobody knows it": 0.4})) == {"123-35-3": 0.3}
    assert in_base(base(contents={"123-35-3": 0.1}, actives={"myrcene": 0.3})) == {"123-35-3": 0.1}


def test_a_base_that_is_over_by_itself_is_to_be_changed():
    white = base(contents={CITRAL: 0.2})
    made = check(*scent(0.0, (oil("A", sheet(c5A=100.0)), 100)), white, *BUTTER)
    (stop,) = (finding for finding in made.findings if finding.id == "load.base")
    assert (stop.text.endswith("The base alone brings it."), stop.fix) == (True, "Choose another base.")

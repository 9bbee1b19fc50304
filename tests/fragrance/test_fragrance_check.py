"""The check of a scent: ceilings, stops, order of rows, words."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab.errors import BlendlabError, UnknownName
from blendlab.facts.library import demo_oils
from blendlab.facts.library import oil as library_oil
from blendlab.fragrance import SharesOff, check
from blendlab.fragrance.sheets import ordinal
from blendlab.units import floored
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

CITRAL, ISOEUGENOL, LILIAL, METHYL_EUGENOL = "5392-40-5", "97-54-1", "80-54-6", "93-15-2"
FORBIDDEN = (
    "safe", "compliant", "approved", "legal", "certified", "allergen-free", "hypoallergenic", "non-toxic",
    "natural", "clean", "guaranteed", "exact colour", "dermatologically", "all good", "0 problems",
    "please", "oops", "simply", "!",
)  # fmt: skip


def ask(wish, white=None, product="whipped_soap", market="EU", on=TODAY):
    return check(*wish, white or base(), product, market, on)


def ids(made, level=None):
    return [finding.id for finding in made.findings if level in (None, finding.level)]


def test_ceiling_is_the_fraction_rule():
    # 1 / (0.6 / 5 + 0.4 / 1) = 1.923077
    made = ask(scent(1.0, (oil("A", sheet(c9=5)), 60), (oil("B", sheet(c9=1)), 40)))
    assert made.ceiling_pct == pytest.approx(1.9230769)
    assert made.governing == "All sheets together"
    assert made.routes.a.pct == pytest.approx(2.5)
    assert made.routes.b.pct == pytest.approx(1.9230769)


def test_route_a_is_never_the_ceiling():
    twin = {"inside": {CITRAL: 2.0}}
    made = ask(
        scent(1.0, (oil("A", sheet(c5A=7.5), **twin), 50), (oil("B", sheet(c5A=7.5), **twin), 50)),
        product="body_butter",
    )
    assert made.routes.a.pct == pytest.approx(15)
    assert made.ceiling_pct == pytest.approx(7.5)


def test_law_lowers_the_ceiling():
    # methyl eugenol 0.001 % rinse-off (Annex III entry 102); the Standard of category 9 is 0.00087 %
    made = ask(scent(1.0, (oil("Basil", sheet(c9=50), {METHYL_EUGENOL: 0.25}), 100)))
    assert made.routes.law.pct == pytest.approx(0.4)
    assert made.ceiling_pct == pytest.approx(0.348)
    assert made.governing == "Methyl eugenol"
    leave = ask(scent(1.0, (oil("Basil", sheet(c5A=50), {METHYL_EUGENOL: 0.25}), 100)), product="body_butter")
    assert leave.ceiling_pct == pytest.approx(0.08)


def test_over_is_a_stop_with_the_number_she_gets():
    made = ask(scent(3.0, (oil("A", sheet(c9=1.999)), 100)))
    over = next(finding for finding in made.findings if finding.id == "load.over")
    assert over.level == "stop"
    assert over.act == {"scent.load_pct": 1.99}
    assert over.button == "Lower to 1.99 %"
    assert over.where.startswith("scent")


def test_the_offered_load_is_itself_within_the_ceiling():
    for limit in (1.0, 0.29, 1.005, 2.675, 0.014):
        assert floored(limit) <= limit
        made = ask(scent(floored(limit), (oil("A", sheet(c9=limit)), 100)))
        assert "load.over" not in ids(made)


def test_near_is_a_caution():
    assert "load.near" in ids(ask(scent(0.9, (oil("A", sheet(c9=1)), 100))), "caution")
    assert "load.near" not in ids(ask(scent(0.89, (oil("A", sheet(c9=1)), 100))))


def test_no_sheet_stops_even_with_a_full_analysis():
    bare = oil("Bare", None, {CITRAL: 0.01, "25265-71-8": 99.9}, analysed=True)
    made = ask(scent(0.5, (bare, 40), (oil("A", sheet(c9=2)), 60)))
    assert made.ceiling_pct is None
    assert "Bare" in made.reason
    assert made.governing == "Bare"
    assert [(left.oil, left.ceiling_pct) for left in made.without] == [("Bare", 2.0)]
    assert "sheet.bare" in ids(made, "stop")


def test_without_is_told_for_every_oil_whose_removal_gives_a_figure():
    made = ask(scent(0.5, (oil("A", sheet(c9=1)), 50), (oil("B", sheet(c9=10)), 50)))
    assert {left.oil: round(left.ceiling_pct, 9) for left in made.without} == {"A": 10.0, "B": 1.0}


def test_a_missing_category_is_not_for_this_use():
    made = ask(scent(0.5, (oil("A", sheet(c5A=3)), 100)))
    assert made.ceiling_pct is None
    assert "not for this use" in made.sheets[0].text


@pytest.mark.parametrize(
    ("amendment", "received", "state"),
    [
        # IFRA: the 51st counts for existing creations from 2025-10-30
        (51, None, "use"),
        (49, date(2024, 5, 1), "caution"),
        (50, date(2025, 10, 30), "caution"),
        (49, date(2025, 10, 31), "stop"),
        (49, None, "stop"),
        (48, date(2020, 1, 1), "stop"),
    ],
)
def test_sheets_by_amendment(amendment, received, state):
    made = ask(scent(0.5, (oil("A", sheet(amendment, c9=3), received=received), 100)))
    assert made.sheets[0].state == state
    assert (made.ceiling_pct is None) == (state == "stop")


def test_an_ended_lot_stops():
    made = ask(scent(0.5, (oil("A", sheet(c9=3), lot="X1", expiry=date(2026, 11, 24)), 100)))
    assert made.ceiling_pct is None
    assert "X1" in made.sheets[0].text


def test_a_prohibited_substance_leaves_no_load():
    # Annex II entry 1666
    made = ask(scent(0.5, (oil("A", sheet(c9=50), {LILIAL: 0.0001}), 100)))
    assert made.ceiling_pct == 0
    over = next(finding for finding in made.findings if finding.id == "load.over")
    assert over.level == "stop"
    assert over.act is None
    assert over.fix == "Take A out."


def test_a_limit_broken_beside_a_missing_sheet_is_still_told():
    parts = (oil("A", sheet(c9=50), {METHYL_EUGENOL: 1.0}), 50), (oil("Bare"), 50)
    told = [finding.text for finding in ask(scent(1.0, *parts)).findings if finding.id == "load.over"]
    assert "Methyl eugenol" in told[0]
    assert "base" not in told[0]


def test_the_base_counts_as_one_more_oil():
    white = base(own_fragrance_pct=0.5, own_sheet=sheet(c9=2.0))
    made = ask(scent(0.5, (oil("A", sheet(c9=2)), 100)), white)
    assert made.ceiling_pct == pytest.approx(1.5)
    assert "base.own" in ids(made)


def test_what_the_base_holds_is_counted_in():
    # (0.15 - 0.05) / 4 x 100 = 2.5 %; citral 5A 0.15 % (49th Amendment)
    made = ask(
        scent(0.5, (oil("A", sheet(c5A=100), {CITRAL: 4.0}), 100)),
        base(contents={CITRAL: 0.05}),
        "body_butter",
    )
    assert made.ceiling_pct == pytest.approx(2.5)


def test_a_base_above_the_limit_stops_at_any_load():
    made = ask(
        scent(0.0, (oil("A", sheet(c5A=100), {CITRAL: 4.0}), 100)),
        base(contents={CITRAL: 0.2}),
        "body_butter",
    )
    assert made.ceiling_pct == 0
    assert any(finding.level == "stop" for finding in made.findings)


def test_base_fragrance_without_a_sheet_or_unknown():
    wish = scent(0.5, (oil("A", sheet(c9=2, c5A=2)), 100))
    assert ask(wish, base(own_fragrance_pct=0.3)).ceiling_pct is None
    assert "base.sheet" in ids(ask(wish, base(own_fragrance_pct=0.3)), "stop")
    assert "base.unknown" in ids(ask(wish, base(own_fragrance_pct=None)), "caution")
    assert "base.unknown" in ids(ask(wish, base(own_fragrance_pct=None), "body_butter"), "stop")


def test_isomers_are_summed():
    # Annex III entry 73: isoeugenol, all isomers, 0.02 %
    inside = {ISOEUGENOL: 0.5, "5932-68-3": 0.5, "5912-86-7": 1.0}
    made = ask(scent(0.5, (oil("A", sheet(c9=100), inside), 100)))
    assert made.routes.law.pct == pytest.approx(1.0)


def test_phototoxic_oils_are_summed_on_skin_that_stays():
    # IFRA: sum of use / limit; bergamot 0.4 %, lemon 2.0 %
    bergamot, lemon = library_oil("EO04"), library_oil("EO03")
    open_ = {"sheet": sheet(c5A=100, c9=100)}
    parts = [
        (oil("Bergamot", open_["sheet"], cas=bergamot.cas, plant_part="peel_expressed"), 20),
        (oil("Lemon", open_["sheet"], cas=lemon.cas, plant_part="peel_expressed"), 80),
    ]
    made = ask(scent(0.5, *parts), product="body_butter")
    row = next(row for row in made.rows if row.kind == "sum")
    assert row.used_pct == pytest.approx(100 * (0.1 / 0.4 + 0.4 / 2.0))
    assert made.ceiling_pct == pytest.approx(1 / (0.2 / 0.4 + 0.8 / 2.0))
    assert not [row for row in ask(scent(0.5, *parts)).rows if row.kind == "sum"]


def test_furocoumarin_free_oils_do_not_count_and_unknown_parts_do():
    def photo(part):
        bergamot = oil("Bergamot", sheet(c5A=100), cas="8007-75-8", plant_part=part)
        return [
            row for row in ask(scent(0.5, (bergamot, 100)), product="body_butter").rows if row.kind == "sum"
        ]

    assert not photo("peel_furocoumarin_free")
    assert photo("peel_expressed")[0].limit_pct == 100
    assert photo("")


def test_restricted_without_figure_is_answered_by_a_sheet_or_told():
    eugenol = {"97-53-0": 5.0}
    answered = ask(scent(0.5, (oil("A", sheet(c9=5), eugenol), 100)))
    assert answered.by_sheet == ("Eugenol",)
    assert answered.counts.unknown == 0
    told = ask(scent(0.5, (oil("A", None, eugenol), 100)))
    assert told.unchecked == ("Eugenol", "all else in A")
    assert told.counts.unknown > 100
    assert "unchecked" in ids(told, "caution")


def test_rows_stand_over_then_unknown_then_least_free():
    parts = (
        (oil("Bare", None, {"97-53-0": 5.0}), 10),
        (oil("A", sheet(c9=0.5), {CITRAL: 3.0}), 50),
        (oil("B", sheet(c9=8)), 40),
    )
    made = ask(scent(1.5, *parts))
    kinds = ["over" if row.over else "unknown" if row.limit_pct is None else "fine" for row in made.rows]
    assert kinds == sorted(kinds, key=["over", "unknown", "fine"].index)
    assert {"over", "unknown", "fine"} == set(kinds)
    free = [row.free_share for row in made.rows if not row.over and row.limit_pct is not None]
    assert free == sorted(free)


def test_unknown_is_never_shown_as_a_figure():
    made = ask(scent(1.0, (oil("Bare"), 100)))
    assert made.ceiling_pct is None
    assert made.counts.unknown == made.counts.restricted_total == 177
    assert made.vanillin.pct is None
    assert made.notes.unknown == 1.0
    assert made.flash_min_c is None
    assert all(row.limit_pct is None and row.free_share is None for row in made.rows if row.binds)


def test_figures_outside_the_eu_are_unverified():
    wish = scent(0.5, (oil("A", sheet(c9=50), {METHYL_EUGENOL: 0.05}), 100))
    assert [row.verified for row in ask(wish).rows if row.kind == "law"] == [True]
    assert [row.verified for row in ask(wish, market="US").rows if row.kind == "law"] == [False]


def test_shares_must_add_up():
    with pytest.raises(SharesOff, match="99"):
        ask(scent(1.0, (oil("A", sheet(c9=5)), 60), (oil("B", sheet(c9=5)), 39)))
    with pytest.raises(BlendlabError):
        ask(scent(1.0, (oil("A", sheet(c9=5)), 99.99)))
    assert ask(scent(1.0, (oil("A", sheet(c9=5)), 60.002), (oil("B", sheet(c9=5)), 40.002))).ceiling_pct


def test_wrong_names_are_refused():
    wish = scent(1.0, (oil("A", sheet(c9=5)), 100))
    with pytest.raises(UnknownName):
        ask(wish, product="candy")


def test_empty_scent():
    assert ask(scent(0.0)).findings == ()
    assert "load.empty" in ids(ask(scent(1.0)), "stop")


def test_same_oil_twice_is_one_oil():
    same = oil("A", sheet(c9=2), {CITRAL: 1.0})
    twice, once = ask(scent(1.0, (same, 30), (same, 70))), ask(scent(1.0, (same, 100)))
    assert twice.ceiling_pct == once.ceiling_pct
    assert len(twice.sheets) == 1


def test_same_lot_under_two_names_is_told():
    parts = [(oil(name, sheet(c9=2), lot="L7", supplier="S"), 50) for name in ("A", "B")]
    assert "same.l7" in ids(ask(scent(0.5, *parts)), "caution")


def test_oily_scrub_shows_the_leave_on_category():
    wish = scent(1.0, (oil("A", sheet(c9=5, c5A=0.8)), 100))
    assert "also" in ids(ask(wish, product="oil_sugar_scrub"), "caution")
    assert "also" not in ids(ask(wish, product="sugar_scrub"))


def test_reed_diffuser_takes_the_smaller_category():
    made = ask(scent(1.0, (oil("A", sheet(c10A=20, c12=9)), 100)), product="reed_diffuser")
    assert made.ceiling_pct == 9


def test_heat_gate_is_the_flash_point_less_ten():
    made = ask(scent(1.0, (oil("A", sheet(c9=5), flash_c=47), 50), (oil("B", sheet(c9=5), flash_c=80), 50)))
    assert (made.flash_min_c, made.heat_gate_c) == (47, 37)


def test_high_bound_order_is_analysis_declaration_library():
    from blendlab.fragrance.contents import high_pct

    inside = {CITRAL: 3.0}
    said = declared(n5392_40_5=5.0)
    assert high_pct(oil("A", None, inside), {CITRAL}) == 3.0
    assert high_pct(oil("A", None, inside, declaration=said), {CITRAL}) == 5.0
    assert high_pct(oil("A", None, inside, declaration=said, analysed=True), {CITRAL}) == 3.0


def test_what_is_not_declared_is_unknown_unless_the_list_reaches_it():
    from blendlab.fragrance.contents import high_pct

    eugenol, vanillin = {"97-53-0"}, {"121-33-5"}
    old, new = declared("old26"), declared("new81")
    loose = declared("new81", complete=False)
    assert [high_pct(oil("A", declaration=said), eugenol) for said in (old, new, loose, None)] == [
        0,
        0,
        None,
        None,
    ]
    assert [high_pct(oil("A", declaration=said), vanillin) for said in (old, new, loose)] == [None, 0, None]


@pytest.mark.parametrize("product", ["whipped_soap", "body_butter", "oil_sugar_scrub", "lip_balm", "candle"])
@pytest.mark.parametrize("load", [0.0, 1.2, 40.0])
def test_no_forbidden_word_in_any_sentence(product, load):
    oils = demo_oils()
    wish = scent(load, *[(known, 100 / len(oils)) for known in oils])
    made = ask(wish, base(own_fragrance_pct=None), product)
    texts = [finding.text + finding.fix + finding.button for finding in made.findings] + [made.reason]
    texts += [state.text for state in made.sheets]
    for text in texts:
        for word in FORBIDDEN:
            assert word not in text.lower().replace("natural content", ""), text
    assert all(finding.where.split(".")[0] == "scent" for finding in made.findings)
    assert all(finding.source for finding in made.findings)


def test_amendments_in_their_order():
    said = [ordinal(number) for number in (1, 2, 3, 4, 11, 12, 13, 20, 21, 49, 51, 52, 53, 111)]
    assert " ".join(said) == "1st 2nd 3rd 4th 11th 12th 13th 20th 21st 49th 51st 52nd 53rd 111th"


@pytest.mark.parametrize(("count", "said"), [(1, "1 oil without"), (2, "2 oils without")])
def test_how_many_oils_have_no_sheet(count, said):
    parts = [(oil(f"Bare {number}"), 100 / count) for number in range(count)]
    assert said in ask(scent(1.0, *parts)).reason

"""What a check tells beside its ceiling: what governs, flash points, small children, traces."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.assess import assess
from blendlab.facts import demo
from blendlab.fragrance import check, closest, diluted, read_declaration
from blendlab.fragrance.heat import flash_gate
from blendlab.fragrance.percent_conversions import parts_of_base, pct_of_final
from blendlab.fragrance.sheets import compliance_dates
from blendlab.fragrance.wording import Impression, dessert_signs, imitation
from blendlab.recipe import Caps
from blendlab.shelf import Constituent, pinned
from blendlab.show import scents
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

CITRAL, EUGENOL, LIMONENE, LINALOOL = "5392-40-5", "97-53-0", "5989-27-5", "78-70-6"
SOAP, BUTTER = ("whipped_soap", "EU", TODAY), ("body_butter", "EU", TODAY)


def texts(made, key):
    return [finding.text for finding in made.findings if finding.id == key]


# --- what governs ---------------------------------------------------------------------------------


def test_of_a_sheet_and_a_substance_that_allow_the_same_the_substance_is_named():
    # citral 0.15 % in category 5A (49th Amendment); 3 % of the oil: 5 %, as the sheet says
    made = check(*scent(1.0, (oil("A", sheet(c5A=5.0), {CITRAL: 3.0}), 100)), base(), *BUTTER)
    assert (made.ceiling_pct, made.governing) == (5.0, "Citral")
    tighter = check(*scent(1.0, (oil("A", sheet(c5A=4.99), {CITRAL: 3.0}), 100)), base(), *BUTTER)
    assert (tighter.ceiling_pct, tighter.governing) == (4.99, "All sheets together")


def test_where_nothing_limits_no_row_is_named():
    made = check(*scent(1.0, (oil("A", sheet(c9=100.0), {CITRAL: 0.01}), 100)), base(), *SOAP)
    assert (made.ceiling_pct, made.governing) == (100.0, "All sheets together")
    assert made.highest == "no sheet limits it; usual up to 2.5 %, no limit"
    near = check(*scent(1.0, (oil("A", sheet(c9=99.99)), 100)), base(), *SOAP)
    assert near.highest == "99.99 %, All sheets together binds"


def test_the_route_by_law_stands_beside_the_route_by_standards():
    # methyl eugenol: 0.001 % by law, 0.00087 % by the Standard of category 9; 0.25 % of the oil
    made = check(*scent(1.0, (oil("Basil", sheet(c9=50), {"93-15-2": 0.25}), 100)), base(), *SOAP)
    assert (made.routes.c.pct, made.routes.law.pct) == (pytest.approx(0.348), pytest.approx(0.4))
    none = check(*scent(1.0, (oil("A", sheet(c9=50), {LINALOOL: 5.0}), 100)), base(), *SOAP)
    assert (none.routes.c.pct, none.routes.law.pct) == (None, None)
    assert "no row touches this scent" in none.routes.c.note


def test_law_is_told_how_many_names_an_oil_does_not_answer():
    full = oil("Full", sheet(c9=50), declaration=declared())
    (note, silent) = (
        check(*scent(1.0, (part, 100)), base(), *SOAP).routes.law.note for part in (full, oil("Bare"))
    )
    count = int(silent.split("; ")[1].split(" of ")[1].split()[0])
    assert f"; {count} of {count} names" in silent
    assert int(note.split("; ")[1].split()[0]) < count


# --- heat -----------------------------------------------------------------------------------------


def test_the_gate_uses_oils_that_are_in_the_blend():
    assert flash_gate([40.0, 60.0, None], [0.0, 0.5, 0.5]) == 60.0
    assert flash_gate([None], [1.0]) is None
    made = check(
        *scent(1.0, (oil("A", sheet(c9=5), flash_c=60), 100), (oil("B", flash_c=30), 0)), base(), *SOAP
    )
    assert (made.flash_min_c, made.heat_gate_c) == (60, 45)


# --- small children, sun, opinions ----------------------------------------------------------------


@pytest.mark.parametrize(("pct", "told"), [(0.01, True), (0.0099, False)])
def test_menthol_is_not_for_small_children_however_it_is_known(pct, told):
    # common practice: from 0.01 % of the jar
    by_analysis = oil("Mint", sheet(c9=100.0), {"2216-51-5": pct})
    by_paper = oil("Mint", sheet(c9=100.0), declaration=declared(n2216_51_5=pct))
    for mint in (by_analysis, by_paper):
        made = check(*scent(100.0, (mint, 100)), base(), *SOAP)
        assert bool(texts(made, "young")) is told


@pytest.mark.parametrize(("load", "told"), [(0.2, False), (0.201, True), (0.4, True), (0.41, False)])
def test_half_of_the_phototoxic_sum_asks_for_shade(load, told):
    # bergamot 0.4 % on skin that meets the sun (IFRA guidance); above half of the sum it is advised
    bergamot = oil("Bergamot", sheet(c5A=100.0), cas="8007-75-8", plant_part="peel_expressed")
    made = check(*scent(load, (bergamot, 100)), base(), *BUTTER)
    assert bool(texts(made, "photo")) is told
    assert bool(texts(made, "load.over")) is (load > 0.4)


def test_phototoxic_oils_and_what_the_base_holds_of_them_are_added():
    bergamot = oil("Bergamot", sheet(c5A=100.0), cas="8007-75-8", plant_part="peel_expressed")
    made = check(*scent(0.2, (bergamot, 100)), base(contents={"8007-75-8": 0.1}), *BUTTER)
    (row,) = (row for row in made.rows if row.kind == "sum")
    assert row.used_pct == pytest.approx(75.0)
    assert made.ceiling_pct == pytest.approx(0.3)


# --- what is asked and not answered ---------------------------------------------------------------


def test_a_restricted_active_of_the_base_is_asked_for_unless_the_base_has_a_sheet():
    plain = scent(1.0, (oil("A", sheet(c9=40.0)), 100))
    kept = {"actives": {"benzyl alcohol": 0.8}}
    assert "Benzyl alcohol" in check(*plain, base(**kept), *SOAP).unchecked
    own = base(**kept, own_fragrance_pct=0.1, own_sheet=sheet(c9=2.0))
    assert "Benzyl alcohol" in check(*plain, own, *SOAP).by_sheet


def test_counts_of_law_and_standards():
    made = check(
        *scent(1.0, (oil("Basil", sheet(c9=50), {"93-15-2": 0.25, EUGENOL: 1.0}), 100)), base(), *SOAP
    )
    counts = made.counts
    assert (counts.checked, counts.unverified, counts.law, counts.by_sheet, counts.unknown) == (0, 1, 1, 1, 0)


def test_what_one_oil_answers_and_another_does_not_is_counted_apart():
    geraniol = oil("A", sheet(c9=50), {"106-24-1": 1.0})
    made = check(*scent(1.0, (geraniol, 50), (oil("Bare", None, {EUGENOL: 1.0}), 50)), base(), *SOAP)
    assert (made.by_sheet, made.counts.by_sheet) == (("Geraniol",), 1)
    assert made.unchecked[0] == "Eugenol"


def test_a_trace_of_what_is_prohibited_is_a_question():
    # Annex II entry 1666 of Reg. (EC) 1223/2009
    lilial, linalool = (read_declaration(f"{cas} traces").lines[0] for cas in ("80-54-6", LINALOOL))
    assert "no amount of it may be used" in lilial.note
    assert linalool.note == "no figure; the content stays unknown"


# --- the load in her words ------------------------------------------------------------------------


def test_the_load_of_one_jar_in_drops():
    shelf = demo.demo_shelf()
    design = demo.demo_designs(shelf)[0]
    made = assess(design, shelf, date(2026, 11, 25))
    said = scents.load(made)
    assert said.jar_g == pytest.approx(made.plan.net_g * said.grams / made.plan.batch_g)
    volumes = [
        share.share_pct / 100 * said.jar_g / shelf.find(share.oil).density_g_ml for share in design.scent.oils
    ]
    # 25 to 40 drops of an oil make a millilitre (from memory)
    assert said.drops == pytest.approx((25 * sum(volumes), 40 * sum(volumes)))
    dim = [replace(item, density_g_ml=None) if item.kind == "oil" else item for item in shelf.items]
    bare = pinned(design, type(shelf)(tuple(dim)))
    assert scents.load(assess(bare, type(shelf)(tuple(dim)), date(2026, 11, 25))).drops is None


def test_no_typical_figure_is_ever_the_high_bound():
    wide = Constituent(name="citral", low=0.0, typical=1.0, high=4.0)
    rich = replace(oil("A", sheet(c5A=100.0)), constituents={CITRAL: wide})
    made = check(*scent(1.0, (rich, 100)), base(), *BUTTER)
    assert made.ceiling_pct == pytest.approx(0.15 / 0.04)


# --- words that name the right oil ----------------------------------------------------------------


def test_only_what_brings_a_prohibited_substance_is_to_be_taken_out():
    # Annex II entry 1666 of Reg. (EC) 1223/2009
    parts = (oil("A", sheet(c9=50), {"80-54-6": 0.1}), 50), (oil("B", sheet(c9=50), {LINALOOL: 5.0}), 50)
    made = check(*scent(1.0, *parts), base(), *SOAP)
    assert [finding.fix for finding in made.findings if finding.id == "load.over"] == ["Take A out."]
    barred = check(*scent(1.0, (oil("A", sheet(c9=0.0)), 50), parts[1]), base(), *SOAP)
    assert [finding.fix for finding in barred.findings if finding.id == "load.over"] == ["Take A out."]


def test_of_several_rows_that_are_over_the_one_that_governs_is_told():
    # citral 0.15 % lets 3.75 % through, methyl eugenol 0.0002 % (Annex III entry 102) only 0.4 %
    rich = oil("A", sheet(c5A=2.0), {CITRAL: 4.0, "93-15-2": 0.05})
    made = check(*scent(6.0, (rich, 100)), base(), *BUTTER)
    assert len([row for row in made.rows if row.over and row.binds]) > 2
    assert made.governing == "Methyl eugenol"
    assert texts(made, "load.over")[0].startswith(
        "Over a listed limit: Methyl eugenol 0.0030 % of the jar, 0.0002 %"
    )


def test_a_lot_that_stands_alone_is_not_told():
    parts = [
        (oil(name, sheet(c9=4.0), lot=lot, supplier="S"), 50) for name, lot in (("A", "L1"), ("B", "L2"))
    ]
    assert not [
        key
        for key in (finding.id for finding in check(*scent(0.5, *parts), base(), *SOAP).findings)
        if key.startswith("same")
    ]


@pytest.mark.parametrize(("limit", "told"), [(2.5, "the load could be 2.50 %"), (2.51, "any usual load")])
def test_what_the_limits_leave_without_an_oil(limit, told):
    # 2.5 % is the usual highest load of a whipped soap (common practice)
    made = check(*scent(0.5, (oil("Bare"), 50), (oil("A", sheet(c9=limit)), 50)), base(), *SOAP)
    assert told in texts(made, "sheet.bare")[0]


def test_a_base_that_is_full_ends_the_search():
    white = base(own_fragrance_pct=2.0, own_sheet=sheet(c9=2.0))
    found = closest(*scent(0.5, (oil("A", sheet(c9=2.0)), 100)), white, *SOAP)
    assert (found.fits, found.proposals, found.conflict) == (False, (), ())


def test_parts_of_a_base_with_additions_come_back_as_the_same_percent():
    # f = p (100 + o) / (100 - p): 1.5 % beside 6.25 parts are 1.61802 parts
    assert parts_of_base(1.5, 6.25) == pytest.approx(1.6180203)
    assert pct_of_final(1.6180203, 6.25) == pytest.approx(1.5)


def test_over_the_sheets_is_told_with_what_they_allow():
    made = check(*scent(3.0, (oil("A", sheet(c9=1.999)), 100)), base(), *SOAP)
    assert texts(made, "load.over")[0].startswith(
        "Over the sheets: 3.00 % of the jar, all sheets together allow 1.99 %."
    )


def test_oils_without_a_flash_point_are_named():
    parts = (oil("A", sheet(c9=5), flash_c=60), 50), (oil("B", sheet(c9=5)), 50)
    made = check(*scent(1.0, *parts), base(), *SOAP)
    (gate,) = (finding for finding in made.findings if finding.id == "heat")
    assert gate.level == "caution"
    assert gate.text.endswith("No flash point known for B.")


def test_a_lot_that_ends_today_is_told():
    ending = oil("A", sheet(c9=5), lot="L", expiry=TODAY)
    assert texts(check(*scent(1.0, (ending, 100)), base(), *SOAP), "soon.a")


@pytest.mark.parametrize(
    ("lab", "sign"),
    [
        # the bounds of the table itself are inside
        ((78.0, -4.0, 5.0), "a cream colour"),
        ((78.0, 16.0, 38.0), "a cream colour"),
        ((77.9, 0.0, 15.0), ""),
        ((90.0, 0.0, 38.1), ""),
        ((90.0, -4.1, 15.0), ""),
        ((15.0, 5.0, 9.0), "a chocolate or caramel colour"),
        ((58.0, 5.0, 9.0), "a chocolate or caramel colour"),
        ((58.1, 5.0, 9.0), ""),
        ((40.0, 4.9, 9.0), ""),
        ((40.0, 5.0, 8.9), ""),
    ],
)
def test_colours_of_desserts(lab, sign):
    assert dessert_signs(Impression((), (), "flat", (lab,))) == ((sign,) if sign else ())


# --- what the page sorts and says -----------------------------------------------------------------


def test_a_ceiling_below_one_percent_leaves_a_load():
    made = check(*scent(0.6, (oil("A", sheet(c9=0.405)), 100)), base(), *SOAP)
    (over,) = (finding for finding in made.findings if finding.id == "load.over")
    assert over.act == {"scent.load_pct": 0.4}
    least = check(*scent(0.6, (oil("A", sheet(c9=0.0099)), 100)), base(), *SOAP)
    (none,) = (finding for finding in least.findings if finding.id == "load.over")
    assert (none.act, none.text.endswith("No load is left.")) == (None, True)


def test_a_row_that_is_just_used_up_stands_before_the_others():
    parts = (oil("A", sheet(c9=2.0)), 50), (oil("B", sheet(c9=0.5)), 50)
    made = check(*scent(1.0, *parts), base(), *SOAP)
    inside = [row for row in made.rows if row.binds and not row.over]
    assert [(row.name, row.free_share) for row in inside] == [("B", 0.0), ("A", 0.75)]


@pytest.mark.parametrize(
    ("vanillin", "ethyl", "told"),
    [(0.5, 0.0, False), (1.0, 0.0, True), (0.5, 0.1, True), (None, 0.0, True)],
)
def test_browning_is_told_from_a_hundredth_of_vanillin(vanillin, ethyl, told):
    # common practice: tan from 0.01 % of the jar; 1 % of a load of 1 %
    sweet = oil("Sweet", sheet(c9=50.0), vanillin_pct=vanillin, ethyl_vanillin_pct=ethyl)
    made = check(*scent(1.0, (sweet, 100)), base(), *SOAP)
    assert bool(texts(made, "vanillin")) is told
    assert made.vanillin.pct == (None if vanillin is None else pytest.approx(vanillin / 100))


def test_without_ceilings_of_hers_none_is_told():
    made = check(*scent(1.0, (oil("A", sheet(c9=40.0), {CITRAL: 1.0}), 50), (oil("Bare"), 50)), base(), *SOAP)
    assert [row.name for row in made.rows if row.at_least]
    assert not [finding.id for finding in made.findings if finding.id.startswith("house")]


def test_months_end_on_the_last_day_of_a_shorter_one():
    found = compliance_dates(date(2023, 8, 31), 6, 13)
    assert (found.new_creations, found.existing_creations) == (date(2024, 2, 29), date(2024, 9, 30))


@pytest.mark.parametrize(
    ("day", "said"), [(date(2026, 9, 1), "peroxides on 2026-09-01;"), (None, "peroxides;")]
)
def test_a_peroxide_value_is_told_with_its_day(day, said):
    # Annex III entry 88 of Reg. (EC) 1223/2009: limonene below 20 mmol/l
    old = replace(oil("Orange", sheet(c9=50.0), {LIMONENE: 90.0}), peroxide_mmol_l=24.0, peroxide_on=day)
    made = check(*scent(1.0, (old, 100)), base(), *SOAP)
    assert said in texts(made, "peroxide.orange")[0]


def test_a_weak_dilution_is_a_dilution():
    thin = diluted(oil("Rose", sheet(c9=0.02), {CITRAL: 8.0}), 0.5, "carrier", "thin", "Thin", {})
    assert thin.sheet.limits == {"9": pytest.approx(4.0)}
    assert thin.constituents[CITRAL].high == pytest.approx(0.04)


@pytest.mark.parametrize(("markets", "said"), [(["EU", "US"], "Not for sale in EU before"), (["US"], "")])
def test_where_a_jar_like_food_waits_is_told(markets, said):
    (told,) = imitation(Impression(("Vanilla cloud",), (), "star", ()), markets, None)
    assert ("Not for sale in" in told.text) is bool(said)
    assert said in told.text


def test_her_ceiling_for_cost_counts_grams_in_a_hundred():
    # 2 g of scent in 100 g, half of it at 0.3 a gram, half at 0.1: 0.4
    parts = [(oil(name, sheet(c9=40.0), price_per_g=price), 50) for name, price in (("A", 0.3), ("B", 0.1))]
    made, oils = scent(2.0, *parts)
    checked = check(replace(made, caps=Caps(cost=0.5)), oils, base(), *SOAP)
    (row,) = (row for row in checked.rows if row.kind == "house")
    assert (row.used_pct, row.limit_pct, row.unit, row.over) == (pytest.approx(0.4), 0.5, "per 100 g", False)

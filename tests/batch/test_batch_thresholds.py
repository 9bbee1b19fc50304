"""Scales, vessels, lots, labels, kitchen: told on one side of a threshold, silent on the other."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.batch import plan_findings, weighing, weight
from blendlab.batch.acidity import window
from blendlab.batch.filling import bags, batch_for_jars, jars_from_batch, mixer_holds, portions
from blendlab.batch.label import Maker, label
from blendlab.batch.line_wishes import draft
from blendlab.batch.plan import Habits
from blendlab.batch.whip import Density, density_after_fold_in, whipped_density
from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts.read import figure
from blendlab.recipe import Addition, Batch, Ref, Scent, Tone
from blendlab.shelf import BaseLine, resolve
from tests.batch import plans_to_try as tries
from tests.batch.plans_to_try import ids, line, made
from tests.batch.test_batch_accounts import sheet, shelf_with, thing

DAY = date(2026, 3, 7)
WHO = Maker("Studio", "1 Mill Lane", "hello@studio.invalid", "Somewhere")


# --- scales --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"grams": 0.5, "exact_g": 0.5}, ""),
        ({"grams": 0.49, "exact_g": 0.49}, "small-oil:lavender"),
        ({"grams": 0.0, "exact_g": 0.0}, ""),
        ({"grams": 500.0}, ""),
        ({"grams": 500.01}, "capacity-oil:lavender"),
        ({"pct": 1.0499}, ""),
        ({"pct": 1.0501}, "drift-oil:lavender"),
        ({"pct": 0.9499}, "drift-oil:lavender"),
        ({"what": "pigment", "pct": 1.0199}, ""),
        ({"what": "pigment", "pct": 1.0201}, "drift-oil:lavender"),
        ({"what": "addition", "pct": 1.2}, ""),
    ],
)
def test_a_line_is_held_to_its_scale_and_its_percent(change, told):
    """Common practice: 5 % of drift for an oil, 2 % for a pigment."""
    assert ids(plan_findings.line_findings([line(**change)], 100.0)) == ({told} if told else set())


@pytest.mark.parametrize(
    ("change", "pressed"),
    [({}, True), ({"what": "base"}, False), ({"stock_pct": 10.0}, False)],
)
def test_a_stock_is_offered_for_what_is_weighed_pure(change, pressed):
    carrier, design = Ref(kind="ingredient", id="glycerin"), tries.design()
    small = line(grams=0.06, exact_g=0.06, **change)
    (told,) = plan_findings.line_findings([small], 100.0, carrier, design)
    assert bool(told.act) is pressed
    if pressed:
        (stock,) = told.act["batch.dilutions"]
        assert stock["of"]["id"] == "lavender"
        assert stock["pct"] == 10.0
        assert told.button == "Use the 10 % stock: 0.6 g"
    (bare,) = plan_findings.line_findings([small], 100.0)
    assert not bare.act


@pytest.mark.parametrize(
    ("needed", "protected", "stock"),
    [(0.5, True, 10.0), (0.05, True, 10.0), (0.049, True, 1.0), (0.02, False, 10.0), (0.0199, False, 1.0)],
)
def test_the_strongest_stock_that_can_be_weighed_is_taken(needed, protected, stock):
    """Common practice: 50 steps of a protected line, 20 of another; stocks of 10 and 1 %; a 0.01 g scale."""
    assert weighing.stock_for(needed, 0.01, protected) == stock


def test_good_is_half_a_percent_and_one_step_at_least():
    assert weighing.good_between(100.0, 0.1) == (99.5, 100.5)
    assert weighing.good_between(0.5, 0.1) == (0.4, 0.6)
    assert weighing.good_between(0.05, 0.1) == (0.0, 0.15)
    with pytest.raises(OutOfRange):
        weighing.relative_error(0, 0.1)


# --- the batch -----------------------------------------------------------------------------------------


def test_her_habits_go_before_common_practice():
    hers = Habits(tries.design(batch=Batch(overfill_pct=2.0, loss_pct=5.0, retained_g=40.0)))
    assert (hers.overfill, hers.loss, hers.retained_g) == (0.02, 0.05, 40.0)
    usual = Habits(tries.design())
    assert (usual.overfill, usual.loss, usual.retained_g) == (0.01, 0.04, 30.0)
    none = Habits(tries.design(batch=Batch(overfill_pct=0.0, loss_pct=0.0, retained_g=0.0)))
    assert (none.overfill, none.loss, none.retained_g) == (0.0, 0.0, 0.0)
    shown = sheet(tries.shelf(), batch=Batch(jars=24, overfill_pct=2.0, loss_pct=5.0, retained_g=40.0))
    assert (shown.overfill_pct, shown.loss_pct, shown.retained_g) == (2.0, 5.0, 40.0)


def test_jars_are_counted_down_and_the_rest_is_told():
    assert jars_from_batch(1030.0, 100, 0.0, 30, 0.0) == (10, 0.0)
    assert jars_from_batch(1029.9, 100, 0.0, 30, 0.0) == (9, pytest.approx(99.9))
    assert jars_from_batch(10.0, 100, 0.0, 30, 0.0) == (0, 0.0)
    with pytest.raises(OutOfRange):
        jars_from_batch(10, 0, 0, 0, 0)
    with pytest.raises(OutOfRange):
        batch_for_jars(1, 100, 0, 0, 1.0)


@pytest.mark.parametrize(
    ("asked", "jars", "rest", "told"),
    [(None, 0, 50.0, "no-jar"), (None, 1, 10.0, ""), (None, 1, 10.1, "short-jar"), (5, 5, 90.0, "")],
)
def test_a_short_last_jar_is_told_where_grams_were_asked_for(asked, jars, rest, told):
    """Common practice: above a tenth of the net weight."""
    assert ids(plan_findings.jar_findings(asked, jars, rest, 100.0)) == ({told} if told else set())


def test_foam_that_was_not_weighed_may_fill_fewer_or_more_jars():
    foam = Density(0.6, 0.5, 0.8, weighed=False)
    (told,) = plan_findings.density_findings(foam, 24)
    assert "18 to 28 jars" in told.text  # 24 x 0.6 / 0.8 and 24 x 0.6 / 0.5
    assert ids(plan_findings.density_findings(foam, 1)) == {"density-unweighed"}
    assert not list(plan_findings.density_findings(foam, 0))
    assert not list(plan_findings.density_findings(replace(foam, weighed=True), 24))


@pytest.mark.parametrize(("ceiling", "told"), [(None, False), (1.0, False), (1.0 - 1e-6, True)])
def test_a_load_at_its_ceiling_is_kept(ceiling, told):
    drafted = draft(resolve(tries.design(), tries.shelf()), ceiling)
    assert bool(list(plan_findings.load_findings(drafted, [0.9, 1.0]))) is told


def test_bowl_and_bags_by_their_volume():
    # common practice: a bowl is filled to 80 %, a bag holds 450 ml
    assert mixer_holds(800, 1000)
    assert not mixer_holds(801, 1000)
    assert [bags(ml) for ml in (1, 450, 451, 900)] == [1, 1, 2, 2]
    told = {finding.id: finding for finding in sheet(tries.shelf(), batch=Batch(jars=3)).findings}
    assert "bags" not in told
    assert "Deep 5" in next(finding for finding in made().findings if finding.id == "bags").text


@pytest.mark.parametrize(("oil", "told"), [(8.0, False), (8.1, True)])
def test_light_oil_has_a_usual_most(oil, told):
    stirred = (Addition(ingredient=Ref(kind="ingredient", id="light-oil"), pct=oil),)
    assert ("oil-high" in ids(sheet(tries.shelf(), batch=Batch(jars=9, additions=stirred)).findings)) is told


@pytest.mark.parametrize(
    ("active", "sugar", "told"),
    [(20.0, 25.1, True), (20.0, 20.0, False), (14.0, 25.1, False), (15.0, 5.0, True)],
)
def test_additions_thin_the_surfactant_below_its_window(active, sugar, told):
    """Common practice: 15 % and more of active surfactant; 20 % of three quarters of the jar is less."""
    soap = thing("soap", "Soap", active_pct=100.0, water_pct=0.0)
    lines = (
        BaseLine(ingredient=soap.ref, pct=active),
        BaseLine(ingredient=Ref(kind="ingredient", id="purified-water"), pct=100 - active),
    )
    base = replace(tries.shelf().today("base", "cooked"), lines=lines)
    stirred = (Addition(ingredient=Ref(kind="ingredient", id="cane-sugar"), pct=sugar),)
    white = (Tone(id="white", name="White", share_pct=100),)
    asked = Batch(jars=9, additions=stirred)
    found = sheet(shelf_with(soap, base), tones=white, scent=Scent(), base=base.ref, batch=asked)
    assert ("foam-weak" in ids(found.findings)) is told


def test_lots_are_asked_for_where_none_is_named():
    named = replace(line(), lot="L-1")
    nothing = lambda kind, item_id: None  # noqa: E731
    assert ids(plan_findings.lot_findings([named], nothing, DAY)) == set()
    assert ids(plan_findings.lot_findings([line(lot="")], nothing, DAY)) == {"lots"}
    assert ids(plan_findings.lot_findings([line(lot="", what="dust")], nothing, DAY)) == set()
    oil = tries.shelf().today("oil", "lavender")
    for ends, told in ((DAY, False), (date(2026, 3, 6), True)):
        ended = replace(oil, expiry=ends, lot="L-1")
        found = plan_findings.lot_findings([named], lambda kind, item_id, item=ended: item, DAY)
        assert bool(list(found)) is told
        other = replace(ended, lot="L-2")
        found = plan_findings.lot_findings([named], lambda kind, item_id, item=other: item, DAY)
        assert not list(found)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"best_before": DAY}, ""),
        ({"best_before": date(2026, 3, 6)}, "base-ended"),
        ({"opened_on": date(2025, 9, 7)}, ""),
        ({"opened_on": date(2025, 9, 6)}, "base-opened"),
        ({"pH": None}, "ph-unknown"),
        ({"pH": None, "anhydrous": True}, ""),
    ],
)
def test_a_base_is_held_to_its_dates_and_its_ph(change, told):
    base = replace(tries.shelf().today("base", "cooked"), **{"pH": 6.0, **change})
    kept = None if base.anhydrous else window()
    assert ids(plan_findings.base_findings(base, DAY, kept)) == ({told} if told else set())


def test_portions_of_nothing_are_refused():
    with pytest.raises(OutOfRange):
        portions(100, [0, 0], 1)
    with pytest.raises(OutOfRange):
        portions(100, [2, -1], 1)
    assert portions(100, [0, 1], 1) == (0.0, 100.0)


# --- foam ----------------------------------------------------------------------------------------------


def test_a_density_that_was_not_weighed_has_the_usual_range():
    base = replace(tries.shelf().today("base", "cooked"), density_mix_g_ml=1.05, ref_overrun_pct=50.0)
    usual = whipped_density(base, None)
    assert (usual.g_ml, usual.low, usual.high) == (pytest.approx(0.7), 0.55, 0.85)
    light = whipped_density(base, 110.0)
    assert (light.g_ml, light.low, light.high) == (pytest.approx(0.5), pytest.approx(0.5), 0.85)
    heavy = whipped_density(base, 5.0)
    assert (heavy.low, heavy.high) == (0.55, pytest.approx(1.0))
    cup = whipped_density(replace(base, density_whipped_g_ml=0.6), 50.0)
    assert cup == Density(0.6, 0.6, 0.6, True)


def test_grains_of_nothing_and_of_everything():
    assert density_after_fold_in(0.6, 0.0, 1.587) == pytest.approx(0.6)
    assert density_after_fold_in(0.6, 1.0, 1.587) == pytest.approx(1.587)
    for share in (-0.01, 1.01):
        with pytest.raises(OutOfRange):
            density_after_fold_in(0.6, share, 1.587)


# --- the label -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("market", "change", "told"),
    [
        ("EU", {}, set()),
        ("EU", {"name": ""}, {"label-maker"}),
        ("EU", {"address": ""}, {"label-maker"}),
        ("EU", {"contact": ""}, set()),
        ("EU", {"country": ""}, {"label-country"}),
        ("GB", {"country": ""}, {"label-country"}),
        ("US", {"country": ""}, set()),
        ("US", {"contact": ""}, {"label-contact"}),
        ("CA", {"contact": "", "country": ""}, set()),
    ],
)
def test_a_label_asks_for_what_its_market_asks(market, change, told):
    full = {"weighed_g": [73.0, 73.4, 73.2], "code": "A", "maker": replace(WHO, **change)}
    found = label(resolve(tries.design(), tries.shelf()), made(), market, **full).findings
    assert ids(found) == told
    person = "responsible person" if market in ("EU", "GB") else "maker or distributor"
    assert all(person in finding.text for finding in found if finding.id == "label-maker")


def test_a_label_asks_for_weight_and_code():
    found = label(resolve(tries.design(), tries.shelf()), made(), "EU", maker=WHO).findings
    assert ids(found) == {"label-weight", "label-code"}


@pytest.mark.parametrize(
    ("nominal", "error"), [(5, 0.5), (10_000, 150.0), (50.1, 4.5), (100.1, 4.6), (500.1, 15.0)]
)
def test_the_average_system_ends_where_its_table_ends(nominal, error):
    # Directive 76/211/EEC: 5 g to 10 kg; 1.5 % from 1 kg on
    assert weight.tolerable_error(nominal) == pytest.approx(error)
    for outside in (4.9, 10_001):
        with pytest.raises(OutOfRange):
            weight.tolerable_error(outside)


def test_a_net_weight_below_nothing_is_refused():
    assert weight.us_net_weight(0.0) == (0.0, 0)
    with pytest.raises(OutOfRange):
        weight.us_net_weight(-0.1)
    with pytest.raises(UnknownName):
        weight.figure_height("CA", 100)


def test_a_mix_nobody_weighed_is_taken_as_its_kind_and_told_so():
    """Starter soap: 1.06 g/ml; at 75 % overrun 1.06 / 1.75."""
    known = replace(tries.shelf().today("base", "cooked"), product="whipped_soap", density_mix_g_ml=1.2)
    blind = replace(known, density_mix_g_ml=None, ref_overrun_pct=75.0)
    foam = whipped_density(blind, None)
    assert foam.g_ml == pytest.approx(1.06 / 1.75)
    (told,) = plan_findings.mix_findings(blind, foam)
    assert "1.06 g/ml is taken" in told.text
    assert not list(plan_findings.mix_findings(known, foam))
    assert not list(plan_findings.mix_findings(blind, replace(foam, weighed=True)))
    stranger = replace(blind, product="another kind")
    assert whipped_density(stranger, None).g_ml == figure("batch", "whipped_density").value
    assert not list(plan_findings.mix_findings(stranger, foam))

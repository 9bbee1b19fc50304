"""The label of a design and of its batch, what holds it back, and the assessments it asks for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import batch, store
from blendlab.assess import assess
from blendlab.batch import Family, Maker
from blendlab.errors import Finding
from blendlab.production import assessments, judgement, kitchen_acts, kitchen_log, labels, release
from blendlab.production.settings import Settings
from blendlab.shelf import Lot, Shelf
from blendlab.store.book_entries import FOAM
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)
WHO = Maker("Reed studio", "1 Lane, Town", "mail@example.org", "Nowhere")


@pytest.fixture(scope="module")
def assessed():
    return assess(tries.design(), tries.shelf(), DAY)


def family(assessed, **change) -> Family:
    design = assessed.design
    made = Family(
        id="f", name="F", assessor="A", on=DAY, base=assessed.resolved.base.ref, product=design.product,
        markets=("EU", "GB"), pigments={"ultramarine_blue": 1, "iron_oxide_yellow": 1},
        scents={"lavender": 2, "petitgrain": 2}, load_pct=2,
        preservative="preservative-a", preservative_pct=(0.1, 2.0),
    )  # fmt: skip
    return replace(made, **change)


# --- assessments --------------------------------------------------------------------------------------


def test_assessments_are_kept_in_the_book_newest_first(book, assessed):
    for number, day in enumerate((DAY, date(2026, 5, 1), date(2026, 4, 1))):
        assessments.keep_family(book, family(assessed, id=f"f{number}", on=day))
    assert [found.on.month for found in assessments.families(book)] == [5, 4, 3]
    assert assessments.families(book)[2] == family(assessed, id="f0")


def test_a_design_inside_an_assessment_is_covered(assessed):
    outside = assessments.assessed_by(assessed, [])
    assert [finding.level for finding in outside] == ["stop"]
    covering = family(assessed)
    assert assessments.assessed_by(assessed, [covering]) == ()


def test_the_assessment_that_covers_it_best_is_the_one_that_speaks(assessed):
    near, far = family(assessed, load_pct=0.5), family(assessed, load_pct=0.5, pigments={}, scents={})
    told = assessments.assessed_by(assessed, [far, near])
    assert len(told) == 1
    assert told == assessments.assessed_by(assessed, [near])
    assert len(assessments.assessed_by(assessed, [far])) > 1
    other = family(assessed, product="body_butter")
    assert assessments.assessed_by(assessed, [other]) == assessments.assessed_by(assessed, [])


def test_a_design_without_its_base_asks_for_no_assessment():
    assert assessments.assessed_by(assess(tries.design(), Shelf(), DAY), []) == ()


# --- labels -------------------------------------------------------------------------------------------


def label_of(book, assessed, market="US", page=None, base_lots=()):
    if page is not None:
        assessed = judgement.as_made(book, page, tries.shelf(), DAY, market)
    return labels.label(book, assessed, market, Settings(maker=WHO), page, base_lots)


def test_a_label_before_a_batch_has_no_code_and_is_held_back(book, assessed):
    told = label_of(book, assessed)
    assert (told.code, told.net.text, told.export) == ("", "", False)
    assert told.product
    names = [name.name for name in assessed.labels["EU"].names]
    assert names
    assert set(names) <= set(label_of(book, assessed, "EU").ingredients.names)


def test_what_stops_the_design_holds_its_label_back(book, assessed):
    stop = Finding("stop", "x-stop", "scent", "Too much of it.")
    stopped = replace(assessed, findings=(*assessed.findings, stop))
    told = label_of(book, stopped)
    assert "Too much of it." in " ".join(finding.text for finding in told.findings)
    assert not told.export


def test_the_label_says_what_a_jar_was_planned_to_hold_by_the_sheet_it_is_of(book, sheet, assessed):
    """Before a batch by the design, as the Batch page does; then by the sheet the batch was begun with."""
    told, plan = label_of(book, assessed), assessed.plan
    assert f"As planned a jar holds {plan.net_g:.1f} g, or {plan.net_low_g:.0f} to" in told.net.basis
    assert told.net.text == ""
    other = replace(sheet, net_g=81.25, density=replace(sheet.density, weighed=True))
    page = store.batch(book, book.start(other, DAY, design=tries.design()))
    assert label_of(book, assessed, page=page).net.basis.endswith("As planned a jar holds 81.2 g.")
    code = book.start(sheet, DAY, design=tries.design())
    assert "while the foam is not weighed" in label_of(book, assessed, page=store.batch(book, code)).net.basis
    book.write("density", FOAM, {"g_ml": 0.62}, code)
    told = label_of(book, assessed, page=store.batch(book, code))
    assert told.net.basis.endswith(f"As planned a jar holds {sheet.net_g:.1f} g.")


def test_a_label_of_a_batch_has_its_code_weight_and_day(book, sheet, assessed):
    """Nobody's oil lasts longer than its own paper: best before is the month before the first lot ends."""
    code = book.start(sheet, DAY, design=tries.design())
    ends = date(2026, 7, 15)
    base = next(line for line in sheet.lines if line.what == "base")
    lot = book.receive(Lot(code="B-1", of=tries.design().base, name="White", expiry=ends), 9000)
    page = until(book, code, "weigh:base")
    kitchen_log.weigh(book, page, page.now.line("base"), base.grams, lot)
    for number, grams in enumerate([73.0, 74.0, 75.0], start=1):
        book.fill(code, number, grams)
    told = label_of(book, assessed, page=store.batch(book, code))
    assert (told.code, told.net.text) == (code, "Net wt. 2.5 oz (70 g)")
    assert told.maker == WHO
    assert told.lasts.text == "Best before the end of 06/2026"
    assert told.lasts.set_by == "base lot White B-1 ends: 2026-07-15"
    assert set(assessed.warnings) <= set(told.warnings)
    assert len(set(told.warnings)) == len(told.warnings)


def test_no_label_is_printed_before_every_line_is_weighed(book, sheet, assessed):
    """Three jars may be weighed at any time; which lots go in, and when the first ends, is open till then."""
    code = book.start(sheet, DAY, design=tries.design())
    for grams in (73.0, 74.0, 75.0):
        kitchen_acts.measured_later(book, code, jar_g=grams, why="weighed beside the order")
    assessments.keep_family(book, family(assessed, markets=("US",)))
    told = label_of(book, assessed, page=store.batch(book, code))
    held = {finding.id: finding for finding in told.findings if finding.level == "stop"}
    assert not told.export
    assert held.keys() == {batch.UNWEIGHED}
    assert held[batch.UNWEIGHED].text.startswith("Not weighed: ")
    until(book, code, "fill")
    assert label_of(book, assessed, page=store.batch(book, code)).export


def test_the_order_that_a_lot_declares_is_the_order_of_its_part(book):
    """A bought base: its supplier's order with percents puts its names in the list, the most first."""
    bought = replace(tries.shelf().today("base", "cooked"), id="bought", lines=(), declared=())
    shelf = Shelf((*tries.shelf().items, bought))
    judged = assess(tries.design(base=bought.ref), shelf, DAY)
    order = {"Sodium Cocoyl Isethionate": [5, 9], "Aqua": [40, 60], "Glycerin": [12, 20]}
    number = book.receive(Lot(code="B-1", of=bought.ref), 9000, {"in_order": order})
    assert "Glycerin" not in label_of(book, judged, "EU").ingredients.names
    names = label_of(book, judged, "EU", base_lots=[store.lot(book, number)]).ingredients.names
    assert names[:3] == ("Aqua", "Glycerin", "Sodium Cocoyl Isethionate")


def test_the_label_takes_the_preservative_of_a_bought_lot_as_it_was_typed(book):
    """The formula holds 1 %; 4 % of it in the lot stand before what the formula has 2 % of."""
    keeper = tries.shelf().today("ingredient", "preservative-a")
    first = max(keeper.components, key=lambda part: part.low_pct).inci
    design, base = tries.design(), tries.shelf().today("base", "cooked")
    number = book.receive(Lot(code="B-1", of=base.ref), 9000, {"preservative_pct": [4.0, 4.0]})
    lots = {"base:cooked": (store.lot(book, number),)}
    names = {}
    for which, taken in (("formula", {}), ("lot", lots)):
        judged = judgement.judge(design, tries.shelf(), DAY, taken)
        told = label_of(book, judged, "EU", base_lots=taken.get("base:cooked", ()))
        names[which] = told.ingredients.names.index(first)
    assert names["lot"] < names["formula"]


def test_a_label_that_cannot_be_printed_is_told_before_the_release(book):
    """A bought base: nothing is said once its lot says percents that do not overlap."""
    bought = replace(tries.shelf().today("base", "cooked"), id="bought", lines=(), declared=())
    shelf = Shelf((*tries.shelf().items, bought))
    design = tries.design(base=bought.ref)
    said = {}
    for name, order in (
        ("none", {}),
        ("overlap", {"Aqua": [40, 60], "Glycerin": [12, 20], "Sodium Cocoyl Isethionate": [15, 19]}),
        ("apart", {"Aqua": [40, 60], "Glycerin": [12, 20], "Sodium Cocoyl Isethionate": [5, 9]}),
    ):
        number = book.receive(Lot(code=name, of=bought.ref), 9000, {"in_order": order})
        code = book.start(assess(design, shelf, DAY).plan, DAY, design=design)
        book.weigh(code, "base", 900.0, planned_g=900.0, lot=number)
        points = release.points(book, store.batch(book, code), shelf, DAY)
        said[name] = [point for point in points if point.id in batch.ORDER_UNKNOWN]
    assert [(point.id, point.level) for point in said["none"]] == [("label-unknown", "caution")]
    assert [(point.id, point.level) for point in said["overlap"]] == [("label-order", "caution")]
    (point,) = said["overlap"]
    assert point.text.startswith("The label of this batch cannot be printed.")
    assert "Sodium Cocoyl Isethionate and Glycerin" in point.text
    assert "on Lots with the delivery of" in point.fix
    assert said["apart"] == []


def test_an_order_that_is_not_known_is_said(book, assessed):
    told = label_of(book, assessed)
    unknown = Finding("stop", "label-unknown", "batch.label", "Not known.")
    blind = replace(told, ingredients=replace(told.ingredients, findings=(unknown,)))
    assert not labels.ordered(blind)
    assert labels.ordered(replace(told, ingredients=replace(told.ingredients, findings=())))

"""Her own foam: cups of the book in the place of the usual range."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.batch import Density
from blendlab.production import foam, judgement, kitchen_acts
from blendlab.recipe import Batch, Ref
from blendlab.store.book_foam import OF_BATCHES
from blendlab.store.book_schema import reading
from tests.batch import plans_to_try as tries

DAY = date(2026, 3, 7)


def batch_with(book, sheet, *cups: float, **change) -> str:
    code = book.start(sheet, DAY, design=tries.design(**change))
    for g_ml in cups:
        book.write("density", "foam", {"g_ml": g_ml}, code)
    return code


def test_the_next_plan_takes_her_own_range(book, sheet):
    design = tries.design()
    before = judgement.judge(design, tries.shelf(), DAY, {}, foam.cups(book, design)).plan.density
    assert (before.weighed, before.cups) == (False, 0)
    assert foam.words(before) == ""
    for pair in ((0.58, 0.60), (0.61, 0.63), (0.59, 0.62)):
        batch_with(book, sheet, *pair)
    plan = judgement.judge(design, tries.shelf(), DAY, {}, foam.cups(book, design)).plan
    # (0.58 + 0.60 + 0.61 + 0.63 + 0.59 + 0.62) / 6 = 0.605
    assert plan.density == Density(pytest.approx(0.605), 0.58, 0.63, weighed=True, cups=6)
    assert foam.words(plan.density) == "your 6 cups: 0.58-0.63 g/ml"
    assert plan.net_low_g / plan.net_high_g == pytest.approx(0.58 / 0.63)
    assert "density-unweighed" not in {finding.id for finding in plan.findings}


def test_only_cups_of_this_base_whipped_alike_count(book, sheet):
    other = replace(tries.design(), base=Ref(kind="base", id="soap-white"))
    elsewhere = book.start(sheet, DAY, design=other)
    book.write("density", "foam", {"g_ml": 0.5}, elsewhere)
    batch_with(book, sheet, 0.52, batch=Batch(jars=24, overrun_pct=100))
    batch_with(book, sheet, 0.53, product="body_butter")
    here = batch_with(book, sheet, 0.6)
    book.write("density", "mix", {"g_ml": 1.05}, here)
    book.write("density", "whipping", {"g_ml": 0.8}, here)
    book.write("density", "foam", {"g_ml": 0.02}, here)  # no foam is that light
    assert foam.cups(book, tries.design()) == (0.6,)
    assert foam.cups(book, tries.design(batch=Batch(overrun_pct=100.0))) == (0.52,)


def test_a_corrected_cup_counts_as_corrected_and_the_newest_dozen_counts(book, sheet):
    code = batch_with(book, sheet, 0.9, *(0.5 + at / 100 for at in range(12)))
    first = store.batch(book, code).of("density")[0]
    cups = foam.cups(book, tries.design())
    assert len(cups) == 12
    assert 0.9 not in cups
    last = store.batch(book, code).of("density")[-1]
    store.correct_entry(book, code, last.number, {"g_ml": 0.7}, "misread")
    assert foam.cups(book, tries.design())[-1] == 0.7
    store.correct_entry(book, code, last.number + 1, {}, "another bowl", withdrawn=True)
    assert foam.cups(book, tries.design())[0] == 0.9 == first.data["g_ml"]


def test_her_typed_cup_comes_first(sheet):
    base = replace(tries.shelf().today("base", "cooked"), density_whipped_g_ml=0.66)
    shelf = tries.shelf().carrying([base])
    design = tries.design(base=base.ref)
    assert judgement.judge(design, shelf, DAY, {}, (0.5, 0.6)).plan.density.g_ml == 0.66


def test_the_book_finds_the_batches_of_a_base_by_their_index(book):
    values = ("foam", "cooked", "whipped_soap", None)
    with reading(book.path) as link:
        steps = link.execute(f"EXPLAIN QUERY PLAN SELECT * FROM entries WHERE {OF_BATCHES}", values)
        assert "batches_of_base" in " ".join(str(row["detail"]) for row in steps)


def test_the_kitchen_feeds_the_next_plan(book, sheet):
    code = book.start(sheet, DAY, design=tries.design())
    kitchen_acts.measured_later(book, code, foam_g_ml=0.61)
    assert foam.cups(book, tries.design()) == (0.61,)

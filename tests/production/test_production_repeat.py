"""A batch made again: what is another lot, another strength, another sheet, another foam, and why."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from blendlab import store
from blendlab.facts.read import figure
from blendlab.production import batches, stock_lots
from blendlab.production.judgement import judge
from blendlab.production.repeat import FOLLOWS, repeat
from blendlab.recipe import Ref
from blendlab.shelf import Lot, Shelf, Swatch, resolve
from blendlab.store.book_entries import FOAM
from blendlab.tint import delta_e_2000, mix, predict
from blendlab.tint.measured_items import measured_pigment
from blendlab.tint.spectra import lab_of
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)
BLUE = "pigment:ultramarine_blue"
WEIGHED = {"density_whipped_g_ml": 0.62}


def lot(book, item, code, grams=5000.0, data=None, **more) -> int:
    kind, _, name = item.partition(":")
    return book.receive(Lot(code=code, of=Ref(kind=kind, id=name), name=name, **more), grams, data or {})


def used_up(book, item) -> None:
    (line,) = store.lots(book, item)
    book.move(line.number, -line.left_g, "waste")


def made(book, base_data=None) -> store.BatchPage:
    """A batch of two tones out of named lots, all of which hold more, as the page plans it."""
    lot(book, "base:cooked", "B-1", data=WEIGHED if base_data is None else base_data)
    lot(book, BLUE, "P-1")
    lots = stock_lots.in_stock(book, {}, DAY).taken
    sheet = judge(tries.design(), tries.shelf(), DAY, lots).plan
    code = batches.start(book, sheet, tries.design(), tries.shelf(), DAY)
    return until(book, code, "none")


def again(book, page, shelf=None, on=DAY):
    made = repeat(book, page, shelf or tries.shelf(), on, stock_lots.in_stock(book, {}, on).taken)
    return made, {told.what: told for told in made.differences}


def on_shelf(*items) -> Shelf:
    ids = {(item.kind, item.id) for item in items}
    return Shelf((*(item for item in tries.shelf().items if (item.kind, item.id) not in ids), *items))


def blue_of_lots(*lots: tuple[str, float]):
    """Her ultramarine with one swatch of each lot, as many times as strong as the starter."""
    blue, base = tries.shelf().today("pigment", "ultramarine_blue"), tries.shelf().today("base", "cooked")
    for code, strength in lots:
        R = mix([0.3 * strength], np.array([blue.k]), np.array([blue.s]), base.k0, base.s0)[2]
        swatch = Swatch(doses={blue.id: 0.3}, R=tuple(map(float, R)), how="spectrum")
        kept = measured_pigment(blue, base, [swatch], DAY, code, same_kind=True)[0]
        blue = replace(blue, calibrations=kept.calibrations) if code != lots[-1][0] else kept
    return blue


def test_with_the_same_lots_nothing_is_different(book):
    told, rows = again(book, made(book))
    assert rows == {}
    assert told.design == tries.design()
    assert [line.grams for line in told.judged.plan.lines] == [
        line.grams for line in store.batch(book, store.batches(book)[0].code).plan.lines
    ]


def test_a_stronger_lot_of_a_pigment_is_taken_less_of(book):
    """1.25 times as strong: 0.3 % becomes 0.24 %; the other tone keeps its dose."""
    page = made(book)
    used_up(book, BLUE)
    lot(book, BLUE, "P-2")
    told, rows = again(book, page, on_shelf(blue_of_lots(("P-1", 1.0), ("P-2", 1.25))))
    assert told.design.tones[0].doses[0].pct == pytest.approx(0.24, rel=0.01)
    assert told.design.tones[1].doses[0].pct == 0.02
    blue = rows["Lot of ultramarine blue"]
    assert (blue.before, blue.now) == ("P-1", "P-2")
    assert blue.why.startswith("P-1 is used up; the new lot is 25 % stronger than the last lot")
    dose = rows["ultramarine blue in Deep"]
    assert (dose.before, dose.now) == ("0.3 %", "0.24 %")
    weighed = rows["To weigh: ultramarine blue, Colour: Deep"]
    assert float(weighed.now[:-2]) == pytest.approx(0.8 * float(weighed.before[:-2]), rel=0.01)
    assert weighed.why == FOLLOWS
    assert told.design.tones[0].doses[0].pigment.rev == blue_of_lots(("P-1", 1.0), ("P-2", 1.25)).rev


@pytest.mark.parametrize(("swatched", "blind"), [((), "P-1 and P-2"), (("P-1",), "P-2"), (("P-2",), "P-1")])
def test_without_a_swatch_of_both_lots_the_dose_stays_and_that_is_said(book, swatched, blind):
    page = made(book)
    lot(book, BLUE, "P-2", expiry=date(2026, 12, 31))
    shelf = on_shelf(blue_of_lots(*((code, 2.0) for code in swatched))) if swatched else tries.shelf()
    told, rows = again(book, page, shelf)
    assert told.design.tones[0].doses[0].pct == 0.3
    why = rows["Lot of ultramarine blue"].why
    assert f"no swatch of {blind}, the dose stays" in why
    assert "still holds" in why
    assert "ultramarine blue in Deep" not in rows


def test_a_changed_sheet_is_told_with_its_old_and_new_limit_and_what_it_stops(book):
    page = made(book)
    lavender = tries.shelf().today("oil", "lavender")
    limit = lavender.sheet.limits["9"]
    stricter = replace(
        lavender,
        sheet=replace(lavender.sheet, amendment=52, issued=DAY, limits={**lavender.sheet.limits, "9": 0.25}),
    )
    told, rows = again(book, page, on_shelf(stricter))
    of_limit = rows[f"{lavender.name}: its sheet, limit in category 9"]
    assert of_limit.before == f"{limit:g} % of the product"
    assert of_limit.now == "0.25 % of the product"
    assert of_limit.why == "another sheet of its supplier, judged again"
    assert rows[f"{lavender.name}: its sheet"].now == "amendment 52, issued 2026-03-07"
    assert "Sheet" not in rows
    assert {stop.id for stop in told.stops} > {stop.id for stop in again(book, page)[0].stops}
    assert all(stop.level == "stop" and stop.act is None for stop in told.stops)
    _, rows = again(book, page, on_shelf(replace(lavender, sheet=None)))
    assert rows[f"{lavender.name}: its sheet"][2:] == ("none", "it has no sheet any more")


def test_a_changed_formula_of_the_base_is_told_line_by_line(book):
    """Two percent of glycerin more, two of water less: both lines, each with its old and new percent."""
    page = made(book)
    base = tries.shelf().today("base", "cooked")
    glycerin, water = (
        next(line for line in base.lines if line.ingredient.id == name)
        for name in ("glycerin", "purified-water")
    )
    lines = tuple(
        replace(line, pct=line.pct + {"glycerin": 2, "purified-water": -2}.get(line.ingredient.id, 0))
        for line in base.lines
    )
    _, rows = again(book, page, on_shelf(replace(base, lines=lines, pH=6.4)))
    for old, step in ((glycerin, 2), (water, -2)):
        row = rows[f"{base.name}: its formula, {old.ingredient.id}"]
        assert row[1:] == (f"{old.pct:g} % of the base", f"{old.pct + step:g} % of the base", row.why)
        assert row.why == "you changed its formula"
    assert rows[f"{base.name}: pH"].now == "6.4"


def test_another_price_is_told_by_the_kilogram_with_what_it_is_known_by(book):
    """0.10 a g is 100 a kg, over 0.98 that reaches a jar; a lot bought at 30 + 5 for 250 g is 142.86."""
    lavender = replace(tries.shelf().today("oil", "lavender"), price_per_g=0.098)
    lot(book, "base:cooked", "B-1", data=WEIGHED)
    shelf = on_shelf(lavender)
    sheet = judge(tries.design(), shelf, DAY, stock_lots.in_stock(book, {}, DAY).taken).plan
    code = batches.start(book, sheet, tries.design(), shelf, DAY)
    page = store.batch(book, code)
    waste = figure("batch", "waste").value
    then = f"{0.098 / (1 - waste) * 1000:.2f} EUR a kg"
    twice = f"{0.196 / (1 - waste) * 1000:.2f} EUR a kg"
    dearer = on_shelf(replace(lavender, price_per_g=0.196))
    _, rows = again(book, page, dearer)
    row = rows[f"Price of {lavender.name}, with what stays in packs"]
    assert (row.before, row.now, row.why) == (then, twice, "your shelf")
    paid = {"price": {"pack_price": 30, "pack_g": 250, "shipping": 5, "waste": 0.02}}
    lot(book, "oil:lavender", "L-1", 250.0, paid)
    _, rows = again(book, page, dearer)
    row = rows[f"Price of {lavender.name}, with what stays in packs"]
    assert (row.before, row.now, row.why) == (then, "142.86 EUR a kg", "lot L-1, by its own pack")


def test_another_colour_of_a_pigment_is_told_with_how_far_its_tones_move(book):
    page = made(book)
    blue = tries.shelf().today("pigment", "ultramarine_blue")
    stronger = replace(blue, k=tuple(1.3 * each for each in blue.k), s=tuple(1.3 * each for each in blue.s))
    _, rows = again(book, page, on_shelf(stronger))
    row = rows[f"{blue.name}: colour"]
    assert (row.before, row.now) == ("estimate", "estimate, 1.30 times as strong")
    step = float(rows["Colour of Deep"].now.split()[2])
    again_, was = (
        predict(resolve(replace(tries.design(), weeks=0.0), shelf))["deep"].R
        for shelf in (on_shelf(stronger).holding([stronger]), tries.shelf())
    )
    assert step == pytest.approx(float(delta_e_2000(lab_of(was), lab_of(again_))), abs=0.06)
    assert step > 0.5
    assert "Colour of Cream" not in rows


def test_what_is_on_the_shelf_no_more_is_told_and_can_be_opened_all_the_same(book):
    page = made(book)
    kept = tuple(item for item in tries.shelf().items if item.id != "lavender")
    told, rows = again(book, page, Shelf(kept))
    assert rows[tries.shelf().today("oil", "lavender").name][1:] == (
        "on your shelf",
        "not on your shelf",
        "deleted since; this batch kept it as it was",
    )
    assert "lavender" in {item.id for item in told.carried}
    assert told.judged.plan is not None
    assert told.judged.resolved.missing == ()


def test_a_batch_of_an_earlier_version_names_what_changed_and_knows_no_more(book):
    lot(book, "base:cooked", "B-1", data=WEIGHED)
    sheet = judge(tries.design(), tries.shelf(), DAY, stock_lots.in_stock(book, {}, DAY).taken).plan
    page = store.batch(book, book.start(sheet, DAY, design=tries.design()))
    lavender = tries.shelf().today("oil", "lavender")
    _, rows = again(book, page, on_shelf(replace(lavender, sheet=None)))
    row = rows[lavender.name]
    assert row.why == "changed on your shelf since, if only in its price; what it was then is not known"


def test_the_foam_of_her_book_is_the_foam_to_plan_with(book):
    """A cup of 0.62 g/ml in the book, then a second of 0.58: their mean, and with it the grams."""
    page = made(book, base_data={"pH": 5.9})
    told, rows = again(book, page)
    assert told.design.batch.overrun_pct is None
    assert told.judged.plan.density.g_ml == pytest.approx(0.62, abs=0.001)
    assert rows["Foam to plan with"][1:] == ("0.61 g/ml", "0.62 g/ml", "your cup: 0.59-0.65 g/ml")
    assert rows["Net weight of a jar"].why == FOLLOWS
    book.write("density", FOAM, {"g_ml": 0.58}, page.line.code)
    _, rows = again(book, store.batch(book, page.line.code))
    assert rows["Foam to plan with"].now == "0.60 g/ml"
    assert rows["Foam to plan with"].why == "your 2 cups: 0.57-0.63 g/ml"


def test_a_lot_whose_foam_was_weighed_plans_with_its_own(book):
    page = made(book)
    book.write("density", FOAM, {"g_ml": 0.7}, page.line.code)
    told, rows = again(book, store.batch(book, page.line.code))
    assert rows == {}
    used_up(book, "base:cooked")
    lot(book, "base:cooked", "B-2", data={"density_whipped_g_ml": 0.66, "preservative_pct": [0.9, 0.9]})
    told, rows = again(book, store.batch(book, page.line.code))
    assert told.design.batch.overrun_pct is None
    assert (rows["Foam to plan with"].before, rows["Foam to plan with"].now) == ("0.62 g/ml", "0.66 g/ml")
    assert rows["Lot of Whipped soap base"].why == "B-1 is used up"
    assert (rows["Preservative in the base"].before, rows["Preservative in the base"].now) == ("1 %", "0.9 %")


def test_lots_that_ended_or_are_held_back_say_so(book):
    page = made(book)
    number = store.lots(book, BLUE)[0].number
    line = store.lot(book, number)
    book.correct_lot(number, replace(line.lot, expiry=date(2026, 3, 1)))
    lot(book, BLUE, "P-2")
    _, rows = again(book, page)
    assert rows["Lot of ultramarine blue"].why.startswith("P-1 ended on 2026-03-01; no swatch")
    book.correct_lot(number, line.lot, {"held": "smells"})
    _, rows = again(book, page)
    assert rows["Lot of ultramarine blue"].why.startswith("P-1 is held back: smells; ")


def test_a_design_that_cannot_be_sized_says_so(book):
    page = store.batch(book, book.start(tries.made(), DAY, design=tries.design()))
    told, rows = again(book, page, Shelf())
    assert rows["Sheet"].now == "none"
    assert told.judged.plan is None

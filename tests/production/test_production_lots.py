"""Lots for a batch, batches of a design, a design judged with its lots, how a batch came out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from blendlab import store
from blendlab.batch import ledger
from blendlab.batch.plan import plan
from blendlab.production import (
    base_mix,
    batches,
    judgement,
    kitchen_log,
    outcome,
    shortage,
    stability,
    stock_lots,
)
from blendlab.recipe import Batch, Dilution, Ref
from blendlab.shelf import Component, Lot, Pigment, Shelf, Swatch, resolve
from blendlab.store.book_sales_entries import Kept
from blendlab.store.book_tests import keep_for_tests
from blendlab.tint import mix, predict
from blendlab.tint.measured_items import measured_pigment
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)


@pytest.fixture
def code(book, sheet) -> str:
    return book.start(sheet, DAY, design=tries.design())


def base_line(sheet):
    return next(line for line in sheet.lines if line.what == "base")


# --- lots ---------------------------------------------------------------------------------------------


def lot(book, item, grams, code, **more):
    kind, _, name = item.partition(":")
    return book.receive(Lot(code=code, of=Ref(kind=kind, id=name), name=name, **more), grams)


def first(book, chosen, item="oil:lavender", on=DAY):
    return stock_lots.in_stock(book, chosen, on).taken[item][0]


def test_an_opened_base_is_not_taken_by_itself_once_it_is_too_old_for_a_batch(book):
    """Six months from 7 September are over after 7 March, whatever its paper says; then it may be chosen."""
    base = "base:cooked"
    old = lot(book, base, 5000, "OLD", opened=date(2025, 9, 7), expiry=date(2026, 9, 30))
    fresh = lot(book, base, 5000, "FRESH", expiry=date(2026, 12, 31))
    after = DAY + timedelta(days=1)
    assert first(book, {}, base).number == old
    assert first(book, {}, base, after).number == fresh
    assert first(book, {base: [old]}, base, after).number == old
    assert [store.stock(book, day)[base] for day in (DAY, after)] == [10000, 5000]
    line = store.lot(book, old)
    assert stock_lots.lot_label(line, DAY) == "OLD, until 2026-03-07"
    assert stock_lots.lot_label(line, after) == "OLD, ended 2026-03-07"
    lot(book, "oil:lavender", 100, "L-3", opened=date(2025, 1, 1), expiry=date(2026, 9, 30))
    assert first(book, {}, on=after).lot.code == "L-3"


def test_hers_is_taken_where_it_holds_something_else_the_first_to_end(book):
    late = lot(book, "oil:lavender", 100, "L-2", expiry=date(2027, 6, 30))
    soon = lot(book, "oil:lavender", 100, "L-1", expiry=date(2026, 9, 30))
    assert first(book, {}).number == soon
    assert first(book, {"oil:lavender": [late]}).number == late
    assert first(book, {"oil:lavender": [99]}).number == soon


def test_an_empty_lot_is_not_taken_even_if_she_chose_it(book, code, sheet):
    line = base_line(sheet)
    small = lot(book, line.item, line.grams, "B-1")
    full = lot(book, line.item, 5000, "B-2")
    page = until(book, code, "weigh:base")
    kitchen_log.weigh(book, page, kitchen_log.asked_line(page, page.now.line("base")), line.grams, small)
    assert store.lot(book, small).left_g == 0
    assert first(book, {line.item: [small]}, line.item).number == full


def test_a_lot_in_a_list_says_what_is_left_and_until_when(book):
    number = lot(book, "oil:lavender", 12.5, "L-1", expiry=date(2027, 6, 30))
    assert stock_lots.lot_words(store.lot(book, number)) == "L-1, 12.5 g left, until 2027-06-30"
    number = lot(book, "oil:lavender", 3, "L-2")
    assert stock_lots.lot_words(store.lot(book, number)) == "L-2, 3 g left"


def test_a_line_is_shared_among_lots_when_the_first_does_not_hold_it(book, sheet):
    line = base_line(sheet)
    small, full = lot(book, line.item, 500, "B-1"), lot(book, line.item, 5000, "B-2")
    assert stock_lots.takes(book, line, 800, [small, full]) == [(small, 500, 500), (full, 300, 300)]
    said = stock_lots.lots_in_words(book, line, [small, full])
    assert said.startswith("One lot does not hold it all: 500 g from B-1, then ")
    assert stock_lots.takes(book, line, 800, []) == [(None, 800, 800)]
    assert stock_lots.lots_in_words(book, line, [full]) == ""
    assert stock_lots.lots_in_words(book, line, []) == ""
    # without her word the second lot is not opened
    assert stock_lots.takes(book, line, 800, [small]) == [(small, 800, 800)]
    assert "g less than" in stock_lots.lots_in_words(book, line, [small])
    assert stock_lots.to_mix_in(book, line, small, DAY).number == full
    assert stock_lots.to_mix_in(book, line, full, DAY) is None


def test_lots_that_do_not_hold_it_together_are_said_to(book, sheet):
    line = base_line(sheet)
    small, other = lot(book, line.item, 10, "B-1"), lot(book, line.item, 20, "B-2")
    assert stock_lots.takes(book, line, 800, [small, other]) == [(small, 800, 800)]  # the book refuses it
    short = f"B-1 + B-2: {line.grams - 30:g} g less than {line.name} asks for."
    assert stock_lots.lots_in_words(book, line, [small, other]).startswith(short)


def test_a_dilution_draws_what_it_holds_of_the_pure_thing(book):
    blue, carrier = Ref(kind="pigment", id="ultramarine_blue"), Ref(kind="ingredient", id="light-oil")
    design = tries.design(batch=Batch(jars=24, dilutions=(Dilution(of=blue, pct=10, carrier=carrier),)))
    made = plan(resolve(design, tries.shelf()), tries.LOW_JAR)
    line = next(line for line in made.lines if line.item == "pigment:ultramarine_blue")
    number = lot(book, line.item, 50, "P-1")
    assert stock_lots.takes(book, line, 20, [number]) == [(number, 20, 2)]


def test_stock_that_is_short_is_a_finding_beside_the_others(book, sheet):
    line = base_line(sheet)
    lot(book, line.item, 100, "B-1")
    (told,) = shortage.findings(sheet, stock_lots.in_stock(book, {}, DAY))
    assert told.text.startswith(f"{line.grams - 100:.2f} g of {line.name} short. Enough for ")
    assert shortage.stock_words(sheet, {}) == ""
    assert " g of batch, then " in shortage.stock_words(sheet, {line.item: line.grams / 2})


# --- batches ------------------------------------------------------------------------------------------


def test_a_batch_is_named_by_its_design_and_its_jar(book, sheet):
    design = tries.design()
    assert batches.newest(book, design) is None
    assert batches.running(book, design) is None
    assert batches.at_work(book) == ""
    code = batches.start(book, sheet, design, tries.shelf(), DAY)
    size = tries.shelf().today("jar", "j120-70").nominal_ml
    assert code.endswith(f"-TWOTONES{size:.0f}")
    assert batches.newest(book, design).line.code == code
    assert (batches.running(book, design), batches.at_work(book)) == (code, code)
    bare = batches.start(book, sheet, design, Shelf(), DAY)
    assert bare.endswith("-TWOTONES")


def test_a_finished_batch_does_not_run_any_more(book, code):
    until(book, code, "none")
    assert batches.running(book, tries.design()) is None
    assert batches.at_work(book) == ""
    book.decide(code, store.TEST_JARS, DAY)
    assert batches.running(book, tries.design()) is None


# --- judged with lots ---------------------------------------------------------------------------------


def test_a_base_is_as_its_lot_is_known(book):
    base = tries.shelf().today("base", "cooked")
    data = {"preservative_pct": [0.4, 0.6], "pH": 5.2, "density_whipped_g_ml": 0.7, "add_below_c": 45}
    dates = {"opened": date(2026, 2, 1), "expiry": date(2026, 12, 31)}
    number = book.receive(Lot(code="B-1", of=base.ref, name="x", **dates), 100, data)
    made = base_mix.of_lot(base, store.lot(book, number), tries.shelf())
    assert (made.lot, made.preservative_pct, made.pH, made.add_below_c) == ("B-1", (0.4, 0.6), 5.2, 45)
    assert (made.density_whipped_g_ml, made.opened_on, made.best_before) == (0.7, *dates.values())


def test_a_preservative_that_is_unknown_is_not_read_from_the_base(book):
    base = replace(tries.shelf().today("base", "cooked"), actives={"phenoxyethanol": 0.9})
    number = book.receive(Lot(code="B-1", of=base.ref), 100, {"preservative_pct": "unknown"})
    made = base_mix.of_lot(base, store.lot(book, number), tries.shelf())
    assert (made.preservative_pct, made.actives, made.pH) == (None, {}, base.pH)


def test_the_actives_of_a_lot_are_those_of_what_it_was_kept_with(book):
    """Kept with something else than the base: half a percent of that, and nothing of the base's own."""
    keeper = tries.shelf().today("ingredient", "preservative-a")
    other = replace(
        keeper,
        id="other",
        components=(Component(inci="Sodium Dehydroacetate", low_pct=100, high_pct=100),),
    )
    shelf = Shelf((*tries.shelf().items, other))
    base = replace(tries.shelf().today("base", "cooked"), actives={"phenoxyethanol": 0.9, "iron": 0.1})
    data = {"preservative_pct": [0.5, 0.5], "kept_by": "other"}
    number = book.receive(Lot(code="B-1", of=base.ref), 100, data)
    made = base_mix.of_lot(base, store.lot(book, number), shelf)
    name, pct = ledger.counted("Sodium Dehydroacetate", 0.5)
    assert made.actives == {"iron": 0.1, name: pytest.approx(pct)}


def test_a_design_is_judged_with_its_lots(book):
    design, shelf = tries.design(), tries.shelf()
    book.receive(Lot(code="B-1", of=design.base), 5000, {"density_whipped_g_ml": 0.75})
    lavender = book.receive(Lot(code="L-1", of=design.scent.oils[0].oil), 500)
    taken = stock_lots.in_stock(book, {}, DAY).taken
    judged = judgement.judge(design, shelf, DAY, taken)
    assert judged.resolved.base.lot == "B-1"
    assert judged.density.g_ml == pytest.approx(0.75, abs=0.02)
    codes = {line.item: line.lot for line in judged.plan.lines}
    assert (codes["base:cooked"], codes["oil:lavender"]) == ("B-1", "L-1")
    assert store.lot(book, lavender).left_g == 500
    plain = judgement.judge(design, shelf, DAY, {})
    assert plain.resolved.base.lot == ""
    bare = judgement.judge(design, Shelf(), DAY, taken)
    assert bare.resolved is None


def of_two_lots(item) -> Pigment:
    """A pigment measured twice: lot P-1, then P-2, that is twice as strong and in use."""
    base = tries.shelf().today("base", "cooked")

    def swatches(strength: float) -> list[Swatch]:
        k, s = np.array([item.k]), np.array([item.s])
        seen = (mix([strength * pct], k, s, base.k0, base.s0)[2] for pct in (0.1, 0.3, 1.0))
        return [
            Swatch(doses={item.id: pct}, R=tuple(map(float, R)), how="spectrum")
            for pct, R in zip((0.1, 0.3, 1.0), seen, strict=True)
        ]

    first, _ = measured_pigment(item, base, swatches(1.0), date(2026, 1, 1), "P-1")
    return measured_pigment(first, base, swatches(2.0), date(2026, 2, 1), "P-2")[0]


@pytest.mark.parametrize(("code", "strength", "noted"), [("P-1", 1, 0), (" p-2", 2, 0), ("P-3", 2, 1)])
def test_a_pigment_is_as_strong_as_the_lot_that_is_taken(book, code, strength, noted):
    plain = tries.shelf().today("pigment", "ultramarine_blue")
    blue = of_two_lots(plain)
    design, shelf = repointed(tries.design(), blue.ref), tries.shelf().carrying((blue,))
    book.receive(Lot(code=code, of=blue.ref, name=blue.name), 100)
    judged = judgement.judge(design, shelf, DAY, stock_lots.in_stock(book, {}, DAY).taken)
    taken = judged.resolved.tones[0].pigments[0]
    assert np.allclose(taken.k, strength * np.array(plain.k), rtol=0.02)
    assert taken.known == "measured"
    strong = replace(plain, k=taken.k, s=taken.s)
    alike = predict(resolve(repointed(design, strong.ref), tries.shelf().carrying((strong,))))
    deep = judged.tones[0]
    assert np.allclose(deep.tint.R, alike[deep.tone.id].R)
    told = [finding for finding in judged.findings if finding.id == "lot-colour-ultramarine_blue"]
    assert len(told) == noted
    assert all("was measured on lot P-2; P-3 is taken." in finding.text for finding in told)


def repointed(design, ref):
    """The design with its blue of another revision."""
    doses = tuple(replace(dose, pigment=ref) for dose in design.tones[0].doses)
    return replace(design, tones=(replace(design.tones[0], doses=doses), *design.tones[1:]))


# --- how it came out ----------------------------------------------------------------------------------


def test_a_batch_without_a_filled_jar_has_no_outcome(book, code, sheet):
    page = store.batch(book, code)
    made = outcome.outcome(page)
    assert (made.planned_g, made.jars, made.mean_g, made.yield_pct) == (sheet.batch_g, 0, None, None)
    assert (made.balance, made.findings) == (None, ())
    assert outcome.label_grams(page) is None


def test_the_yield_is_what_was_filled_of_what_was_planned(book, code, sheet):
    for number, grams in enumerate([73.0, 74.0, 75.0], start=1):
        book.fill(code, number, grams)
    book.write("yield", "retained", {"retained_g": 30.0}, code)
    made = outcome.outcome(store.batch(book, code))
    assert (made.filled_g, made.jars, made.mean_g) == (222.0, 3, 74.0)
    assert made.yield_pct == pytest.approx(100 * 222 / sheet.batch_g)
    assert "yield" in {finding.id for finding in made.findings}
    page = store.batch(book, code)
    assert outcome.label_grams(page) == 72  # 74 less two standard deviations of 1
    assert "A label of 72 g keeps the average rules: mean 74.0 g; 0 of 3 jars short" in outcome.weight_words(
        page, 72
    )
    assert "does not keep" in outcome.weight_words(page, 75)


@pytest.mark.parametrize(("grams", "whole"), [(4.2, 4), (12_000.0, 12_000)])
def test_a_jar_beyond_the_average_rules_is_told_so(book, code, grams, whole):
    """A lip scrub of 4 g, from memory of Directive 76/211/EEC: its rules begin at 5 g and end at 10 kg."""
    for number in (1, 2, 3):
        book.fill(code, number, grams)
    page = store.batch(book, code)
    assert outcome.label_grams(page) == whole
    assert outcome.weight_words(page, whole) == (
        f"The average rules are held for 5 to 10000 g; for {whole} g ask."
    )


# --- stability ----------------------------------------------------------------------------------------


def test_a_reading_that_was_written_is_not_due_any_more(book, code):
    today = DAY + timedelta(days=40)
    log = stability.log_of(store.batch(book, code), today)
    assert log.due
    assert all(due.on <= today for due in log.due)
    assert len(log.ahead) <= stability.AHEAD
    assert all(due.on > today for due in log.ahead)
    first = log.due[0]
    keep_for_tests(book, code, Kept(on=DAY, tests=(first.test,)))
    assert stability.log_of(store.batch(book, code), today).due == (first,)
    store.write_reading(book, code, first.test, {"on": first.on.isoformat(), "growth": False})
    after = stability.log_of(store.batch(book, code), today)
    assert [(due.test, due.on > first.on) for due in after.due] == [(first.test, True)]
    assert len(after.done) == 1


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"fails": ["growth", "pH shift"]}, "Fails: growth; pH shift."),
        (
            {"not_read": ["delta_e00", "bleed_mm"]},
            "Nothing failed of what was read; not read: colour change, bleed.",
        ),
        ({"fails": [], "not_read": []}, "Everything read, nothing failed."),
        (
            {"fails": [], "ph_shift": 0.1, "bleed_mm": 0.0, "free_liquid": False, "growth": False},
            "Nothing failed of what was read; not read: height drop, colour change.",
        ),
        ({"fails": [], "photo": "d6665fd284b3"}, "Nothing was read of it."),
    ],
)
def test_what_was_not_read_is_no_pass(said, words):
    assert stability.verdict(said) == words

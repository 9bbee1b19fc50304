"""Lines set right: a new line that says why, a release judged anew, a sale refused meanwhile."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from blendlab import store
from blendlab.production import corrections, held_lots, judgement, kitchen_acts, outcome, release, sales
from blendlab.production.made_design import as_weighed
from blendlab.store import AlreadyWritten, Refused
from blendlab.store.book_care_entries import Complaint, ComplaintAnswer
from blendlab.units import in_degrees
from tests.batch import plans_to_try as tries
from tests.production.released import read_and_release
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)
GIVEN = {"shelf": tries.shelf(), "on": DAY}


@pytest.fixture
def code(book, sheet) -> str:
    return book.start(sheet, DAY, design=tries.design())


@pytest.fixture
def released(book, code, monkeypatch) -> str:
    """A finished batch that was released; only what its record says can stop it."""
    monkeypatch.setattr(release, "sale_points", lambda *_: ())
    until(book, code, "none")
    read_and_release(book, code, tries.shelf(), DAY)
    return code


def entry(book, code: str, kind: str) -> store.BookEntry:
    return store.batch(book, code).of(kind)[-1]


def put_right(book, code: str, kind: str, said: dict, why: str = "misread") -> tuple[str, ...]:
    return corrections.correct_entry(book, code, entry(book, code, kind).number, said, why, **GIVEN)


# --- lines --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("ph", {"pH": 5.9}),
        ("density", {"g_ml": 0.6}),
        ("fill", {"net_g": 74.0}),
        ("yield", {"left_g": 35.0}),
        ("tick", {"celsius": 21.0}),
    ],
)
def test_every_line_is_set_right_by_a_line_that_says_why(book, code, kind, said):
    until(book, code, "none")
    if kind == "tick":
        gates = {step.id for step in store.batch(book, code).plan.steps if step.kind == "gate"}
        before = next(tick for tick in store.batch(book, code).of("tick") if tick.subject in gates)
    else:
        before = entry(book, code, kind)
    with pytest.raises(Refused, match="Say why"):
        corrections.correct_entry(book, code, before.number, said, "  ", **GIVEN)
    corrections.correct_entry(book, code, before.number, said, "misread", **GIVEN)
    page = store.batch(book, code)
    after = next(found for found in page.entries if found.corrects == before.number)
    assert after.data["why"] == "misread"
    assert after.data.items() >= said.items()
    assert after in page.of(kind)
    assert before.number not in {found.number for found in page.of(kind)}
    assert before.number in {found.number for found in page.entries}  # it stays readable
    with pytest.raises(AlreadyWritten):
        corrections.correct_entry(book, code, before.number, said, "again", **GIVEN)


def test_a_corrected_density_forgets_the_cup_it_was_worked_out_from(book, code):
    until(book, code, "none")
    put_right(book, code, "density", {"g_ml": 0.6})
    assert entry(book, code, "density").data["cup_g"] is None


def test_what_is_taken_back_does_not_count(book, code):
    until(book, code, "none")
    tick = next(tick for tick in store.batch(book, code).of("tick") if tick.subject == "clean")
    corrections.take_back(book, code, tick.number, "it was the other bowl", **GIVEN)
    page = store.batch(book, code)
    assert "clean" not in page.ticked
    assert "release-ticks" in {point.id for point in release.open_points(page)}
    jar = entry(book, code, "fill")
    corrections.take_back(book, code, jar.number, "weighed twice", **GIVEN)
    assert len(store.batch(book, code).filled_g) == 2
    gone = next(found for found in store.batch(book, code).entries if found.corrects == jar.number)
    with pytest.raises(Refused, match="written anew"):
        corrections.correct_entry(book, code, gone.number, {"net_g": 75.0}, "after all", **GIVEN)
    kitchen_acts.fill_jar(book, code, 75.0)
    assert sorted(fill.subject for fill in store.batch(book, code).of("fill")) == ["1", "2", "3"]


def test_a_line_of_another_batch_and_a_decision_are_not_corrected(book, released, sheet):
    other = book.start(sheet, DAY)
    number = entry(book, released, "ph").number
    with pytest.raises(Refused, match="line of this batch"):
        store.correct_entry(book, other, number, {"pH": 6.0}, "misread")
    decision = entry(book, released, "release").number
    with pytest.raises(Refused, match="rules of its own"):
        store.correct_entry(book, released, decision, {"on": DAY}, "later")


def test_a_corrected_line_stands_where_it_stood(book, code):
    for value in (5.9, 6.2):
        book.write("ph", "product", {"pH": value}, code)
    first = store.batch(book, code).of("ph")[0]
    corrections.correct_entry(book, code, first.number, {"pH": 6.6}, "misread", **GIVEN)
    assert [found.data["pH"] for found in store.batch(book, code).of("ph")] == [6.6, 6.2]


# --- sales --------------------------------------------------------------------------------------------


def test_a_corrected_sale_sells_no_more_than_there_is(book, released, sheet):
    sales.sell(book, released, sheet.jars, "gift shop", DAY)
    with pytest.raises(Refused, match=f"by the book {sheet.jars} of {sheet.jars} are left"):
        put_right(book, released, "sale", {"jars": sheet.jars + 1})
    put_right(book, released, "sale", {"jars": 2, "to": "market"})
    page = store.batch(book, released)
    assert (page.sold, page.of("sale")[0].data["to"]) == (2, "market")
    sales.sell(book, released, sheet.jars - 2, "gift shop", DAY)
    corrections.take_back(book, released, page.of("sale")[0].number, "never sent", **GIVEN)
    assert store.batch(book, released).sold == sheet.jars - 2


def test_jars_are_not_counted_below_what_is_sold(book, released):
    book.write("filled", "jars", {"jars": 20}, released)
    sales.sell(book, released, 12, "gift shop", DAY)
    with pytest.raises(Refused, match="More jars would be sold"):
        put_right(book, released, "filled", {"jars": 11})
    put_right(book, released, "filled", {"jars": 12})
    with pytest.raises(Refused, match="0 of 12 are left"):
        sales.sell(book, released, 1, "market", DAY)


def test_a_count_is_not_taken_back_below_what_is_sold(book, released, sheet):
    """Counted 3 more than planned and all sold: without the count there would be 3 jars too few."""
    most = sheet.jars + 3
    book.write("filled", "jars", {"jars": most}, released)
    sales.sell(book, released, most, "gift shop", DAY)
    before = store.batch(book, released).entries
    with pytest.raises(Refused, match="More jars would be sold"):
        corrections.take_back(book, released, entry(book, released, "filled").number, "miscounted", **GIVEN)
    assert store.batch(book, released).entries == before
    number = entry(book, released, "sale").number
    corrections.correct_entry(book, released, number, {"jars": sheet.jars}, "miscounted", **GIVEN)
    corrections.take_back(book, released, entry(book, released, "filled").number, "miscounted", **GIVEN)
    assert sales.jars(store.batch(book, released)).left == 0


def test_a_weighed_jar_is_not_taken_back_below_what_is_sold(book, released, sheet):
    corrections.take_back(book, released, entry(book, released, "filled").number, "not counted", **GIVEN)
    for _ in range(sheet.jars + 1 - len(store.batch(book, released).filled_g)):
        kitchen_acts.fill_jar(book, released, 75.0)
    sales.sell(book, released, sheet.jars + 1, "gift shop", DAY)
    with pytest.raises(Refused, match="More jars would be sold"):
        corrections.take_back(book, released, entry(book, released, "fill").number, "twice", **GIVEN)


def test_what_says_nothing_of_jars_is_corrected_though_too_many_are_sold(book, released, sheet):
    book.write("filled", "jars", {"jars": 20}, released)
    sales.sell(book, released, 20, "gift shop", DAY)
    book.write("filled", "jars", {"jars": 18}, released)  # counted anew: two too many were sold
    assert sales.jars(store.batch(book, released)).left == -2
    put_right(book, released, "ph", {"pH": 5.8})
    assert entry(book, released, "ph").data["pH"] == 5.8


def test_no_more_jars_come_back_of_a_sale_than_were_sold(book, released):
    sales.sell(book, released, 2, "gift shop", DAY)
    sales.take_back(book, released, entry(book, released, "sale").number, 1, DAY, "lid cracked")
    number = entry(book, released, "return").number
    with pytest.raises(Refused, match="come back"):
        store.correct_entry(book, released, number, {"jars": 9}, "more came")
    store.correct_entry(book, released, number, {"jars": 2}, "both came")
    assert sales.jars(store.batch(book, released)).out == 0


def test_what_has_acts_of_its_own_is_not_corrected_as_a_plain_line(book, released):
    """A complaint that was corrected or taken back lost its answers, or itself."""
    number = store.complain(book, Complaint(on=DAY, what="red wrists"), released)
    store.answer(book, number, ComplaintAnswer(on=DAY, done="called her"))
    with pytest.raises(Refused, match="rules of its own"):
        put_right(book, released, "complaint", {"what": "nothing"})
    with pytest.raises(Refused, match="rules of its own"):
        corrections.take_back(book, released, number, "never was", **GIVEN)
    (line,), _ = store.complaints(book)
    assert (line.said.what, len(line.answers)) == ("red wrists", 1)


def test_nothing_is_decided_or_sold_before_the_batch_was_made(book, code, monkeypatch):
    monkeypatch.setattr(release, "sale_points", lambda *_: ())
    until(book, code, "none")
    before = DAY - timedelta(days=1)
    with pytest.raises(Refused, match="before the day of the batch"):
        read_and_release(book, code, tries.shelf(), before)
    read_and_release(book, code, tries.shelf(), DAY)
    with pytest.raises(Refused, match="before the day of the batch"):
        sales.sell(book, code, 1, "gift shop", before)
    sales.sell(book, code, 1, "gift shop", DAY)


# --- called back --------------------------------------------------------------------------------------


def test_a_correction_that_breaks_nothing_leaves_the_release(book, released):
    assert put_right(book, released, "ph", {"pH": 5.8}) == ()
    assert store.batch(book, released).decision == store.FOR_SALE


def test_a_correction_that_breaks_a_limit_calls_the_release_back_until_it_is_decided_anew(book, released):
    sales.sell(book, released, 1, "gift shop", DAY)
    assert put_right(book, released, "ph", {"pH": 8.9}) == (released,)
    page = store.batch(book, released)
    assert page.decision == store.CALLED_BACK
    assert "pH 8.9 lies outside 5 to 7" in page.of("release")[-1].data["why"]
    assert page.sold == 1
    with pytest.raises(Refused, match="was called back"):
        sales.sell(book, released, 1, "gift shop", DAY)
    with pytest.raises(release.NotReleased):
        read_and_release(book, released, tries.shelf(), DAY)
    assert put_right(book, released, "ph", {"pH": 6.0}) == ()  # nothing more to call back
    assert store.batch(book, released).decision == store.CALLED_BACK  # and not released by itself
    read_and_release(book, released, tries.shelf(), DAY)
    assert store.batch(book, released).decision == store.FOR_SALE
    sales.sell(book, released, 1, "gift shop", DAY)
    with pytest.raises(AlreadyWritten):
        read_and_release(book, released, tries.shelf(), DAY)
    put_right(book, released, "ph", {"pH": 9.0})
    release.keep_as_test_jars(book, released, DAY)
    with pytest.raises(Refused, match="not released for sale"):
        sales.sell(book, released, 1, "gift shop", DAY)


def test_a_gate_that_was_too_warm_after_all_calls_back(book, released):
    page = store.batch(book, released)
    gate = next(step for step in page.plan.steps if step.kind == "gate")
    tick = next(tick for tick in page.of("tick") if tick.subject == gate.id)
    said = {"celsius": gate.below_c + 1}
    assert corrections.correct_entry(book, released, tick.number, said, "misread", **GIVEN)
    called_back = store.batch(book, released).of("release")[-1].data
    assert "Too warm" in called_back["why"]
    assert called_back["heats"] == [gate.below_c]
    (told,) = release.called_back(store.batch(book, released))
    assert f"{gate.below_c * 1.8 + 32:g} °F" in in_degrees(told.text, told.heats, "F")


def test_a_lot_that_is_held_back_or_ended_after_all_calls_back_what_was_made_of_it(book, code, monkeypatch):
    until(book, code, "none")
    real = release.sale_points
    lots = lambda *given: [stop for stop in real(*given) if stop.id.startswith("lot-")]  # noqa: E731
    monkeypatch.setattr(release, "sale_points", lots)  # only what the lots say
    read_and_release(book, code, tries.shelf(), DAY)
    oil = next(line for line in store.lots(book) if line.item.startswith("oil:"))
    other = next(line for line in store.lots(book) if line.item.startswith("pigment:"))
    held_lots.hold_back(book, oil.number, "the supplier rang")
    assert corrections.judge_lot(book, oil.number, tries.shelf(), DAY) == (code,)
    assert "is held back: the supplier rang" in store.batch(book, code).of("release")[-1].data["why"]
    (stop,) = release.called_back(store.batch(book, code))
    assert stop.level == "stop"
    held_lots.free_again(book, oil.number, "another lot was meant")
    assert corrections.judge_lot(book, oil.number, tries.shelf(), DAY) == ()
    read_and_release(book, code, tries.shelf(), DAY)
    book.correct_lot(other.number, replace(other.lot, expiry=DAY - timedelta(days=1)))
    assert corrections.judge_lot(book, other.number, tries.shelf(), DAY) == (code,)


def test_a_design_is_judged_as_it_was_really_made(book, code):
    """Half as much again of one oil: its share and the load follow; well weighed, nothing moves."""
    page = until(book, code, "none")
    design, plan = tries.design(), page.now
    assert as_weighed(design, plan, page.weighed) is design
    oil = next(line for line in plan.lines if line.what == "oil")
    weighed = {**page.weighed, oil.id: 1.5 * oil.grams}
    made = as_weighed(design, plan, weighed)
    oils = {line.id: line.grams for line in plan.lines if line.what == "oil"}
    whole = plan.batch_g + 0.5 * oil.grams
    wanted = (sum(oils.values()) + 0.5 * oil.grams) / whole / (sum(oils.values()) / plan.batch_g)
    assert made.scent.load_pct == pytest.approx(design.scent.load_pct * wanted)
    shares = {share.oil.id: share.share_pct for share in made.scent.oils}
    assert sum(shares.values()) == pytest.approx(100)
    assert shares[oil.item.partition(":")[2]] == pytest.approx(
        100 * 1.5 * oil.grams / (sum(oils.values()) + 0.5 * oil.grams), rel=0.01
    )
    blue = next(line for line in plan.lines if line.what == "pigment")
    twice = as_weighed(design, plan, {**page.weighed, blue.id: 2 * blue.grams})
    before = next(tone for tone in design.tones if tone.id == blue.tone)
    after = next(tone for tone in twice.tones if tone.id == blue.tone)
    portion = next(part.grams for part in plan.portions if part.tone == blue.tone)
    assert after.doses[0].pct == pytest.approx(
        before.doses[0].pct * 2 * portion / (portion + blue.grams), rel=1e-6
    )
    less = as_weighed(design, plan, {**page.weighed, "base": 0.8 * plan.line("base").grams})
    assert less.scent.load_pct > design.scent.load_pct
    assert sum(tone.share_pct for tone in less.tones) == pytest.approx(100, rel=1e-4)


def test_release_and_label_judge_what_was_weighed_after_the_correction(book, code):
    page = until(book, code, "none")
    oil = next(line for line in page.now.lines if line.what == "oil")
    number = next(found.number for found in page.weighings if found.line == oil.id)
    before = judgement.as_made(book, page, tries.shelf(), DAY)
    assert before.design.scent.load_pct == tries.design().scent.load_pct
    corrections.correct_weighing(book, code, number, 3 * oil.grams, "the other scale", **GIVEN)
    after = judgement.as_made(book, store.batch(book, code), tries.shelf(), DAY)
    assert after.design.scent.load_pct > 1.5 * before.design.scent.load_pct


# --- where the grams went -----------------------------------------------------------------------------


def test_every_gram_is_in_a_jar_set_aside_left_over_or_lost(book, code):
    until(book, code, "none")  # three jars of 75 g weighed, 30 g set aside, 40 g left over
    corrections.take_back(book, code, entry(book, code, "filled").number, "not counted", **GIVEN)
    page = store.batch(book, code)
    kept = outcome.balance(page)
    assert kept.in_g == pytest.approx(sum(page.weighed.values()), abs=1e-6)
    assert (kept.jars_g, kept.retained_g, kept.left_g, kept.estimated) == (225, 30, 40, True)
    book.write("filled", "jars", {"jars": 24}, code)
    page = store.batch(book, code)
    kept = outcome.balance(page)
    assert (kept.jars_g, kept.estimated) == (24 * 75, True)
    assert kept.lost_g == pytest.approx(kept.in_g - 1800 - 30 - 40)
    ids = {finding.id for finding in outcome.outcome(page).findings}
    assert ("mass-balance" in ids) == (not -1 <= 100 * kept.lost_g / kept.in_g <= 3)


@pytest.mark.parametrize(("left", "told"), [(29.0, True), (30.0, False), (70.0, False), (71.0, True)])
def test_what_is_lost_beyond_the_usual_is_looked_for(left, told):
    from blendlab.batch.balance import Balance, balance_findings

    # 1000 g in; 3 % lost at most, 1 % more out at most
    kept = Balance(in_g=1000, jars_g=940, retained_g=0, left_g=left, estimated=False)
    assert bool(list(balance_findings(kept))) is told


def test_two_cups_of_one_foam_that_differ_are_told(book, code):
    until(book, code, "none")
    kitchen_acts.measured_later(book, code, foam_g_ml=0.651)  # 0.62 times 1.05
    assert not [point for point in release.open_points(store.batch(book, code)) if point.id == "cups-differ"]
    kitchen_acts.measured_later(book, code, foam_g_ml=0.66)
    (point,) = [point for point in release.open_points(store.batch(book, code)) if point.id == "cups-differ"]
    assert point.level == "caution"
    assert "differ by 6 %" in point.text


# --- causes and days ----------------------------------------------------------------------------------


def test_the_reason_of_a_correction_is_the_cause_where_the_weight_is_still_off(book, code):
    page = until(book, code, "none")
    weighing = next(each for each in page.weighings if each.line == "base")

    def off() -> str:
        found = release.open_points(store.batch(book, code))
        return " ".join(point.text for point in found if point.id == "release-deviations")

    assert off() == ""
    number = book.correct_weighing(weighing.number, weighing.weighed_g * 0.9, "the display stood on tare")
    assert off() == ""
    book.correct_weighing(number, weighing.weighed_g, "it did not")
    assert off() == ""


def test_a_weight_that_is_off_without_a_word_stays_off(book, sheet):
    code = book.start(sheet, DAY, design=tries.design())
    book.weigh(code, "base", sheet.line("base").grams * 0.9, planned_g=sheet.line("base").grams)
    told = [point for point in release.open_points(store.batch(book, code)) if "Off without" in point.text]
    assert len(told) == 1


def test_a_correction_is_judged_as_of_the_day_of_the_release(book, released):
    """What ended since was good when it was decided: a later correction of a jar does not call back."""
    later = date(2028, 3, 7)
    points = release.points(book, store.batch(book, released), tries.shelf(), later)
    (over,) = [point for point in points if point.level == "stop"]
    assert (over.id, "2027-03-31, which is over" in over.text) == ("label-over", True)
    number = entry(book, released, "fill").number
    given = {"shelf": tries.shelf(), "on": later}
    assert corrections.correct_entry(book, released, number, {"net_g": 74.0}, "misread", **given) == ()
    assert store.batch(book, released).decision == store.FOR_SALE


def test_what_is_measured_after_the_release_calls_it_back(book, released):
    later = {"pH": 13.0}
    assert corrections.measured_later(book, released, later, "measured twice", **GIVEN) == (released,)
    assert store.batch(book, released).decision == store.CALLED_BACK


def test_jars_whose_best_before_is_over_are_not_released(book, code, monkeypatch):
    monkeypatch.setattr(release, "sale_points", lambda *_: ())
    until(book, code, "none")
    with pytest.raises(release.NotReleased, match="2027-03-31, which is over"):
        read_and_release(book, code, tries.shelf(), date(2027, 4, 1))
    read_and_release(book, code, tries.shelf(), date(2027, 3, 31))


def test_a_correction_that_is_cut_before_its_call_back_never_was(book, released, monkeypatch):
    """Neither a correction, nor a line taken back, nor a weighing stands without what follows from it."""
    before = store.batch(book, released)

    def cut(*_) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(store, "call_back", cut)
    with pytest.raises(KeyboardInterrupt):
        put_right(book, released, "ph", {"pH": 13.0})
    with pytest.raises(KeyboardInterrupt):
        corrections.take_back(book, released, entry(book, released, "ph").number, "misread", **GIVEN)
    base = next(weighing for weighing in before.weighings if weighing.line == "base")
    monkeypatch.setattr(corrections, "judge_anew", cut)
    with pytest.raises(KeyboardInterrupt):
        corrections.correct_weighing(book, released, base.number, 1, "misread", **GIVEN)
    after = store.batch(book, released)
    assert (after.entries, after.weighings) == (before.entries, before.weighings)

"""Weighings, bigger batches, yields and readings: told on one side of a threshold, silent on the other."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from blendlab.batch import kitchen, record, release_points, resize, spoons, stability, weighing
from blendlab.batch.label import Maker
from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from tests.batch.plans_to_try import line, made

DAY = date(2026, 3, 7)
WHO = Maker("Studio", "1 Mill Lane", "hello@studio.invalid", "Somewhere")


# --- the kitchen ---------------------------------------------------------------------------------------


def test_a_preservative_grows_up_and_an_oil_down():
    grown = resize.enlarged(made(), [1.0])
    for before in made().lines:
        after = grown.line(before.id)
        exact = before.grams * 1.01
        if before.what == "oil":
            assert exact - after.step_g < after.grams <= exact + 1e-9
        if before.what == "preservative":
            assert exact - 1e-9 <= after.grams < exact + after.step_g
        assert after.exact_g == pytest.approx(before.exact_g * 1.01)
        assert after.good[0] <= after.grams <= after.good[1]
    twice = resize.enlarged(made(), [1.0, 2.0])
    assert twice.batch_g == pytest.approx(made().batch_g * 1.01 * 1.02, abs=1.5)
    texts = {step.id: step.text for step in grown.steps}
    for portion in grown.portions:
        amount = f"{portion.take_g:.0f} g" if portion.rest else f"{portion.take_g:g} g"
        assert amount in texts[f"take:{portion.tone}"]
    assert resize.enlarged(made(), [0.0]) is made()


@pytest.mark.parametrize(("step_g", "grams"), [(0.01, 0.35), (0.01, 1.46), (1.0, 40.0)])
def test_what_the_kitchen_calls_good_needs_no_cause_and_a_step_beyond_does(step_g, grams):
    """A step of the scale may be more than the share of a small line that has to be explained."""
    low, high = weighing.good_between(grams, step_g)
    line = replace(made().line("preservative"), grams=grams, step_g=step_g, good=(low, high))
    assert [kitchen.judge(line, weighed).explain for weighed in (low, grams, high)] == [False] * 3
    assert [kitchen.judge(line, weighed).explain for weighed in (low - step_g, high + step_g)] == [True] * 2


def test_a_capped_preservative_does_not_grow_above_its_cap():
    kept = made().line("preservative")
    tight = replace(kept, good=(kept.grams, kept.grams))
    lines = tuple(tight if each.id == kept.id else each for each in made().lines)
    grown = resize.enlarged(replace(made(), lines=lines), [1.3]).line("preservative")
    assert grown.grams <= kept.grams * 1.013
    assert grown.good[1] <= max(grown.grams, kept.grams * 1.013)


def test_a_line_asks_for_what_is_missing_and_less_than_half_a_step_is_nothing():
    base = made().line("base")
    assert kitchen.remaining(base, {}) == base.grams
    assert kitchen.remaining(base, {"base": base.grams - 0.5 * base.step_g}) == 0
    assert kitchen.remaining(base, {"base": base.grams - 0.6 * base.step_g}) == pytest.approx(
        0.6 * base.step_g
    )
    part = kitchen.for_rest(base, {"base": base.grams - 100})
    assert (part.grams, part.display_g) == (100, 100)
    assert kitchen.for_rest(base, {}) is base


def test_a_weighing_is_good_between_its_bounds_and_explained_beyond_its_deviation():
    """Common practice: 1 % of an ordinary line, 0.5 % of a protected one."""
    low, high = line().good
    plain = replace(line(), grams=100.0, good=(99.0, 101.0), protected=False)
    assert [kitchen.judge(plain, grams).within for grams in (98.9, 99.0, 101.0, 101.1)] == [
        False, True, True, False,
    ]  # fmt: skip
    assert [kitchen.judge(plain, grams).explain for grams in (98.9, 99.0, 101.0, 101.1)] == [
        True, False, False, True,
    ]  # fmt: skip
    guarded = replace(plain, protected=True, good=(99.5, 100.5))
    assert [kitchen.judge(guarded, grams).explain for grams in (99.4, 99.5, 100.5, 100.6)] == [
        True, False, False, True,
    ]  # fmt: skip
    assert kitchen.judge(plain, 101.0).enlarge_pct == 0
    assert kitchen.judge(plain, 102.0).enlarge_pct == pytest.approx(2)
    assert kitchen.judge(plain, 98.0).deviation_pct == pytest.approx(-2)
    assert not kitchen.judge(replace(plain, beside=True), 50).explain
    assert low < high
    with pytest.raises(OutOfRange):
        weighing.too_much(0, 1)


@pytest.mark.parametrize(("filled", "open_"), [(2, True), (3, False)])
def test_three_filled_jars_are_enough(filled, open_):
    everything = release_points.Evidence(
        {each.id: each.grams for each in made().lines},
        [each.id for each in made().lines],
        (),
        {step.id for step in made().steps},
        6.0,
        0.62,
        filled,
    )
    assert bool(release_points.open_points(made(), everything)) is open_


# --- afterwards ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("filled", "explained"), [(899.0, False), (900.0, True), (1010.0, True), (1011.0, False)]
)
def test_a_yield_is_usual_between_90_and_101_percent(filled, explained):
    came = record.batch_yield(1000, filled, 0)
    assert came.explained is explained
    assert (record.yield_finding(came) is None) is explained
    assert came.unaccounted_pct == pytest.approx((1000 - filled) / 10)


@pytest.mark.parametrize(
    ("reading", "fails"),
    [
        ({"height_drop_pct": 5.0, "ph_shift": -0.5, "bleed_mm": 1.0, "delta_e00": 3.0}, 0),
        ({"height_drop_pct": 5.1}, 1),
        ({"height_drop_pct": -5.1}, 1),
        ({"ph_shift": -0.6}, 1),
        ({"bleed_mm": 1.1}, 1),
        ({"delta_e00": 3.1}, 1),
        ({"free_liquid": True, "growth": False}, 1),
        ({"growth": True, "free_liquid": False}, 1),
    ],
)
def test_a_reading_fails_beyond_its_bound(reading, fails):
    assert len(stability.failures(stability.Reading(**reading))) == fails
    assert set(stability.not_read(stability.Reading(**reading))) == {
        "height_drop_pct", "ph_shift", "bleed_mm", "delta_e00", "free_liquid", "growth",
    } - set(reading)  # fmt: skip


def test_a_reading_answers_what_was_due_of_its_test_until_its_day():
    due = [task for task in stability.due_dates(DAY) if task.test == "light"]
    first, second, third = due[:3]

    def days(of, today):
        return [task.on for task in of if task.test == "light" and task.on <= today]

    early = [("light", first.on)]
    assert days(stability.open_readings(DAY, early, second.on), second.on) == [second.on]
    assert stability.missed_readings(DAY, early) == ()
    late = [("light", second.on)]
    assert days(stability.open_readings(DAY, late, third.on), third.on) == [third.on]
    assert stability.missed_readings(DAY, late) == (first,)
    assert stability.missed_readings(DAY, [*early, *late]) == ()
    day_late = [("light", first.on + timedelta(days=1)), ("light", third.on)]
    assert stability.missed_readings(DAY, day_late) == (second,)
    with pytest.raises(OutOfRange):
        stability.q10_weeks(1, 40, 22, 0)


def test_drops_and_spoons_have_their_ranges():
    # from memory: 25 to 40 drops of an oil a millilitre; common practice: heaped 1.3 to 2 times level
    assert spoons.drops_range(100, 0.9) == (pytest.approx(100 / 40 * 0.9), pytest.approx(100 / 25 * 0.9))
    level, heaped = (spoons.spoons(2, 0.2, 0.5, "tsp_metric", heap) for heap in (False, True))
    assert level == (pytest.approx(2.0), pytest.approx(5.0))
    assert heaped == (pytest.approx(2.6), pytest.approx(10.0))
    assert figure("batch", "heaped_spoon").low == 1.3

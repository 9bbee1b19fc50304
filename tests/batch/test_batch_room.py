"""Whether a batch has room for its base, and what its preservative comes to in each tone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.batch import cooking, preservative, record
from blendlab.errors import OutOfRange
from blendlab.recipe import Addition, Batch, Dilution, Dose, Ref, Scent, Tone
from tests.batch import plans_to_try as tries
from tests.batch.test_batch_accounts import sheet, shelf_with, thing


def roomy(pct: float, **batch):
    """A white jar whose additions take so much of it, preserved already: nothing is topped up for them."""
    white = (Tone(id="white", name="White", share_pct=100),)
    kept = thing("kept")
    stirred = (Addition(ingredient=kept.ref, pct=pct),)
    base = replace(
        tries.shelf().today("base", "cooked"), preservative=None, actives={}, preservative_pct=None
    )
    asked = Batch(grams=1000.0, additions=stirred, **batch)
    return sheet(shelf_with(kept, base), tones=white, scent=Scent(), base=base.ref, batch=asked)


def test_additions_leave_room_for_the_base_or_nothing_is_weighed():
    assert roomy(99.0).line("base").grams == 10
    (told,) = [finding for finding in roomy(100.0).findings if finding.id == "no-room"]
    assert told.text.startswith("The batch has no room")


def test_a_tone_full_of_colour_has_no_room():
    mica = tries.shelf().today("pigment", "mica_white")
    full = Tone(id="full", name="Full", share_pct=10, doses=(Dose(pigment=mica.ref, pct=100.0),))
    white = Tone(id="white", name="White", share_pct=90)
    made = sheet(tries.shelf(), tones=(white, full))
    assert not made.lines
    (told,) = [finding for finding in made.findings if finding.id == "no-room"]
    assert told.text.startswith("Full has no room")
    none = sheet(tries.shelf(), tones=(white, replace(full, share_pct=0.0)))
    assert none.lines


def test_a_preservative_too_weak_for_its_wish_has_no_room():
    """A stock of 2 % can never bring a jar to 3 %."""
    weak = Dilution(of=tries.PRESERVATIVE, pct=2.0, carrier=Ref(kind="ingredient", id="glycerin"))
    item = replace(tries.shelf().today("ingredient", "preservative-a"), high_pct=None, components=())
    asked = Batch(grams=1000.0, preservative_pct=3.0, dilutions=(weak,))
    assert "no-room" in {finding.id for finding in sheet(shelf_with(item), batch=asked).findings}
    enough = replace(asked, preservative_pct=1.01)
    assert "no-room" not in {finding.id for finding in sheet(shelf_with(item), batch=enough).findings}


def test_the_preservative_of_tones_comes_down_with_what_dilutes_them():
    """Each tone by hand: grams of the blend in the bowl, by the part of the bowl in the tone."""
    made = sheet(tries.shelf((0.8, 0.9)))
    bowl = made.line("base").grams + made.line("preservative").grams
    held = (made.line("base").grams * 0.8 + made.line("preservative").grams * 100) / bowl
    for portion in made.portions:
        assert portion.preservative_pct == pytest.approx(held * portion.take_g / portion.grams)
    assert made.preservative.low_pct == pytest.approx(min(p.preservative_pct for p in made.portions))
    high = (made.line("base").grams * 0.9 + made.line("preservative").grams * 100) / bowl
    assert made.preservative.high_pct == pytest.approx(
        max(high * portion.take_g / portion.grams for portion in made.portions)
    )
    assert made.preservative.grams == made.line("preservative").grams
    assert (made.preservative.base_low_pct, made.preservative.base_high_pct) == (0.8, 0.9)


def test_a_cooked_base_tells_of_its_dates():
    base = replace(tries.shelf().today("base", "cooked"), best_before=date(2026, 3, 6))
    made = cooking.cook(base, tries.shelf(), 1500, on=date(2026, 3, 7))
    assert "base-ended" in {finding.id for finding in made.findings}
    fresh = cooking.cook(base, tries.shelf(), 1500, on=date(2026, 3, 6))
    assert "base-ended" not in {finding.id for finding in fresh.findings}


@pytest.mark.parametrize(
    "act", [record.deviation_pct, lambda planned, it: record.batch_yield(planned, it, 0)]
)
def test_nothing_planned_has_no_deviation(act):
    with pytest.raises(OutOfRange):
        act(0, 1)
    assert act(0.5, 0.5) is not None


def test_a_top_up_is_neat_unless_it_is_said_to_be_weak():
    """1000 g at 0.8 % and 120 g at 0 %, 1 % wanted: 3.2 / 99 of a hundred, with 50 % 3.2 / 49."""
    assert preservative.top_up_range(1000, 0.8, 0.9, 120, 1.0, 2.0).topup_g == pytest.approx(320 / 99)
    weak = preservative.top_up_range(1000, 0.8, 0.9, 120, 1.0, 2.0, 50.0)
    assert weak.topup_g == pytest.approx(320 / 49)
    assert preservative.top_up_open(1000, 0.0, 0, 1.0).topup_g == pytest.approx(1000 / 99)
    assert preservative.top_up_fixed(1000, 0.0, 100, 1.0).topup_g == pytest.approx(10)
    assert preservative.top_up_open(0, 0, 0, 0).final_pct == 0


def test_without_water_nothing_is_said_of_a_preservative():
    base = tries.shelf().today("base", "butter-ivory")
    made = sheet(tries.shelf(), product="body_butter", base=base.ref)
    assert made.preservative is None
    assert not [finding for finding in made.findings if finding.where == "batch.preservative"]

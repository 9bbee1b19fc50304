"""A design keeps the revision it took; today's shelf is an explicit step that shows its difference."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from blendlab.assess import assess
from blendlab.facts import demo
from blendlab.recipe import Addition, Batch, Dilution, Trial
from blendlab.renew import changed, renewed
from blendlab.shelf import Shelf, embedded, pinned

DAY = date(2026, 11, 25)


@pytest.fixture
def stronger():
    """The demo with its iron blue three times as strong on today's shelf."""
    shelf = demo.demo_shelf()
    lagoon = demo.demo_designs(shelf)[0]
    items = tuple(
        replace(item, k=tuple(3 * each for each in item.k)) if item.id == "ferric_ferrocyanide" else item
        for item in shelf.items
    )
    return lagoon, Shelf(items).carrying(embedded(lagoon, shelf)), shelf


def test_an_open_design_does_not_change_with_the_shelf(stronger):
    lagoon, today, before = stronger
    old, new = assess(lagoon, before, DAY), assess(lagoon, today, DAY)
    assert old.tones[0].seen.hex == new.tones[0].seen.hex
    assert list(changed(lagoon, today)) == ["tones.0.doses.1.pigment"]


def test_the_finding_says_by_how_much_the_tones_would_move(stronger, colour):
    """Second route: colour-science."""
    lagoon, today, before = stronger
    (found,) = (finding for finding in assess(lagoon, today, DAY).findings if finding.id == "newer")
    said = float(found.text.rsplit("Delta E ", 1)[1].rstrip("."))
    before_lab = assess(lagoon, before, DAY).tones[0].seen.lab
    other = assess(renewed(lagoon, today), today, DAY).tones[0].seen.lab
    assert said == pytest.approx(
        float(colour.difference.delta_E_CIE2000(np.array(before_lab), np.array(other))), abs=0.06
    )
    assert said > 2


def test_everything_a_design_refers_to_is_seen_to_change():
    """A sheet that lowers the preservative, a scale that was exchanged, a carrier: all of it counts."""
    shelf = demo.demo_shelf()
    keeper = next(item for item in shelf.of("ingredient") if item.function == "preservative")
    carrier = next(item for item in shelf.of("ingredient") if item.function == "humectant")
    sugar = next(item for item in shelf.of("ingredient") if item.function == "sugar")
    fine, lagoon = next(iter(shelf.of("scale"))), demo.demo_designs(shelf)[0]
    asked = pinned(
        replace(
            lagoon,
            batch=Batch(
                jars=24,
                preservative=keeper.ref,
                scales=(fine.ref,),
                additions=(Addition(ingredient=sugar.ref, pct=1),),
                dilutions=(Dilution(of=lagoon.tones[0].doses[0].pigment, pct=10, carrier=carrier.ref),),
            ),
        ),
        shelf,
    )
    today = {
        keeper.id: replace(keeper, high_pct=0.3),
        fine.id: replace(fine, step_g=0.1),
        sugar.id: replace(sugar, care="dust mask"),
        carrier.id: replace(carrier, lot="another"),
    }
    items = tuple(today.get(item.id, item) for item in shelf.items)
    newer = Shelf(items).carrying(embedded(asked, shelf))
    assert set(changed(asked, newer)) == {
        "batch.preservative", "batch.scales.0", "batch.additions.0.ingredient", "batch.dilutions.0.carrier",
    }  # fmt: skip
    before, after = assess(asked, newer, DAY), assess(renewed(asked, newer), newer, DAY)
    assert before.plan.preservative.most_pct > 0.3
    assert after.plan.preservative.most_pct == 0.3
    assert after.plan.lines != before.plan.lines


def test_what_went_into_a_test_jar_stays_as_it_was(stronger):
    lagoon, today, _ = stronger
    tone = replace(lagoon.tones[0], trials=(Trial(doses=lagoon.tones[0].doses),))
    tried = replace(lagoon, tones=(tone, *lagoon.tones[1:]))
    assert list(changed(tried, today)) == ["tones.0.doses.1.pigment"]
    assert renewed(tried, today).tones[0].trials == tone.trials


def test_taking_todays_shelf_silences_the_finding(stronger):
    lagoon, today, _ = stronger
    made = renewed(lagoon, today)
    assert not changed(made, today)
    assert not [finding for finding in assess(made, today, DAY).findings if finding.id == "newer"]

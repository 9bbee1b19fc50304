"""A design keeps the revision it took; today's shelf is an explicit step that shows its difference."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from blendlab.assess import assess
from blendlab.errors import Finding
from blendlab.facts import demo
from blendlab.recipe import Addition, Batch, Dilution, Dust, Trial
from blendlab.renew import Newer, newer, renewed
from blendlab.shelf import Oil, Shelf, embedded, pinned, resolve

DAY = date(2026, 11, 25)


def changed(design, shelf) -> list[str]:
    """Paths of the references whose thing was changed."""
    return [path.removesuffix(".rev") for each in newer(design, shelf) for path in each.act]


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
    assert changed(lagoon, today) == ["tones.0.doses.1.pigment"]


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
    """A sheet that lowers the preservative, a scale that was exchanged, an oil: all of it counts."""
    shelf = demo.demo_shelf()
    keeper = next(item for item in shelf.of("ingredient") if item.function == "preservative")
    carrier = next(item for item in shelf.of("ingredient") if item.function == "humectant")
    sugar = next(item for item in shelf.of("ingredient") if item.function == "sugar")
    fine, lagoon = next(iter(shelf.of("scale"))), demo.demo_designs(shelf)[0]
    mica = next(item for item in shelf.of("pigment") if item.sheen)
    base, jar, oil = (shelf.find(ref) for ref in (lagoon.base, lagoon.jar, lagoon.scent.oils[1].oil))
    asked = pinned(
        replace(
            lagoon,
            top=replace(lagoon.top, dust=Dust(pigment=mica.ref, mg_per_cm2=0.3)),
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
        mica.id: replace(mica, sheen="gold"),
        base.id: replace(base, pH=6.1),
        jar.id: replace(jar, headspace_mm=jar.headspace_mm + 1),
        oil.id: replace(oil, flash_c=31.0),
    }
    items = tuple(today.get(item.id, item) for item in shelf.items)
    later = Shelf(items).carrying(embedded(asked, shelf))
    assert set(changed(asked, later)) == {
        "batch.preservative", "batch.scales.0", "batch.additions.0.ingredient", "batch.dilutions.0.carrier",
        "top.dust.pigment", "base", "jar", "scent.oils.1.oil",
    }  # fmt: skip
    made = renewed(asked, later)
    assert changed(made, later) == []
    assert resolve(made, later).oils[1].oil.flash_c == 31.0
    before, after = assess(asked, later, DAY), assess(made, later, DAY)
    assert before.plan.preservative.most_pct > 0.3
    assert after.plan.preservative.most_pct == 0.3
    assert after.plan.lines != before.plan.lines


def test_what_went_into_a_test_jar_stays_as_it_was(stronger):
    lagoon, today, _ = stronger
    tone = replace(lagoon.tones[0], trials=(Trial(doses=lagoon.tones[0].doses),))
    tried = replace(lagoon, tones=(tone, *lagoon.tones[1:]))
    assert changed(tried, today) == ["tones.0.doses.1.pigment"]
    assert renewed(tried, today).tones[0].trials == tone.trials


def test_taking_todays_shelf_silences_the_finding(stronger):
    lagoon, today, _ = stronger
    made = renewed(lagoon, today)
    assert not changed(made, today)
    assert not [finding for finding in assess(made, today, DAY).findings if finding.id == "newer"]


def test_a_thing_used_twice_is_said_once_and_its_act_moves_all_of_it(stronger):
    lagoon, today, _ = stronger
    blue = lagoon.tones[0].doses[1]
    twice = replace(lagoon, tones=(lagoon.tones[0], replace(lagoon.tones[1], doses=(blue,))))
    (found,) = newer(twice, today)
    assert set(found.act) == {"tones.0.doses.1.pigment.rev", "tones.1.doses.0.pigment.rev"}
    assert set(found.act.values()) == {today.today("pigment", "ferric_ferrocyanide").rev}


@pytest.mark.parametrize(
    ("where", "text", "speaks"),
    [
        ("scent.oils.peach", "No sheet.", True),
        ("scent.rows", "No figure for Peach Nectar, Reed.", True),
        ("scent.rows", "No figure for Peach Nectarine.", False),
        ("scent.rows", "No figure for Old Peach.", True),
        ("batch.lots.oil:peach", "Lot 3 ended.", True),
        ("look.jar", "Too small.", False),
    ],
)
def test_a_finding_that_speaks_of_a_changed_thing_is_known(where, text, speaks):
    oil = Oil(id="peach", name="Peach Nectar", group="fragrance_oil")
    each = Newer(oil, ("Peach Nectar", "Old Peach"), {})
    assert each.concerns(Finding("stop", "x", where, text)) is speaks

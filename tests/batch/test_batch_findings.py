"""What a batch sheet tells: base, scales, vessels, lots, and where each finding belongs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.assess import assess
from blendlab.batch.plan import plan
from blendlab.facts import demo
from blendlab.recipe import Addition, Batch, Ref
from blendlab.shelf import Shelf, resolve
from tests.batch import plans_to_try as tries


def test_water_without_preservative_stops():
    base = replace(
        tries.shelf().today("base", "cooked"), preservative=None, preservative_pct=None, actives={}
    )
    made = plan(resolve(tries.design(base=base.ref), Shelf((*tries.shelf().items, base))), tries.LOW_JAR)
    assert any(finding.id == "no-preservative" and finding.level == "stop" for finding in made.findings)


def test_tiny_lines_name_a_stock_and_the_smallest_batch():
    made = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    small = next(
        finding for finding in made.findings if finding.id == "small-pigment:iron_oxide_yellow@cream"
    )
    assert "10 % stock" in small.fix or "1 % stock" in small.fix
    enough = plan(resolve(tries.design(batch=Batch(grams=made.smallest_g)), tries.shelf()), tries.LOW_JAR)
    assert not [finding for finding in enough.findings if finding.id.startswith("small-")]


def test_the_grams_of_a_jar_that_was_not_weighed_are_told_once():
    shelf = demo.demo_shelf()
    for design in demo.demo_designs(shelf):
        told = [finding.text for finding in assess(design, shelf).findings if "weighed" in finding.text]
        assert sum("between" in sentence and " g, about" in sentence for sentence in told) == 1
        assert not [sentence for sentence in told if "a jar may hold" in sentence]


def test_no_room_for_the_base_is_a_finding_and_not_an_error():
    oil = Addition(ingredient=Ref(kind="ingredient", id="light-oil"), pct=100)
    made = plan(resolve(tries.design(batch=Batch(jars=2, additions=(oil,))), tries.shelf()), tries.LOW_JAR)
    assert not made.lines
    assert any(finding.level == "stop" and finding.id == "no-room" for finding in made.findings)


def test_no_scale_is_a_stop():
    bare = Shelf(tuple(item for item in tries.shelf().items if item.kind != "scale"))
    made = plan(resolve(tries.design(), bare), tries.LOW_JAR)
    assert any(finding.id == "no-scale" for finding in made.findings)


def test_findings_name_their_page_and_never_a_rule_number():
    made = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    assert made.findings
    for finding in made.findings:
        assert finding.where.startswith("batch.")
        assert finding.source
        assert not any(f" R{n:02d}" in finding.text for n in range(1, 26))


def test_a_small_bowl_and_full_bags_are_told():
    made = plan(resolve(tries.design(batch=Batch(jars=24, bowl_ml=2000)), tries.shelf()), tries.LOW_JAR)
    mixer = next(finding for finding in made.findings if finding.id == "mixer")
    # about 1837 g at 0.606 g/ml are 3033 ml; a bowl of 2000 ml takes 1600 ml
    assert "1600 ml" in mixer.text
    assert "2 parts" in mixer.fix


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"pH": 8.4}, ("ph", "stop")),
        ({"pH": 7.3}, ("ph", "caution")),
        ({"pH": None}, ("ph-unknown", "caution")),
        ({"best_before": date(2026, 3, 1)}, ("base-ended", "stop")),
        ({"opened_on": date(2025, 8, 1)}, ("base-opened", "stop")),
    ],
)
def test_the_base_is_looked_at(change, told):
    base = replace(tries.shelf().today("base", "cooked"), **change)
    shelf = Shelf((*tries.shelf().items, base))
    made = plan(resolve(tries.design(base=base.ref), shelf), tries.LOW_JAR, on=date(2026, 3, 7))
    assert told in {(finding.id, finding.level) for finding in made.findings}


def test_a_lot_that_ended_stops():
    oil = replace(tries.shelf().today("oil", "lavender"), expiry=date(2026, 3, 1))
    shelf = Shelf((*tries.shelf().items, oil))
    made = plan(resolve(tries.design(), shelf), tries.LOW_JAR, on=date(2026, 3, 7))
    assert any(
        finding.id == "lot-ended-oil:lavender" and finding.level == "stop" for finding in made.findings
    )

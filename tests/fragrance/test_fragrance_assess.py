"""A scent inside a design: portions, markets, sums, today's oils."""

from __future__ import annotations

from dataclasses import replace

import pytest

from blendlab.assess import assess
from blendlab.facts import demo
from blendlab.recipe import Addition, OilShare, evened
from blendlab.renew import newer, renewed
from blendlab.shelf import Component, Ingredient, Shelf, embedded
from blendlab.show import scents
from tests.fragrance.kit import TODAY, declared, oil, sheet


def lagoon(*parts, load=1.0, items=(), **more):
    """The demo design with a scent of its own, and the shelf that holds it."""
    shelf = demo.demo_shelf()
    design = demo.demo_designs(shelf)[0]
    shares = tuple(OilShare(oil=part.ref, share_pct=pct) for part, pct in parts)
    scent = replace(design.scent, load_pct=load, oils=shares, tone_loads=more.pop("tone_loads", {}))
    design = replace(design, scent=scent, **more)
    return design, Shelf((*shelf.items, *(part for part, _ in parts), *items))


def test_portions_are_judged_on_the_one_with_the_most_scent():
    plain = oil("Plain", sheet(c9=2.0), declaration=declared(n78_70_6=1.0))
    first, second = (tone.id for tone in lagoon((plain, 100))[0].tones)
    for loads in ({first: 2.5, second: 0.5}, {first: 0.5, second: 2.5}):
        made = assess(*lagoon((plain, 100), tone_loads=loads), TODAY)
        assert made.scents["EU"].load_pct == 2.5
        assert {key: check.load_pct for key, check in made.portions["EU"].items()} == loads
        assert "load.over" in [finding.id for finding in made.findings]
        # linalool 1 % of 2.5 % is 0.025 %, above 0.01 % of a rinse-off product; of 0.5 % it is 0.005 %
        assert [name.name for name in made.labels["EU"].names] == ["Linalool"]
    calm = assess(*lagoon((plain, 100), tone_loads={first: 0.5, second: 0.4}), TODAY)
    assert "load.over" not in [finding.id for finding in calm.findings]
    assert not calm.labels["EU"].names


def test_the_ceiling_over_several_markets_is_the_lowest():
    design, shelf = lagoon((oil("Plain", sheet(c9=2.0)), 100), markets=("EU", "US"))
    made = assess(design, shelf, TODAY)
    assert made.ceiling_pct == 2.0
    for eu, us in ((1.5, 2.0), (2.0, 1.5)):
        scents = {
            "EU": replace(made.scents["EU"], ceiling_pct=eu),
            "US": replace(made.scents["US"], ceiling_pct=us),
        }
        assert replace(made, scents=scents).ceiling_pct == 1.5


@pytest.mark.parametrize(
    ("shares", "told"),
    [((50.0, 50.005), False), ((50.0, 50.006), True), ((50.0, 49.995), False), ((50.0, 49.994), True)],
)
def test_a_scent_may_miss_the_sum_by_five_thousandths(shares, told):
    parts = [(oil(name, sheet(c9=4.0)), pct) for name, pct in zip("AB", shares, strict=True)]
    made = assess(*lagoon(*parts), TODAY)
    assert ("scent-sum" in [finding.id for finding in made.findings]) is told
    assert made.ceiling_pct == pytest.approx(4.0)


@pytest.mark.parametrize("share", [46.41, 0.07, 99.99, 33.33])
def test_one_oil_of_any_share_is_the_whole_scent(share):
    design, shelf = lagoon((oil("Alone", sheet(c9=4.0)), share))
    assert evened(design.scent).oils[0].share_pct == 100.0
    made = assess(design, shelf, TODAY)
    (stop,) = (finding for finding in made.findings if finding.id == "scent-sum")
    assert stop.act == {"scent.oils.0.share_pct": 100.0}


def test_a_new_sheet_of_an_oil_is_seen_and_taken_over():
    old = oil("Reed", sheet(c9=4.0))
    design, shelf = lagoon((old, 100))
    today = Shelf((*demo.demo_shelf().items, replace(old, sheet=sheet(c9=0.8)))).carrying(
        embedded(design, shelf)
    )
    assert [list(each.act) for each in newer(design, today)] == [["scent.oils.0.oil.rev"]]
    assert assess(design, today, TODAY).ceiling_pct == 4.0
    fresh = renewed(design, today)
    assert assess(fresh, today, TODAY).ceiling_pct == 0.8
    assert "load.over" in [finding.id for finding in assess(fresh, today, TODAY).findings]


def test_additions_count_at_their_high_bounds_and_are_summed():
    # citral in a rinse-off product: declared above 0.01 % (Reg. (EU) 2023/1545); 0.4 % of 1 %, twice
    herb, plain = (
        Ingredient(
            id=key,
            name=key,
            function="extract",
            components=(Component(inci="Citral", cas="5392-40-5", low_pct=0.1, high_pct=0.4),),
        )
        for key in ("herb", "peel")
    )
    quiet = oil("Quiet", sheet(c9=4.0), declaration=declared())
    design, shelf = lagoon((quiet, 100), items=(herb, plain))
    batch = replace(
        design.batch, additions=tuple(Addition(ingredient=extract.ref, pct=2.0) for extract in (herb, plain))
    )
    made = assess(replace(design, batch=batch), shelf, TODAY)
    (row,) = (row for row in made.scents["EU"].rows if row.name == "Citral")
    assert row.used_pct == pytest.approx(2 * 2.0 * 0.4 / 100)
    assert [(name.name, name.pct) for name in made.labels["EU"].names] == [("Citral", pytest.approx(0.016))]


def test_an_oil_in_two_lines_costs_what_it_costs_in_one():
    priced = oil("Plain", sheet(c9=4.0), price_per_g=0.5)
    once, twice = (
        scents.load(assess(*lagoon(*parts), TODAY))
        for parts in ([(priced, 100)], [(priced, 40), (priced, 60)])
    )
    assert twice.price == pytest.approx(once.price, rel=1e-4)  # grams are rounded line by line
    # 1 % of the mass of a jar at 0.5 a gram
    made = assess(*lagoon((priced, 100)), TODAY)
    assert once.price == pytest.approx(made.plan.batch_g / made.plan.jars * 0.01 * 0.5)

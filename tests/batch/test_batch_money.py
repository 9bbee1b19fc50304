"""Sugar in the foam, what is left of the surfactant, stock and prices of a plan."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from blendlab.batch import Rates, cook, plan, price_plan, stock_findings, with_jar
from blendlab.facts.preservatives import system_of
from blendlab.recipe import Addition, Batch, Ref
from blendlab.shelf import BaseLine, Component, Price, Shelf, resolve
from tests.batch import plans_to_try as tries

SUGAR = Ref(kind="ingredient", id="cane-sugar")
OIL = Ref(kind="ingredient", id="light-oil")


def _shelf(*items) -> Shelf:
    """The shelf with some items in place of those of the same id."""
    gone = {(item.kind, item.id) for item in items}
    return Shelf((*(item for item in tries.shelf().items if (item.kind, item.id) not in gone), *items))


def test_folded_sugar_makes_the_jar_heavier():
    # 30 % sugar of true density 1.587 in foam of 0.62 g/ml: 1 / (0.7 / 0.62 + 0.3 / 1.587) = 0.7587
    base = replace(tries.shelf().today("base", "cooked"), density_whipped_g_ml=0.62)
    asked = Batch(jars=10, additions=(Addition(ingredient=SUGAR, pct=30),))
    made = plan(resolve(tries.design(base=base.ref, batch=asked), _shelf(base)), tries.LOW_JAR)
    assert made.density.g_ml == pytest.approx(0.758686, rel=1e-5)
    assert made.net_g == pytest.approx(118.09 * 0.758686, rel=1e-5)


def test_sugar_takes_preservative_and_surfactant_with_it():
    asked = Batch(jars=10, additions=(Addition(ingredient=SUGAR, pct=60),))
    made = plan(resolve(tries.design(batch=asked), tries.shelf()), tries.LOW_JAR)
    # more than half of the mass is new, so more than half of a percent of it is topped up
    assert made.line("preservative").grams / made.batch_g > 0.005
    assert any(finding.id == "foam-weak" for finding in made.findings)
    assert made.preservative.low_pct >= 1.0 - 1e-9


def test_much_light_oil_is_told():
    asked = Batch(jars=10, additions=(Addition(ingredient=OIL, pct=9),))
    made = plan(resolve(tries.design(batch=asked), tries.shelf()), tries.LOW_JAR)
    assert any(finding.id == "oil-high" for finding in made.findings)


def test_a_cost_is_named_or_missing_but_never_nothing():
    made = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    bare = price_plan(made, tries.shelf(), Rates())
    assert bare.unknown
    assert bare.per_jar is None
    priced = [
        replace(tries.shelf().today("pigment", pigment), price_per_g=0.097)
        for pigment in ("ultramarine_blue", "iron_oxide_yellow")
    ]
    known = price_plan(made, _shelf(*priced), Rates(margin=Decimal("0.4"), vat=Decimal("0.2")))
    assert not known.unknown
    assert known.per_jar == sum(known.lines.values()) / made.jars
    assert known.lines["Ultramarine blue" if "Ultramarine blue" in known.lines else priced[0].name] > 0
    assert known.price.gross == known.price.net * Decimal("1.2")


def test_a_pack_goes_before_a_price_per_gram():
    # 54.5 for 4540 g with 3 % waste: 0.0123757 a gram
    base = replace(
        tries.shelf().today("base", "cooked"),
        price=Price(pack_price=48, pack_g=4540, shipping=6.5, waste=0.03),
    )
    design = tries.design(base=base.ref)
    made = plan(resolve(design, _shelf(base)), tries.LOW_JAR)
    cost = price_plan(made, _shelf(base), Rates()).lines[base.name]
    assert float(cost) == pytest.approx(0.0123757 * made.line("base").grams, rel=1e-5)


def test_a_jar_with_a_price_counts_as_packaging():
    glass = replace(tries.shelf().today("jar", "j120-70"), price_each=0.92)
    assert with_jar(Rates(), _shelf(glass), glass.id).packaging == Decimal("0.92")
    assert with_jar(Rates(), tries.shelf(), glass.id).packaging == 0


def test_short_stock_says_how_many_jars_it_makes():
    made = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    needed = made.needs["oil:lavender"]
    (told,) = stock_findings(made, {"oil:lavender": needed / 2, "base:cooked": 1e6})
    assert "12 jars" in told.text
    assert stock_findings(made, {}) == ()


@pytest.mark.parametrize(
    ("names", "refused", "ph_high"),
    [
        (("Phenoxyethanol", "Ethylhexylglycerin"), False, 10.0),
        (("Sodium Benzoate", "Potassium Sorbate", "Aqua"), False, 5.0),
        (("Benzalkonium Chloride and alike",), True, 9.0),
    ],
)
def test_systems_are_known_by_their_names(names, refused, ph_high):
    parts = tuple(Component(inci=name, low_pct=1, high_pct=1) for name in names)
    item = replace(tries.shelf().today("ingredient", "preservative-a"), components=parts)
    system = system_of(item)
    assert (system.refused, system.ph_high) == (refused, ph_high)


def test_a_system_outside_its_ph_is_told():
    base = replace(tries.shelf().today("base", "cooked"), pH=6.5)
    parts = (
        Component(inci="Sodium Benzoate", low_pct=50, high_pct=50),
        Component(inci="Potassium Sorbate", low_pct=50, high_pct=50),
    )
    item = replace(tries.shelf().today("ingredient", "preservative-a"), components=parts, high_pct=None)
    shelf = Shelf(
        (*(other for other in tries.shelf().items if other.id not in (item.id, base.id)), item, base)
    )
    made = plan(resolve(tries.design(base=base.ref), shelf), tries.LOW_JAR)
    assert any(finding.id == "system-ph" for finding in made.findings)


def test_an_anhydrous_scrub_warns_of_wet_fingers_and_needs_no_preservative():
    base = tries.shelf().today("base", "oil-scrub-ivory")
    made = plan(resolve(tries.design(product="oil_sugar_scrub", base=base.ref), tries.shelf()), tries.LOW_JAR)
    ids = {finding.id for finding in made.findings}
    assert "wet-fingers" in ids
    assert "no-preservative" not in ids
    assert made.jars == 24


def test_an_unknown_flash_point_is_told():
    oil = replace(tries.shelf().today("oil", "lavender"), flash_c=None)
    made = plan(resolve(tries.design(), _shelf(oil)), tries.LOW_JAR)
    assert any(finding.id == "flash-unknown" and oil.name in finding.text for finding in made.findings)


def test_a_low_flash_point_lowers_the_gate():
    # common practice: 10 K below the lowest flash point, 45 C at most
    for flash, gate in ((47.0, 37.0), (80.0, 45.0)):
        oil = replace(tries.shelf().today("oil", "lavender"), flash_c=flash)
        made = plan(resolve(tries.design(), _shelf(oil)), tries.LOW_JAR)
        assert next(step for step in made.steps if step.id == "scent-gate").below_c == gate


def test_a_base_without_water_has_no_ph_step():
    base = tries.shelf().today("base", "butter-ivory")
    lines = tuple(
        BaseLine(ingredient=Ref(kind="ingredient", id=name), pct=pct)
        for name, pct in (("light-oil", 60), ("stearic-acid", 39.8), ("tocopherol", 0.2))
    )
    sheet = cook(replace(base, lines=lines), tries.shelf(), 500)
    ids = [step.id for step in sheet.steps]
    assert "ph" not in ids
    assert "refill" not in ids
    assert "granules" in ids

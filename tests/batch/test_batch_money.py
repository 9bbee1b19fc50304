"""Sugar in the foam, what is left of the surfactant, stock and prices of a plan."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from blendlab.batch import Rates, cook, plan, price_plan, stock_findings
from blendlab.batch.pricing import CostLine, PerGram, Share, carriers_of, composition, costed, per_gram_of
from blendlab.facts.preservatives import system_of
from blendlab.recipe import Addition, Batch, Dilution, Ref
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
    assert bare.unpriced
    assert not bare.complete
    assert not any(share.total for share in composition(bare))
    priced = [
        replace(tries.shelf().today("pigment", pigment), price_per_g=0.097)
        for pigment in ("ultramarine_blue", "iron_oxide_yellow")
    ]
    known = price_plan(made, _shelf(*priced), Rates(margin=Decimal("0.4"), vat=Decimal("0.2")))
    assert known.unpriced == ()
    cost = {line.item: line.cost for line in known.lines}
    assert known.jar.total == sum(cost.values()) / made.jars
    blue = next(line for line in made.lines if line.item == "pigment:ultramarine_blue")
    assert float(cost[blue.item]) == pytest.approx(0.1 * blue.grams)  # 0.097 a gram, 3 % never get in
    assert known.price.gross == known.price.net * Decimal("1.2")


def test_the_carrier_of_a_dilution_is_paid_for_too():
    """Blue as 10 % in an oil of 20 a kg, 3 % of which never get in: nine grams of it for each of blue."""
    blue = Ref(kind="pigment", id="ultramarine_blue")
    thinned = Batch(jars=24, dilutions=(Dilution(of=blue, pct=10, carrier=OIL),))
    design = tries.design(batch=thinned)
    oil = replace(tries.shelf().today("ingredient", OIL.id), price=None, price_per_g=0.02)
    made = plan(resolve(design, _shelf(oil)), tries.LOW_JAR)
    line = next(line for line in made.lines if line.item == "pigment:ultramarine_blue")
    told = price_plan(made, _shelf(oil), Rates(), carriers=carriers_of(design))
    carrier = next(each for each in told.lines if each.item == f"ingredient:{OIL.id}")
    assert carrier.name == f"{oil.name} in the dilution of {line.name}"
    assert float(carrier.cost) == pytest.approx(0.9 * line.grams * 0.02 / 0.97)
    for shelf, carriers, name in (
        (_shelf(replace(oil, price_per_g=None)), carriers_of(design), oil.name),
        (_shelf(oil), {}, "carrier"),
    ):
        told = price_plan(made, shelf, Rates(), carriers=carriers)
        assert f"{name} in the dilution of {line.name}" in told.unpriced
        assert not told.complete


def test_a_bought_pack_is_taken_with_its_postage():
    # 54.5 for 4540 g with 3 % waste: 0.0123757 a gram
    base = replace(
        tries.shelf().today("base", "cooked"),
        lines=(),
        price=Price(pack_price=48, pack_g=4540, shipping=6.5, waste=0.03),
    )
    made = plan(resolve(tries.design(base=base.ref), _shelf(base)), tries.LOW_JAR)
    told = next(line for line in price_plan(made, _shelf(base), Rates()).lines if "base" in line.item)
    assert float(told.cost) == pytest.approx(0.0123757 * made.line("base").grams, rel=1e-5)
    assert float(told.wasted) == pytest.approx(0.03 * float(told.cost))  # for what stays in the bucket


def test_a_base_she_cooks_never_costs_what_was_paid_for_another():
    """What a bought bucket of that name cost says nothing of her own: its lines do."""
    own = tries.shelf().today("base", "cooked")
    paid = replace(own, price=Price(pack_price=900, pack_g=1000))
    assert per_gram_of(paid, _shelf(paid)).money == per_gram_of(own, tries.shelf()).money


def test_the_lot_that_is_taken_goes_before_the_price_of_the_shelf():
    made = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    own = {"base:cooked": PerGram(Decimal("0.02"), "lot B-1"), "oil:lavender": PerGram(None, "", ("Gly",))}
    lines = {line.item: line for line in price_plan(made, tries.shelf(), Rates(), own).lines}
    assert lines["base:cooked"].cost == Decimal("0.02") * Decimal(str(made.line("base").grams))
    assert (lines["oil:lavender"].cost, lines["oil:lavender"].basis) == (None, "no price of Gly")


def test_two_things_of_one_name_keep_their_own_prices():
    shelf = tries.shelf()
    lavender, other = shelf.today("oil", "lavender"), shelf.today("oil", "petitgrain")
    twins = _shelf(replace(lavender, price_per_g=0.97), replace(other, name=lavender.name, price_per_g=0.097))
    made = plan(resolve(tries.design(), twins), tries.LOW_JAR)
    cost = {line.item: line.cost for line in price_plan(made, twins, Rates()).lines}
    for item, each in (("oil:lavender", 1.0), ("oil:petitgrain", 0.1)):
        grams = sum(line.grams for line in made.lines if line.item == item)
        assert float(cost[item]) == pytest.approx(each * grams)


def test_a_jar_without_a_price_is_no_jar_for_nothing():
    glass = replace(tries.shelf().today("jar", "j120-70"), price_each=0.92)
    made = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    assert price_plan(made, _shelf(glass), Rates(), jar_id=glass.id).jar.jar == Decimal("0.92")
    blind = price_plan(made, tries.shelf(), Rates(), jar_id=glass.id)
    assert "jar with lid" in blind.unpriced
    packed = price_plan(made, tries.shelf(), Rates(packaging=Decimal("0.5")), jar_id=glass.id)
    assert "jar with lid" not in packed.unpriced
    assert packed.jar.jar == Decimal("0.5")


def test_what_is_printed_of_a_price_adds_up_to_the_cent():
    """3.6108 of cost, 0.45 and 9.5 % of fees, 20 % VAT, 40 % margin: 8.356 net, 10.03 on the shelf."""
    rates = Rates(
        packaging=Decimal("0.4"), label=Decimal("0.1055"), parcel=Decimal("0.0053"),
        fee=Decimal("0.095"), fixed_fee=Decimal("0.45"), vat=Decimal("0.2"), margin=Decimal("0.4"),
    )  # fmt: skip
    line = CostLine("base:b", "Base", Decimal("3.1"), "lot")
    shares = composition(costed((line,), 1, rates, Decimal(0)))
    totals = {share.key: share.amount for share in shares if share.total}
    assert totals == {"cost": Decimal("3.61"), "net": Decimal("8.36"), "gross": Decimal("10.03")}
    made = Decimal(0)
    for share in shares:
        if share.total:
            assert share.amount == made
        else:
            made += share.amount
    amount = {share.key: share.amount for share in shares}
    cent = Decimal("0.01")  # of 10.03, of 8.36, of 8.36; a cent more or less makes them add up
    for key, alone in (("fee", "0.95"), ("margin", "3.34"), ("vat", "1.67")):
        assert abs(amount[key] - Decimal(alone)) <= cent


def test_the_cost_stands_where_fees_and_margin_leave_no_price():
    line = CostLine("base:b", "Base", Decimal("3"), "lot")
    for rates in (Rates(fee=Decimal("0.7"), margin=Decimal("0.4")), Rates(margin=Decimal(1))):
        told = costed((line,), 2, rates, Decimal(0))
        assert (told.price, told.complete) == (None, True)
        assert "take the whole price" in told.problem
        assert composition(told)[-1] == Share("cost", Decimal("1.50"), True)


def test_short_stock_says_how_many_jars_it_makes():
    made = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    needed = made.needs["oil:lavender"]
    (told,) = stock_findings(made, {"oil:lavender": needed / 2, "base:cooked": 1e6})
    assert "11 jars" in told.text  # of half a batch too the whole 30 g are held back
    assert stock_findings(made, {}) == ()


@pytest.mark.parametrize(
    ("names", "refused", "ph_high"),
    [
        (("Phenoxyethanol", "Ethylhexylglycerin"), "no", 10.0),
        (("Sodium Benzoate", "Potassium Sorbate", "Aqua"), "no", 5.0),
        (("Benzalkonium Chloride", "Aqua"), "anionic", 9.0),
        (("Cetrimonium Bromide",), "anionic", 9.0),
        (("Leuconostoc/Radish Root Ferment Filtrate",), "yes", 6.0),
        (("Citrus Grandis Seed Extract", "Glycerin"), "yes", 6.0),
        (("Phenoxyethanol", "Ethylhexylglycerin", "Lactobacillus Ferment"), "no", 10.0),
    ],
)
def test_systems_are_known_by_their_names(names, refused, ph_high):
    parts = tuple(Component(inci=name, low_pct=1, high_pct=1) for name in names)
    item = replace(tries.shelf().today("ingredient", "preservative-a"), components=parts)
    system = system_of(item)
    assert (system.refused, system.ph_high) == (refused, ph_high)


@pytest.mark.parametrize("inci", ["Benzalkonium Chloride", "Leuconostoc/Radish Root Ferment Filtrate"])
def test_a_base_kept_by_what_preserves_no_foam_is_stopped(inci):
    kept_by = tries.shelf().today("ingredient", "preservative-a")
    other = replace(kept_by, components=(Component(inci=inci, low_pct=90, high_pct=100),), charge="")
    found = plan(resolve(tries.design(), _shelf(other)), tries.LOW_JAR).findings
    stop = next(finding for finding in found if finding.id == "system-refused")
    assert stop.level == "stop"
    assert "system-refused" not in {
        each.id for each in plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR).findings
    }


def test_a_word_within_a_word_is_no_class():
    part = Component(inci="Fermentate of Nothing", low_pct=1, high_pct=1)
    item = replace(tries.shelf().today("ingredient", "preservative-a"), components=(part,))
    assert system_of(item) is None


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
    assert not {"pot", "refill"} & set(ids)
    assert "granules" in ids

"""A batch that was made, in grams and in money: balance, top-up, release, shares of a price."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from blendlab.batch import cost, inci, pricing, rounding, top_up
from blendlab.batch.balance import Balance, balance_findings
from blendlab.batch.plan import plan
from blendlab.batch.preservative import RangeTopUp
from blendlab.batch.pricing import CostLine, PerGram, Rates, Share, costed
from blendlab.batch.release_points import Evidence, cups_finding, open_points
from blendlab.errors import OutOfRange
from blendlab.recipe import Batch, Dilution, Ref
from blendlab.shelf import BaseLine, Price, resolve
from tests.batch import plans_to_try as tries
from tests.batch.test_batch_accounts import sheet, shelf_with, thing
from tests.batch.test_batch_rounding import drafted

NEAR = pytest.approx


# --- grams ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("jars", "retained", "left", "lost", "pct"),
    [(900, 30, 20, 50, 5.0), (900, 30, 70, 0, 0.0), (990, 30, 0, -20, -2.0)],
)
def test_a_balance_closes_over_jars_samples_and_rests(jars, retained, left, lost, pct):
    kept = Balance(1000, jars, retained, left, False)
    assert (kept.lost_g, kept.lost_pct) == (NEAR(lost), NEAR(pct))
    assert Balance(0, 0, 0, 0, False).lost_pct == 0.0
    assert Balance(0.5, 0.25, 0, 0, False).lost_pct == NEAR(50)


def test_a_balance_is_told_beyond_its_bounds():
    bound = cost.figure("batch", "mass_lost")
    for pct, told in (
        (bound.high, False),
        (bound.high + 0.01, True),
        (bound.low, False),
        (bound.low - 0.01, True),
    ):
        found = list(balance_findings(Balance(1000, 1000 - 10 * pct, 0, 0, False)))
        assert bool(found) is told
    (over,) = balance_findings(Balance(1000, 1100, 0, 0, True))
    assert over.text == "1000 g were weighed in and about 100 g more came out."
    assert "where it went" not in over.fix
    (lost,) = balance_findings(Balance(1000, 600, 100, 50, False))
    assert lost.text.startswith("Of 1000 g weighed in, 250 g (25.0 %) are neither in jars")
    assert not list(balance_findings(Balance(0, 100, 0, 0, False)))


def test_a_batch_as_it_was_weighed_is_shared_out_as_the_design_asks():
    of = drafted()
    grams = {want.id: mass for want, mass in zip(of.wants, (900.0, 9.0, 7.0, 4.0, 2.0, 0.1), strict=True)}
    done = rounding.as_weighed(of, grams)
    assert done.done
    assert done.short
    assert done.grams == done.exact == (900.0, 9.0, 7.0, 4.0, 2.0, 0.1)
    assert sum(done.takes) == NEAR(909)
    assert done.tones == (NEAR(0.6 * 922.1, abs=1.1), NEAR(0.4 * 922.1, abs=1.1))
    missing = rounding.as_weighed(of, {"base": 900.0})
    assert missing.grams == (900.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    assert missing.batch_g == 900


def test_a_top_up_is_rounded_up_as_far_as_law_and_sheet_leave_room():
    plan = sheet(tries.shelf((0.8, 0.9)))
    line = replace(plan.line("preservative"), step_g=0.1)
    thick = max(portion.take_g / portion.grams for portion in plan.portions)
    most = plan.preservative.most_pct / thick
    bowl = top_up.bowl_grams(plan, {})

    def asked(grams: float, high: float):
        return top_up.asking(plan, line, RangeTopUp(grams, 1.0, high, True), {})

    roomy = asked(2.04, most - 0.5)
    assert (roomy.grams, roomy.display_g, roomy.exact_g) == (2.1, 2.1, 2.04)
    assert roomy.good == (2.1, NEAR(2.2))
    full = asked(2.04, most)
    assert full.good == (2.0, 2.0)  # a tenth up would be more than is allowed
    whole = bowl["base"] + 2.04
    some = asked(2.04, most - 100 * 0.165 / whole)
    assert some.good == (2.1, NEAR(2.2))
    less = asked(2.04, most - 100 * 0.155 / whole)
    assert less.good == (2.1, 2.1)
    assert asked(0.01, most - 0.5).grams == 0.1
    thin = replace(line, stock_pct=most)  # as thin as what is allowed: no grams of it are too much
    assert top_up.asking(plan, thin, RangeTopUp(2.04, 1.0, most - 0.5, True), {}).grams == 2.1
    assert bowl["base"] == plan.line("base").grams
    assert top_up.bowl_grams(plan, {"base": 5.0})["base"] == 5.0


def test_what_was_measured_keeps_a_batch_from_sale():
    plan = sheet(tries.shelf())
    lines = [line.id for line in plan.lines]
    full = Evidence(
        {line.id: line.grams for line in plan.lines}, lines, (),
        [step.id for step in plan.steps], 6.0, 0.6, 3,
    )  # fmt: skip

    def points(**change) -> list[str]:
        return [finding.id for finding in open_points(plan, replace(full, **change))]

    assert points() == []
    window = cost.figure("batch", "ph_soap")
    for pH, told in ((window.low, []), (window.high, []), (window.low - 0.01, ["release-ph-window"]),
                     (window.high + 0.01, ["release-ph-window"])):  # fmt: skip
        assert points(pH=pH) == told
    gate = next(step for step in plan.steps if step.below_c is not None)
    assert points(celsius={gate.id: gate.below_c}) == []
    assert points(celsius={gate.id: gate.below_c + 0.1}) == ["release-heat"]
    assert points(celsius={gate.id: None}) == ["release-heat"]
    differ = cost.figure("batch", "cups_differ").value
    assert points(cups=(0.6, 0.6 * (1 + differ / 100))) == []
    assert points(cups=(0.6 * (1 + differ / 100 + 0.001), 0.6)) == ["cups-differ"]
    assert list(cups_finding(())) == []
    (told,) = cups_finding([0.5, 0.75, 0.6])
    assert told.text.startswith("Two cups of this foam differ by 50 %: 0.500 and 0.750 g/ml")


# --- money ---------------------------------------------------------------------------------------------


def test_costs_and_prices_at_their_edges():
    assert cost.per_gram(10, 100, waste=0) == Decimal("0.1")
    assert cost.per_gram(10, 100, 2, 3, "0.5") == Decimal("0.3")
    for wrong in (-0.01, 1, 1.01):
        with pytest.raises(OutOfRange):
            cost.per_gram(10, 100, waste=wrong)
    whole = cost.per_jar(8, 4, 1, "0.5", 30, 20, 6, "0.25")
    assert whole == (2, 1, Decimal("0.5"), Decimal("0.25"), Decimal("2.5"), Decimal("1.5"))
    assert whole.total == Decimal("7.75")
    assert cost.per_jar(8, 1).total == 8
    for wrong in (0, -1):
        with pytest.raises(OutOfRange):
            cost.per_jar(8, wrong)
    price = cost.price_from_margin(5, "0.5", "0.1", 1, "0.2")
    assert float(price.net) == NEAR(6 / 0.38)
    assert float(price.gross) == NEAR(7.2 / 0.38)
    for margin in ("0.88", "0.9"):
        with pytest.raises(cost.NoPrice):
            cost.price_from_margin(5, margin, "0.1", 1, "0.2")


def test_margins_and_mark_ups_are_inverse():
    assert cost.markup_of_margin("0.5") == 1
    assert cost.margin_of_markup(1) == Decimal("0.5")
    assert cost.margin_of_markup("-0.5") == -1
    for call, wrong in ((cost.markup_of_margin, 1), (cost.markup_of_margin, 2), (cost.margin_of_markup, -1)):
        with pytest.raises(OutOfRange):
            call(wrong)


def test_breaking_even_and_making_oneself():
    assert cost.break_even_jars(10, 5, 3) == 5
    assert cost.break_even_jars(11, 5, 3) == 6
    for variable in (5, 6):
        with pytest.raises(cost.NoPrice):
            cost.break_even_jars(10, 5, variable)
    assert cost.make_or_buy_kg(10, 6, 100) == 25
    assert cost.make_or_buy_kg(10, 10, 100) is None
    assert float(cost.make_or_buy_kg("10.5", 10, 100)) == 200


def test_a_gram_of_a_cooked_base_is_the_sum_of_its_lines():
    """60 % at 0.02 and 40 % at 0.05 a gram: 0.032; one without a price leaves none."""
    first = thing("first", price=Price(pack_price=20, pack_g=1000, waste=0.0))
    second = thing("second", price=Price(pack_price=50, pack_g=1000, waste=0.0))
    lines = (BaseLine(ingredient=first.ref, pct=60), BaseLine(ingredient=second.ref, pct=40))
    base = replace(tries.shelf().today("base", "cooked"), lines=lines)
    known = pricing.per_gram_of(base, shelf_with(first, second, base))
    assert known.money == Decimal("0.032")
    assert known.unpriced == ()
    left = replace(
        first, price=Price(pack_price=18, pack_g=1000, waste=0.1)
    )  # 0.02 a gram, a tenth of it left
    known = pricing.per_gram_of(base, shelf_with(left, second, base))
    assert (known.money, known.wasted) == (Decimal("0.032"), Decimal("0.0012"))
    poor = pricing.per_gram_of(base, shelf_with(first, replace(second, price=None), base))
    assert (poor.money, poor.unpriced) == (None, (second.name,))
    assert pricing.per_gram_of(first, tries.shelf()) == pricing.PerGram(Decimal("0.02"), "your shelf")


RATES = Rates(label=Decimal("0.5"), minutes=Decimal(60), per_h=Decimal(20), overhead=Decimal(5),
              parcel=Decimal(1), fee=Decimal("0.1"), fixed_fee=Decimal("0.3"), vat=Decimal("0.2"),
              margin=Decimal("0.4"))  # fmt: skip
LINES = (CostLine("oil:a", "A", Decimal(10), ""), CostLine("oil:b", "B", Decimal(15), ""))


def test_a_jar_is_priced_from_its_lines_and_rates():
    """25 / 10 + 1.2 + 0.5 + 1 + 20 / 10 + 5 / 10 = 7.7; (7.7 + 0.3) / (1 - 0.12 - 0.4) net."""
    told = costed(LINES, 10, RATES, Decimal("1.2"))
    assert told.complete
    assert told.jar.total == Decimal("7.7")
    assert float(told.price.net) == NEAR(8 / 0.48)
    assert float(told.price.gross) == NEAR(9.6 / 0.48)
    shares = pricing.composition(told)
    assert [share.key for share in shares if share.total] == ["cost", "net", "gross"]
    totals = {share.key: share.amount for share in shares if share.total}
    assert totals == {"cost": Decimal("7.70"), "net": Decimal("16.67"), "gross": Decimal("20.00")}
    parts = {share.key: share.amount for share in shares if not share.total}
    assert sum(parts.values()) == Decimal("20.00")
    assert parts["fixed_fee"] == Decimal("0.30")
    assert parts["fee"] == Decimal("2.00")
    assert abs(parts["margin"] - Decimal("6.67")) <= Decimal("0.01")
    assert Share("jar", Decimal("1.20")) in shares


def test_nothing_is_added_up_while_a_price_is_missing():
    poor = costed((*LINES, CostLine("oil:c", "C", None, "")), 10, RATES, Decimal("1.2"))
    assert (poor.unpriced, poor.complete, poor.price) == (("C",), False, None)
    assert not any(share.total for share in pricing.composition(poor))
    glassless = costed(LINES, 10, RATES, None)
    assert glassless.unpriced == ("jar with lid",)
    packed = costed(LINES, 10, replace(RATES, packaging=Decimal(2)), None)
    assert packed.complete
    assert packed.jar.jar == 2
    assert not costed(LINES, 0, RATES, Decimal(1)).complete
    assert costed(LINES, 1, RATES, Decimal(1)).jar.material == 25
    greedy = costed(LINES, 10, replace(RATES, margin=Decimal("0.9")), Decimal("1.2"))
    assert greedy.complete
    assert greedy.price is None
    assert greedy.problem
    none = pricing.composition(costed(LINES, 10, replace(RATES, margin=Decimal(0)), Decimal("1.2")))
    assert [share.key for share in none if share.total] == ["cost"]


def test_lots_go_before_the_shelf_in_the_cost_of_a_plan():
    plan = sheet(tries.shelf())
    told = pricing.price_plan(plan, tries.shelf(), Rates(), {"oil:lavender": PerGram(Decimal(2), "a lot")})
    line = next(line for line in told.lines if line.item == "oil:lavender")
    assert float(line.cost) == NEAR(2 * plan.needs["oil:lavender"])
    assert line.basis == "a lot"


def test_rates_that_nobody_entered_are_nothing():
    bare = costed(LINES, 10, Rates(), Decimal(0))
    assert bare.jar == (Decimal("2.5"), 0, 0, 0, 0, 0)
    assert bare.price == (Decimal("2.5"), Decimal("2.5"))
    assert {getattr(Rates(), name) for name in vars(Rates())} == {0}


def test_the_carrier_of_a_stock_is_on_the_list_with_its_part():
    """A dose of 0.3 % through a stock of 10 % brings nine times as much glycerin."""
    blue, glycerin = Ref(kind="pigment", id="ultramarine_blue"), Ref(kind="ingredient", id="glycerin")
    stock = Batch(jars=24, dilutions=(Dilution(of=blue, pct=10.0, carrier=glycerin),))
    design = tries.design(batch=stock)
    resolved = resolve(design, tries.shelf())
    made = plan(resolved, tries.LOW_JAR)
    line = made.line("pigment:ultramarine_blue@deep")
    parts = [part for part in inci._parts(resolved, made, "EU", {}) if part.name == "Glycerin"]
    carried = 100 * 0.9 * line.grams / made.batch_g
    assert any(part.high_pct == NEAR(carried, rel=0.02) for part in parts)

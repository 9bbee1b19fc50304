"""What is counted against a limit, an order, a price: high bounds, sums, thresholds at their very edges."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from blendlab.batch import formula, inci, ledger, rounding
from blendlab.batch.cooking import cook
from blendlab.batch.cost import of_price
from blendlab.batch.line_wishes import draft
from blendlab.batch.plan import plan
from blendlab.batch.pricing import per_gram_of
from blendlab.recipe import Addition, Batch, Dose, Ref, Scent, Tone
from blendlab.shelf import BaseLine, Component, Ingredient, Price, Scale, Shelf, resolve
from tests.batch import plans_to_try as tries


def thing(item_id: str, name: str = "Extract", **more) -> Ingredient:
    parts = more.pop("components", (Component(inci=name, low_pct=100, high_pct=100),))
    return Ingredient(id=item_id, name=name, components=parts, **{"function": "other", **more})


def shelf_with(*items) -> Shelf:
    taken = {(item.kind, item.id) for item in items}
    return Shelf((*(item for item in tries.shelf().items if (item.kind, item.id) not in taken), *items))


def added(*pairs: tuple[str, float], **more) -> Batch:
    stirred = (Addition(ingredient=Ref(kind="ingredient", id=name), pct=pct) for name, pct in pairs)
    return Batch(jars=24, additions=tuple(stirred), **more)


def sheet(shelf: Shelf, **change):
    return plan(resolve(tries.design(**change), shelf), tries.LOW_JAR)


# --- actives ------------------------------------------------------------------------------------------


def test_actives_of_additions_count_at_their_high_bounds_and_are_summed():
    """Annex V entry 29: phenoxyethanol 1.0 %. 2 % of a thing with up to 6 % and 1 % of one with up to 10 %
    bring 0.12 + 0.10 = 0.22 %; 90 % of the preservative is phenoxyethanol: (1 - 0.22) / 0.9 = 0.8667 %."""
    weak = thing("weak", components=(Component(inci="Phenoxyethanol", low_pct=1, high_pct=6),))
    strong = thing("strong", components=(Component(inci="Phenoxyethanol", low_pct=2, high_pct=10),))
    made = sheet(shelf_with(weak, strong), batch=added(("weak", 2), ("strong", 1)))
    assert made.preservative.most_pct == pytest.approx((1.0 - 0.22) / 0.9)
    alone = sheet(shelf_with(weak, strong), batch=added(("weak", 2)))
    assert alone.preservative.most_pct == pytest.approx((1.0 - 0.12) / 0.9)


def test_the_account_of_an_active_adds_base_top_up_and_additions_up():
    """White tone, no scent: its phenoxyethanol by hand, from the grams of the sheet."""
    weak = thing("weak", components=(Component(inci="Phenoxyethanol", low_pct=1, high_pct=3),))
    white = Tone(id="white", name="White", share_pct=100)
    asked = added(("weak", 4), preservative_pct=0.9)
    base = replace(tries.shelf((0.8, 0.85)).today("base", "cooked"), actives={})
    made = sheet(shelf_with(weak, base), tones=(white,), scent=Scent(), batch=asked)
    grams = {line.what: line.grams for line in made.lines}
    blend = (grams["base"] * 0.85 + grams["preservative"] * 100) / made.batch_g
    (active,) = (active for active in made.preservative.actives if active.name == "Phenoxyethanol")
    assert active.pct == pytest.approx(0.9 * blend + 0.04 * 3, rel=1e-6)
    assert active.limit_pct == 1.0


def test_the_account_takes_the_larger_of_what_a_base_declares_and_what_its_blend_brings():
    base = replace(tries.shelf().today("base", "cooked"), actives={"Phenoxyethanol": 0.95})
    resolved = resolve(tries.design(base=base.ref), shelf_with(base))
    drafted = draft(resolved)
    made = rounding.settle(drafted, 1800.0)
    # 1 % of a blend with 90 % of it is 0.9 %, less than the declared 0.95 %
    topped = made.grams[drafted.preservative_at] * 90
    for active in rounding.actives(drafted, made):
        at = [tone.name for tone in resolved.design.tones].index(active.tone)
        share = made.takes[at] / made.tones[at] / sum(made.takes)
        assert active.pct == pytest.approx((made.grams[0] * 0.95 + topped) * share, rel=1e-9)


@pytest.mark.parametrize(("pct", "within"), [(1.0, True), (1.0 + 1e-9, False)])
def test_a_limit_is_kept_up_to_its_figure(pct, within):
    assert ledger.Active("A", "t", pct, 1.0, "law").within is within


# --- a preservative that nobody knows ------------------------------------------------------------------


def test_another_blend_sizes_no_top_up():
    other = replace(tries.shelf().today("base", "cooked"), preservative=Ref(kind="ingredient", id="another"))
    asked = Batch(jars=24, preservative=tries.PRESERVATIVE)
    made = sheet(shelf_with(other), base=other.ref, batch=asked)
    assert "preservative" not in [line.id for line in made.lines]
    assert made.preservative.grams == 0
    assert made.preservative.low_pct is made.preservative.high_pct is None
    assert ledger.held(other, tries.shelf().today("ingredient", "preservative-a")).how == "other"


def test_a_blend_is_known_by_its_actives_from_the_least_to_the_most():
    """0.9 % phenoxyethanol of a blend with 90 % is 1 %; 0.12 % of what is 10 % of it would be 1.2 %."""
    item = tries.shelf().today("ingredient", "preservative-a")
    base = replace(
        tries.shelf().today("base", "cooked"),
        preservative_pct=None,
        actives={"phenoxyethanol": 0.9, "ethylhexylglycerin": 0.12},
    )
    assert ledger.held(base, item) == ("actives", True, pytest.approx(1.0), pytest.approx(1.2))
    assert ledger.choose(resolve(tries.design(base=base.ref), shelf_with(base))).id == item.id


# --- charges, sheets -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("charge", "stops"), [("anionic", True), ("amphoteric", False)])
def test_a_cationic_addition_meets_the_surfactant_of_the_base_lines(charge, stops):
    """A butter is no cleanser: only the lines of its base say whether it holds an anionic surfactant."""
    glue = thing("quat", "Quat", charge="cationic")
    soap = thing("soap", "Soap", charge=charge)
    lines = (
        BaseLine(ingredient=Ref(kind="ingredient", id="light-oil"), pct=95),
        BaseLine(ingredient=soap.ref, pct=5),
    )
    base = replace(tries.shelf().today("base", "butter-ivory"), lines=lines)
    made = sheet(shelf_with(glue, soap, base), product="body_butter", base=base.ref, batch=added(("quat", 1)))
    found = {finding.id: finding.level for finding in made.findings}
    assert (found.get("charge-quat") == "stop") is stops


@pytest.mark.parametrize(("charge", "stops"), [("anionic", True), ("amphoteric", False)])
def test_a_cationic_addition_meets_an_anionic_addition(charge, stops):
    glue, soap = thing("quat", "Quat", charge="cationic"), thing("soap", "Soap", charge=charge)
    base = tries.shelf().today("base", "butter-ivory")
    stirred = added(("quat", 1), ("soap", 1))
    made = sheet(shelf_with(glue, soap), product="body_butter", base=base.ref, batch=stirred)
    assert ("charge-quat" in {finding.id for finding in made.findings}) is stops


@pytest.mark.parametrize(("charge", "stops"), [("anionic", True), ("amphoteric", False), (None, True)])
def test_a_cationic_preservative_is_refused_where_an_anionic_surfactant_is_or_may_be(charge, stops):
    """None: a base whose formula nobody wrote down."""
    quat = thing(
        "preservative-a", "Benzalkonium Chloride", function="preservative", low_pct=0.1, high_pct=1.0
    )
    soap = thing("soap", "Soap", charge=charge or "")
    lines = (
        BaseLine(ingredient=Ref(kind="ingredient", id="light-oil"), pct=95),
        BaseLine(ingredient=soap.ref, pct=5),
    )
    butter = tries.shelf().today("base", "butter-ivory")
    base = replace(butter, lines=lines if charge else (), preservative=quat.ref, preservative_pct=(0.5, 0.5))
    made = sheet(shelf_with(quat, soap, base), product="body_butter", base=base.ref)
    assert ("system-refused" in {finding.id for finding in made.findings}) is stops


@pytest.mark.parametrize(
    ("low", "high", "told"),
    [(0.5, 1.1, None), (None, 0.99, "base-most"), (1.01, 1.1, "base-least"), (1.0, 1.0, None)],
)
def test_a_cooked_base_is_held_to_the_sheet_of_its_preservative(low, high, told):
    """The formula asks for 1 % of 1500 g; 15 g stand on the 0.01 g scale as they are."""
    item = replace(tries.shelf().today("ingredient", "preservative-a"), low_pct=low, high_pct=high)
    made = cook(tries.shelf().today("base", "cooked"), shelf_with(item), 1500)
    found = [finding.id for finding in made.findings if finding.level == "stop"]
    assert found == ([f"{told}-preservative-a"] if told else [])


def test_a_preservative_is_rounded_down_where_up_breaks_its_sheet():
    """1 % of 60.3 g is 0.603 g; on a scale of 0.1 g up is 0.7 g, 1.16 %: above a sheet of 1.1 %."""
    scales = (Scale(id="tenth", name="tenth", step_g=0.1, capacity_g=5000),)
    made = cook(tries.shelf().today("base", "cooked"), tries.shelf(), 60.3, scales)
    assert made.line("ingredient:preservative-a").grams == 0.6
    loose = replace(tries.shelf().today("ingredient", "preservative-a"), high_pct=2.0)
    up = cook(tries.shelf().today("base", "cooked"), shelf_with(loose), 60.3, scales)
    assert up.line("ingredient:preservative-a").grams == 0.7


# --- caps after rounding -------------------------------------------------------------------------------


def test_a_pigment_at_its_cap_is_never_rounded_above_it():
    """2 % of 40 % of a batch lies between two steps of 1 g: near would be above, so it goes down."""
    mica = tries.shelf().today("pigment", "mica_white")
    assert mica.cap_pct == 2.0
    tones = (
        Tone(id="pearl", name="Pearl", share_pct=40, doses=(Dose(pigment=mica.ref, pct=2.0),)),
        Tone(id="plain", name="Plain", share_pct=60),
    )
    gross = (Scale(id="gross", name="gross", step_g=1, capacity_g=5000),)
    moved = []
    for grams in range(1000, 1100, 3):
        asked = Batch(grams=float(grams), scales=(gross[0].ref,))
        made = sheet(shelf_with(*gross), tones=tones, scent=Scent(), batch=asked)
        (line,) = (line for line in made.lines if line.what == "pigment")
        (pearl,) = (portion for portion in made.portions if portion.tone == "pearl")
        assert 100 * line.grams / pearl.grams <= 2.0 * (1 + 1e-9)
        moved.append(line.grams < round(line.exact_g))
    assert any(moved)


def test_no_weighing_of_a_capped_line_is_called_good_above_its_cap():
    mica = tries.shelf().today("pigment", "mica_white")
    tone = Tone(id="pearl", name="Pearl", share_pct=100, doses=(Dose(pigment=mica.ref, pct=1.999),))
    made = sheet(tries.shelf(), tones=(tone,), scent=Scent(), batch=Batch(grams=2000.0))
    (line,) = (line for line in made.lines if line.what == "pigment")
    assert line.good[1] >= line.grams
    assert 100 * line.good[1] / made.batch_g <= 2.0
    loose = sheet(
        tries.shelf(),
        tones=(replace(tone, doses=(Dose(pigment=mica.ref, pct=1.0),)),),
        scent=Scent(),
        batch=Batch(grams=2000.0),
    )
    (free,) = (line for line in loose.lines if line.what == "pigment")
    assert free.good[1] == pytest.approx(free.grams * 1.005, abs=0.011)  # half a percent, common practice


# --- the ingredient list -------------------------------------------------------------------------------


def listed(*parts: tuple[str, float, float], pct: float = 1.0):
    """The list of a jar with one addition of some components."""
    item = thing(
        "mixture",
        components=tuple(Component(inci=name, low_pct=low, high_pct=high) for name, low, high in parts),
    )
    shelf = shelf_with(item)
    design = tries.design(batch=added(("mixture", pct)))
    return inci.ingredients(resolve(design, shelf), sheet(shelf, batch=design.batch), "EU", ("Linalool",))


def test_below_one_percent_any_order_holds_and_from_there_on_it_does_not():
    """Reg. (EC) 1223/2009 Art. 19(1)(g), from memory: below 1 % in any order. The mixture is 2 %."""
    below = listed(("Alpha", 10, 40), ("Beta", 20, 45), pct=2.0)
    assert below.export
    assert below.undetermined == ()
    above = listed(("Alpha", 10, 60), ("Beta", 20, 60), pct=2.0)
    assert set(above.undetermined) >= {("Beta", "Alpha")}
    assert not above.export
    apart = listed(("Alpha", 50, 90), ("Beta", 10, 50), pct=2.0)
    assert ("Alpha", "Beta") not in apart.undetermined


def test_names_of_the_scent_stand_behind_everything_of_one_percent():
    names = listed(("Alpha", 100, 100), pct=1.5).names
    assert names.index("Alpha") < names.index("Linalool")
    names = listed(("Alpha", 100, 100), pct=1.1).names  # the scent is 1.2 %
    assert names.index("Parfum") < names.index("Alpha") < names.index("Linalool")
    names = listed(("Alpha", 100, 100), pct=0.5).names
    assert names.index("Parfum") < names.index("Linalool") < names.index("Alpha")


def test_one_name_from_two_lines_stands_once_with_its_sum():
    """1 % sorbitol and 0.6 % in another line are more than 1.3 % of something else."""
    names = listed(("Sorbitol", 50, 50), ("Else", 43, 43), ("Sorbitol", 7, 7), pct=3.0).names
    assert names.count("Sorbitol") == 1
    assert names.index("Sorbitol") < names.index("Else")


# --- money, sums ----------------------------------------------------------------------------------------


def test_what_is_wasted_is_paid_too():
    # common practice: 3 % of a pack never reaches a jar; 9.70 for 100 g are 10 cents a gram that does
    assert of_price(Price(pack_price=9.7, pack_g=100.0), None) == Decimal("0.1")
    assert of_price(None, 0.097) == Decimal("0.1")
    assert of_price(Price(pack_price=9.0, pack_g=100.0, waste=0.1), None) == Decimal("0.1")
    assert of_price(Price(pack_price=9.0, pack_g=100.0, shipping=0.5, tax=0.5, waste=0.0), None) == Decimal(
        "0.1"
    )
    assert of_price(None, None) is None


def test_a_base_costs_what_its_lines_cost_and_nothing_while_one_is_unknown():
    water = thing("w", price=Price(pack_price=1.0, pack_g=100.0, waste=0.0))
    oil = thing("o", price=Price(pack_price=5.0, pack_g=100.0, waste=0.0))
    lines = (BaseLine(ingredient=water.ref, pct=80), BaseLine(ingredient=oil.ref, pct=20))
    base = replace(tries.shelf().today("base", "cooked"), lines=lines, price=None)
    assert per_gram_of(base, Shelf((water, oil, base))).money == Decimal("0.018")
    blind = per_gram_of(base, Shelf((water, replace(oil, price=None), base)))
    assert (blind.money, blind.unpriced) == (None, (oil.name,))
    gone = per_gram_of(base, Shelf((water, base)))
    assert (gone.money, gone.unpriced) == (None, ("o",))


@pytest.mark.parametrize(
    ("last", "adds_up"), [(40.0, True), (40.005, True), (39.995, True), (40.006, False), (39.994, False)]
)
def test_a_sum_may_miss_a_hundred_by_dust_only(last, adds_up):
    assert formula.check_sum([30, 30, last])[1] is adds_up


def test_her_percents_are_shares_of_the_batch():
    """Overfill 2 %, loss 10 %, 50 g held back: by hand (10 x net x 1.02 + 50) / 0.9, and back to jars."""
    asked = Batch(jars=10, overfill_pct=2, loss_pct=10, retained_g=50)
    made = sheet(tries.shelf(), batch=asked)
    assert made.batch_g == pytest.approx((10 * made.net_g * 1.02 + 50) / 0.9, abs=2)
    back = sheet(tries.shelf(), batch=replace(asked, grams=made.batch_g))
    assert back.jars == 10
    assert back.last_jar_g == pytest.approx(made.batch_g * 0.9 - 50 - 10 * made.net_g * 1.02, abs=1.1)

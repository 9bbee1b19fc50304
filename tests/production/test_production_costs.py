"""What a gram out of a lot costs: a bought pack with postage, a cooked base by what went into it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from blendlab import store
from blendlab.batch import Rates
from blendlab.batch.plan import plan
from blendlab.batch.pricing import PerGram
from blendlab.forms import deliveries
from blendlab.production import base_lots, kitchen_acts, making, money, pieces
from blendlab.production.costs import Prices
from blendlab.production.settings import Settings
from blendlab.recipe import Batch, Dilution, Ref
from blendlab.shelf import Lot, Price, Shelf, resolve
from tests.batch import plans_to_try as tries
from tests.production.test_production_base_lots import GLYCERIN, HALVES, WATER
from tests.production.test_production_rules import until

DAY = date(2026, 3, 7)
RATES = Rates(per_h=Decimal(20), cook_minutes=Decimal(90))
OWN = replace(HALVES, price=Price(pack_price=900, pack_g=1000))
SHELF = Shelf((*tries.SCALES, WATER, GLYCERIN, OWN))


def bought(book, item, price: Price | None = None, code="L-1", grams=5000.0) -> int:
    data = {} if price is None else {"price": price}
    kind, _, name = item.partition(":")
    return book.receive(Lot(code=code, of=Ref(kind=kind, id=name), name=name.capitalize()), grams, data)


def cooked(book, came_g: float, shelf=SHELF, **typed) -> store.LotLine:
    """1000 g of half water, half glycerin, each from the lot that is there."""
    code = book.start(base_lots.cooking(OWN, shelf, 1000.0, book, DAY), DAY, kind="base")
    page = until(book, code, "none")
    said = {"grams": f"{came_g}", "code": f"C-{code}", "why": "the rest was spilt", **typed}
    answers = base_lots.cooked_lot(page, OWN, said, book)
    assert answers == []
    return next(line for line in store.lots(book) if line.batch == code)


def prices(book, shelf=SHELF, rates=RATES) -> Prices:
    return Prices(book, shelf, rates, "EUR")


def test_a_lot_costs_what_its_own_pack_and_postage_did(book):
    """20 and 5 of postage for 1000 g, nothing wasted: 0.025 a gram, whatever the shelf says now."""
    bought(book, "ingredient:gly", Price(pack_price=20, pack_g=1000, shipping=5, waste=0))
    (line,) = store.lots(book)
    assert prices(book).of_lot(line) == PerGram(Decimal("0.025"), "lot L-1, by its own pack")
    bought(book, "ingredient:aq", code="L-2")
    assert prices(book).of_lot(store.lots(book)[1]).money == Decimal("0.001")  # the shelf: 1 a kg


def test_of_two_lots_each_costs_what_is_taken_of_it(book):
    """200 g at 10 and 300 g at 20 a kg: 8.00 for 500 g; 150 g come out of the first alone."""
    for code, paid, grams in (("L-1", 10, 200), ("L-2", 20, 1000)):
        bought(book, "ingredient:gly", Price(pack_price=paid, pack_g=1000, waste=0), code, grams)
    lines = store.lots(book)
    mixed = prices(book).of_mixed(lines, 500)
    assert mixed == PerGram(Decimal("0.016"), "lot L-1, by its own pack + lot L-2, by its own pack")
    assert prices(book).of_mixed(lines, 150).money == Decimal("0.01")
    bought(book, "ingredient:gone", code="L-3")
    lines = (*lines, store.lots(book, "ingredient:gone")[0])
    assert prices(book).of_mixed(lines, 1500).money is None


def test_a_cooked_lot_costs_its_raw_materials_and_work_over_what_came_out(book):
    """500 g water at 1 a kg, 500 g glycerin at 10: 5.50; 60 min at 20: 25.50 for 850 g, 30.00 a kg."""
    bought(book, "ingredient:aq")
    bought(book, "ingredient:gly", Price(pack_price=10, pack_g=1000, waste=0))
    each = prices(book).of_lot(cooked(book, 850, minutes="60"))
    assert float(each.money * 1000) == pytest.approx(30.0)
    assert "6.47 EUR of raw materials, 23.53 EUR of work; 850 of 1000 g came out" in each.basis
    usual = prices(book).of_lot(cooked(book, 1000))
    assert float(usual.money * 1000) == pytest.approx(5.5 + 30)  # 90 min by her rates
    none = prices(book, rates=Rates()).of_lot(cooked(book, 1000))
    assert "no work, as minutes or rate are not entered" in none.basis


@pytest.mark.parametrize("named", [True, False])
def test_a_base_she_cooked_costs_its_work_whatever_lot_of_it_is_named(book, sheet, named):
    """5.50 of raw materials and 30.00 of work a kg; a lot without a price and no lot at all cost the same."""
    bought(book, "ingredient:aq")
    bought(book, "ingredient:gly", Price(pack_price=10, pack_g=1000, waste=0))
    cooked(book, 1000)
    number = bought(book, "base:cooked", code="CLOUD-2")
    lots = {"base:cooked": (store.lot(book, number),)} if named else {}
    kept = Settings(rates=RATES)
    told = money.costs(sheet, tries.design(), SHELF, kept, book, lots)
    base = next(found for found in told.lines if found.item == "base:cooked")
    assert float(base.cost) == pytest.approx(0.0355 * sheet.line("base").grams)
    assert "30.00 EUR of work" in base.basis
    assert money.base_words(OWN, book, SHELF, kept) == f"35.50 EUR a kg; {base.basis}"
    code = book.start(sheet, DAY, design=tries.design())
    drawn = [(number if named else None, 100.0, 100.0)]
    book.weigh_from(code, "base", drawn, planned_g=100, scale="fine", part=1)
    assert float(prices(book).spent(code).material) == pytest.approx(3.55)


def test_what_was_thrown_away_while_cooking_is_paid_too(book):
    number = bought(book, "ingredient:gly", Price(pack_price=10, pack_g=1000, waste=0))
    bought(book, "ingredient:aq")
    line = cooked(book, 1000, minutes="0")
    book.throw_away(line.batch, [], "spilt", [(number, 100.0)])
    assert float(prices(book).of_lot(line).money * 1000) == pytest.approx(6.5)


def test_a_raw_material_without_a_lot_or_a_price_is_named(book):
    blind = Shelf((*tries.SCALES, WATER, replace(GLYCERIN, price=None), OWN))
    bought(book, "ingredient:aq")
    bought(book, "ingredient:gly")
    line = cooked(book, 1000, shelf=blind)
    assert prices(book, blind).of_lot(line) == PerGram(None, "", ("Gly",))
    assert money.base_words(OWN, book, blind, Settings(rates=RATES)) == "no price of Gly"


def test_lots_that_name_each_other_cost_nothing_anybody_knows(book):
    """A description can be corrected to nonsense; the sum must end."""
    bought(book, "ingredient:aq")
    bought(book, "ingredient:gly")
    line = cooked(book, 1000)
    water = next(found for found in store.lots(book) if found.lot.name == "Aq")
    book.correct_lot(water.number, water.lot, {"batch": line.batch})
    assert prices(book).of_lot(line).money is None


def test_the_price_of_a_delivery_stays_with_its_lot_and_off_a_base_she_cooks(book, folder):
    """A bought bucket under the name of her own base: the lot is dear, the base she cooks is not."""
    store.save_item(folder, OWN, None)
    kept = store.read_shelf(folder)
    typed = {"kind": "base", "item": "cooked", "code": "B-9", "grams": "1000", "price": "48", "shipping": "2"}
    assert deliveries.receive(book, folder, kept, typed, DAY)[1] == []
    (line,) = store.lots(book)
    assert float(prices(book).of_lot(line).money) == pytest.approx(0.05 / 0.97)
    assert store.read_shelf(folder).today("base", "cooked").price == OWN.price


def test_the_plan_takes_the_price_of_the_lots_it_takes(book, sheet):
    number = bought(book, "base:cooked", Price(pack_price=97, pack_g=1000))
    line = store.lot(book, number)
    told = money.costs(sheet, tries.design(), tries.shelf(), Settings(), book, {"base:cooked": (line,)})
    base = next(found for found in told.lines if found.item == "base:cooked")
    assert float(base.cost) == pytest.approx(0.1 * sheet.line("base").grams)
    assert base.basis == "lot L-1, by its own pack"


def test_what_a_batch_cost_is_what_it_drew_over_the_jars_it_made(book, sheet):
    pack = Price(pack_price=10, pack_g=1000, waste=0)
    for item in dict.fromkeys(line.item for line in sheet.lines):
        bought(book, item, pack)
    code = book.start(sheet, DAY, design=tries.design())
    kept = Settings()
    assert money.made_words(book, store.batch(book, code), tries.shelf(), kept) == ""
    page = until(book, code, "none")
    said = money.made_words(book, page, tries.shelf(), kept)
    each = f"{sheet.batch_g / 100 / sheet.jars:.2f} EUR"
    assert said == f"{each} went into each of {sheet.jars} jars, without glass, label and finishing"
    other = Shelf(tuple(item for item in tries.shelf().items if item.kind != "pigment"))
    bare = book.start(sheet, DAY, design=tries.design())
    book.weigh_from(bare, sheet.lines[0].id, [(None, 1.0, 1.0)], planned_g=1, scale="fine", part=1)
    book.fill(bare, 1, 70)
    unpriced = replace(other, items=())
    assert "no price, so no sum: " in money.made_words(book, store.batch(book, bare), unpriced, kept)


def test_what_something_was_diluted_in_is_part_of_what_went_in(book):
    """20 g of a tenth of blue: 2 g of blue at 10 and 18 g of oil at 20 a kg, nothing wasted."""
    blue, oil = Ref(kind="pigment", id="ultramarine_blue"), Ref(kind="ingredient", id="light-oil")
    design = tries.design(batch=Batch(jars=24, dilutions=(Dilution(of=blue, pct=10, carrier=oil),)))
    sheet = plan(resolve(design, tries.shelf()), tries.LOW_JAR)
    line = next(line for line in sheet.lines if line.item == "pigment:ultramarine_blue")
    bought(book, line.item, Price(pack_price=10, pack_g=1000, waste=0), grams=50)
    priced = replace(
        tries.shelf().today("ingredient", oil.id), price=Price(pack_price=20, pack_g=1000, waste=0)
    )
    others = tuple(item for item in tries.shelf().items if item.id != oil.id)
    for shelf, unpriced in ((Shelf((*others, priced)), ()), (Shelf(others), (oil,))):
        code = book.start(sheet, DAY, design=design)
        book.weigh_from(code, line.id, [(1, 20, 2)], planned_g=20, scale="fine", part=1)
        spent = prices(book, shelf).spent(code)
        assert spent.material == Decimal("0.02") + (0 if unpriced else Decimal("0.36"))
        assert spent.unpriced == ((f"carrier in the dilution of {line.name}",) if unpriced else ())


def test_jars_that_were_not_filled_carry_none_of_the_cost_and_glass_is_not_in_it(book, sheet):
    """What was drawn is shared out among the jars that came out; empty jars, lids and labels count apart."""
    pack = Price(pack_price=10, pack_g=1000, waste=0)
    for item in dict.fromkeys(line.item for line in sheet.lines):
        bought(book, item, pack)
    for item in pieces.items_of(tries.design().jar.id):
        bought(book, item, code="E-1", grams=100)
    code = book.start(sheet, DAY, design=tries.design())
    until(book, code, "fill")
    kitchen_acts.fill_jar(book, code, sheet.net_g)
    filled = sheet.jars - 2
    kitchen_acts.all_filled(book, code, "fill", filled, "two were dropped")
    until(book, code, "none")
    assert [line.left_g for line in store.lots(book) if pieces.counted(line)] == [100 - filled] * 3
    said = money.made_words(book, store.batch(book, code), tries.shelf(), Settings())
    assert said.startswith(f"{sheet.batch_g / 100 / filled:.2f} EUR went into each of {filled} jars")


@pytest.mark.parametrize(
    ("to_buy", "fixed", "told"),
    [
        (
            31.8,
            620,
            "Making pays from 67 kg a year on, if it alone bears your fixed 620.00 EUR a year.",
        ),  # 620 / (31.8 - 22.5)
        (31.8, 0, "Making is 9.30 EUR a kg cheaper; no fixed costs are in it"),
        (22.0, 620, "Buying is cheaper, however many such lots you cook."),
    ],
)
def test_making_beside_buying_counts_her_work(book, to_buy, fixed, told):
    """Half at 1, half at 4 a kg: 2.50; 90 min at 20 an hour for 1500 g: 20.00 a kg."""
    kept = Settings(rates=RATES, fixed_per_year=Decimal(fixed))
    said = making.make_or_buy(OWN, prices(book), kept, to_buy, 1500)
    assert said.startswith("By its formula: 2.50 EUR of raw materials, 20.00 EUR of work at 1500 g a time")
    assert f"Made 22.50 EUR a kg, bought {to_buy:.2f} EUR." in said
    assert told in said


def test_work_that_is_not_known_is_said_to_be_left_out(book):
    kept = Settings(rates=RATES)
    assert "type how many grams" in making.make_or_buy(OWN, prices(book), kept, 10, None)
    assert making.NO_WORK in making.make_or_buy(OWN, prices(book, rates=Rates()), kept, 10, 1500)


def test_the_lot_she_cooked_last_speaks_for_making(book):
    bought(book, "ingredient:aq")
    bought(book, "ingredient:gly")
    cooked(book, 500, minutes="0")
    last = cooked(book, 1000, minutes="30")
    said = making.make_or_buy(OWN, prices(book), Settings(rates=RATES), 20, None)
    assert said.startswith(f"Your lot {last.lot.code}, a kg: 2.50 EUR of raw materials, 10.00 EUR of work.")
    assert "Made 12.50 EUR a kg" in said


def test_without_every_price_making_is_not_compared(book):
    bare = Shelf((WATER, replace(GLYCERIN, price=None), OWN))
    said = making.make_or_buy(OWN, prices(book, bare), Settings(), 10, 1500)
    assert said == "No price of Gly: making cannot be compared with buying."

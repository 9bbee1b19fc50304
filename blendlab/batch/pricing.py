"""A batch sheet in money: what each line costs, and what one jar sells for, share by share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, NamedTuple

from blendlab.batch.cost import (
    JarCost,
    NoPrice,
    SalePrice,
    cents,
    left_of_price,
    money,
    of_price,
    per_jar,
    price_from_margin,
    waste_of,
)
from blendlab.batch.sheet import Plan
from blendlab.recipe import Design, Ref
from blendlab.shelf import Base, Price, Shelf


@dataclass(frozen=True)
class Rates:
    """Her own figures for a price; 0 where nothing was entered.

    packaging, label, parcel     of one jar
    minutes, per_h, overhead     of one batch; cook_minutes of one cooked base lot
    fee, vat, margin             shares; fixed_fee of one sale
    own_price                    on the shelf, with VAT, that she asks or means to
    """

    packaging: Decimal = Decimal(0)
    label: Decimal = Decimal(0)
    parcel: Decimal = Decimal(0)
    minutes: Decimal = Decimal(0)
    cook_minutes: Decimal = Decimal(0)
    per_h: Decimal = Decimal(0)
    overhead: Decimal = Decimal(0)
    fee: Decimal = Decimal(0)
    fixed_fee: Decimal = Decimal(0)
    vat: Decimal = Decimal(0)
    margin: Decimal = Decimal(0)
    own_price: Decimal = Decimal(0)


class PerGram(NamedTuple):
    """Cost of a gram and how it is known; None where a price is missing, of `unpriced`.

    wasted  the part of it that pays for what stays in packs and reaches no jar
    """

    money: Decimal | None
    basis: str = ""
    unpriced: tuple[str, ...] = ()
    wasted: Decimal = Decimal(0)


class CostLine(NamedTuple):
    """One thing of a batch in money; `cost` is None where its price is not known.

    wasted  the part of the cost that pays for what stays in packs
    """

    item: str
    name: str
    cost: Decimal | None
    basis: str
    wasted: Decimal = Decimal(0)


class Share(NamedTuple):
    """One share of the price of a jar in whole cents; a `total` is what the shares before it make."""

    key: str
    amount: Decimal
    total: bool = False


@dataclass(frozen=True)
class Costed:
    """A batch in money.

    unpriced  names without a price: while there is one, nothing is added up
    jar       what one jar costs, share by share, as far as prices are known
    complete  whether all of it is known
    price     None while a price is missing, or fees and margin leave nothing (`problem` says so)
    """

    lines: tuple[CostLine, ...]
    unpriced: tuple[str, ...]
    jar: JarCost
    rates: Rates
    complete: bool = False
    price: SalePrice | None = None
    problem: str = ""


def per_gram_of(item: Any, shelf: Shelf) -> PerGram:
    """Cost of a gram of a thing by the prices of the shelf; a base she cooks is summed from its lines.

    A price that was ever paid for a base of that name says nothing of what she cooks herself.
    """
    if not isinstance(item, Base) or not item.lines:
        price = getattr(item, "price", None)
        return of_pack(price, getattr(item, "price_per_g", None), "your shelf", _name(item))
    total, wasted, unpriced = Decimal(0), Decimal(0), []
    for line in item.lines:
        inside = shelf.find(line.ingredient) if shelf.has(line.ingredient) else None
        each = per_gram_of(inside, shelf) if inside is not None else PerGram(None)
        if each.money is None:
            unpriced.append(_name(inside) or line.ingredient.id)
        else:
            total += each.money * money(line.pct) / 100
            wasted += each.wasted * money(line.pct) / 100
    basis = "raw materials by its formula; no work and no loss in the pot, as no lot of it was cooked"
    return PerGram(None if unpriced else total, basis, tuple(unpriced), wasted)


def of_pack(price: Price | None, per_g: float | None, basis: str, name: str = "") -> PerGram:
    """Cost of a gram out of a pack, with what of it pays for the rest of the pack; unpriced without a price.

    per_g  price of a gram where no pack is known; name  what is told where there is no price at all
    """
    each = of_price(price, per_g)
    if each is None:
        return PerGram(None, "", (name,))
    return PerGram(each, basis, wasted=each * waste_of(price))


def _name(item: Any) -> str:
    return str(getattr(item, "name", ""))


def price_plan(
    plan: Plan,
    shelf: Shelf,
    rates: Rates,
    lots: Mapping[str, PerGram] | None = None,
    jar_id: str = "",
    carriers: Mapping[str, Ref] | None = None,
) -> Costed:
    """Cost of every line, of a jar, and the price.

    lots      "kind:id" -> cost of a gram of the lot that is taken; the shelf answers for the rest
    jar_id    the jar that is filled; its price is one of those that must be known
    carriers  "kind:id" of what is weighed through a dilution -> what it is diluted in
    """
    names = {line.item: line.name for line in plan.lines}
    lines = []
    for item, mass in plan.pure_g.items():
        each = (lots or {}).get(item) or per_gram_of(shelf.today(*item.split(":", 1)), shelf)
        lines.append(_line(item, names[item], mass, each))
    lines += _carriers(plan, shelf, carriers or {})
    return costed(tuple(lines), plan.jars, rates, glass_price(shelf, jar_id) if jar_id else Decimal(0))


def carriers_of(design: Design) -> dict[str, Ref]:
    """What each diluted thing of a design is diluted in, by its "kind:id"."""
    return {f"{part.of.kind}:{part.of.id}": part.carrier for part in design.batch.dilutions}


def carrier_price(carrier: Ref | None, of: str, shelf: Shelf) -> tuple[str, PerGram]:
    """What something of a name is diluted in, in words, and the cost of a gram of that by the shelf.

    carrier  None = it is not known what that is
    """
    item = shelf.today(carrier.kind, carrier.id) if carrier is not None else None
    name = item.name if item is not None else "carrier"
    return f"{name} in the dilution of {of}", per_gram_of(item, shelf)


def _carriers(plan: Plan, shelf: Shelf, carriers: Mapping[str, Ref]) -> Iterator[CostLine]:
    """What comes along in dilutions, each by what is diluted in it."""
    grams: dict[str, float] = {}
    for line in plan.lines:
        if line.carrier_g > 0:
            grams[line.item] = grams.get(line.item, 0.0) + line.carrier_g
    names = {line.item: line.name for line in plan.lines}
    for item, mass in grams.items():
        carrier = carriers.get(item)
        key = f"{carrier.kind}:{carrier.id}" if carrier is not None else ""
        name, each = carrier_price(carrier, names[item], shelf)
        yield _line(key, name, mass, each)


def _line(item: str, name: str, mass: float, each: PerGram) -> CostLine:
    if each.money is not None:
        return CostLine(item, name, money(mass) * each.money, each.basis, money(mass) * each.wasted)
    inside = [part for part in each.unpriced if part and part != name]
    return CostLine(item, name, None, f"no price of {', '.join(inside)}" if inside else "no price")


def glass_price(shelf: Shelf, jar_id: str) -> Decimal | None:
    """What a jar with its lid costs; None = not known."""
    each = getattr(shelf.today("jar", jar_id), "price_each", None)
    return None if each is None else money(each)


def costed(lines: tuple[CostLine, ...], jars: int, rates: Rates, glass: Decimal | None) -> Costed:
    """Cost and price of one jar from the lines of its batch and her rates.

    jars   that the batch fills; glass  price of a jar with its lid, None = not known
    """
    unpriced = [line.name for line in lines if line.cost is None]
    unpriced += ["jar with lid"] if glass is None and not rates.packaging else []
    jar = per_jar(
        sum((line.cost for line in lines if line.cost is not None), Decimal(0)),
        max(jars, 1),
        rates.packaging + (glass or 0),
        rates.label,
        rates.minutes,
        rates.per_h,
        rates.overhead,
        rates.parcel,
    )
    told = Costed(lines, tuple(unpriced), jar, rates)
    return told if unpriced or jars < 1 else _sold(told)


def _sold(told: Costed) -> Costed:
    rates = told.rates
    try:
        price = price_from_margin(told.jar.total, rates.margin, rates.fee, rates.fixed_fee, rates.vat)
    except NoPrice as problem:
        return replace(told, complete=True, problem=str(problem))
    return replace(told, complete=True, price=price)


def composition(told: Costed) -> tuple[Share, ...]:
    """The price of a jar from its first cent to the shelf, in whole cents that add up.

    Each share is the cents between two running sums, so that what is printed sums to the shelf price.
    While something has no price there is no total.
    """
    jar = list(told.jar._asdict().items())
    if not told.complete:
        return tuple(Share(key, cents(amount)) for key, amount in jar if amount)
    return tuple(_running([*jar, ("cost", None), *_price_shares(told)]))


def own_shares(told: Costed) -> tuple[Share, ...]:
    """What becomes of her own price on the shelf: "cost", "fees", "vat", "left", in cents that make it up."""
    rates, own = told.rates, told.rates.own_price
    left = left_of_price(told.jar.total, own, rates.fee, rates.fixed_fee, rates.vat)
    fees, vat = rates.fee * own + rates.fixed_fee, own - own / (1 + rates.vat)
    return tuple(_running([("cost", told.jar.total), ("fees", fees), ("vat", vat), ("left", left)]))


def _price_shares(told: Costed) -> Iterator[tuple[str, Decimal | None]]:
    """Fees and margin up to the price before VAT, then VAT up to the shelf; nothing without a margin."""
    rates, price = told.rates, told.price
    if price is None or not rates.margin:
        return
    yield "fixed_fee", rates.fixed_fee
    yield "fee", rates.fee * price.gross
    yield "margin", rates.margin * price.net
    yield "net", None
    yield "vat", rates.vat * price.net
    yield "gross", None


def _running(steps: Sequence[tuple[str, Decimal | None]]) -> Iterator[Share]:
    """Shares and totals; an amount of None asks for the total so far."""
    whole = shown = Decimal(0)
    for key, amount in steps:
        if amount is None:
            yield Share(key, shown, total=True)
            continue
        whole += amount
        part = cents(whole) - shown
        shown += part
        if amount:
            yield Share(key, part)

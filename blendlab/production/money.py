"""What a jar costs and sells for, as rows and sentences."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from blendlab.batch import Costed, Plan, Rates, price_plan
from blendlab.batch.cost import break_even_jars, cents, markup_of_margin
from blendlab.batch.pricing import carriers_of, composition, own_shares
from blendlab.errors import BlendlabError, counted
from blendlab.facts.read import figure
from blendlab.production import sales
from blendlab.production.costs import Prices
from blendlab.production.judgement import Lots
from blendlab.production.settings import Settings
from blendlab.recipe import Design
from blendlab.shelf import Base, Shelf
from blendlab.store import BatchPage, Book

NOT_IN = "no price: not in the sum"
OFF = {"cost": "of cost", "fees": "of fees", "vat": "of VAT"}
"""What goes off her own price, in words."""


class Row(NamedTuple):
    """One row of money in words; a total is what the rows before it make."""

    name: str
    amount: str
    total: bool = False


def costs(made: Plan, design: Design, shelf: Shelf, kept: Settings, book: Book, lots: Lots) -> Costed:
    """What a jar of a design costs and sells for by its batch sheet, with the lots that are taken."""
    prices, weighed = Prices(book, shelf, kept.rates, kept.currency), made.pure_g
    own = {
        item: prices.of_mixed(lots[item], grams) if lots.get(item) else prices.of_item(item)
        for item, grams in weighed.items()
    }
    return price_plan(made, shelf, kept.rates, own, design.jar.id, carriers_of(design))


def cost_rows(told: Costed, kept: Settings) -> list[Row]:
    """The price of a jar from its material to the shelf; where prices are missing, how many, and no sum."""
    names = _names(told)
    rows = [
        Row(names[share.key], f"{share.amount} {kept.currency}", share.total) for share in composition(told)
    ]
    if told.unpriced:
        count = len(told.unpriced)
        rows.append(Row(f"{count} more {'thing' if count == 1 else 'things'}", NOT_IN))
    return rows


def _names(told: Costed) -> dict[str, str]:
    rates, priced = told.rates, sum(line.cost is not None for line in told.lines)
    return {
        "material": f"Material, {priced} of {len(told.lines)} lines" if told.unpriced else "Material",
        "jar": "Jar with lid",
        "label": "Label and seal",
        "parcel": "Parcel",
        "work": f"Work, {rates.minutes.normalize():f} min a batch",
        "overhead": "Overhead",
        "cost": "A jar costs",
        "fixed_fee": "Fee of a sale",
        "fee": f"Fee, {_pct(rates.fee)} of the price on the shelf",
        "margin": f"Margin, {_pct(rates.margin)} of the price before VAT",
        "net": "Price before VAT",
        "vat": f"VAT, {_pct(rates.vat)} of the price before VAT",
        "gross": "Price on the shelf",
    }


def _pct(share: Decimal) -> str:
    return f"{(share * 100).normalize():f} %"


def price_words(told: Costed, kept: Settings) -> list[str]:
    """What is missing in a price and what it means: margin and mark-up with what they are taken on."""
    if told.unpriced:
        return [f"No price, so no sum: {', '.join(told.unpriced)}. Enter them on the Shelf, Prices."]
    rates, said = told.rates, []
    left_out = [name for name, there in _left_out(rates) if not there]
    if left_out:
        said.append(f"Not entered, so not in it: {', '.join(left_out)}.")
    if rates.own_price:
        said.append(_own_price(told, kept))
    if told.problem:
        return [*said, told.problem]
    if told.price is None or not rates.margin:
        return said
    markup = 100 * markup_of_margin(rates.margin)
    on = "on cost and fees" if rates.fee or rates.fixed_fee else "on the cost"
    said.append(
        f"The margin of {_pct(rates.margin)} of the price before VAT is a mark-up of {markup:.1f} % {on}."
    )
    if kept.fixed_per_year:
        spent = told.price.net * (1 - rates.margin)
        count = break_even_jars(kept.fixed_per_year, told.price.net, spent)
        said.append(f"{count} jars a year earn the fixed {cents(kept.fixed_per_year)} {kept.currency}.")
    return said


def _own_price(told: Costed, kept: Settings) -> str:
    """What her own price on the shelf leaves of a jar, as money and as a margin, and what goes off it."""
    rates, amounts = told.rates, {share.key: share.amount for share in own_shares(told)}
    left, currency = amounts.get("left", Decimal(0)), kept.currency
    off = ", ".join(f"{amounts[key]} {currency} {name}" for key, name in OFF.items() if key in amounts)
    said = f"At {cents(rates.own_price)} {currency} on the shelf"
    if left < 0:
        return f"{said} each jar loses {-left} {currency}; off it go {off}."
    of_net = 100 * left * (1 + rates.vat) / rates.own_price
    return f"{said} {left} {currency} of a jar stay, {of_net:.1f} % of the price before VAT; off it go {off}."


def _left_out(rates: Rates) -> list[tuple[str, bool]]:
    return [("your work", bool(rates.minutes and rates.per_h)), ("label and seal", bool(rates.label))]


def line_rows(told: Costed, kept: Settings) -> list[Row]:
    """Each line of a batch in money with how its price is known, what stays in packs, and what they make.

    The cents are those between two running sums, so that what is shown adds up.
    """
    known = [(line.name, line.cost - line.wasted, line.basis) for line in told.lines if line.cost is not None]
    rows, whole, shown = [], Decimal(0), Decimal(0)
    if wasted := sum((line.wasted for line in told.lines if line.cost is not None), Decimal(0)):
        usual = figure("batch", "waste")
        known.append((
            "What stays in packs",
            wasted,
            f"{100 * usual.value:g} % of a pack unless its price says otherwise ({usual.source})",
        ))  # fmt: skip
    for name, cost, basis in known:
        whole += cost
        part = cents(whole) - shown
        shown += part
        rows.append(Row(name, f"{part} {kept.currency} a batch; {basis}"))
    rows += [Row(line.name, f"{line.basis}: not in the sum") for line in told.lines if line.cost is None]
    if known:
        rows.append(Row(_names(told)["material"], f"{shown} {kept.currency} a batch", total=True))
    return rows


def made_words(book: Book, page: BatchPage, shelf: Shelf, kept: Settings) -> str:
    """What the jars of a batch cost as they were made: what was drawn, over the jars it made."""
    jars = sales.made(page)
    if page.line.kind != "jars" or not page.filled_g or not jars:
        return ""
    try:
        taken = Prices(book, shelf, kept.rates, kept.currency).spent(page.line.code)
    except BlendlabError as problem:
        return str(problem)
    if taken.unpriced:
        return f"no price, so no sum: {', '.join(taken.unpriced)}"
    each = f"{cents(taken.material / jars)} {kept.currency}"
    packs = ", with what stays in packs" if taken.wasted else ""
    return f"{each} went into each of {counted(jars, 'jar')}{packs}, without glass, label and finishing"


def base_words(base: Base, book: Book, shelf: Shelf, kept: Settings) -> str:
    """What a kilogram of a base she cooks costs: by the lot she cooked last, else by its formula."""
    each = Prices(book, shelf, kept.rates, kept.currency).of_item(f"base:{base.id}")
    if each.money is None:
        return f"no price of {', '.join(each.unpriced)}"
    return f"{cents(each.money * 1000)} {kept.currency} a kg; {each.basis}"

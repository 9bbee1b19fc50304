"""What a jar costs and what it must sell for. Money is Decimal, in the one currency of the folder.

All costs are net of the tax that comes back.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import NamedTuple

from blendlab.errors import BlendlabError, OutOfRange
from blendlab.facts.read import figure
from blendlab.shelf import Price

Figure = Decimal | float | int | str
CENT = Decimal("0.01")


class NoPrice(BlendlabError, ValueError):
    """Fees and margin leave nothing of the price for the costs."""

    def __init__(self, left: Decimal) -> None:
        self.left = left
        super().__init__(
            f"Fees and margin take the whole price ({left * 100:.1f} % is left for the costs). "
            "Lower one of them."
        )


def money(value: Figure) -> Decimal:
    """A figure as Decimal, by what it shows and not by its binary value.

    >>> money(0.1) + money(0.2)
    Decimal('0.3')
    """
    return value if isinstance(value, Decimal) else Decimal(str(value))


def cents(value: Figure) -> Decimal:
    """Money rounded to cents, half up, for showing.

    >>> cents(3.61075)
    Decimal('3.61')
    """
    return money(value).quantize(CENT, ROUND_HALF_UP)


def per_gram(
    pack_price: Figure, pack_g: Figure, shipping: Figure = 0, tax: Figure = 0, waste: Figure = 0
) -> Decimal:
    """Cost of a gram that reaches a jar: (price + shipping + tax) / (grams x (1 - waste)).

    >>> round(per_gram(48, 4540, 6.5, 0, 0.03), 7)
    Decimal('0.0123757')
    """
    if not 0 <= money(waste) < 1:
        raise OutOfRange("Waste", float(waste), 0, 1, "of the pack")
    return (money(pack_price) + money(shipping) + money(tax)) / (money(pack_g) * (1 - money(waste)))


def of_price(price: Price | None, per_g: float | None) -> Decimal | None:
    """Cost of a gram from a pack, else from a price per gram; None = unknown, never 0."""
    if price is not None:
        return per_gram(price.pack_price, price.pack_g, price.shipping, price.tax, waste_of(price))
    return None if per_g is None else money(per_g) / (1 - waste_of(price))


def waste_of(price: Price | None) -> Decimal:
    """Share of what a gram costs that pays for what stays in the pack: of its price, else common practice.

    >>> waste_of(None), waste_of(Price(pack_price=9.0, pack_g=100.0, waste=0.1))
    (Decimal('0.03'), Decimal('0.1'))
    """
    own = None if price is None else price.waste
    return money(figure("batch", "waste").value if own is None else own)


class JarCost(NamedTuple):
    """What one filled jar costs, share by share, in the order it is read."""

    material: Decimal
    jar: Decimal
    label: Decimal
    parcel: Decimal
    work: Decimal
    overhead: Decimal

    @property
    def total(self) -> Decimal:
        """All of it."""
        return sum(self, Decimal(0))


def per_jar(
    materials: Figure,
    jars_filled: int,
    packaging: Figure = 0,
    label: Figure = 0,
    labour_minutes: Figure = 0,
    labour_per_h: Figure = 0,
    overhead: Figure = 0,
    parcel: Figure = 0,
) -> JarCost:
    """Cost of a filled jar; batch costs are divided by the jars that were filled.

    materials, labour_minutes, overhead  of the batch; packaging, label, parcel  of one jar

    >>> round(per_jar(31, 31, 0.92, 0.18, 95, 22, 12).total, 5)
    Decimal('3.61075')
    """
    if jars_filled < 1:
        raise OutOfRange("Jars filled", jars_filled, 1, 1e6, "jars")
    return JarCost(
        money(materials) / jars_filled,
        money(packaging),
        money(label),
        money(parcel),
        work(labour_minutes, labour_per_h) / jars_filled,
        money(overhead) / jars_filled,
    )


def work(minutes: Figure, per_h: Figure) -> Decimal:
    """What minutes of her work cost.

    >>> work(90, 20)
    Decimal('30')
    """
    return money(minutes) * money(per_h) / 60


class SalePrice(NamedTuple):
    """A price without and with VAT."""

    net: Decimal
    gross: Decimal


def price_from_margin(
    cost: Figure, margin: Figure, fee: Figure = 0, fixed_fee: Figure = 0, vat: Figure = 0
) -> SalePrice:
    """Price that leaves a margin on the net price; fees are a share of the gross price.

    P = (C + fix) / (1 - f (1 + v) - m); raises NoPrice when nothing is left for the costs.

    >>> price = price_from_margin(3.6108, 0.4, 0.095, 0.45, 0.2)
    >>> round(price.net, 3), round(price.gross, 2)
    (Decimal('8.356'), Decimal('10.03'))
    """
    left = 1 - money(fee) * (1 + money(vat)) - money(margin)
    if left <= 0:
        raise NoPrice(left)
    net = (money(cost) + money(fixed_fee)) / left
    return SalePrice(net, net * (1 + money(vat)))


def left_of_price(
    cost: Figure, gross: Figure, fee: Figure = 0, fixed_fee: Figure = 0, vat: Figure = 0
) -> Decimal:
    """What of a price on the shelf is left of a jar after VAT, fees and cost; less than 0 for a loss.

    >>> left_of_price(3, 12, 0.1, 0.3, 0.2)
    Decimal('5.5')
    """
    net = money(gross) / (1 + money(vat))
    return net - money(cost) - money(fixed_fee) - money(fee) * money(gross)


def markup_of_margin(margin: Figure) -> Decimal:
    """Mark-up on the cost that a margin on the price is: m / (1 - m).

    >>> round(markup_of_margin(0.4), 4)
    Decimal('0.6667')
    """
    if not money(margin) < 1:
        raise OutOfRange("Margin", float(margin), -1e9, 1, "of the net price")
    return money(margin) / (1 - money(margin))


def margin_of_markup(markup: Figure) -> Decimal:
    """Margin on the price that a mark-up on the cost is: u / (1 + u).

    >>> margin_of_markup(1.5)
    Decimal('0.6')
    """
    if not money(markup) > -1:
        raise OutOfRange("Mark-up", float(markup), -1, 1e9, "of the cost")
    return money(markup) / (1 + money(markup))


def break_even_jars(fixed: Figure, net_price: Figure, variable: Figure) -> int:
    """Jars to sell before a fixed cost is earned.

    >>> break_even_jars(780, 11.5, 5.6)
    133
    """
    each = money(net_price) - money(variable)
    if each <= 0:
        raise NoPrice(each / money(net_price))
    return int((money(fixed) / each).quantize(Decimal(1), ROUND_CEILING))


def make_or_buy_kg(buy_per_kg: Figure, make_per_kg: Figure, make_fixed_per_year: Figure) -> Decimal | None:
    """Kilograms a year from which making the base is cheaper; None = never.

    >>> round(make_or_buy_kg(11.8, 6.9, 620), 3)
    Decimal('126.531')
    """
    gain = money(buy_per_kg) - money(make_per_kg)
    return money(make_fixed_per_year) / gain if gain > 0 else None

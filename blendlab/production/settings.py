"""What holds for every batch of her folder: currency, units, rates, maker."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from decimal import Decimal, InvalidOperation
from typing import Any, NamedTuple

from blendlab import store
from blendlab.batch import Maker, Rates
from blendlab.batch.cost import margin_of_markup, markup_of_margin
from blendlab.errors import BlendlabError
from blendlab.facts.read import figure

MOST_MONEY = Decimal(10) ** 9
MOST_MONTHS = 120

SHARES = ("fee", "vat", "margin")
"""Rates that are shares of a price; typed as percent."""


class Lasting(NamedTuple):
    """Months that jars of a product kind last: closed and after opening; `own`: closed by her own tests."""

    closed: int
    opened: int
    own: bool


@dataclass(frozen=True)
class Settings:
    """What holds for every batch of the folder.

    weigh_in, heat_in  words only: grams and degrees C stay the master
    closed, opened     product kind -> months that its jars last by her own tests
    """

    currency: str = store.CURRENCY
    weigh_in: str = "g"
    heat_in: str = "C"
    rates: Rates = field(default_factory=Rates)
    maker: Maker = field(default_factory=Maker)
    fixed_per_year: Decimal = Decimal(0)
    closed: Mapping[str, int] = field(default_factory=dict)
    opened: Mapping[str, int] = field(default_factory=dict)

    def lasting(self, product: str) -> Lasting:
        """Months that jars of a product kind last: hers, else common practice."""
        closed, opened = self.closed.get(product), self.opened.get(product)
        usual = int(figure("batch", "best_before_months").value)
        after = int(figure("batch", "open_months").value)
        return Lasting(closed or usual, opened or after, closed is not None)


def settings(folder: store.Folder) -> Settings:
    """The settings of a folder; what cannot be read takes its default."""
    try:
        plain = store.read_settings(folder)
    except BlendlabError:
        plain = {}
    known, own = plain.get("rates", {}), plain.get("maker", {})
    rates = Rates(**{rate.name: _money(known.get(rate.name)) for rate in fields(Rates)})
    maker = Maker(**{leaf.name: own.get(leaf.name, "") for leaf in fields(Maker)})
    words = {key: str(plain[key]) for key in ("currency", "weigh_in", "heat_in") if plain.get(key)}
    fixed = _money(plain.get("fixed_per_year"))
    closed, opened = _months(plain.get("closed", {})), _months(plain.get("opened", {}))
    return Settings(**words, rates=rates, maker=maker, fixed_per_year=fixed, closed=closed, opened=opened)


def _months(kept: Mapping[str, str]) -> dict[str, int]:
    """Whole months of each product kind; what is no such number is left out."""
    return {
        kind: int(text) for kind, text in kept.items() if text.isdecimal() and 0 < int(text) <= MOST_MONTHS
    }


def _money(text: Any) -> Decimal:
    try:
        figure = Decimal(str(text))
    except InvalidOperation:
        return Decimal(0)
    return figure if figure.is_finite() and abs(figure) <= MOST_MONEY else Decimal(0)


def set_setting(folder: store.Folder, path: str, value: str) -> str:
    """Write one setting, such as "currency" or "rates.minutes"; "" or what went wrong."""
    try:
        plain = store.read_settings(folder)
        stem, _, leaf = path.rpartition(".")
        inner = {**plain.get(stem, {}), leaf: value} if stem else value
        store.save_settings(folder, {**plain, stem or leaf: inner})
    except BlendlabError as problem:
        return str(problem)
    return ""


def shown_rate(value: Decimal, share: bool) -> float:
    """A rate as it is typed: shares as percent."""
    return float(value * 100 if share else value)


def set_rate(folder: store.Folder, leaf: str, figure: float, share: bool) -> str:
    """Write one of her rates; shares come as percent. "" or what went wrong."""
    typed = Decimal(repr(figure))
    return set_setting(folder, f"rates.{leaf}", str(typed / 100 if share else typed))


def shown_markup(rates: Rates) -> float:
    """The mark-up on the cost that her margin is, as percent."""
    return float(100 * markup_of_margin(rates.margin))


def set_markup(folder: store.Folder, pct: float) -> str:
    """Write the margin that a mark-up on the cost is [%]; "" or what went wrong."""
    return set_setting(folder, "rates.margin", str(margin_of_markup(Decimal(repr(pct)) / 100)))


def set_months(folder: store.Folder, which: str, product: str, months: float) -> str:
    """Write how many whole months jars of a product kind last; "" or what went wrong.

    which  "closed" or "opened"
    """
    if months != int(months):
        return f"{months:g} months: a label counts whole months."
    return set_setting(folder, f"{which}.{product}", str(int(months)))

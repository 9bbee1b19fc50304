"""What holds for every batch of her folder: currency, units, rates, maker."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from decimal import Decimal, InvalidOperation
from typing import Any

from blendlab import store
from blendlab.batch import Maker, Rates
from blendlab.batch.cost import margin_of_markup, markup_of_margin
from blendlab.errors import BlendlabError

MOST_MONEY = Decimal(10) ** 9


SHARES = ("fee", "vat", "margin")
"""Rates that are shares of a price; typed as percent."""


@dataclass(frozen=True)
class Settings:
    """What holds for every batch of the folder.

    weigh_in, heat_in  words only: grams and degrees C stay the master
    """

    currency: str = "EUR"
    weigh_in: str = "g"
    heat_in: str = "C"
    rates: Rates = field(default_factory=Rates)
    maker: Maker = field(default_factory=Maker)
    fixed_per_year: Decimal = Decimal(0)


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
    return Settings(**words, rates=rates, maker=maker, fixed_per_year=fixed)


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

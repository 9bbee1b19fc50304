"""A judged design -> the batch on the bench: sheet, money, label, prints, her settings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from blendlab import batch, printing, store, units
from blendlab.assess import Assessment
from blendlab.batch import Costed, Family, Label, Line, Maker, Plan, Rates
from blendlab.batch.cost import NoPrice, break_even_jars, cents
from blendlab.batch.record import lasts
from blendlab.batch.weighing import least as smallest
from blendlab.codec import decode
from blendlab.errors import BlendlabError, Finding, UnknownName, worst_first
from blendlab.facts.read import figure
from blendlab.production import kitchen_log
from blendlab.shelf import Jar, Resolved, Scale, Shelf
from blendlab.store import BatchPage, Book, LotLine

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


def findings(made: Plan, stock: Mapping[str, float]) -> tuple[Finding, ...]:
    """What is unwise about a batch, the stock of the book included."""
    return worst_first((*made.findings, *batch.stock_findings(made, stock)))


def families(book: Book) -> tuple[Family, ...]:
    """The assessments in the book, the newest first."""
    found = [decode(Family, entry.data) for entry in store.families(book)]
    return tuple(sorted(found, key=lambda family: family.on, reverse=True))


def assessed_by(assessed: Assessment, known: Iterable[Family]) -> tuple[Finding, ...]:
    """Findings of a design that no assessment covers: those of the one that covers it best.

    None while base or jar are missing: that is a stop by itself.
    """
    resolved, pct = assessed.resolved, None
    if resolved is None:
        return ()
    if assessed.plan is not None and assessed.plan.preservative is not None:
        pct = assessed.plan.preservative.low_pct
    product = resolved.design.product
    outside = [batch.outside(resolved, family, pct) for family in known if family.product == product]
    return min(outside, key=len) if outside else batch.outside(resolved, None)


def costs(made: Plan, shelf: Shelf, rates: Rates, jar_id: str) -> tuple[Costed | None, str]:
    """What a jar costs and sells for; None with a sentence when no price can be found."""
    try:
        whole = batch.with_jar(rates, shelf, jar_id)
        return batch.price_plan(made, shelf, whole), ""
    except (NoPrice, UnknownName) as problem:
        return None, str(problem)


def cost_rows(made: Plan, told: Costed, kept: Settings, jar_id: str, shelf: Shelf) -> list[tuple[str, str]]:
    """What one jar costs and sells for, as rows of words and money."""
    rates, jars = batch.with_jar(kept.rates, shelf, jar_id), max(made.jars, 1)
    work = rates.minutes / 60 * rates.per_h / jars
    rows = [
        (
            "Material" + (", what is priced" if told.unknown else ""),
            sum(told.lines.values(), Decimal(0)) / jars,
        )
    ]
    rows += [("Jar, lid, label", rates.packaging + rates.label), ("Parcel", rates.parcel)]
    rows += [(f"Work, {rates.minutes:f} min a batch", work), ("Overhead", rates.overhead / jars)]
    if told.per_jar is not None:
        rows.append(("Together", told.per_jar))
    if told.price is not None and rates.margin:
        rows += [("Price before VAT", told.price.net), ("Price with VAT", told.price.gross)]
    return [(name, f"{cents(one)} {kept.currency}") for name, one in rows if one]


def price_words(told: Costed, kept: Settings) -> list[str]:
    """What a price means: margin and mark-up by name, jars to sell before the fixed costs are earned."""
    said = []
    if told.unknown:
        said.append(f"Price not known: {', '.join(told.unknown)}. No sum before they are.")
    if told.price is None or not told.margin:
        return said
    markup = f"a mark-up of {told.markup * 100:.1f} % on the cost"
    said.append(f"Margin {told.margin * 100:.0f} % of the net price, {markup}.")
    if kept.fixed_per_year and told.per_jar is not None and told.price.net > told.per_jar:
        count = break_even_jars(kept.fixed_per_year, told.price.net, told.per_jar)
        said.append(f"{count} jars a year earn the fixed {cents(kept.fixed_per_year)} {kept.currency}.")
    return said


def label(
    assessed: Assessment,
    resolved: Resolved,
    made: Plan,
    market: str,
    who: Maker,
    barred: Iterable[Finding] = (),
    page: BatchPage | None = None,
    base_lot: LotLine | None = None,
    expiries: Iterable[date | None] = (),
) -> Label:
    """The label of one market; what stops the design from sale holds it back too.

    page  the batch in the book that the label is for; None = none was started
    """
    names = assessed.labels.get(market)
    made_on = page.line.made_on if page else None
    ordered = base_lot.data.get("in_order") if base_lot else None
    months = int(figure("batch", "best_before_months").value)
    told = batch.label(
        resolved,
        made,
        market,
        allergens=tuple(one.name for one in names.names) if names else (),
        weighed_g=page.filled_g if page else (),
        code=page.line.code if page else "",
        made_on=made_on,
        best_before=lasts(made_on, months, expiries) if made_on else None,
        maker=who,
        in_order={name: (pair[0], pair[1]) for name, pair in ordered.items()} if ordered else None,
        barred=(*(one for one in assessed.findings if one.level == "stop"), *barred),
    )
    warnings = tuple(dict.fromkeys((*told.warnings, *assessed.warnings)))
    return replace(told, warnings=warnings, findings=worst_first(told.findings))


def label_of_batch(
    book: Book,
    assessed: Assessment,
    resolved: Resolved,
    made: Plan,
    market: str,
    who: Maker,
    page: BatchPage | None,
    base_lot: LotLine | None,
) -> Label:
    """The label of a design as it was made, or as it is planned where no batch was started.

    Held back by every stop of the batch and by what no assessment covers.
    """
    plan = page.now if page else made
    stops = [finding for finding in plan.findings if finding.level == "stop"]
    barred = (*stops, *assessed_by(assessed, families(book)))
    ends = kitchen_log.expiries(book, page) if page else ()
    return label(assessed, resolved, plan, market, who, barred, page, base_lot, ends)


def ordered(told: Label) -> bool:
    """Whether the order of the ingredient list is known."""
    return not any(one.id in ("label-unknown", "label-order") for one in told.ingredients.findings)


def least(scale: Scale) -> tuple[float, float]:
    """Smallest sensible amount on a scale: of an ordinary line, of a protected one [g]."""
    return smallest(scale.step_g), smallest(scale.step_g, protected=True)


def grams(value: float, step_g: float) -> str:
    """Grams with as many decimals as the scale shows, thousands with a thin space.

    >>> grams(1976.0, 1), grams(8.4, 0.01)
    ('1\u2009976', '8.40')
    """
    return units.on_scale(value, step_g, "\u2009")


def ounces(value: float, step_g: float) -> str:
    """The same mass in ounces, fine enough for the step of the scale.

    >>> ounces(453.6, 1), ounces(8.42, 0.01)
    ('16.00', '0.2970')
    """
    places = 2 if step_g >= 1 else 3 if step_g >= 0.1 else 4
    return f"{units.convert(value, 'g', 'oz'):,.{places}f}".replace(",", "\u2009")


def sheet_pdf(made: Plan, code: str, on: date, base: str, heat_in: str = "C") -> bytes:
    """The batch sheet on A4; heat_in  "C" or "F"."""
    return printing.sheet_pdf(made, code, on, base, heat_in)


def cups_pdf(made: Plan, code: str) -> bytes:
    """A label of 50 x 25 mm for each cup."""
    cups: list[tuple[str, str]] = [
        (cup, f"{grams(sum(one.grams for one in lines), min(one.step_g for one in lines))} g")
        for cup, lines in made.cups.items()
    ]
    return printing.cups_pdf(cups, code, made.title)


def label_pdf(told: Label, name: str, glass: Jar) -> bytes:
    """The jar label at true size; nothing while the label is held back."""
    return printing.label_pdf(told, name, glass.outer_mm, glass.height_mm)


def portion_lines(made: Plan) -> tuple[str, ...]:
    """What is taken of the bowl for each tone, in words."""
    return tuple(
        f"{one.name}: {'the rest, about ' if one.rest else ''}{one.take_g:.0f} g of the bowl"
        + (f" and {one.scent_g:g} g of the scent" if one.scent_g else "")
        for one in made.portions
    )


def line_grams(line: Line, unit: str) -> tuple[str, str]:
    """What stands big and what stands small behind it."""
    if unit == "oz":
        return ounces(line.grams, line.step_g), f"{grams(line.grams, line.step_g)} g"
    return grams(line.grams, line.step_g), ""

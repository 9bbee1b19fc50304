"""What a jar costs and sells for, as rows and sentences."""

from __future__ import annotations

from decimal import Decimal

from blendlab import batch
from blendlab.batch import Costed, Plan, Rates
from blendlab.batch.cost import break_even_jars, cents
from blendlab.errors import BlendlabError
from blendlab.production.settings import Settings
from blendlab.shelf import Shelf


def costs(made: Plan, shelf: Shelf, rates: Rates, jar_id: str) -> tuple[Costed | None, str]:
    """What a jar costs and sells for; None with a sentence when no price can be found."""
    try:
        whole = batch.with_jar(rates, shelf, jar_id)
        return batch.price_plan(made, shelf, whole), ""
    except BlendlabError as problem:
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
    return [(name, f"{cents(amount)} {kept.currency}") for name, amount in rows if amount]


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

"""How long a filled jar lasts, what sets it, and how a market has it said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from blendlab.batch.inci import found
from blendlab.errors import Finding
from blendlab.facts.labels import DateRule, date_rule


@dataclass(frozen=True)
class Bound:
    """One thing that ends a jar, on which day, in words that begin a sentence.

    kind  "rule", "base" or "lot"
    """

    last: date
    why: str
    kind: str = "rule"


@dataclass(frozen=True)
class Durability:
    """How long a batch lasts.

    last    last day of the month that a label names; None where no whole month is left
    set_by  the bound that sets it, in words; others  the first of each other kind
    text    what the label of the market says; "" where it can say no date
    symbol  months in the open jar of the market; 0 where it knows no such symbol
    """

    last: date | None
    set_by: str
    others: tuple[str, ...]
    text: str
    symbol: int
    findings: tuple[Finding, ...] = ()

    @property
    def words(self) -> str:
        """The date and the open jar as a text."""
        jar = f"open jar {self.symbol}M" if self.symbol and self.last else ""
        return "; ".join(part for part in (self.text, jar) if part)


def month_end(day: date) -> date:
    """Last day of the last month that is over by the end of a day.

    >>> month_end(date(2026, 7, 15)), month_end(date(2026, 7, 31))
    (datetime.date(2026, 6, 30), datetime.date(2026, 7, 31))
    """
    following = day + timedelta(days=1)
    return following.replace(day=1) - timedelta(days=1)


def durability(
    market: str, made_on: date, bounds: Sequence[Bound], opened_months: int, on: date
) -> Durability:
    """How long a batch lasts by the first of its bounds, never later and never in the past.

    bounds         at least one; a label names whole months, so a bound within a month ends the one before
    opened_months  months after opening; on  the day it is printed

    Raises UnknownName for the market.

    >>> rule = Bound(date(2027, 3, 31), "12 months for a finished jar")
    >>> durability("EU", date(2026, 3, 7), [rule], 6, date(2026, 3, 7)).text
    'Best used before the end of 03/2027'
    """
    rule = date_rule(market)
    first, *later = sorted(bounds, key=lambda bound: bound.last)
    last = month_end(first.last)
    next_of = {bound.kind: bound for bound in reversed(later) if bound.kind != first.kind}
    others = tuple(f"{bound.why}: {bound.last}" for bound in later if bound is next_of.get(bound.kind))
    symbol = opened_months if rule.symbol else 0
    if last < max(on, made_on):
        return Durability(None, f"{first.why}: {first.last}", others, "", symbol, (_over(first, on),))
    months = (last.year - made_on.year) * 12 + last.month - made_on.month
    dated = rule.above is None or months <= rule.above
    text = f"{rule.words} {last:%m/%Y}" if dated else ""
    findings = (_recalled(market, rule),) if dated and rule.known == "from_memory" else ()
    return Durability(last, f"{first.why}: {first.last}", others, text, symbol, findings)


def _recalled(market: str, rule: DateRule) -> Finding:
    """The note of a market whose words for a best before were not read again."""
    text = f"How {market} has a best before said is from memory: {rule.source}."
    fix = "Hold the words on the label against that text, or ask your assessor."
    return found("note", "label-date-words", "durability", text, fix, rule.source)


def _over(first: Bound, on: date) -> Finding:
    """The stop in the place of a date that lies in the past, or of less than a month."""
    over = first.last < on
    text = (
        f"No best before can be printed. {first.why}: {first.last}"
        f"{', which is over' if over else ', and no whole month is left before it'}."
    )
    return found("stop", "label-over", "durability", text, "Keep these jars as test jars; make new ones.")

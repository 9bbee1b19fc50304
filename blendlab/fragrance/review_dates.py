"""What has happened since a scent was last judged: new lots, new sheets, days that have passed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from blendlab.facts.allergens import list_days
from blendlab.facts.law import law_days
from blendlab.facts.products import product
from blendlab.facts.standards import current_amendment
from blendlab.fragrance.sheets import due, ordinal
from blendlab.shelf import Oil


@dataclass(frozen=True)
class Reason:
    """One reason to judge again: the day (None = not dated) and one sentence."""

    on: date | None
    text: str


def since(
    then: Mapping[str, Oil], now: Mapping[str, Oil], day: date, on: date, kind: str, markets: Sequence[str]
) -> tuple[Reason, ...]:
    """Reasons to judge a scent again that arose after `day` and up to `on`, oldest first.

    then  id -> oil as the design carries it; now: as it is on the shelf today

    >>> since({}, {}, date(2026, 7, 1), date(2026, 11, 25), "whipped_soap", ["EU"])[-1].text
    'EU: names on the label of a jar placed from 2026-08-01 follow another list.'
    """
    changed = [reason for key, old in then.items() if key in now for reason in _of_oil(old, now[key])]
    dated = [reason for reason in _days(then, kind, markets) if reason.on and day < reason.on <= on]
    return (*changed, *sorted(dated, key=lambda reason: reason.on or day))


def ahead(
    oils: Mapping[str, Oil], on: date, until: date, kind: str, markets: Sequence[str]
) -> tuple[Reason, ...]:
    """Days ahead on which a scent has to be judged again, soonest first."""
    days = [reason for reason in _days(oils, kind, markets) if reason.on and on < reason.on <= until]
    return tuple(sorted(days, key=lambda reason: reason.on or on))


def _of_oil(old: Oil, new: Oil) -> Iterator[Reason]:
    if old.lot != new.lot:
        text = f"{new.name}: lot {new.lot or '?'} in place of lot {old.lot or '?'}."
        yield Reason(new.received, text)
    before, after = old.sheet, new.sheet
    if before != after:
        what = (
            "no sheet any more" if after is None else f"a sheet of the {ordinal(after.amendment)} amendment"
        )
        yield Reason(after.issued if after else None, f"{new.name} has {what}.")
    if old.declaration != new.declaration:
        yield Reason(None, f"{new.name} has another declaration of allergens.")
    if old.constituents != new.constituents:
        yield Reason(None, f"{new.name} has another analysis.")


def _days(oils: Mapping[str, Oil], kind: str, markets: Sequence[str]) -> Iterator[Reason]:
    for oil in oils.values():
        if oil.expiry is not None:
            yield Reason(oil.expiry, f"Lot {oil.lot or '?'} of {oil.name} ends on {oil.expiry}.")
    current = ordinal(current_amendment().number)
    yield Reason(due(), f"From {due()} an existing scent needs sheets of the {current} amendment.")
    for day, name in law_days(product(kind).scopes):
        yield Reason(day, f"From {day} the law has another figure for {name}.")
    for market in markets:
        for day, sold in list_days(market):
            verb = "sold until" if sold else "placed from"
            text = f"{market}: names on the label of a jar {verb} {day} follow another list."
            yield Reason(day, text)

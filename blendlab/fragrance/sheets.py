"""What a supplier's sheet is worth on a given day: use it, use it with care, or stop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from blendlab.facts.law import peroxides
from blendlab.facts.read import figure
from blendlab.facts.standards import current_amendment
from blendlab.shelf import Oil, Sheet

State = Literal["use", "caution", "stop"]


@dataclass(frozen=True)
class Compliance:
    """Days from which an amendment counts: for new creations and for existing ones."""

    new_creations: date
    existing_creations: date


@dataclass(frozen=True)
class SheetState:
    """What holds for one oil in one category.

    oil        its name; `oil_id` its id
    word       the state in two or three words
    limit_pct  highest percent of the oil in the finished product; None = no usable figure
    text       one sentence that says why
    fix        what to do, or ""
    """

    oil: str
    oil_id: str
    state: State
    word: str
    limit_pct: float | None
    text: str
    fix: str = ""


def compliance_dates(notified: date, months_new: int, months_existing: int) -> Compliance:
    """Days that lie some months after a notification; the last day of a shorter month.

    >>> compliance_dates(date(2023, 6, 30), 9, 28).existing_creations
    datetime.date(2025, 10, 30)
    """
    return Compliance(_months_later(notified, months_new), _months_later(notified, months_existing))


def _months_later(day: date, months: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    following = date(year + (month == 11), (month + 1) % 12 + 1, 1)
    return min(date(year, month + 1, 1) + timedelta(days=day.day - 1), following - timedelta(days=1))


def due() -> date:
    """Day from which an existing scent needs a sheet of the current amendment."""
    current = current_amendment()
    dates = compliance_dates(current.notified, current.months_new, current.months_existing)
    return dates.existing_creations


def amendment_state(amendment: int | None, received: date | None, current: int) -> State:
    """State by amendment alone. Renewed: use. The two before: by the day the oil came. Older: stop.

    No sheet is a stop, with or without an analysis.

    >>> amendment_state(49, date(2024, 5, 1), 51), amendment_state(None, None, 51)
    ('caution', 'stop')
    """
    if amendment is None or amendment < figure("fragrance", "amendment.oldest_scheme").value:
        return "stop"
    if amendment >= current:
        return "use"
    return "caution" if received is not None and received <= due() else "stop"


def sheet_state(oil: Oil, on: date, category: str | None = None) -> SheetState:
    """State of an oil's sheet on one day, for one category or (None) for whatever it covers.

    >>> from blendlab.facts.library import demo_oils
    >>> [sheet_state(oil, date(2026, 11, 25), "9").word for oil in demo_oils()][-2:]
    ['in force', 'no sheet']
    """
    name = oil.name
    if oil.sheet is None:
        text = f"No sheet for {name}."
        return _stop(oil, "no sheet", text, "Ask the supplier for the certificate of this lot.")
    limit = None if category is None else oil.sheet.limits.get(category)
    if category is not None and limit is None:
        text = f"The sheet of {name} has no figure for category {category}: it is not for this use."
        return _stop(oil, "not for this use", text, "Choose another oil, or ask the supplier.")
    if oil.expiry is not None and oil.expiry < on:
        text = f"Lot {oil.lot or '?'} of {name} ended on {oil.expiry}."
        return _stop(oil, "lot ended", text, "Open a fresh lot.")
    return _by_amendment(oil, oil.sheet, limit)


def _by_amendment(oil: Oil, sheet: Sheet, limit: float | None) -> SheetState:
    current = current_amendment().number
    state = amendment_state(sheet.amendment, oil.received, current)
    told = f"The sheet of {oil.name} follows the {ordinal(sheet.amendment)} Amendment"
    renew = f"Ask for a sheet of the {ordinal(current)} Amendment."
    if state == "use":
        text = told + ("." if limit is None else f": up to {limit:g} % of the jar.")
        return SheetState(oil.name, oil.id, "use", "in force", limit, text)
    if state == "caution":
        text = f"{told}; the oil came before {due()}, so its figure still counts."
        return SheetState(oil.name, oil.id, "caution", "to renew", limit, text, renew)
    if sheet.amendment < figure("fragrance", "amendment.oldest_scheme").value:
        return _stop(oil, "too old", f"{told}; its old categories cannot be mapped.", renew)
    when = f"came on {oil.received}" if oil.received else "has no day of receipt"
    return _stop(oil, "to renew", f"{told} and the oil {when}; it needs a renewed sheet.", renew)


def _stop(oil: Oil, word: str, text: str, fix: str) -> SheetState:
    return SheetState(oil.name, oil.id, "stop", word, None, text, fix)


def older_scheme() -> str:
    """The last amendment whose categories cannot be mapped, and all before it, in words.

    >>> older_scheme()
    'the 48th Amendment or older'
    """
    return f"the {ordinal(int(figure('fragrance', 'amendment.oldest_scheme').value) - 1)} Amendment or older"


def ordinal(number: int) -> str:
    """A number in its order: 51st, 49th."""
    ending = "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def peroxide_state(value_mmol_l: float | None, limit_mmol_l: float) -> State:
    """State of a raw material by its peroxide value, mmol/l: it must lie below the limit.

    >>> peroxide_state(24, 20), peroxide_state(8, 20), peroxide_state(None, 20)
    ('stop', 'use', 'caution')
    """
    if value_mmol_l is None:
        return "caution"
    return "use" if value_mmol_l < limit_mmol_l else "stop"


def peroxide_rules(oil: Oil) -> tuple[tuple[str, float, str], ...]:
    """Peroxide rules that touch an oil: name of the material, highest mmol/l, source; tightest first.

    They speak of the raw material; none of them limits how much of it a product may hold.
    """
    rules = {peroxides()[cas] for cas in {oil.cas, *oil.constituents} & set(peroxides())}
    return tuple(sorted(rules, key=lambda rule: (rule[1], rule[0])))

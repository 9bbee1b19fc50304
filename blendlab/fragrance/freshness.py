"""How old an oil is: peroxide value of the lot, months since it was opened, the end of the lot.

Peroxide limits speak of the raw material, never of how much of it a jar may hold.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from blendlab.errors import Finding, Level
from blendlab.facts.allergens import by_name
from blendlab.facts.law import peroxides
from blendlab.facts.read import figure
from blendlab.fragrance.sheets import peroxide_rules, peroxide_state
from blendlab.shelf import Oil

PRACTICE = "common practice"
DAYS_A_MONTH = 365.25 / 12


def months(since: date, on: date) -> float:
    """Months between two days.

    >>> round(months(date(2025, 11, 25), date(2026, 11, 25)))
    12
    """
    return (on - since).days / DAYS_A_MONTH


def quick(oil: Oil) -> bool:
    """Whether an oil oxidises quickly: citrus, pine, tea tree and what is rich in their terpenes."""
    terpenes = set(peroxides()) - by_name()["Linalool"].cas
    held = sum(part.typical for cas, part in oil.constituents.items() if cas in terpenes)
    return oil.cas in peroxides() or held >= figure("fragrance", "open.quick_from_pct").value


def aged(name: str, oil: Oil, on: date) -> Iterator[Finding]:
    """What the age of one oil means for a jar made of it."""
    rules = peroxide_rules(oil)
    if rules:
        yield from _peroxide(name, oil, rules[0], on)
    since = oil.opened or oil.received
    most = figure("fragrance", "open.months_quick" if quick(oil) else "open.months_other").value
    if since is not None and months(since, on) > most:
        verb = "was opened" if oil.opened else "came"
        text = f"{name} {verb} on {since}, more than {most:.0f} months ago."
        yield _said(
            "caution", f"old.{oil.id}", oil, text, "Open a fresh bottle, or have its peroxides measured."
        )
    if oil.expiry is not None and 0 <= (oil.expiry - on).days <= figure("fragrance", "lot.soon_days").value:
        text = f"Lot {oil.lot or '?'} of {name} ends on {oil.expiry}; the jar may not outlive it."
        yield _said("caution", f"soon.{oil.id}", oil, text, "Open a fresh lot.")


def _said(level: Level, key: str, oil: Oil, text: str, fix: str, source: str = PRACTICE) -> Finding:
    return Finding(level, key, f"scent.oils.{oil.id}", text, fix, source)


def _peroxide(name: str, oil: Oil, rule: tuple[str, float, str], on: date) -> Iterator[Finding]:
    what, most, source = rule
    said = f"{what} as a raw material stays below {most:g} mmol/l of peroxides"
    value = oil.peroxide_mmol_l
    if value is None:
        return
    when = f" on {oil.peroxide_on}" if oil.peroxide_on else ""
    if peroxide_state(value, most) == "stop":
        text = f"{name} held {value:g} mmol/l of peroxides{when}; {said}."
        yield _said("stop", f"peroxide.{oil.id}", oil, text, "Do not use this lot.", source)
    elif (
        oil.peroxide_on is None
        or months(oil.peroxide_on, on) > figure("fragrance", "peroxide.fresh_months").value
    ):
        age = "has no date" if oil.peroxide_on is None else f"is of {oil.peroxide_on}"
        text = f"The peroxide value of {name}, {value:g} mmol/l, {age}; {said}."
        yield _said("caution", f"peroxide.{oil.id}", oil, text, "Have it measured again.", source)


def unmeasured(oils: Mapping[str, Oil]) -> Iterator[Finding]:
    """Oils that form peroxides and have no value on file: a caution for the quick ones, else a note."""
    open_ = {name: oil for name, oil in oils.items() if oil.peroxide_mmol_l is None and peroxide_rules(oil)}
    levels: tuple[Level, ...] = ("caution", "note")
    for level in levels:
        named = [name for name, oil in open_.items() if quick(oil) == (level == "caution")]
        if named:
            what, most, source = peroxide_rules(open_[named[0]])[0]
            text = (
                f"No peroxide value on file for {', '.join(named)}; as a raw material"
                f" {what.lower()} stays below {most:g} mmol/l. No limit for the jar."
            )
            fix = "Ask for the value of the lot."
            yield Finding(level, f"peroxide.{level}", "scent.oils", text, fix, source)

"""What a finished batch is called, how long it lasts, and how well it came out."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import NamedTuple

from blendlab.errors import Finding, OutOfRange
from blendlab.facts.read import figure
from blendlab.recipe import slug

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Sequence letters of a day; I and O look like digits."""
LONGEST_SKU = 20


def batch_code(made: date, sequence: int | str, sku: str = "") -> str:
    """Code of a batch: year, day of the year, letter of the day, product.

    sequence  0 for the first batch of the day, or its letter

    >>> batch_code(date(2026, 3, 7), 0, "ROSE120")
    '26066A-ROSE120'
    """
    if isinstance(sequence, str):
        letter = sequence
        at = LETTERS.find(sequence) if len(sequence) == 1 else -1
    else:
        at = sequence
        letter = LETTERS[at] if 0 <= at < len(LETTERS) else ""
    if not 0 <= at < len(LETTERS):
        raise OutOfRange("Number of the batch on its day", at + 1, 1, len(LETTERS), "")
    return f"{made:%y}{made:%j}{letter}" + (f"-{sku}" if sku else "")


def next_code(made: date, sku: str, taken: Iterable[str]) -> str:
    """First free code of a day; of the product only what can be typed, said and be in a file's name.

    >>> next_code(date(2026, 3, 7), "ROSE120", ["26066A-FERN120"])
    '26066B-ROSE120'
    >>> next_code(date(2026, 3, 7), "Küste / No. 2", [])
    '26066A-KUSTENO2'
    """
    used = {code.split("-")[0] for code in taken}
    free = next((at for at in range(len(LETTERS)) if batch_code(made, at) not in used), len(LETTERS))
    return batch_code(made, free, slug(sku, "").replace("-", "").upper()[:LONGEST_SKU])


def best_before(made: date, months: int) -> date:
    """Last day of the month that lies some months after a day.

    >>> best_before(date(2026, 8, 19), 18)
    datetime.date(2028, 2, 29)
    """
    if months < 0:
        raise OutOfRange("Months", months, 0, 240, "months")
    year, month = divmod(made.year * 12 + made.month + months, 12)
    return date(year, month + 1, 1) - timedelta(days=1)


def opened_until(opened: date) -> date:
    """Last day on which an opened base is taken; an older one is remade.

    >>> opened_until(date(2026, 1, 30)), opened_until(date(2026, 8, 31))
    (datetime.date(2026, 7, 30), datetime.date(2027, 2, 28))
    """
    last = best_before(opened, int(figure("batch", "opened_months").value))
    return last.replace(day=min(opened.day, last.day))


def retained_until(last: date) -> date:
    """Day until which a retained jar is kept: some months after best before.

    >>> retained_until(date(2028, 2, 29))
    datetime.date(2028, 8, 31)
    """
    return best_before(last, int(figure("batch", "retained_months").value))


class Yield(NamedTuple):
    """Filled mass of the planned mass, and what nobody can account for."""

    yield_pct: float
    unaccounted_g: float
    unaccounted_pct: float

    @property
    def explained(self) -> bool:
        """Whether it lies where no explanation is asked for."""
        bounds = figure("batch", "yield")
        return bounds.low <= self.yield_pct <= bounds.high


def batch_yield(planned_g: float, filled_g: float, retained_g: float) -> Yield:
    """Yield of a batch.

    >>> batch_yield(4000, 3786, 30)
    Yield(yield_pct=94.65, unaccounted_g=184, unaccounted_pct=4.6)
    """
    if planned_g <= 0:
        raise OutOfRange("Planned mass", planned_g, 0, 1e9, "g")
    rest = planned_g - filled_g - retained_g
    return Yield(100 * filled_g / planned_g, rest, 100 * rest / planned_g)


def deviation_pct(planned_g: float, weighed_g: float) -> float:
    """How far a weighed line is off, percent.

    >>> round(deviation_pct(8.06, 8.10), 3)
    0.496
    """
    if planned_g <= 0:
        raise OutOfRange("Planned grams", planned_g, 0, 1e9, "g")
    return 100 * (weighed_g - planned_g) / planned_g


def must_explain(planned_g: float, weighed_g: float, protected: bool) -> bool:
    """Whether a weighed line is so far off that a cause and a decision are asked for."""
    bound = figure("batch", "deviation_protected" if protected else "deviation_usual").value
    return abs(round(deviation_pct(planned_g, weighed_g), 9)) > bound


def yield_finding(outcome: Yield) -> Finding | None:
    """Caution for a yield that must be explained, or None."""
    if outcome.explained:
        return None
    bounds = figure("batch", "yield")
    text = (
        f"Filled {outcome.yield_pct:.1f} % of the planned mass. Usual is {bounds.low:g} to {bounds.high:g} %."
    )
    fix = "Look at the weights of the jars and their count, or write down why."
    if outcome.yield_pct < bounds.low:
        fix = "Write down where it went."
    return Finding("caution", "yield", "book.yield", text, fix, bounds.source)

"""What a scale can weigh: errors, smallest sensible amounts, dilutions, the right scale."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, inf
from typing import NamedTuple

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.fragrance.percent_conversions import dilution
from blendlab.shelf import Scale


class Uncertainty(NamedTuple):
    """How far one weighing may be off, percent: by the display alone, and with drift and repeatability."""

    rounding_pct: float
    practical_pct: float


def relative_error(mass_g: float, step_g: float) -> Uncertainty:
    """Relative error of weighing some grams on a scale of some step.

    >>> [round(pct, 1) for pct in relative_error(4.5, 1)]
    [11.1, 22.2]
    """
    if mass_g <= 0:
        raise OutOfRange("Mass", mass_g, 0, inf, "g")
    return Uncertainty(100 * step_g / (2 * mass_g), 100 * step_g / mass_g)


def least(step_g: float, protected: bool = False, factor: float | None = None) -> float:
    """Smallest sensible amount on a scale: 20 steps, 50 for protected lines, or `factor` steps.

    >>> least(0.01), least(0.01, protected=True)
    (0.2, 0.5)
    """
    steps = (
        factor
        if factor is not None
        else figure("batch", "steps_protected" if protected else "steps_usual").value
    )
    return round(steps * step_g, 12)


def weighable(grams: float, least_g: float) -> bool:
    """Whether some grams can be weighed as they are; below the least mass a dilution is weighed.

    >>> weighable(0.12, 0.2), weighable(0.2, 0.2)
    (False, True)
    """
    return grams >= least_g - 1e-12


def least_usp41(step_g: float, tolerance_pct: float) -> float:
    """Smallest amount by USP <41>, starting point of a scale: 2 x 0.41 d / tolerance.

    >>> round(least_usp41(0.01, 0.1), 6)
    8.2
    """
    return 2 * figure("batch", "usp41").value * step_g / (tolerance_pct / 100)


class Predilution(NamedTuple):
    """A tiny amount through a dilution: grams to weigh, carrier in it, display error [%] without and with."""

    weigh_g: float
    carrier_g: float
    error_direct_pct: float
    error_diluted_pct: float


def predilution(needed_g: float, dilution_pct: float, step_g: float) -> Predilution:
    """What to weigh of a dilution, and what that gains.

    >>> round(predilution(0.12, 10, 0.1).error_diluted_pct, 3)
    4.167
    """
    weigh, carrier = dilution(needed_g, dilution_pct)
    direct, diluted = (relative_error(mass, step_g).rounding_pct for mass in (needed_g, weigh))
    return Predilution(weigh, carrier, direct, diluted)


def strongest_dilution(needed_g: float, step_g: float, factor: float | None = None) -> float:
    """Strongest dilution [%] whose amount the scale can weigh; at most 100 is pure.

    >>> round(strongest_dilution(0.12, 0.1, 20), 9)
    6.0
    """
    return 100 * needed_g / least(step_g, factor=factor)


def stock_for(needed_g: float, step_g: float, protected: bool = False) -> float | None:
    """The strongest usual stock that can be weighed: 10 or 1 %; None if even 1 % is too strong.

    >>> stock_for(0.12, 0.1), stock_for(0.05, 0.01)
    (1.0, 10.0)
    """
    factor = figure("batch", "steps_protected" if protected else "steps_usual").value
    strongest = strongest_dilution(needed_g, step_g, factor)
    stocks = figure("batch", "stock_dilution")
    return next((pct for pct in (stocks.high, stocks.low) if pct <= strongest), None)


def scale_for(grams: float, scales: Iterable[Scale]) -> Scale | None:
    """The finest scale that carries the amount and its vessel; the one of most capacity if none does."""
    usable = sorted(scales, key=lambda scale: (scale.step_g, -scale.capacity_g))
    fitting = [scale for scale in usable if scale.capacity_g >= grams + figure("batch", "tare").value]
    if fitting:
        return fitting[0]
    return max(usable, key=lambda scale: scale.capacity_g, default=None)


class Displays:
    """What the displays read if nobody presses zero: each cup on each scale adds up."""

    def __init__(self) -> None:
        self._shown: dict[tuple[str, str], float] = {}

    def after(self, cup: str, scale: Scale, grams: float) -> float:
        """The reading after some more grams went into a cup."""
        reading = round(self._shown.get((cup, scale.id), 0.0) + grams, 9)
        self._shown[cup, scale.id] = reading
        return reading


def good_between(grams: float, step_g: float) -> tuple[float, float]:
    """Display values a line is good between: one step, or the usual share of its grams if that is more.

    >>> good_between(8.06, 0.01)
    (8.02, 8.1)
    """
    room = max(step_g, grams * figure("batch", "good_between").value / 100)
    steps = round(int(round(room / step_g, 9)) * step_g, 9)
    return round(max(0.0, grams - steps), 9), round(grams + steps, 9)


def smallest_batch(lines: Iterable[tuple[float, float]]) -> float:
    """Smallest batch in which every line can be weighed, up to a whole gram; 0 without lines.

    lines  (percent of the batch, least amount on its scale [g])

    >>> smallest_batch([(1.0, 0.5), (0.1, 0.2)]), smallest_batch([(0.012, 0.5)])
    (200.0, 4167.0)
    """
    needed = max((100 * least_g / pct for pct, least_g in lines if pct > 0), default=0.0)
    return float(ceil(needed - 1e-6))


def too_much(asked_g: float, weighed_g: float) -> float:
    """How much bigger the rest of a batch has to be, percent, after too much went in.

    >>> round(too_much(19.0, 19.4), 1)
    2.1
    """
    if asked_g <= 0:
        raise OutOfRange("Asked amount", asked_g, 0, inf, "g")
    return 100 * (weighed_g - asked_g) / asked_g

"""Where a batch stands in the kitchen: the one step that is next, what is done, what is held back."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

from blendlab.batch.record import deviation_pct, must_explain
from blendlab.batch.sheet import Line, Plan, Step
from blendlab.batch.weighing import good_between, too_much
from blendlab.batch.whip import air_fraction, keep_whipping, overrun
from blendlab.errors import OutOfRange
from blendlab.fragrance.heat import may_add

PRACTICE = "common practice"


@dataclass(frozen=True)
class Progress:
    """Steps done, the open one, and what comes after.

    current  first open step, or None when all is done
    line     the line that `current` weighs
    """

    done: tuple[Step, ...]
    current: Step | None
    later: tuple[Step, ...]
    line: Line | None


def progress(plan: Plan, asked: Mapping[str, float], ticked: Collection[str]) -> Progress:
    """Where a batch stands, from what the book holds of it.

    asked   line id -> grams that were asked for when it was weighed; ticked  ids of steps ticked or done

    The first step that is neither weighed nor ticked is open; everything after waits for it. A line
    that asks for more than it did (the batch was made bigger) is open again.
    """
    at = next((at for at, step in enumerate(plan.steps) if not _is_done(plan, step, asked, ticked)), None)
    if at is None:
        return Progress(plan.steps, None, (), None)
    current = plan.steps[at]
    line = plan.line(current.line) if current.line else None
    return Progress(plan.steps[:at], current, plan.steps[at + 1 :], line)


def _is_done(plan: Plan, step: Step, asked: Mapping[str, float], ticked: Collection[str]) -> bool:
    if step.kind != "weigh":
        return step.id in ticked
    line = plan.line(step.line)
    return line.id in asked and remaining(line, asked) == 0


def remaining(line: Line, asked: Mapping[str, float]) -> float:
    """Grams that a line still asks for; less than a step of its scale is nothing."""
    rest = round(line.grams - asked.get(line.id, 0.0), 9)
    return rest if rest > line.step_g / 2 else 0.0


def for_rest(line: Line, asked: Mapping[str, float]) -> Line:
    """The line as it is asked for now: the whole of it, or what it asks for on top."""
    rest = remaining(line, asked)
    if rest in (0.0, line.grams):
        return line
    return replace(line, grams=rest, good=good_between(rest, line.step_g), display_g=rest)


def display(plan: Plan, line: Line, weighed: Mapping[str, float]) -> float:
    """What the display reads after `line` if it was not zeroed in its cup, with what really went in.

    line  as it is asked for now. Lines of the cup that stand before it count as weighed, on the same scale
    only.
    """
    before = plan.lines[: [other.id for other in plan.lines].index(line.id)]
    same = (other for other in before if (other.cup, other.scale) == (line.cup, line.scale))
    return round(sum(weighed.get(other.id, other.grams) for other in same) + line.grams, 9)


@dataclass(frozen=True)
class Verdict:
    """What a weighing means. `explain`: cause and decision are asked for, never of what is good.

    deviation_pct  of the asked grams
    enlarge_pct    how much bigger the rest of the batch must be to make up for too much; 0 if not
    """

    deviation_pct: float
    within: bool
    explain: bool
    enlarge_pct: float


def judge(line: Line, grams: float) -> Verdict:
    """A weighing against the line it belongs to."""
    low, high = line.good
    over, good = grams > high, low <= grams <= high
    counted = line.grams and not line.beside and not good
    return Verdict(
        deviation_pct(line.grams, grams) if line.grams else 0.0,
        good,
        must_explain(line.grams, grams, line.protected) if counted else False,
        too_much(line.grams, grams) if over and line.grams else 0.0,
    )


@dataclass(frozen=True)
class Foam:
    """A level cup of foam: overrun [%] and share of air, None without a cup of the mix; whip on or stop."""

    overrun_pct: float | None
    air: float | None
    whip_on: bool


def foam(cups_g_ml: Sequence[float], target_g_ml: float, mix_g_ml: float | None = None) -> Foam:
    """What the last of the cups says that were weighed minute by minute, all as densities.

    >>> told = foam([0.8, 0.62], 0.6, 1.05)
    >>> round(told.overrun_pct, 1), round(told.air, 3), told.whip_on
    (69.4, 0.41, True)
    """
    whip_on = keep_whipping(cups_g_ml, target_g_ml)
    if mix_g_ml is None or not cups_g_ml:
        return Foam(None, None, whip_on)
    risen = overrun(mix_g_ml, cups_g_ml[-1])
    return Foam(risen, air_fraction(risen), whip_on)


def water_back(ingredients_g: float, tare_g: float, gross_g: float) -> float:
    """Water to fill up after heating: what went in less what is there [g]. Negative: nothing was lost.

    Raises OutOfRange for a full vessel that is lighter than the empty one.

    >>> water_back(2000, 812, 2769)
    43
    """
    if tare_g > gross_g:
        raise OutOfRange("Full vessel", gross_g, tare_g, inf, "g")
    return ingredients_g - (gross_g - tare_g)


def gate_opens(step: Step, measured_c: float | None) -> bool:
    """Whether a gate may be ticked at a measured temperature; not measured is not enough."""
    return step.below_c is None or (measured_c is not None and may_add(measured_c, step.below_c))

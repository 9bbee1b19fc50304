"""The preservative of a batch asked for anew: for what really went into the bowl, from what lots of base."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import inf

from blendlab import units
from blendlab.batch.preservative import RangeTopUp, top_up_range
from blendlab.batch.resize import IN_THE_BOWL
from blendlab.batch.sheet import Line, Plan, What
from blendlab.batch.weighing import good_between


def top_up_for(
    plan: Plan, weighed: Mapping[str, float], held: tuple[float, float] | None = None
) -> RangeTopUp | None:
    """Top-up that suits what really went into the bowl: sized on the low figure of the base, checked on
    the high one.

    weighed  line id -> grams that went in; a line of the bowl that is not in it counts as planned
    held     low and high percent of it in the base that was drawn; None = as the sheet took it

    None where the sheet sizes no top-up. With every line as planned it is the top-up of the sheet, before
    rounding.
    """
    topped = plan.preservative
    line = next((line for line in plan.lines if line.what == "preservative"), None)
    if topped is None or line is None or topped.base_low_pct is None or topped.base_high_pct is None:
        return None
    low, high = held or (topped.base_low_pct, topped.base_high_pct)
    bowl = bowl_grams(plan, weighed)
    return top_up_range(
        bowl["base"],
        low,
        high,
        bowl.get("addition", 0.0),
        topped.target_pct / min(portion.take_g / portion.grams for portion in plan.portions),
        topped.most_pct / _thickest(plan, bowl),
        line.stock_pct,
    )


def _thickest(plan: Plan, bowl: Mapping[What, float]) -> float:
    """Share of the bowl in the least diluted tone: of a heavier bowl each takes more, with no more in it."""
    planned_g = sum(portion.take_g for portion in plan.portions)
    grown = max(1.0, sum(grams for what, grams in bowl.items() if what in IN_THE_BOWL) / planned_g)
    takes = [(portion.take_g * grown, portion.grams - portion.take_g) for portion in plan.portions]
    return max(take_g / (take_g + rest_g) for take_g, rest_g in takes)


def bowl_grams(plan: Plan, weighed: Mapping[str, float]) -> Mapping[What, float]:
    """Grams of each kind of line that went in; what was not weighed counts as planned."""
    bowl: dict[What, float] = {line.what: 0.0 for line in plan.lines}
    for part in plan.lines:
        bowl[part.what] += weighed.get(part.id, part.grams)
    return bowl


def asking(plan: Plan, line: Line, made: RangeTopUp, weighed: Mapping[str, float]) -> Line:
    """The line of the preservative, asking for another top-up: rounded up, but never above law and sheet.

    Where they leave no room for it the line asks for what they leave, which may be nothing. It is good from
    there to one step or the usual share above, as far as they allow. What of it went in already is not
    asked for again.
    """
    there = weighed.get(line.id, 0.0)
    (up,) = units.round_lines([max(made.topup_g, there)], [line.step_g], [True], ["up"])
    room_g = min(good_between(up, line.step_g)[1], _room_g(plan, line, made, weighed))
    (most,) = units.round_lines([max(room_g, there)], [line.step_g], [True], ["down"])
    grams, most = round(min(up, most) - there, 9), round(most - there, 9)
    return replace(line, grams=grams, exact_g=made.topup_g, good=(grams, most), display_g=grams)


def _room_g(plan: Plan, line: Line, made: RangeTopUp, weighed: Mapping[str, float]) -> float:
    """Most of the preservative that law and sheet allow in the bowl, where the base holds the most of it [g].

    A mass balance about the top-up T of the mass M at h percent: M h + c t = (M + t) most.
    """
    if plan.preservative is None:
        return inf
    bowl = bowl_grams(plan, weighed)
    mass_g = bowl["base"] + bowl.get("addition", 0.0) + made.topup_g
    most_pct = plan.preservative.most_pct / _thickest(plan, bowl)
    if line.stock_pct <= most_pct:
        return inf
    return made.topup_g + (most_pct - made.final_pct_high) * mass_g / (line.stock_pct - most_pct)

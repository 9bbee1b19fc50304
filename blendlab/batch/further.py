"""Tones that were taken of the bowl before the batch was made bigger: what each is to get on top."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from blendlab.batch.sheet import Plan, Portion, Step
from blendlab.batch.steps import of_portion
from blendlab.units import plain

PRACTICE = "common practice"
Ticks = Mapping[str, Sequence[Portion]]
"""Tone -> its portion as it stood at each tick of one of its steps, oldest first."""


def further_id(kind: str, times: int, tone: str) -> str:
    """Id of a step that is done again: "take" or "fold" of a tone; the first time is 0.

    >>> further_id("take", 0, "deep"), further_id("fold", 2, "deep")
    ('take:deep', 'fold-2:deep')
    """
    return f"{kind}-{times}:{tone}" if times else f"{kind}:{tone}"


def with_further(plan: Plan, taken: Ticks, folded: Ticks) -> Plan:
    """The plan with a further taking, and a further folding in, of every tone that was taken too small.

    taken, folded  tones whose taking and whose folding in are ticked

    What is less than a step of the scale of the base stays as it is. What was taken never becomes less.
    The first taking and folding in keep the grams they were ticked with: the further ones come on top.
    """
    coarse = next((line.step_g for line in plan.lines if line.what == "base"), 1.0)
    first: dict[str, Step] = {}
    after: dict[str, list[Step]] = {}
    for portion in plan.portions:
        pigments = [line for line in plan.lines if line.tone == portion.tone]
        for kind, ticked in (("take", taken), ("fold", folded)):
            there = _rises(ticked.get(portion.tone, ()), portion, coarse)
            own = further_id(kind, 0, portion.tone)
            if there:
                first |= {step.id: step for step in of_portion(there[0][0], pigments) if step.id == own}
            after[own] = [
                _take(portion, times, now.take_g - before.take_g)
                if kind == "take"
                else _fold(portion, times, now.scent_g - before.scent_g, bool(pigments))
                for times, (before, now) in enumerate(there, start=1)
            ]
    if not any(after.values()):
        return plan
    steps = (told for step in plan.steps for told in (first.get(step.id, step), *after.get(step.id, ())))
    return replace(plan, steps=tuple(steps))


def _rises(ticked: Sequence[Portion], now: Portion, step_g: float) -> list[tuple[Portion, Portion]]:
    """Each time that a tone was done again, as it stood before and then; open while it asks for more."""
    done = list(pairwise(ticked))
    open_now = bool(ticked) and round(now.take_g - ticked[-1].take_g, 9) > step_g / 2
    return [*done, (ticked[-1], now)] if open_now else done


def _take(portion: Portion, times: int, grams: float) -> Step:
    amount = f"about {grams:.0f}" if portion.rest else plain(grams, 2)
    text = (
        f"{portion.name} was taken before the batch was made bigger. Whip the base that was weighed on top, "
        f"with all that goes into it, like the first; then add {amount} g to this tone."
    )
    return Step(further_id("take", times, portion.tone), "do", text, source=PRACTICE, grams=round(grams, 2))


def _fold(portion: Portion, times: int, scent_g: float, pigments: bool) -> Step:
    parts = ["what it got on top", *(["the pigment on top"] if pigments else [])]
    if scent_g > 0:
        parts.append(f"{plain(scent_g, 2)} g of the scent")
    *before, last = parts
    what = f"{', '.join(before)} and {last}" if before else last
    text = f"{portion.name}: fold in {what} until no streak is left; do not over-whip."
    return Step(further_id("fold", times, portion.tone), "do", text, source=PRACTICE)

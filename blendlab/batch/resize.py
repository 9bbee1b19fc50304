"""A batch sheet of another size: bigger or smaller, lines asked anew, tones of the real bowl."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from blendlab import units
from blendlab.batch import steps
from blendlab.batch.sheet import Line, Plan, Portion, Step
from blendlab.batch.weighing import good_between

IN_THE_BOWL = ("base", "addition", "preservative")
"""What the tones are taken of."""


def enlarged(plan: Plan, percents: Iterable[float]) -> Plan:
    """The plan after each time that the rest of the batch was made some percent bigger.

    Every line grows alike, so that no percent moves by more than its scale can show: preservatives
    are rounded up and oils down, and nothing above what its cap allows.
    """
    factor = 1.0
    for pct in percents:
        factor *= 1 + pct / 100
    if factor == 1.0:
        return plan
    inside = [line for line in plan.lines if not line.beside]
    exact = [line.grams * factor for line in inside]
    held = [line.protected for line in inside]
    coarse = next((line.step_g for line in plan.lines if line.what == "base"), 1.0)
    portions = tuple(_grown_portion(portion, factor, coarse) for portion in plan.portions)
    masses = {portion.tone: portion.grams for portion in portions}
    ways = [_way(line, factor, masses.get(line.tone, 0.0)) for line in inside]
    grams = units.round_lines(exact, [line.step_g for line in inside], held, ways)
    rounded = dict(zip([line.id for line in inside], grams, strict=True))
    lines = tuple(
        _grown(line, rounded[line.id], factor) if line.id in rounded else line for line in plan.lines
    )
    return replace(
        plan,
        lines=lines,
        portions=portions,
        steps=tuple(_retold(plan.steps, portions, lines)),
        batch_g=round(sum(grams), 9),
    )


def followed(
    plan: Plan, bowl_g: float, pigments_g: Mapping[str, float], taken_g: Mapping[str, float]
) -> Plan:
    """The plan with tones that follow the bowl as it really is, and the pigments that really went in.

    bowl_g      grams of the bowl
    pigments_g  tone -> grams of its pigments, where they are less than was asked for
    taken_g     tone -> grams that were taken of the bowl already: they never become less

    The rest is what the others leave. Of a lighter bowl each tone gets less pigment and less scent, so that
    no percent in it rises; of a heavier one it gets no more of them: no more scent was mixed.
    """
    takes = _takes(plan, bowl_g, taken_g)
    portions = []
    lines = {line.id: line for line in plan.lines}
    for before in plan.portions:
        share = min(1.0, takes[before.tone] / before.take_g) if before.take_g else 1.0
        own = [line for line in plan.lines if line.tone == before.tone and line.what == "pigment"]
        meant = _portion(before, takes[before.tone], before.pigment_g * share, 1.0)
        lines |= {line.id: _followed_line(line, share, meant.grams) for line in own}
        pigment_g = min(
            pigments_g.get(before.tone, before.pigment_g), sum(lines[line.id].grams for line in own)
        )
        portions.append(_portion(before, takes[before.tone], round(pigment_g, 9), 1.0))
    before_g, now_g = (sum(each.scent_g for each in which) for which in (plan.portions, portions))
    for line in plan.lines:
        if line.what == "oil" and before_g:
            lines[line.id] = _followed_line(line, now_g / before_g, 0.0)
    told = tuple(lines.values())
    return replace(
        plan,
        lines=told,
        portions=tuple(portions),
        steps=tuple(_retold(plan.steps, portions, told)),
        batch_g=round(sum(line.grams for line in told if not line.beside), 9),
    )


def _followed_line(line: Line, share: float, portion_g: float) -> Line:
    if share == 1:
        return line
    way = _way(line, share, portion_g)
    (grams,) = units.round_lines([line.grams * share], [line.step_g], [True], [way])
    return _grown(line, grams, share)


def _takes(plan: Plan, bowl_g: float, taken_g: Mapping[str, float]) -> dict[str, float]:
    """Grams that each tone takes of a bowl: all but the last are weighed, the last is what they leave."""
    whole = sum(portion.take_g for portion in plan.portions)
    coarse = next((line.step_g for line in plan.lines if line.what == "base"), 1.0)
    *others, last = sorted(plan.portions, key=lambda portion: portion.rest)
    found = {}
    for portion in others:
        (near,) = units.round_lines([portion.take_g * bowl_g / whole], [coarse])
        found[portion.tone] = max(near, taken_g.get(portion.tone, 0.0))
    found[last.tone] = round(max(0.0, bowl_g - sum(found.values())), 9)
    return found


def asked_anew(plan: Plan, asks: Mapping[str, float]) -> Plan:
    """The plan with lines that ask for other grams than the sheet says, rounded up to their scales.

    asks  line id -> grams it asks for in all
    """
    if not asks:
        return plan
    lines = tuple(_anew(line, asks[line.id]) if line.id in asks else line for line in plan.lines)
    return replace(plan, lines=lines, batch_g=round(sum(line.grams for line in lines if not line.beside), 9))


def _anew(line: Line, grams: float) -> Line:
    (up,) = units.round_lines([grams], [line.step_g], [True], ["up"])
    return replace(line, grams=up, exact_g=grams, good=good_between(up, line.step_g))


def _way(line: Line, factor: float, portion_g: float) -> str:
    if line.what == "pigment" and line.cap_pct is not None and portion_g:
        (near,) = units.round_lines([line.grams * factor], [line.step_g])
        return "down" if near * line.stock_pct > line.cap_pct * portion_g else "near"
    if line.what != "preservative":
        return "down" if line.what == "oil" else "near"
    (up,) = units.round_lines([line.grams * factor], [line.step_g], [True], ["up"])
    return "up" if up <= line.good[1] * factor else "down"


def _grown(line: Line, grams: float, factor: float) -> Line:
    low, high = good_between(grams, line.step_g)
    capped = line.good[1] * factor
    if line.protected and capped < high:
        (high,) = units.round_lines([capped], [line.step_g], [True], ["down"])
    return replace(line, grams=grams, good=(min(low, grams), max(grams, high)), exact_g=line.exact_g * factor)


def _grown_portion(portion: Portion, factor: float, step_g: float) -> Portion:
    """A portion of another size: what its scale shows is taken of the bowl."""
    take_g = round(portion.take_g * factor, 2)
    if not portion.rest:
        (take_g,) = units.round_lines([take_g], [step_g])
    return _portion(portion, take_g, round(portion.pigment_g * factor, 2), factor)


def _portion(portion: Portion, take_g: float, pigment_g: float, most: float) -> Portion:
    """A portion of other grams: its scent is no larger a part of it, and at most so many times as much."""
    before, now = portion.take_g + portion.pigment_g, take_g + pigment_g
    share = min(most, now / before) if before else most
    scent_g = portion.scent_g
    if share != 1:
        (scent_g,) = units.round_lines([scent_g * share], [0.01], [True], ["down"])
    return replace(
        portion,
        take_g=take_g,
        pigment_g=pigment_g,
        scent_g=scent_g,
        grams=round(take_g + scent_g + pigment_g, 9),
        volume_ml=round(portion.volume_ml * (now / before if before else most), 2),
    )


def _retold(order: Sequence[Step], portions: Sequence[Portion], lines: Sequence[Line]) -> Iterable[Step]:
    """The steps, those that name grams of a portion told again."""
    anew = {
        step.id: step
        for portion in portions
        for step in steps.of_portion(portion, [each for each in lines if each.tone == portion.tone])
    }
    return (anew.get(step.id, step) for step in order)

"""The design of a batch as it was really made: what was weighed in the place of what was planned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from blendlab.batch import Line, Plan
from blendlab.batch.record import must_explain
from blendlab.batch.resize import IN_THE_BOWL
from blendlab.errors import Finding
from blendlab.recipe import Design, Tone
from blendlab.store import BatchPage
from blendlab.units import digits


def as_weighed(
    design: Design, plan: Plan, weighed: Mapping[str, float], shared: Plan | None = None
) -> Design:
    """The design with the percents that follow from what went in.

    plan     the sheet of this size
    weighed  line id -> grams that went in; a line that is not in it, or that lies where its line is
             good, counts as planned, so that a batch weighed well is judged as it was designed
    shared   its tones as they were told to share the real bowl; None = as the sheet says
    """
    told = shared if shared is not None and shared != plan else None
    went = went_in(plan, weighed, told)
    if told is None and all(went[line.id] == line.grams for line in plan.lines):
        return design
    planned = {line.id: line.grams or line.exact_g for line in plan.lines}
    moved = {line.id: went[line.id] for line in plan.lines if went[line.id] != line.grams}
    now, before = _Masses(told or plan, {**planned, **moved}), _Masses(plan, planned)
    load = _ratio(now.scent / now.whole, before.scent / before.whole)
    oils = [
        now.item(f"oil:{oil.oil.id}") / (before.item(f"oil:{oil.oil.id}") or 1) for oil in design.scent.oils
    ]
    parts = [oil.share_pct * grown for oil, grown in zip(design.scent.oils, oils, strict=True)]
    scale = _ratio(sum(oil.share_pct for oil in design.scent.oils), sum(parts))
    scent = replace(
        design.scent,
        load_pct=_pct(design.scent.load_pct * load if told is None else 100 * now.scent / now.whole),
        tone_loads={tone: _pct(pct * load) for tone, pct in design.scent.tone_loads.items()},
        oils=tuple(
            replace(oil, share_pct=_pct(part * scale))
            for oil, part in zip(design.scent.oils, parts, strict=True)
        ),
    )
    additions = tuple(
        replace(added, pct=_pct(added.pct * _grown(f"ingredient:{added.ingredient.id}", now, before)))
        for added in design.batch.additions
    )
    tones = tuple(_tone(tone, now, before, told is not None) for tone in design.tones)
    return replace(design, scent=scent, tones=tones, batch=replace(design.batch, additions=additions))


def shared_findings(plan: Plan, weighed: Mapping[str, float]) -> tuple[Finding, ...]:
    """Caution for tones that share a base weighed otherwise: what each took of it is not written down."""
    went = went_in(plan, weighed)
    base = next((line for line in plan.lines if line.what == "base"), None)
    if base is None or len(plan.portions) < 2 or not must_explain(base.grams, went[base.id], base.protected):
        return ()
    text = (
        f"{digits(went[base.id])} g of base went in, {digits(base.grams)} g were asked for. What each tone "
        "took of it is not written down; it is reckoned as shared out as the sheet asks."
    )
    fix = "If one tone got less than its part, its pigment is stronger than is told here: judge by the jar."
    return (Finding("caution", "tones-shared", "look.tones", text, fix, "your book"),)


def in_the_product(page: BatchPage) -> dict[str, float]:
    """Line id -> grams of what was weighed that are in the product; 0 of what the bowl asked nothing of.

    A scent that was mixed for more than the tones came to be goes in as far as they ask for it.
    """
    plan, asked = page.now, page.asked
    weighed = {line: 0.0 for line, grams in asked.items() if not grams} | page.weighed
    oils = [line.id for line in plan.lines if line.what == "oil" and line.id in weighed]
    mixed_g = round(sum(asked[line] for line in oils), 9)
    folded_g = round(sum(portion.scent_g for portion in plan.portions), 9)
    if folded_g < mixed_g:
        weighed |= {line: weighed[line] * folded_g / mixed_g for line in oils}
    return weighed


def went_in(plan: Plan, weighed: Mapping[str, float], shared: Plan | None = None) -> dict[str, float]:
    """Line id -> grams that a batch is judged on: as asked for where a line lies where it is good.

    shared  as of `as_weighed`: pigments and scent then count as what they are of the real bowl
    """
    counted = {line.id: _counted(line, weighed) for line in plan.lines}
    if shared is None or shared == plan:
        return counted
    inside = [line.id for line in plan.lines if line.what in IN_THE_BOWL]
    real_g = sum(weighed.get(line, counted[line]) for line in inside)
    share = _ratio(sum(counted[line] for line in inside), real_g)
    return {
        line.id: round(weighed.get(line.id, line.grams) * share, 9)
        if line.what in ("oil", "pigment")
        else counted[line.id]
        for line in shared.lines
    }


def _counted(line: Line, weighed: Mapping[str, float]) -> float:
    """Grams that a line counts as: as asked for where it was weighed well or not yet, else what went in."""
    grams = weighed.get(line.id, line.grams)
    return line.grams if line.good[0] <= grams <= line.good[1] else grams


class _Masses:
    """Grams of a batch: the whole, its scent, each portion, each thing in it (pure).

    What each portion took of bowl and scent is not written down: both are shared out as the sheet asks.
    """

    def __init__(self, plan: Plan, went: Mapping[str, float]) -> None:
        self._lines = [line for line in plan.lines if not line.beside]
        self._went = went
        self.whole = sum(went[line.id] for line in self._lines)
        self.scent = sum(self._pure(line) for line in self._lines if line.what == "oil")
        bowl = _ratio(self._sum("base", "addition", "preservative"), sum(p.take_g for p in plan.portions))
        oils = _ratio(self._sum("oil"), sum(part.scent_g for part in plan.portions))
        self.portions = {
            part.tone: part.take_g * bowl
            + part.scent_g * oils
            + sum(went[line.id] for line in self._lines if line.tone == part.tone)
            for part in plan.portions
        }

    def _pure(self, line: Line) -> float:
        return self._went[line.id] * line.stock_pct / 100

    def _sum(self, *whats: str) -> float:
        return sum(self._went[line.id] for line in self._lines if line.what in whats)

    def item(self, item: str, tone: str = "") -> float:
        """Grams of one thing, pure; of one portion where a tone is named."""
        found = (line for line in self._lines if line.item == item and tone in ("", line.tone))
        return sum(self._pure(line) for line in found)


def _tone(tone: Tone, now: _Masses, before: _Masses, told: bool) -> Tone:
    """One tone with the percents of its pigments in what its portion really weighs.

    told  its portion is what the kitchen told: the percents are those of its grams
    """
    if not before.portions.get(tone.id):
        return tone
    mass = _ratio(now.portions[tone.id], before.portions[tone.id])
    doses = []
    for dose in tone.doses:
        there, asked = (each.item(f"pigment:{dose.pigment.id}", tone.id) for each in (now, before))
        pct = 100 * there / now.portions[tone.id] if told else dose.pct * _ratio(there, asked) / mass
        doses.append(replace(dose, pct=_pct(pct)))
    share = mass * before.whole / now.whole
    return replace(tone, doses=tuple(doses), share_pct=_pct(tone.share_pct * share))


def _grown(item: str, now: _Masses, before: _Masses) -> float:
    """How many times the percent of a thing in the whole has become."""
    return _ratio(now.item(item) / now.whole, before.item(item) / before.whole)


def _ratio(now: float, before: float) -> float:
    return now / before if before else 1.0


def _pct(value: float) -> float:
    return min(100.0, value)

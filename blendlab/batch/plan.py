"""A design and a number of jars become a batch sheet: lines, portions, steps, findings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from math import prod
from typing import Protocol

from blendlab.batch import (
    filling,
    plan_findings,
    preservative_findings,
    rounding,
    sheet_lines,
    steps,
    weighing,
)
from blendlab.batch.acidity import of_design
from blendlab.batch.line_wishes import Draft, draft, gate_of
from blendlab.batch.rounding import Settled
from blendlab.batch.sheet import Line, Plan, Portion, TopUpSummary
from blendlab.batch.whip import Density, filled_density, foam_density, grains
from blendlab.errors import Finding, worst_first
from blendlab.facts.read import figure
from blendlab.recipe import Design, Ref
from blendlab.shelf import Resolved, Shelf

GROWTH = 200


class Filling(Protocol):
    """What a plan needs of a jar's layout: ml up to the fill edge, ml of the top above it."""

    @property
    def fill_ml(self) -> float:
        """Volume up to the fill edge."""
        ...

    @property
    def top_ml(self) -> float:
        """Volume of the top above it."""
        ...


class Habits:
    """Overfill, loss and retained mass of a batch: hers, else common practice. Shares and grams."""

    def __init__(self, design: Design) -> None:
        batch = design.batch
        self.overfill = (
            figure("batch", "overfill").value if batch.overfill_pct is None else batch.overfill_pct / 100
        )
        self.loss = figure("batch", "loss").value if batch.loss_pct is None else batch.loss_pct / 100
        self.retained_g = figure("batch", "retained").value if batch.retained_g is None else batch.retained_g

    def batch_for(self, jars: int, net_g: float) -> float:
        """Grams of a batch that fills some jars."""
        return filling.batch_for_jars(jars, net_g, self.overfill, self.retained_g, self.loss)

    def jars_of(self, batch_g: float, net_g: float) -> tuple[int, float]:
        """Whole jars of a batch and the grams of a short last one."""
        return filling.jars_from_batch(batch_g, net_g, self.overfill, self.retained_g, self.loss)


def plan(
    resolved: Resolved,
    layout: Filling,
    *,
    ceiling_pct: float | None = None,
    lots: Mapping[str, str] | None = None,
    on: date | None = None,
    weighed: Mapping[str, float] | None = None,
) -> Plan:
    """The batch sheet of finishing part of a base lot into jars.

    layout       its fill_ml and top_ml
    ceiling_pct  highest load for sale, percent of the finished product; None = not known
    lots         "kind:id" -> code of the lot to take
    on           the day (default today)
    weighed      line id -> grams that went in: the sheet of what was made; None = of what is to be made

    Never raises for an unwise design: the plan then carries findings, and no lines when nothing
    can be sized. N jars asked yield at least N after rounding.
    """
    day = on or date.today()
    design, drafted = resolved.design, draft(resolved, ceiling_pct, lots)
    density = filled_density(resolved)
    habits = Habits(design)
    volume = layout.fill_ml + layout.top_ml
    net = volume * density.g_ml
    full = rounding.room(drafted)
    kept = of_design(resolved)
    early = [*plan_findings.base_findings(drafted.base, day, kept), *plan_findings.scale_findings(drafted)]
    early += [
        *preservative_findings.preservative_findings(drafted),
        *plan_findings.addition_findings(drafted),
    ]
    early += plan_findings.flash_findings(drafted)
    blank = replace(
        _empty(design, habits, density, volume),
        mix_g_ml=resolved.base.density_mix_g_ml,
        acidity=kept,
        foam_g_ml=foam_density(resolved).g_ml,
        foam_share=prod(1 - part.pct / 100 for part in grains(resolved)),
    )
    if full is not None or net <= 0 or not any(drafted.weights):
        early += [plan_findings.no_room(drafted, full)] if full is not None else []
        return replace(blank, findings=worst_first(early))
    made = _sized(drafted, habits, net) if weighed is None else rounding.as_weighed(drafted, weighed)
    if made.batch_g <= 0:
        early += [plan_findings.nothing_to_weigh(made)]
        return replace(blank, findings=worst_first(early))
    return _plan(drafted, made, blank, density, early, day)


def _sized(drafted: Draft, habits: Habits, net: float) -> Settled:
    """The settled batch, grown by coarse steps until the jars asked for come out."""
    batch = drafted.design.batch
    if batch.grams is not None:
        return rounding.settle(drafted, batch.grams)
    asked = batch.jars + batch.spare
    wanted = habits.batch_for(asked, net)
    made = rounding.settle(drafted, wanted)
    coarse = max(scale.step_g for scale in made.scales)
    for _ in range(GROWTH):
        if habits.jars_of(made.batch_g, net)[0] >= asked:
            break
        wanted += coarse
        made = rounding.settle(drafted, wanted)
    return made


def _empty(design: Design, habits: Habits, density: Density, volume: float) -> Plan:
    return Plan(
        title=design.name,
        asked=None,
        jars=0,
        last_jar_g=0.0,
        net_g=volume * density.g_ml,
        net_low_g=volume * density.low,
        net_high_g=volume * density.high,
        density=density,
        batch_g=0.0,
        overfill_pct=100 * habits.overfill,
        loss_pct=100 * habits.loss,
        retained_g=habits.retained_g,
        lines=(),
        portions=(),
        preservative=None,
        steps=(),
        smallest_g=0.0,
        findings=(),
    )


def _plan(
    drafted: Draft, made: Settled, blank: Plan, density: Density, early: list[Finding], day: date
) -> Plan:
    jars, rest = Habits(drafted.design).jars_of(made.batch_g, blank.net_g)
    lines = [*sheet_lines.weighed(drafted, made), *sheet_lines.dusted(drafted, jars)]
    portions = _portions(drafted, made, density, blank.net_g)
    order = steps.finishing(drafted, lines, portions)
    turns = [step.line for step in order if step.line]
    low, high = rounding.preservative_range(drafted, made)
    filled = replace(
        blank,
        asked=drafted.design.batch.asked,
        jars=jars,
        last_jar_g=rest,
        batch_g=made.batch_g,
        lines=tuple(sorted(lines, key=lambda line: turns.index(line.id))),
        portions=portions,
        preservative=_summary(drafted, made, low, high),
        steps=order,
        smallest_g=_smallest(lines),
    )
    late = (
        *preservative_findings.settled_findings(drafted, made, rounding.actives(drafted, made), low, high),
        *_findings(drafted, made, filled, density),
        *plan_findings.lot_findings(lines, drafted.resolved.on_shelf, day),
    )
    return replace(filled, findings=worst_first((*early, *late)))


def _findings(drafted: Draft, made: Settled, filled: Plan, density: Density) -> Iterator[Finding]:
    """What is unwise about the settled batch beside its preservative and its lots."""
    carrier = _carrier(drafted.base.anhydrous, drafted.resolved.shelf)
    yield from plan_findings.line_findings(filled.lines, filled.smallest_g, carrier, drafted.design)
    yield from plan_findings.empty_tones(drafted, made)
    yield from plan_findings.load_findings(drafted, rounding.loads(drafted, made))
    yield from plan_findings.foam_findings(drafted, made)
    yield from plan_findings.vessel_findings(drafted, made.batch_g, density, filled.portions)
    yield from plan_findings.density_findings(density, filled.jars)
    yield from plan_findings.mix_findings(drafted.base, density)
    yield from plan_findings.jar_findings(filled.asked, filled.jars, filled.last_jar_g, filled.net_g)


def _carrier(anhydrous: bool, shelf: Shelf) -> Ref | None:
    """What a stock dilution is made in by habit: a humectant, a light oil where there is no water."""
    function = "oil" if anhydrous else "humectant"
    return next(
        (ingredient.ref for ingredient in shelf.of("ingredient") if ingredient.function == function), None
    )


def _portions(drafted: Draft, made: Settled, density: Density, net_g: float) -> tuple[Portion, ...]:
    loads = rounding.loads(drafted, made)
    doses = rounding.preservatives(drafted, made, drafted.wish.held.low if drafted.wish else 0.0)
    found = []
    for at, tone in enumerate(drafted.design.tones):
        if made.tones[at] <= 0:
            continue
        volume = made.tones[at] / density.g_ml
        found.append(
            Portion(
                tone=tone.id,
                name=tone.name,
                take_g=made.takes[at],
                scent_g=made.scents[at],
                pigment_g=max(0.0, round(made.tones[at] - made.takes[at] - made.scents[at], 9)),
                grams=made.tones[at],
                load_pct=loads[at],
                preservative_pct=doses[at] if drafted.preservative_at is not None else None,
                volume_ml=volume,
                bags=filling.bags(volume),
                rest=at == made.rest_at,
                per_jar_g=net_g * made.tones[at] / made.batch_g,
            )
        )
    return tuple(found)


def _smallest(lines: Sequence[Line]) -> float:
    """Smallest batch on the same scales in which every line can be weighed."""
    weighed = [line for line in lines if not line.beside]
    whole = sum(line.exact_g for line in weighed)
    return weighing.smallest_batch((100 * line.exact_g / whole, line.least_g) for line in weighed)


def _summary(drafted: Draft, made: Settled, low: float, high: float) -> TopUpSummary | None:
    wish, at = drafted.wish, drafted.preservative_at
    if wish is None:
        return None
    sized = at is not None
    return TopUpSummary(
        name=wish.ingredient.name,
        wanted_pct=wish.wanted,
        target_pct=made.target if made.target is not None else wish.wanted,
        most_pct=wish.most,
        base_low_pct=wish.held.low if wish.held.known else None,
        base_high_pct=wish.held.high if wish.held.known else None,
        grams=made.grams[at] if at is not None else 0.0,
        low_pct=low if sized else None,
        high_pct=high if sized else None,
        gate=gate_of(drafted),
        actives=rounding.actives(drafted, made),
    )

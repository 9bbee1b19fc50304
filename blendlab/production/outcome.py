"""How a batch of jars came out: yield, mean, net weight."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import fmean

from blendlab.batch.record import batch_yield, yield_finding
from blendlab.batch.weight import average_check, lightest, metric_net_weight
from blendlab.errors import Finding
from blendlab.store import BatchPage


@dataclass(frozen=True)
class Outcome:
    """How a batch of jars came out. None = not weighed."""

    planned_g: float
    filled_g: float
    jars: int
    mean_g: float | None
    yield_pct: float | None
    unaccounted_g: float | None
    finding: Finding | None


def outcome(page: BatchPage) -> Outcome:
    """Filled mass of the planned mass, jars and their mean."""
    plan, filled = page.now, page.filled_g
    if not filled or plan.batch_g <= 0:
        return Outcome(plan.batch_g, 0.0, 0, None, None, None, None)
    kept = page.of("yield")
    retained = sum(float(entry.data.get("retained_g", 0.0)) for entry in kept) or plan.retained_g
    made = batch_yield(plan.batch_g, sum(filled), retained)
    return Outcome(
        plan.batch_g,
        round(sum(filled), 3),
        len(filled),
        fmean(filled),
        made.yield_pct,
        made.unaccounted_g,
        yield_finding(made),
    )


def weight_words(page: BatchPage, nominal_g: float) -> str:
    """Whether the weighed jars keep a net weight by the average system, in words."""
    checked = average_check(nominal_g, page.filled_g)
    kept = "keeps" if checked.keeps else "does not keep"
    short = f"{checked.below_tne} of {len(page.filled_g)} jars short by more than {checked.tne_g:g} g"
    return (
        f"A label of {nominal_g:g} g {kept} the average rules: mean {checked.mean_g:.1f} g; {short}, "
        f"{checked.below_2tne} by more than twice that."
    )


def label_grams(page: BatchPage) -> int | None:
    """Whole grams for a label from the lightest weighed jars; None before three are weighed."""
    least = lightest(page.filled_g)
    return None if least is None or least < 5 else metric_net_weight(least)

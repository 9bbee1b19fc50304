"""How a batch of jars came out: yield, mean, net weight."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import fmean

from blendlab.batch.balance import Balance, balance_findings
from blendlab.batch.record import batch_yield, yield_finding
from blendlab.batch.weight import average_check, lightest, metric_net_weight
from blendlab.errors import Finding, OutOfRange
from blendlab.production.made_design import in_the_product
from blendlab.store import BatchPage


@dataclass(frozen=True)
class Outcome:
    """How a batch of jars came out.

    planned_g  by the sheet as it was begun; became_g  after each time it was made bigger or smaller
    why        each time that it was, and why
    jars       jars that were weighed; mean_g, yield_pct  None = none was
    balance    where the grams went; None before anything was filled
    """

    planned_g: float
    became_g: float
    why: tuple[str, ...]
    filled_g: float
    jars: int
    mean_g: float | None
    yield_pct: float | None
    balance: Balance | None
    findings: tuple[Finding, ...]


def outcome(page: BatchPage) -> Outcome:
    """Filled mass of the planned mass, jars and their mean, where every gram went."""
    plan, filled = page.now, page.filled_g
    if not filled or plan.batch_g <= 0:
        return Outcome(*sizes(page), 0.0, 0, None, None, None, ())
    kept = balance(page)
    made = batch_yield(plan.batch_g, kept.jars_g, kept.retained_g)
    odd = yield_finding(made)
    findings = (*([odd] if odd else []), *balance_findings(kept))
    mean = fmean(filled)
    return Outcome(*sizes(page), round(kept.jars_g, 3), len(filled), mean, made.yield_pct, kept, findings)


def sizes(page: BatchPage) -> tuple[float, float, tuple[str, ...]]:
    """Grams of a batch as it was begun, as it became, and why each time it became another."""
    told = (entry.data for entry in page.of("deviation"))
    why = tuple(said.get("cause", "") for said in told if said.get("enlarge_pct") or said.get("shrink_pct"))
    return page.plan.batch_g, page.sized.batch_g, why


def balance(page: BatchPage) -> Balance:
    """Where the grams of a batch went, by what was weighed and typed; nothing is taken from the plan."""
    inside = {line.id for line in page.now.lines if not line.beside}
    filled, kept, jars = page.filled_g, page.of("yield"), jars_filled(page)
    unweighed = max(0, (jars or 0) - len(filled))
    mean = fmean(filled) if filled else 0.0
    return Balance(
        in_g=round(sum(grams for line, grams in page.weighed.items() if line in inside), 9),
        jars_g=round(sum(filled) + unweighed * mean, 9),
        retained_g=sum(float(entry.data.get("retained_g", 0.0)) for entry in kept),
        left_g=sum(float(entry.data.get("left_g", 0.0)) for entry in kept),
        estimated=unweighed > 0 or jars is None,
        scent_g=unused_scent_g(page),
    )


def unused_scent_g(page: BatchPage) -> float:
    """Scent that was mixed for a bowl that is lighter, and goes into no tone [g].

    What weighing it out leaves, a hundredth of a gram in each oil and tone, is none.
    """
    weighed, used, plan = page.weighed, in_the_product(page), page.now
    left_g = round(sum(weighed[line] - used[line] for line in weighed), 9)
    steps = [line.step_g for line in plan.lines if line.what == "oil"]
    return left_g if left_g > max((0.01, *steps)) * (len(steps) + len(plan.portions)) else 0.0


def jars_filled(page: BatchPage) -> int | None:
    """Jars that were filled in all, as she counted them; None = not counted."""
    counted = page.of("filled")
    return int(counted[-1].data["jars"]) if counted else None


def weight_words(page: BatchPage, nominal_g: float) -> str:
    """Whether the weighed jars keep a net weight by the average system, in words."""
    try:
        checked = average_check(nominal_g, page.filled_g)
    except OutOfRange as beyond:
        return f"The average rules are held for {beyond.low:g} to {beyond.high:g} g; for {nominal_g:g} g ask."
    kept = "keeps" if checked.keeps else "does not keep"
    short = f"{checked.below_tne} of {len(page.filled_g)} jars short by more than {checked.tne_g:g} g"
    return (
        f"A label of {nominal_g:g} g {kept} the average rules: mean {checked.mean_g:.1f} g; {short}, "
        f"{checked.below_2tne} by more than twice that."
    )


def label_grams(page: BatchPage) -> int | None:
    """Whole grams for a label from the lightest weighed jars; None before three are weighed."""
    least = lightest(page.filled_g)
    return None if least is None else metric_net_weight(least)

"""Where the grams of a planned batch are meant to go: jars, overfill, held back, losses, a rest."""

from __future__ import annotations

from typing import NamedTuple

from blendlab.batch.sheet import Plan
from blendlab.facts.read import figure
from blendlab.recipe import Batch

OWN = "your figure"


class Part(NamedTuple):
    """One part of a batch [g]; `source` says where its figure comes from, "" where it follows from the rest.

    key  "jars", "overfill", "retained", "loss" or "rest": what is left for a short last jar
    """

    key: str
    grams: float
    source: str = ""


def allotment(plan: Plan, asked: Batch) -> tuple[Part, ...]:
    """The parts of a planned batch; they add up to it. Empty where nothing is weighed or no jar is known.

    asked  what the design asks for: a figure of hers is told from one of common practice

    >>> from blendlab.recipe import Batch
    >>> _source("loss", Batch().loss_pct), _source("loss", 5.0)
    ('common practice', 'your figure')
    """
    if plan.batch_g <= 0 or plan.net_g <= 0:
        return ()
    jars = plan.jars * plan.net_g
    over, lost = jars * plan.overfill_pct / 100, plan.batch_g * plan.loss_pct / 100
    kept = min(plan.retained_g, plan.batch_g - lost)
    return (
        Part("jars", jars),
        Part("overfill", over, _source("overfill", asked.overfill_pct)),
        Part("retained", kept, _source("retained", asked.retained_g)),
        Part("loss", lost, _source("loss", asked.loss_pct)),
        Part("rest", max(0.0, plan.batch_g - jars - over - lost - kept)),
    )


def _source(name: str, own: float | None) -> str:
    return figure("batch", name).source if own is None else OWN

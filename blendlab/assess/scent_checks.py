"""The scent of a design against every market it is sold in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from blendlab import fragrance
from blendlab.batch.formula import check_sum
from blendlab.recipe import Scent, evened, tone_load
from blendlab.shelf import Base, Resolved


@dataclass(frozen=True)
class ScentChecks:
    """Checks and label names by market; of the portion with the most scent, for a buyer may use it alone."""

    scents: Mapping[str, fragrance.ScentCheck] = field(default_factory=dict)
    labels: Mapping[str, fragrance.Names] = field(default_factory=dict)
    portions: Mapping[str, Mapping[str, fragrance.ScentCheck]] = field(default_factory=dict)


def check_scents(resolved: Resolved, on: date, made_on: date | None = None) -> ScentChecks:
    """Limits and names by market. Shares of any sum are checked in proportion, as they are weighed.

    on  the day of the law; made_on  the day the oils are used; None = `on`
    """
    design = resolved.design
    scent, oils = evened(design.scent), [blended.oil for blended in resolved.oils]
    if not sums_up(scent):
        return ScentChecks()
    full = with_additions(resolved)
    loads = {tone.id: tone_load(design, tone.id) for tone in design.tones}
    placed = design.placed_on or on
    scents, labels, portions = {}, {}, {}
    for market in design.markets:
        checks = {
            load: fragrance.check(
                replace(scent, load_pct=load), oils, full, design.product, market, on, made_on
            )
            for load in sorted({*loads.values()}, reverse=True)
        }
        most = next(iter(checks))
        scents[market] = checks[most]
        strongest = replace(scent, load_pct=most)
        labels[market] = fragrance.declare(strongest, oils, design.product, market, placed, full)
        if len(checks) > 1:
            portions[market] = {tone_id: checks[load] for tone_id, load in loads.items()}
    return ScentChecks(scents, labels, portions)


def sums_up(scent: Scent) -> bool:
    """Whether the shares of a scent make 100 %; one without oils has nothing to add up."""
    return not scent.oils or check_sum([share.share_pct for share in scent.oils])[1]


def with_additions(resolved: Resolved) -> Base:
    """The base with what the additions of the batch bring to the finished product, highest bounds."""
    contents = dict(resolved.base.contents)
    for ingredient, pct in resolved.additions:
        for component in ingredient.components:
            if component.cas:
                brought = pct * component.high_pct / 100
                contents[component.cas] = contents.get(component.cas, 0.0) + brought
    if contents == resolved.base.contents:
        return resolved.base
    return replace(resolved.base, contents=contents)

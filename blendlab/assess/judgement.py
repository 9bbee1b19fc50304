"""Judge the whole design once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from blendlab import fragrance, jar, renew, tint
from blendlab.assess import bench_findings
from blendlab.assess.assessment import Assessment, ToneJudged, dose_weighing, lowest_ceiling, vanillin
from blendlab.assess.scent_checks import ScentChecks, check_scents
from blendlab.batch import Plan, filled_density, plan
from blendlab.errors import Finding, worst_first
from blendlab.recipe import Design
from blendlab.shelf import Base, Resolved, Shelf, missing, resolve
from blendlab.tint import Seen


def assess(
    design: Design,
    shelf: Shelf,
    on: date | None = None,
    lots: Mapping[str, str] | None = None,
    base_lot: Base | None = None,
    weighed: Mapping[str, float] | None = None,
    cups: tuple[float, ...] = (),
    made_on: date | None = None,
    measured_pH: float | None = None,
) -> Assessment:
    """Judge a design with what is on the shelf, on a day (default today).

    lots      "kind:id" -> code of the lot that is taken of it; pigments act as that lot was measured
    base_lot  the base as that lot of it is known; None = as it stands on the shelf
    weighed   line id -> grams that went in, for a batch that was made; None = it is planned
    cups      densities of foam that her book knows of the base, whipped alike [g/ml]
    made_on   the day the materials are used, by which their age is judged; None = `on`
    measured_pH  what a batch that was made measured, whatever its base had

    Never raises for an unwise design: what is missing or wrong becomes a finding.
    """
    day = on or date.today()
    findings = list(bench_findings.of_bench(design, shelf))
    if any(place.path in ("base", "jar") for place in missing(design, shelf)):
        return Assessment(design, day, worst_first(findings))
    resolved = replace(resolve(design, shelf), cups=cups).with_lots(lots or {})
    if base_lot is not None:
        resolved = resolved.with_base(base_lot)
    if measured_pH is not None:
        resolved = resolved.at_ph(measured_pH)
    return _judged(design, resolved, day, lots or {}, findings, weighed, made_on or day)


def _judged(
    design: Design,
    resolved: Resolved,
    day: date,
    lots: Mapping[str, str],
    findings: list[Finding],
    weighed: Mapping[str, float] | None,
    made_on: date,
) -> Assessment:
    checks = check_scents(resolved, day, made_on)
    density = filled_density(resolved)
    densities = {tone.id: density.g_ml for tone in resolved.tones}
    layout = jar.layout(resolved.design, resolved.jar, densities, density.weighed)
    ceiling = lowest_ceiling(checks.scents)
    sheet = plan(resolved, layout, ceiling_pct=ceiling, lots=lots, on=made_on, weighed=weighed)
    tones = _tones(resolved, checks, sheet)
    like = _resembles(resolved, tones)
    findings += _of_rooms(resolved, tones, layout, checks)
    findings += sheet.findings
    findings += bench_findings.loads_by_tone(design)
    findings += fragrance.of_words(like.names)
    findings += fragrance.imitation(like, design.markets, design.scent.food_answer)
    told = worst_first(findings)
    return Assessment(
        design=design,
        on=day,
        findings=told,
        resolved=resolved,
        tones=tones,
        density=density,
        layout=layout,
        scents=checks.scents,
        labels=checks.labels,
        portions=checks.portions,
        warnings=fragrance.label_warnings(like, told),
        plan=sheet,
        food_signs=fragrance.signs(like),
    )


def _of_rooms(
    resolved: Resolved, tones: tuple[ToneJudged, ...], layout: jar.Layout, checks: ScentChecks
) -> Iterator[Finding]:
    """What renew, tint, jar and fragrance say of the design."""
    yield from renew.findings(resolved.design, resolved.shelf)
    yield from tint.findings(
        resolved,
        {judged.tone.id: judged.tint for judged in tones},
        vanillin_pct=vanillin(checks.scents),
        spreads={judged.tone.id: judged.spread for judged in tones},
    )
    yield from jar.findings(resolved.design, resolved.jar, layout)
    for check in checks.scents.values():
        yield from check.findings
    for names in checks.labels.values():
        yield from names.findings


def _resembles(resolved: Resolved, tones: Iterable[ToneJudged]) -> fragrance.Impression:
    """What a buyer sees and reads: the name, oils, top, tones by daylight."""
    labs = (tint.see(judged.tint.R).lab.tolist() for judged in tones)
    return fragrance.Impression(
        names=(resolved.design.name,),
        oils=tuple(blended.oil.name for blended in resolved.oils if blended.share_pct > 0),
        top=resolved.design.top.kind,
        labs=tuple((lab[0], lab[1], lab[2]) for lab in labs),
    )


def _tones(resolved: Resolved, checks: ScentChecks, sheet: Plan) -> tuple[ToneJudged, ...]:
    view, vanillin_pct = resolved.design.view, vanillin(checks.scents) or 0.0
    tints = tint.predict(resolved, vanillin_pct=vanillin_pct)
    spreads = tint.spread(resolved, vanillin_pct=vanillin_pct, weighing=dose_weighing(resolved, sheet))

    def seen(R: NDArray[np.float64]) -> Seen:
        return tint.see(R, view.lamp, view.observer_deg, view.eye)

    def judged(tone_id: str) -> dict[str, Seen]:
        predicted, spread = tints[tone_id], spreads[tone_id]
        return {
            "seen": seen(predicted.R),
            "weak": seen(spread.weak.R),
            "strong": seen(spread.strong.R),
            "wall": seen(predicted.R_wall),
        }

    return tuple(
        ToneJudged(tone=tone, tint=tints[tone.id], spread=spreads[tone.id], **judged(tone.id))
        for tone in resolved.design.tones
    )

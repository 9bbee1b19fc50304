"""What is known of a design on one day: frozen, without behaviour beyond reading it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from blendlab import fragrance, jar
from blendlab.batch import Density, Plan
from blendlab.errors import Finding
from blendlab.recipe import Design, Tone
from blendlab.shelf import Resolved
from blendlab.tint import DoseWeighing, Seen, Spread, Tint

FINEST_G = 0.01
"""Step of the scale that is assumed while there is none on the shelf (that is a stop by itself)."""


@dataclass(frozen=True)
class ToneJudged:
    """One tone as it will be seen.

    seen          at the open surface, under the lamp and for the eye of the design's view
    weak, strong  the ends of its spread, seen likewise
    wall          behind the wetted wall of the jar
    spread        how far the real colour may lie
    """

    tone: Tone
    tint: Tint
    seen: Seen
    weak: Seen
    strong: Seen
    wall: Seen
    spread: Spread


@dataclass(frozen=True)
class Assessment:
    """Everything that is known of a design on one day.

    resolved  the design with its items in place; None when base or jar are missing
    tones     in the order of the design; empty when base or jar are missing
    scents    market -> limits of the portion with the most scent; labels: market -> names on the label
    portions  market -> tone id -> limits of that portion, where portions differ in their scent
    warnings  texts that go on the label because of the scent and of what the jar resembles
    food_signs  what makes the jar look or smell like food, in words, or ""
    plan      the one batch sheet of the design; None when base or jar are missing
    stock     digest of the lots it rests on (`production.shortage`); "" = no book was looked at
    """

    design: Design
    on: date
    findings: tuple[Finding, ...]
    resolved: Resolved | None = None
    tones: tuple[ToneJudged, ...] = ()
    density: Density | None = None
    layout: jar.Layout | None = None
    scents: Mapping[str, fragrance.ScentCheck] = field(default_factory=dict)
    labels: Mapping[str, fragrance.Names] = field(default_factory=dict)
    portions: Mapping[str, Mapping[str, fragrance.ScentCheck]] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    plan: Plan | None = None
    food_signs: str = ""
    stock: str = ""

    @property
    def ceiling_pct(self) -> float | None:
        """Lowest of the highest loads for sale over the markets; None when no market has one."""
        return lowest_ceiling(self.scents)

    @property
    def vanillin_pct(self) -> float | None:
        """Vanillin in the finished product [%]; None when an oil cannot say."""
        return vanillin(self.scents)

    @property
    def tints(self) -> dict[str, Tint]:
        """Tone id -> Tint."""
        return {judged.tone.id: judged.tint for judged in self.tones}

    @property
    def dose_weighing(self) -> DoseWeighing:
        """How the doses of the batch are weighed: grams of each portion, step of the finest scale."""
        return dose_weighing(self.resolved, self.plan)

    def count(self, level: str) -> int:
        """Number of findings of one level."""
        return sum(finding.level == level for finding in self.findings)


def dose_weighing(resolved: Resolved | None, sheet: Plan | None) -> DoseWeighing:
    """How the doses of a batch sheet are weighed: grams of each portion, step of the finest scale."""
    scales = resolved.scales if resolved else ()
    portions = sheet.portions if sheet else ()
    return DoseWeighing(
        {portion.tone: portion.grams for portion in portions},
        min((scale.step_g for scale in scales), default=FINEST_G),
    )


def lowest_ceiling(scents: Mapping[str, fragrance.ScentCheck]) -> float | None:
    """Lowest of the highest loads for sale over the markets; None when no market has one."""
    known = [check.ceiling_pct for check in scents.values() if check.ceiling_pct is not None]
    return min(known, default=None)


def vanillin(scents: Mapping[str, fragrance.ScentCheck]) -> float | None:
    """Vanillin in the finished product [%], the most of all markets; None when an oil cannot say."""
    found = [check.vanillin.pct for check in scents.values()]
    known = [pct for pct in found if pct is not None]
    return None if len(known) < len(found) else max(known, default=0.0)

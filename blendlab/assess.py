"""The whole design judged once: tones, layout, scent limits, label names, findings worst first.

Every page, card, command and test reads the same Assessment.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from blendlab import fragrance, jar, renew, tint
from blendlab.batch import Density, Plan, plan, whipped_density
from blendlab.codec import unknown_keys
from blendlab.errors import Finding, UnknownName, worst_first
from blendlab.recipe import Design, Ref, Scent, Tone, evened, tone_load
from blendlab.shelf import Base, Ingredient, Item, Jar, Shelf, missing
from blendlab.tint import Seen, Spread, Tint, Weighed

SUM_TOLERANCE = 0.005
"""Shares may miss 100 % by this much; it is float dust only."""


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

    tones     in the order of the design; empty when base or jar are missing
    scents    market -> limits of the portion with the most scent; labels: market -> names on the label
    portions  market -> tone id -> limits of that portion, where portions differ in their scent
    warnings  texts that go on the label because of the scent and of what the jar resembles
    food_signs  what makes the jar look or smell like food, in words, or ""
    plan      the batch sheet, without the lots of the book; None when base or jar are missing
    """

    design: Design
    on: date
    tones: tuple[ToneJudged, ...]
    density: Density | None
    layout: jar.Layout | None
    scents: Mapping[str, fragrance.ScentCheck]
    labels: Mapping[str, fragrance.Names]
    findings: tuple[Finding, ...]
    portions: Mapping[str, Mapping[str, fragrance.ScentCheck]] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    plan: Plan | None = None
    food_signs: str = ""

    @property
    def ceiling_pct(self) -> float | None:
        """Lowest of the highest loads for sale over the markets; None when no market has one."""
        return _ceiling(self.scents)

    @property
    def vanillin_pct(self) -> float | None:
        """Vanillin in the finished product [%]; None when an oil cannot say."""
        return _vanillin(self.scents)

    @property
    def tints(self) -> dict[str, Tint]:
        """Tone id -> Tint."""
        return {each.tone.id: each.tint for each in self.tones}

    def count(self, level: str) -> int:
        """Number of findings of one level."""
        return sum(finding.level == level for finding in self.findings)


def assess(design: Design, shelf: Shelf, on: date | None = None) -> Assessment:
    """Judge a design with what is on the shelf, on a day (default today).

    Never raises for an unwise design: what is missing or wrong becomes a finding.
    """
    day = on or date.today()
    findings = [*_shelf_findings(design, shelf), *_share_findings(design)]
    known = _without_missing(design, shelf)
    base, glass = _try(shelf, known.base), _try(shelf, known.jar)
    if not isinstance(base, Base) or not isinstance(glass, Jar):
        return Assessment(design, day, (), None, None, {}, {}, worst_first(findings))
    as_weighed = replace(known, scent=evened(known.scent))
    there = _sums(as_weighed.scent)
    scents, labels, portions = _scents(as_weighed, shelf, base, day) if there else ({}, {}, {})
    density = whipped_density(base, known.batch.overrun_pct)
    densities = {tone.id: density.g_ml for tone in known.tones}
    layout = jar.layout(known, glass, densities, density.weighed)
    tones = _tones(known, shelf, scents, weighed(known, shelf, layout))
    tints = {each.tone.id: each.tint for each in tones}
    spreads = {each.tone.id: each.spread for each in tones}
    findings += renew.findings(known, shelf)
    findings += tint.findings(known, shelf, tints, vanillin_pct=_vanillin(scents), spreads=spreads)
    findings += jar.findings(known, glass, layout)
    findings += [finding for check in scents.values() for finding in check.findings]
    findings += [finding for names in labels.values() for finding in names.findings]
    like = _resembles(known, shelf, tones)
    sheet = plan(known, shelf, layout, ceiling_pct=_ceiling(scents), on=day)
    findings += sheet.findings
    findings += _by_tone(known)
    findings += fragrance.of_words(like.names)
    findings += fragrance.imitation(like, known.markets, known.scent.food_answer)
    told = worst_first(findings)
    warnings = fragrance.label_warnings(like, told)
    judged = (scents, labels, told, portions, warnings, sheet)
    return Assessment(design, day, tones, density, layout, *judged, food_signs=fragrance.signs(like))


def weighed(design: Design, shelf: Shelf, layout: jar.Layout) -> Weighed:
    """How the doses of a batch are weighed: grams of each tone, step of the finest scale there is."""
    named = [shelf.find(ref) for ref in design.batch.scales if shelf.has(ref)]
    step = min((one.step_g for one in named or shelf.of("scale")), default=0.01)
    return Weighed({tone.id: tone.grams * design.batch.jars for tone in layout.tones}, step)


def _by_tone(design: Design) -> Iterator[Finding]:
    """Loads by tone are checked one by one; the batch sheet shares one scent out by weight."""
    if len({tone_load(design, tone.id) for tone in design.tones}) > 1:
        yield Finding(
            "stop",
            "scent-by-tone",
            "batch.scent",
            "The tones have loads of their own; the batch sheet shares the scent of the jar out by weight.",
            "Weigh the scent of each tone by its own load, or give every tone the same load.",
            "this program",
            {"scent.tone_loads": {}},
            "Same load in every tone",
        )


def _resembles(design: Design, shelf: Shelf, tones: Iterable[ToneJudged]) -> fragrance.Impression:
    """What a buyer sees and reads: the name, oils, top, tones by daylight."""
    labs = (tint.see(each.tint.R).lab.tolist() for each in tones)
    return fragrance.Impression(
        names=(design.name,),
        oils=tuple(shelf.find(share.oil).name for share in design.scent.oils if share.share_pct > 0),
        top=design.top.kind,
        labs=tuple((lab[0], lab[1], lab[2]) for lab in labs),
    )


def _try(shelf: Shelf, ref: Ref) -> Item | None:
    try:
        item: Item = shelf.find(ref)
    except UnknownName:
        return None
    return item


def _without_missing(design: Design, shelf: Shelf) -> Design:
    """The design without doses, oils and dust that the shelf does not know (each is a stop already)."""

    def there(ref: Ref) -> bool:
        return _try(shelf, ref) is not None

    def kept(tone: Tone) -> Tone:
        return replace(tone, doses=tuple(dose for dose in tone.doses if there(dose.pigment)))

    top = design.top
    if top.dust and not there(top.dust.pigment):
        top = replace(top, dust=None)
    oils = tuple(share for share in design.scent.oils if there(share.oil))
    return replace(
        design,
        tones=tuple(kept(tone) for tone in design.tones),
        top=top,
        scent=replace(design.scent, oils=oils),
    )


def _shelf_findings(design: Design, shelf: Shelf) -> Iterator[Finding]:
    for ref in {place.ref.key: place.ref for place in missing(design, shelf)}.values():
        where = {"oil": "scent.oils", "pigment": "look.tones"}.get(ref.kind, f"look.{ref.kind}")
        if ref:
            yield Finding(
                "stop",
                f"missing:{ref.key}",
                where,
                f'The {ref.kind} "{ref.id}" is not on the shelf and the design does not carry it.',
                f"Add the {ref.kind} to the shelf or choose another.",
                "your shelf",
            )
    for path in unknown_keys(design):
        yield Finding("note", f"key:{path}", "look.file", f'"{path}" of the file is kept but not understood.')


def _share_findings(design: Design) -> Iterator[Finding]:
    total = sum(tone.share_pct for tone in design.tones)
    if abs(total - 100) > SUM_TOLERANCE:
        evened = (
            {
                f"tones.{position}.share_pct": round(tone.share_pct * 100 / total, 2)
                for position, tone in enumerate(design.tones)
            }
            if total
            else None
        )
        yield Finding(
            "caution",
            "tone-sum",
            "look.tones",
            f"The tones add up to {total:.2f} % by weight of the jar; drawn as if they made 100 %.",
            "Even them out to 100 %.",
            "a jar holds 100 %",
            evened,
            "Even out to 100 %" if evened else "",
        )
    if design.scent.oils and not _sums(design.scent):
        yield _scent_sum(design.scent)


def _scent_sum(scent: Scent) -> Finding:
    total = sum(share.share_pct for share in scent.oils)
    evened = (
        {
            f"scent.oils.{position}.share_pct": 100 * (share.share_pct / total)
            for position, share in enumerate(scent.oils)
        }
        if total
        else None
    )
    return Finding(
        "stop",
        "scent-sum",
        "scent.oils",
        f"The shares of the oils add up to {total:.2f} % of the scent; "
        "they must make 100 %. Checked and weighed in proportion.",
        "Even them out to 100 %.",
        "a scent is 100 % of its oils",
        evened,
        "Even out to 100 %" if evened else "",
    )


def _sums(scent: Scent) -> bool:
    return not scent.oils or abs(sum(share.share_pct for share in scent.oils) - 100) <= SUM_TOLERANCE


def _scents(
    design: Design, shelf: Shelf, base: Base, on: date
) -> tuple[
    dict[str, fragrance.ScentCheck],
    dict[str, fragrance.Names],
    dict[str, dict[str, fragrance.ScentCheck]],
]:
    """Limits and names by market: of the portion with the most scent, for a buyer may use it alone."""
    oils = [shelf.find(share.oil) for share in design.scent.oils]
    placed, full = design.placed_on or on, with_additions(base, design, shelf)
    loads = {tone.id: tone_load(design, tone.id) for tone in design.tones}
    scents, labels, portions = {}, {}, {}
    for market in design.markets:
        checks = {
            load: fragrance.check(
                replace(design.scent, load_pct=load), oils, full, design.product, market, on
            )
            for load in sorted({*loads.values()} or {design.scent.load_pct}, reverse=True)
        }
        most = next(iter(checks))
        scents[market] = checks[most]
        strongest = replace(design.scent, load_pct=most)
        labels[market] = fragrance.declare(strongest, oils, design.product, market, placed, full)
        if len(checks) > 1:
            portions[market] = {tone_id: checks[load] for tone_id, load in loads.items()}
    return scents, labels, portions


def with_additions(base: Base, design: Design, shelf: Shelf) -> Base:
    """The base with what the additions of the batch bring to the finished product, highest bounds."""
    contents = dict(base.contents)
    for one in design.batch.additions:
        item = _try(shelf, one.ingredient)
        for part in item.components if isinstance(item, Ingredient) else ():
            if part.cas:
                contents[part.cas] = contents.get(part.cas, 0.0) + one.pct * part.high_pct / 100
    return replace(base, contents=contents) if contents != base.contents else base


def _ceiling(scents: Mapping[str, fragrance.ScentCheck]) -> float | None:
    known = [check.ceiling_pct for check in scents.values() if check.ceiling_pct is not None]
    return min(known, default=None)


def _vanillin(scents: Mapping[str, fragrance.ScentCheck]) -> float | None:
    """Vanillin in the finished product [%]; None when an oil cannot say."""
    found = [check.vanillin.pct for check in scents.values()]
    known = [one for one in found if one is not None]
    return None if len(known) < len(found) else max(known, default=0.0)


def _tones(
    design: Design, shelf: Shelf, scents: Mapping[str, fragrance.ScentCheck], weighing: Weighed
) -> tuple[ToneJudged, ...]:
    view, vanillin = design.view, _vanillin(scents) or 0.0
    tints = tint.predict(design, shelf, vanillin_pct=vanillin)
    spreads = tint.spread(design, shelf, vanillin_pct=vanillin, weighed=weighing)

    def seen(R: NDArray[np.float64]) -> Seen:
        return tint.see(R, view.lamp, view.observer_deg, view.eye)

    judged = []
    for tone in design.tones:
        one, spread = tints[tone.id], spreads[tone.id]
        judged.append(
            ToneJudged(
                tone,
                one,
                seen(one.R),
                seen(spread.weak.R),
                seen(spread.strong.R),
                seen(one.R_wall),
                spread,
            )
        )
    return tuple(judged)

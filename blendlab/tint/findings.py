"""What an unwise look is told: findings on doses, pH, likeness, screen, wall and time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import floor

from blendlab.errors import Finding, worst_first
from blendlab.facts.palette import PEARLS
from blendlab.facts.read import figure
from blendlab.recipe import Tone
from blendlab.shelf import Dosed, DosedTone, Resolved
from blendlab.tint.browning_findings import browning_findings
from blendlab.tint.chemistry import bleed_findings, ph_findings, reaction_findings
from blendlab.tint.kubelka_munk import foam_range
from blendlab.tint.law import law_findings
from blendlab.tint.look import Look
from blendlab.tint.pair_findings import pair_findings
from blendlab.tint.prediction import Tint
from blendlab.tint.seen_colour import see
from blendlab.tint.uncertainty import Spread
from blendlab.units import beside


def findings(
    resolved: Resolved,
    tints: Mapping[str, Tint],
    vanillin_pct: float | None = None,
    spreads: Mapping[str, Spread] | None = None,
) -> tuple[Finding, ...]:
    """Everything the look of a design is told, worst first.

    tints         of `predict`, by tone id
    vanillin_pct  vanillin in the finished portion [%]; None = unknown, which is said when there
                  is a scent
    spreads       of `spread`, by tone id; None = worked out here, without the weighing
    """
    look = Look(resolved, tints, spreads)
    gathered: list[Finding] = []
    for position, dosed in enumerate(resolved.tones):
        gathered += _doses(position, dosed)
        gathered += ph_findings(dosed.tone, dosed.pigments, resolved.base, resolved.ph_measured)
        gathered += _screen(dosed.tone, tints[dosed.id])
    gathered += law_findings(resolved)
    gathered += pair_findings(look)
    gathered += bleed_findings(resolved)
    gathered += reaction_findings(resolved)
    gathered += browning_findings(resolved, vanillin_pct)
    gathered += _estimates(look)
    gathered += _too_wide(look)
    gathered += _whip(look)
    gathered += _sheen(look)
    gathered += _wall(look)
    return worst_first(gathered)


def _doses(position: int, dosed: DosedTone) -> Iterator[Finding]:
    tone, doses = dosed.tone, dosed.doses
    solids, pearls = figure("tint", "solids_cap"), figure("tint", "mica_cap")
    yield from _too_much(position, tone, doses, solids.value, "solids", "pigment in all", solids.source)
    for pigment in {pigment.rev: pigment for pigment in dosed.pigments}.values():
        same = [dose for dose in doses if dose.pigment.rev == pigment.rev]
        why = "cap of this pigment on the shelf; starter caps are common practice"
        yield from _too_much(position, tone, same, pigment.cap_pct, f"cap.{pigment.id}", pigment.name, why)
    micas = [dose for dose in doses if dose.pigment.group in PEARLS]
    several = len({dose.pigment.rev for dose in micas}) > 1
    if several or any(dose.pigment.cap_pct > pearls.value for dose in micas):
        yield from _too_much(position, tone, micas, pearls.value, "micas", "mica in all", pearls.source)


def _too_much(
    position: int, tone: Tone, doses: Sequence[Dosed], most: float, name: str, words: str, why: str
) -> Iterator[Finding]:
    total = sum(dose.pct for dose in doses)
    if total <= most + 1e-9:
        return
    lowered = {
        f"tones.{position}.doses.{dose.at}.pct": floor(dose.pct * most / total * 100 + 1e-6) / 100
        for dose in doses
    }
    there, allowed = beside(total, most, 2)
    yield Finding(
        "caution",
        f"tint.{name}",
        f"look.tones.{tone.id}",
        f"{tone.name} holds {there} % {words}; the most in use is {allowed} % of the portion.",
        f"Lower to {most:.2f} % of the portion.",
        why,
        lowered,
        f"Lower to {most:.2f} %",
    )


def _screen(tone: Tone, tint: Tint) -> Iterator[Finding]:
    if not see(tint.R).in_gamut:
        yield Finding(
            "note",
            "tint.screen",
            f"look.tones.{tone.id}",
            f"{tone.name} is deeper than this screen can show; it is drawn duller than predicted.",
            "Judge it by a swatch.",
            "sRGB, IEC 61966-2-1",
        )


def _estimates(look: Look) -> Iterator[Finding]:
    pigments, base = look.resolved.pigments, look.resolved.base
    names = [pigment.name for pigment in pigments if pigment.known == "estimate"]
    if base.known == "estimate":
        names.append(f"the base ({base.name})")
    if names:
        width, tone, part = _widest(look)
        strength = figure("tint", "strength_factor")
        first = _name(look, part) if part.startswith("strength:") else ""
        yield Finding(
            "note",
            "tint.estimate",
            "look.tones",
            f"From published data for this kind: {', '.join(names)}. "
            f"Strength may be off by a factor of {strength.low:g} to {strength.high:g}, "
            f"{tone.name} by Delta E {width:.1f}.",
            f"Your lot may differ; add a swatch{f' of {first} first' if first else ''}.",
            strength.source,
        )


def _widest(look: Look) -> tuple[float, Tone, str]:
    """The tone that may lie farthest from its prediction, by how much, and what does most of it."""
    tone = max(look.resolved.design.tones, key=lambda tone: look.spreads[tone.id].delta_e00)
    found = look.spreads[tone.id]
    return found.delta_e00, tone, max(found.parts, key=found.parts.__getitem__, default="")


def _name(look: Look, part: str) -> str:
    pigment_id = part.partition(":")[2]
    pigment = look.pigment(pigment_id)
    return pigment_id if pigment is None else pigment.name


def _too_wide(look: Look) -> Iterator[Finding]:
    """A measured tone, or one that is weighed too coarsely, that may still lie off."""
    for dosed in look.resolved.tones:
        tone, found = dosed.tone, look.spreads[dosed.id]
        part = max(found.parts, key=found.parts.__getitem__, default="")
        starter = part.startswith("strength:") and any(
            pigment.known == "estimate" and pigment.id == part.partition(":")[2] for pigment in dosed.pigments
        )
        if found.delta_e00 <= figure("tint", "spread_advised").value or not part or starter:
            continue
        why, fix = _ADVICE[part.partition(":")[0]]
        if part == "base" and look.resolved.base.known == "measured":
            fix = "Measure this lot of the base."
        yield Finding(
            "note",
            "tint.spread",
            f"look.tones.{tone.id}",
            f"{tone.name} may lie Delta E {found.delta_e00:.1f} from its prediction; "
            f"most of it comes from {why.format(name=_name(look, part))} (Delta E {found.parts[part]:.1f}).",
            fix,
            figure("tint", "spread_advised").source,
        )


_ADVICE = {
    "strength": ("the strength of {name}", "Add a swatch of it at another percent."),
    "weighing": ("weighing", "Weigh its pigments through a stock, or make a bigger trial."),
    "overrun": ("the whip", "Weigh a full cup after whipping and whip to the same weight each time."),
    "base": ("the white of the base", "Add a swatch of the base."),
}
"""Part of a spread -> its words, and what narrows it."""


def _whip(look: Look) -> Iterator[Finding]:
    """Another overrun than that at which the base is known, followed by a trend alone."""
    base, air = look.resolved.base, next(iter(look.recipes.values())).air
    low, likely, high = foam_range(air, base.ref_overrun_pct)
    if base.foam_power is None and round(likely, 2) != 1:
        yield Finding(
            "note",
            "tint.whip",
            "look.base",
            f"Whipped to an overrun of {air:g} %, {base.name} is drawn with {likely:.2f} times "
            f"({low:.2f} to {high:.2f}) the scattering it has at {base.ref_overrun_pct:g} %: "
            "a trend, no measurement.",
            "Measure one colour unwhipped and whipped.",
            figure("tint", "foam_power").source,
        )


def _sheen(look: Look) -> Iterator[Finding]:
    for dosed in look.resolved.tones:
        tone, micas = dosed.tone, [pigment for pigment in dosed.pigments if pigment.group in PEARLS]
        if micas:
            words = ", ".join(f"{mica.name} ({mica.sheen})" if mica.sheen else mica.name for mica in micas)
            yield Finding(
                "note",
                "tint.sheen",
                f"look.tones.{tone.id}",
                f"Sheen is not predicted: {words}. In a white foam it adds little, over a dark tone more.",
                "Look at a swatch under a moving lamp.",
                "common practice",
            )


def _wall(look: Look) -> Iterator[Finding]:
    jar = look.resolved.jar
    if jar.wall_contact is None:
        deeper = figure("tint", "wall_deeper")
        yield Finding(
            "note",
            "tint.wall",
            "look.jar",
            f"How far the wall of {jar.name} is wetted is unknown; it is drawn as an open surface. "
            f"A wetted wall looks deeper, by Delta E {deeper.low:g} to {deeper.high:g} and more.",
            "Fit it from a photo of a filled jar.",
            deeper.source,
        )

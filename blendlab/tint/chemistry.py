"""Findings on what a base does to a pigment: pH, and lakes that bleed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache

from blendlab.errors import LEVELS, Finding
from blendlab.facts.read import Row, figure, level, maybe_number, number, table
from blendlab.recipe import Tone
from blendlab.shelf import Base, Blended, Pigment, Resolved
from blendlab.tint.law import is_lake


@cache
def _ph_rules() -> tuple[Row, ...]:
    rows = table("tint/colour_cautions")
    return tuple(row for row in rows if row["ph_below"] or row["ph_above"])


def _rules_of(pigment: Pigment) -> list[Row]:
    """Rules by CI number; the general one for lakes only where no number has its own."""
    own = [row for row in _ph_rules() if row["ci"] in pigment.ci]
    lakes = [row for row in _ph_rules() if row["group"] == "lake"]
    return own or (lakes if is_lake(pigment) else [])


def ph_findings(
    tone: Tone, pigments: Sequence[Pigment], base: Base, measured: bool = False
) -> Iterator[Finding]:
    """Pigments of a tone that the pH of the base may spoil; an unknown pH is said, never fine.

    measured  its pH is that of the batch, not of the base as it came
    """
    whose = "This batch" if measured else base.name
    for pigment in {pigment.rev: pigment for pigment in pigments}.values():
        rules = [] if base.anhydrous else _rules_of(pigment)
        if base.pH is not None:
            rules = [row for row in rules if _broken(row, base.pH)]
        if not rules:
            continue
        worst = min(rules, key=lambda row: LEVELS.index(level(row)))
        known = base.pH is not None
        text = f"{whose} has pH {base.pH:g}" if known else f"The pH of {base.name} is unknown"
        yield Finding(
            level(worst) if known else "caution",
            f"tint.ph.{pigment.id}",
            f"look.tones.{tone.id}",
            f"{text}; {pigment.name} {_bounds(worst)}: {worst['effect']}.",
            "Take another pigment, or another base." if known else "Measure the pH of the base.",
            worst["source"],
        )


def _broken(row: Row, pH: float) -> bool:
    below, above = maybe_number(row, "ph_below"), maybe_number(row, "ph_above")
    return (below is not None and pH < below) or (above is not None and pH > above)


def _bounds(row: Row) -> str:
    parts = [f"below pH {row['ph_below']}" if row["ph_below"] else ""]
    parts.append(f"above pH {row['ph_above']}" if row["ph_above"] else "")
    return "suffers " + " and ".join(part for part in parts if part)


def bleed_findings(resolved: Resolved) -> Iterator[Finding]:
    """Lakes that can bleed from one tone of a jar into the next, and fade in a clear one."""
    if len(resolved.tones) < 2 or resolved.base.anhydrous:
        return
    light = figure("tint", "lake_light")
    for dosed in resolved.tones:
        tone, lakes = dosed.tone, [pigment for pigment in dosed.pigments if is_lake(pigment)]
        if lakes:
            names = ", ".join(dict.fromkeys(lake.name for lake in lakes))
            yield Finding(
                "note",
                "tint.bleed",
                f"look.tones.{tone.id}",
                f"{tone.name} holds {names}: a lake can bleed into the tone beside it and stain skin, "
                f"and fades in a clear jar after about {light.value:g} weeks of daylight.",
                "Prefer oxides where two tones touch; keep one jar in the dark to compare.",
                light.source,
            )


def reaction_findings(resolved: Resolved) -> Iterator[Finding]:
    """Substances of the scent that change colour by themselves, together, or with a metal in a pigment.

    Highest contents of what is known of each oil; what is not listed there is not ruled out.
    """
    load_pct = resolved.design.scent.load_pct
    if not resolved.oils or load_pct <= 0:
        return
    held = _held(resolved.oils)
    colours = {ci for tone in resolved.tones for pigment in tone.pigments for ci in pigment.ci}
    for row in table("tint/reactions"):
        pct, limit = _sum(held, row["cas"]), number(row, "above_pct")
        beside = _sum(held, row["with_cas"]) if row["with_cas"] else None
        metal = not row["with_ci"] or colours & set(row["with_ci"].split(";"))
        if pct > limit and metal and (beside is None or beside > limit):
            other = f" and {beside:.2g} % {row['with_words']}" if beside is not None else ""
            yield Finding(
                level(row),
                f"tint.reaction.{row['id']}",
                "look.weeks",
                f"The scent can hold {pct:.2g} % {row['words']}{other}, "
                f"{pct * load_pct / 100:.2g} % of the jar: {row['effect']}.",
                row["fix"],
                row["source"],
            )


def _held(oils: Iterable[Blended]) -> dict[str, float]:
    """CAS -> highest percent of the scent, summed over its oils."""
    held: dict[str, float] = {}
    for blended in oils:
        for cas, constituent in blended.oil.constituents.items():
            held[cas] = held.get(cas, 0.0) + blended.share_pct / 100 * constituent.high
    return held


def _sum(held: Mapping[str, float], numbers: str) -> float:
    return sum(held.get(cas, 0.0) for cas in numbers.split(";"))

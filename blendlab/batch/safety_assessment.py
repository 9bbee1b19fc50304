"""The assessment of a formula family: what the assessor saw, and whether a design lies inside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from blendlab.batch import ledger
from blendlab.codec import Noun, number, text
from blendlab.errors import Finding, Level
from blendlab.recipe import Design, Ref
from blendlab.shelf import Resolved
from blendlab.units import digits

ASSESSED = ("EU", "GB")
"""Markets that ask for an assessment before sale."""


@dataclass(frozen=True, kw_only=True)
class Family(Noun):
    """What an assessor looked at.

    base          the base with the revision that was assessed, or what matters of it (`Item.matter`)
    pigments      id of a pigment -> highest percent of the finished portion
    scents        id of an oil -> highest percent of the finished product
    additions     id of an ingredient -> highest percent of the finished product
    dusts         id of a mica on the top -> highest mg/cm2
    load_pct      highest load, percent of the finished product
    preservative  id of the preservative, and its lowest and highest percent; "" = none was assessed
    label         version of the label that was seen

    What it does not name was not assessed.
    """

    id: str = text(80)
    name: str = text(80)
    assessor: str = text(120)
    on: date
    base: Ref
    product: str = text(40)
    markets: tuple[str, ...]
    pigments: Mapping[str, float] = field(default_factory=dict)
    scents: Mapping[str, float] = field(default_factory=dict)
    load_pct: float = number(0, 100, "% of the finished product", default=0.0)
    preservative: str = text(80, default="")
    preservative_pct: tuple[float, float] = (0.0, 0.0)
    label: str = text(120, default="")
    document: str = text(200, default="")
    additions: Mapping[str, float] = field(default_factory=dict)
    dusts: Mapping[str, float] = field(default_factory=dict)


def outside(
    resolved: Resolved, family: Family | None, preservative_pct: float | None = None
) -> tuple[Finding, ...]:
    """Findings of a design that its assessment does not cover; stops where sale needs one.

    family            None = never assessed
    preservative_pct  percent in the most diluted tone; None = not known
    """
    design = resolved.design
    markets = [market for market in design.markets if market in ASSESSED]
    if not markets:
        return ()
    if family is None:
        told = " and ".join(markets) + (" asks" if len(markets) == 1 else " ask")
        return (
            _found(
                "stop",
                "assessment",
                f"No assessment for this formula family; {told} for one before sale.",
                "",
            ),
        )
    seen: list[tuple[str, str]] = [*_market(design, family), *_base(resolved, family)]
    seen += [*_colours(resolved, family), *_dust(resolved, family), *_scent(resolved, family)]
    seen += _additions(resolved, family)
    seen += _preservative(resolved, family, preservative_pct)
    fix = f"Ask {family.assessor} for an addition to the assessment of {family.on}, or stay inside it."
    return tuple(_found("stop", f"assessment-{key}", said, fix) for key, said in seen)


def _found(level: Level, id: str, said: str, fix: str) -> Finding:
    way = fix or "Have it assessed; until then it is a test jar, not for sale."
    source = "Reg. (EC) 1223/2009 Art. 10, from memory"
    return Finding(level, id, "batch.assessment", said, way, source)


def _market(design: Design, family: Family) -> Iterator[tuple[str, str]]:
    for market in design.markets:
        if market in ASSESSED and market not in family.markets:
            yield f"market-{market}", f"The assessment does not cover {market}."
    if design.product != family.product:
        product, seen = design.product.replace("_", " "), family.product.replace("_", " ")
        yield "product", f"The assessment is for {seen}, the design is {product}."


def _base(resolved: Resolved, family: Family) -> Iterator[tuple[str, str]]:
    now = resolved.shelf.find(resolved.design.base)  # a lot of it differs from the base it is of
    if now.id != family.base.id or family.base.rev not in ("", now.rev, now.matter):
        yield "base", "The base is not the revision that was assessed."


def _colours(resolved: Resolved, family: Family) -> Iterator[tuple[str, str]]:
    for dosed in resolved.tones:
        for pigment, pct, _ in dosed.doses:
            most = family.pigments.get(pigment.id)
            if most is None and pct > 0:
                yield f"pigment-{pigment.id}", f"{pigment.name} was not assessed."
            elif most is not None and pct > most:
                told = f"{pigment.name} at {digits(pct)} % of {dosed.tone.name}"
                said = f"{told}; {digits(most)} % was assessed."
                yield f"pigment-{pigment.id}", said


def _dust(resolved: Resolved, family: Family) -> Iterator[tuple[str, str]]:
    mica, dust = resolved.dust, resolved.design.top.dust
    if mica is None or dust is None or dust.mg_per_cm2 <= 0:
        return
    most = family.dusts.get(mica.id)
    if most is None:
        yield f"dust-{mica.id}", f"{mica.name} on the top was not assessed."
    elif dust.mg_per_cm2 > most:
        said = f"{mica.name} on the top at {digits(dust.mg_per_cm2)} mg/cm2; {digits(most)} was assessed."
        yield f"dust-{mica.id}", said


def _additions(resolved: Resolved, family: Family) -> Iterator[tuple[str, str]]:
    for item, pct in resolved.additions:
        most = family.additions.get(item.id)
        if pct > 0 and most is None:
            yield f"addition-{item.id}", f"{item.name} was not assessed."
        elif most is not None and round(pct - most, 9) > 0:
            said = f"{item.name} at {digits(pct)} % of the jar; {digits(most)} % was assessed."
            yield f"addition-{item.id}", said


def _scent(resolved: Resolved, family: Family) -> Iterator[tuple[str, str]]:
    design = resolved.design
    if design.scent.load_pct > family.load_pct:
        said = f"Load {digits(design.scent.load_pct)} % of the jar; {digits(family.load_pct)} % was assessed."
        yield "load", said
    for oil, share_pct, _ in resolved.oils:
        pct = design.scent.load_pct * share_pct / 100
        most = family.scents.get(oil.id)
        if pct > 0 and most is None:
            yield f"oil-{oil.id}", f"{oil.name} was not assessed."
        elif most is not None and round(pct - most, 9) > 0:
            said = f"{oil.name} at {digits(pct)} % of the jar; {digits(most)} % was assessed."
            yield f"oil-{oil.id}", said


def _preservative(resolved: Resolved, family: Family, pct: float | None) -> Iterator[tuple[str, str]]:
    (low, high), kept = family.preservative_pct, ledger.choose(resolved)
    if not family.preservative:
        if kept is not None:
            yield "preservative", f"{kept.name}, the preservative, was not assessed."
    elif kept is not None and kept.id != family.preservative:
        yield "preservative", f"{kept.name} is not the preservative that was assessed."
    elif pct is None:
        yield "preservative", "The percent of preservative is not known, so it is not as assessed."
    elif not low - 1e-9 <= pct <= high + 1e-9:
        yield (
            "preservative",
            f"{digits(pct)} % of preservative; {digits(low)} to {digits(high)} % was assessed.",
        )

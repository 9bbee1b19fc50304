"""Names of fragrance allergens on the label of one product, market and placing day.

A name is declared when its sum in the finished product exceeds the threshold; equality does not.
An oil with a label name of its own is tested with its own percent, and what is inside it with theirs.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import fsum

from blendlab.errors import Finding, OutOfRange
from blendlab.facts.allergens import Allergen, List, allergens, list_for, natural_cas, sold_until, source_of
from blendlab.facts.products import product, strictest
from blendlab.facts.read import figure
from blendlab.fragrance.contents import WHOLE, at_least, high_pct, looked_for
from blendlab.fragrance.load import in_product
from blendlab.fragrance.thresholds import above, exact
from blendlab.recipe import Scent
from blendlab.shelf import Base, Oil


@dataclass(frozen=True)
class Name:
    """One name on, or near, a label.

    pct            percent of the finished product, high bound
    threshold_pct  declared above this
    drops_at_pct   the name is off the label up to this load; None = the base alone brings it there
    oil            the name is that of an oil or extract itself
    entry          entry of the list
    """

    name: str
    pct: float
    threshold_pct: float
    drops_at_pct: float | None
    oil: bool
    entry: int


@dataclass(frozen=True)
class Unanswered:
    """An oil that does not say whether it holds some of the names."""

    oil: str
    names: tuple[str, ...]


@dataclass(frozen=True)
class Names:
    """Names for one label.

    which      "new" (all), "old" (names of 2003), "none" or "pending"
    names      in label order: falling percent, then by name
    near       not on the label now, but within 1.5 times this load
    voluntary  above the threshold, not asked for yet on this market and day
    unknown    oils that cannot answer: the list may be longer
    findings   a stop while a label cannot be written
    sold_until last day a jar with these names may still be sold there, or None
    """

    market: str
    placed_on: date
    which: List
    names: tuple[Name, ...]
    near: tuple[Name, ...]
    voluntary: tuple[Name, ...]
    unknown: tuple[Unanswered, ...]
    findings: tuple[Finding, ...]
    source: str
    sold_until: date | None = None


def declare(
    scent: Scent,
    oils: Sequence[Oil],
    product_kind: str,
    market: str,
    placed_on: date,
    base: Base | None = None,
) -> Names:
    """Names of fragrance allergens for a label.

    scent      load in percent of the finished product; shares are taken relative to their sum
    oils       aligned with scent.oils
    placed_on  day the jar is first placed on that market
    base       its restricted contents count in

    Raises UnknownName (product, market), OutOfRange (oils and shares differ in number).

    >>> from blendlab.recipe import OilShare
    >>> from blendlab.facts.library import demo_oils
    >>> oil = demo_oils()[0]
    >>> scent = Scent(load_pct=1.0, oils=(OilShare(oil=oil.ref, share_pct=100),))
    >>> [name.name for name in declare(scent, [oil], "whipped_soap", "EU", date(2026, 11, 25)).names][:3]
    ['Lavandula Oil/Extract', 'Linalyl Acetate', 'Linalool']
    """
    if len(oils) != len(scent.oils):
        raise OutOfRange("Number of oils", len(oils), len(scent.oils), len(scent.oils), "oils")
    of = strictest([product(kind) for kind in (product_kind, *scent.also_kinds)])
    which = list_for(market, placed_on)
    source = source_of(market, which)
    if of.rinse == "not_cosmetic":
        return Names(market, placed_on, "none", (), (), (), (), (), "not a cosmetic product")
    parts = _parts(scent, oils)
    brought = summed(base.contents if base else {})
    found = {
        allergen.name: _name(allergen, parts, brought.get(allergen.name, 0.0), scent.load_pct, of.rinse)
        for allergen in allergens()
    }
    split = names_above({label: name.pct for label, name in found.items()}, of.rinse, which)
    asked = _asked(which)
    told = [(oil, Unanswered(oil.name, _unanswered(oil, asked))) for oil, _ in parts]
    silent = [(oil, unanswered) for oil, unanswered in told if unanswered.names]
    return Names(
        market=market,
        placed_on=placed_on,
        which=which,
        names=_ordered(found[label] for label in split.must),
        near=_ordered(found[label] for label in asked if _near(found[label], scent.load_pct)),
        voluntary=_ordered(found[label] for label in split.early),
        unknown=tuple(unanswered for _, unanswered in silent),
        findings=tuple(_findings(silent, parts, source)) if asked else (),
        source=source,
        sold_until=sold_until(market, which),
    )


def _parts(scent: Scent, oils: Sequence[Oil]) -> list[tuple[Oil, float]]:
    """Oils in the scent, each with its fraction of it."""
    whole = sum(share.share_pct for share in scent.oils)
    return [
        (oil, share.share_pct / whole)
        for oil, share in zip(oils, scent.oils, strict=True)
        if share.share_pct > 0
    ]


def _ordered(names: Iterable[Name]) -> tuple[Name, ...]:
    return tuple(sorted(names, key=lambda name: (-name.pct, name.name)))


@dataclass(frozen=True)
class Split:
    """Names that must stand on a label, and names that may stand there early."""

    must: tuple[str, ...]
    early: tuple[str, ...]


def names_above(in_product_pct: Mapping[str, float], rinse: str, which: List) -> Split:
    """Label names above the threshold, split by what a list asks for.

    in_product_pct  label name -> percent of the finished product
    which           list that holds on a market and day

    >>> names_above({"Vanillin": 0.05, "Linalool": 0.05}, "rinse_off", "old")
    Split(must=('Linalool',), early=('Vanillin',))
    """
    over = [
        allergen.name
        for allergen in allergens()
        if above(in_product_pct.get(allergen.name, 0.0), allergen.above(rinse))
    ]
    asked = _asked(which)
    return Split(
        tuple(label for label in over if label in asked), tuple(label for label in over if label not in asked)
    )


def _asked(which: List) -> tuple[str, ...]:
    """Names that a list asks for."""
    return tuple(
        allergen.name for allergen in allergens() if which == "new" or (which == "old" and allergen.old)
    )


def summed(pct_by_cas: Mapping[str, float]) -> dict[str, float]:
    """Label names behind some registry numbers, each with the sum of its numbers.

    >>> summed({"80-56-8": 0.004, "127-91-3": 0.007})
    {'Pinene': 0.011}
    """
    held = {
        allergen.name: [pct for cas, pct in pct_by_cas.items() if cas in allergen.cas]
        for allergen in allergens()
    }
    return {label: exact(fsum(pcts)) for label, pcts in held.items() if pcts}


def _name(
    allergen: Allergen, parts: Sequence[tuple[Oil, float]], brought: float, load: float, rinse: str
) -> Name:
    threshold = allergen.above(rinse)
    in_scent = sum(share * at_least(held_pct(oil, allergen)) for oil, share in parts)
    drops: float | None = None
    if in_scent > 0 and not above(brought, threshold):
        drops = (threshold - brought) * 100.0 / in_scent
    pct = exact(in_product(load, in_scent, brought))
    return Name(allergen.name, pct, threshold, drops, allergen.natural, allergen.entry)


def held_pct(oil: Oil, allergen: Allergen) -> float | None:
    """Percent of an oil under one name; None when the oil cannot say."""
    if not allergen.natural:
        return high_pct(oil, allergen.cas)
    if oil.label_name:
        return (oil.dilution_pct or WHOLE) if oil.label_name == allergen.name else 0.0
    inside = [part.high for cas, part in oil.constituents.items() if cas in allergen.cas]
    if oil.declaration and not inside:
        inside = [row.pct for cas, row in oil.declaration.rows.items() if cas in allergen.cas]
    if inside:
        return min(WHOLE, sum(inside))
    single = oil.group != "fragrance_oil" and bool(oil.plant_part)
    return 0.0 if single or looked_for(oil, allergen.old) else None


def _unanswered(oil: Oil, asked: Collection[str]) -> tuple[str, ...]:
    """Names that are asked for and that an oil does not answer."""
    return tuple(
        allergen.name
        for allergen in allergens()
        if allergen.name in asked and held_pct(oil, allergen) is None
    )


def _near(name: Name, load: float) -> bool:
    if name.drops_at_pct is None or above(name.pct, name.threshold_pct):
        return False
    return name.drops_at_pct <= figure("fragrance", "name.near_factor").value * load


def _findings(
    silent: Sequence[tuple[Oil, Unanswered]], parts: Sequence[tuple[Oil, float]], source: str
) -> list[Finding]:
    told = [
        Finding(
            "stop",
            f"label.unknown.{oil.id}",
            f"scent.names.{oil.id}",
            f"{oil.name} does not say whether it holds {len(unanswered.names)} of the names.",
            "Ask for a complete declaration by the list of 2023.",
            source,
        )
        for oil, unanswered in silent
    ]
    for oil, _ in parts:
        if not oil.label_name and not oil.plant_part and oil.cas in natural_cas():
            printed = " or ".join(natural_cas()[oil.cas])
            told.append(
                Finding(
                    "caution",
                    f"label.part.{oil.id}",
                    f"scent.names.{oil.id}",
                    f"{oil.name} has the number {oil.cas} of {printed}; its part of the plant decides.",
                    "Enter the part of the plant.",
                    source,
                )
            )
    return told

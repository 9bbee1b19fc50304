"""Names of fragrance allergens on the label of one product, market and placing day.

A name is declared when its sum in the finished product exceeds the threshold; equality does not.
An oil with a label name of its own is tested with its own percent, and what is inside it with theirs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from blendlab.errors import Finding, OutOfRange, UnknownName
from blendlab.facts.allergens import (
    Allergen,
    List,
    allergens,
    by_cas,
    list_for,
    natural_cas,
    sold_until,
    source_of,
)
from blendlab.facts.library import oils
from blendlab.facts.products import product, strictest
from blendlab.facts.read import figure
from blendlab.fragrance.contents import WHOLE, high_pct, looked_for
from blendlab.fragrance.sums import above, exact
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
    >>> [one.name for one in declare(scent, [oil], "whipped_soap", "EU", date(2026, 11, 25)).names][:3]
    ['Lavandula Oil/Extract', 'Linalyl Acetate', 'Linalool']
    """
    if len(oils) != len(scent.oils):
        raise OutOfRange("Number of oils", len(oils), len(scent.oils), len(scent.oils), "oils")
    of = strictest([product(one) for one in (product_kind, *scent.also_kinds)])
    which = list_for(market, placed_on)
    source = source_of(market, which)
    if of.rinse == "not_cosmetic":
        return Names(market, placed_on, "none", (), (), (), (), (), "not a cosmetic product")
    whole = sum(one.share_pct for one in scent.oils) or 1.0
    parts = [
        (oil, share.share_pct / whole)
        for oil, share in zip(oils, scent.oils, strict=True)
        if share.share_pct > 0
    ]
    contents = base.contents if base else {}
    found = [_name(one, parts, contents, scent.load_pct, of.rinse) for one in allergens()]
    over = [one for one in found if above(one.pct, one.threshold_pct)]
    asked = {one.name for one in allergens() if which == "new" or (which == "old" and one.old)}
    unknown = tuple(_unanswered(oil, asked) for oil, _ in parts)
    unknown = tuple(one for one in unknown if one.names)
    return Names(
        market=market,
        placed_on=placed_on,
        which=which,
        names=_ordered(one for one in over if one.name in asked),
        near=_ordered(one for one in found if one.name in asked and _near(one, scent.load_pct)),
        voluntary=_ordered(one for one in over if one.name not in asked),
        unknown=unknown,
        findings=tuple(_findings(unknown, parts, source)) if asked else (),
        source=source,
        sold_until=sold_until(market, which),
    )


def _ordered(names: object) -> tuple[Name, ...]:
    return tuple(sorted(names, key=lambda one: (-one.pct, one.name)))  # type: ignore[call-overload]


def _name(
    one: Allergen, parts: Sequence[tuple[Oil, float]], base: Mapping[str, float], load: float, rinse: str
) -> Name:
    threshold = one.above(rinse)
    brought = sum(pct for cas, pct in base.items() if cas in one.cas)
    in_scent = sum(share * (held_pct(oil, one) or 0.0) for oil, share in parts)
    drops: float | None = None
    if in_scent > 0 and not above(brought, threshold):
        drops = (threshold - brought) * 100.0 / in_scent
    return Name(one.name, exact(load * in_scent / 100.0 + brought), threshold, drops, one.natural, one.entry)


def held_pct(oil: Oil, one: Allergen) -> float | None:
    """Percent of an oil under one name; None when the oil cannot say."""
    if not one.natural:
        return high_pct(oil, one.cas)
    if oil.label_name:
        return WHOLE if oil.label_name == one.name else 0.0
    inside = [part.high for cas, part in oil.constituents.items() if cas in one.cas]
    inside = (
        [row.pct for cas, row in oil.declaration.rows.items() if cas in one.cas]
        if oil.declaration and not inside
        else inside
    )
    if inside:
        return min(WHOLE, sum(inside))
    single = oil.group != "fragrance_oil" and bool(oil.plant_part)
    return 0.0 if single or looked_for(oil, one.old) else None


def _unanswered(oil: Oil, asked: set[str]) -> Unanswered:
    names = tuple(one.name for one in allergens() if one.name in asked and held_pct(oil, one) is None)
    return Unanswered(oil.name, names)


def _near(one: Name, load: float) -> bool:
    if one.drops_at_pct is None or above(one.pct, one.threshold_pct):
        return False
    return one.drops_at_pct <= figure("fragrance", "name.near_factor").value * load


def _findings(
    unknown: Sequence[Unanswered], parts: Sequence[tuple[Oil, float]], source: str
) -> list[Finding]:
    told = [
        Finding(
            "stop",
            f"label.unknown.{oil.id}",
            f"scent.names.{oil.id}",
            f"{oil.name} does not say whether it holds {len(one.names)} of the names.",
            "Ask for a complete declaration by the list of 2023.",
            source,
        )
        for one in unknown
        for oil, _ in parts
        if oil.name == one.oil
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


@dataclass(frozen=True)
class Group:
    """Numbers of one label name summed up."""

    name: str
    pct: float
    declared: bool


def groups(in_product_pct: Mapping[str, float], rinse: str) -> tuple[Group, ...]:
    """Label names behind some registry numbers, summed, greatest first.

    in_product_pct  CAS -> percent of the finished product

    >>> groups({"80-56-8": 0.004, "127-91-3": 0.007}, "rinse_off")
    (Group(name='Pinene', pct=0.011, declared=True),)
    """
    sums: dict[str, float] = {}
    for cas, pct in in_product_pct.items():
        if cas in by_cas():
            sums[by_cas()[cas].name] = sums.get(by_cas()[cas].name, 0.0) + pct
    listed = {one.name: one for one in allergens()}
    made = [Group(name, exact(pct), above(pct, listed[name].above(rinse))) for name, pct in sums.items()]
    return tuple(sorted(made, key=lambda one: (-one.pct, one.name)))


@dataclass(frozen=True)
class Split:
    """Names that must stand on a label, and names that may stand there early."""

    must: tuple[str, ...]
    early: tuple[str, ...]


def names_above(in_product_pct: Mapping[str, float], rinse: str, market: str, placed_on: date) -> Split:
    """Label names above the threshold, split by what the market asks for on that day.

    in_product_pct  label name -> percent of the finished product

    >>> names_above({"Vanillin": 0.05, "Linalool": 0.05}, "rinse_off", "EU", date(2026, 7, 30))
    Split(must=('Linalool',), early=('Vanillin',))
    """
    which = list_for(market, placed_on)
    over = [one for one in allergens() if above(in_product_pct.get(one.name, 0.0), one.above(rinse))]
    must = tuple(one.name for one in over if which == "new" or (which == "old" and one.old))
    return Split(must, tuple(one.name for one in over if one.name not in must))


@dataclass(frozen=True)
class Preserved:
    """Benzyl alcohol from the preservative and from the scent, percent of the finished product."""

    total_pct: float
    scent_pct: float
    scent_declared: bool
    cap_pct: float
    listed: Literal[True] = True


def preservative(from_preservative_pct: float, from_scent_pct: float, rinse: str) -> Preserved:
    """Benzyl alcohol counted twice over: as preservative it is listed anyway, the threshold is for scent.

    Annex III entry 45 and Annex V entry 34 of Reg. (EC) 1223/2009.

    >>> preservative(0.6, 0.004, "rinse_off").total_pct
    0.604
    """
    entry = next(one for one in allergens() if one.name == "Benzyl Alcohol")
    return Preserved(
        exact(from_preservative_pct + from_scent_pct),
        from_scent_pct,
        above(from_scent_pct, entry.above(rinse)),
        figure("fragrance", "preservative.benzyl_alcohol_pct").value,
    )


@dataclass(frozen=True)
class OilItself:
    """An oil with a label name of its own, and what is inside it.

    must        names that must stand on the label
    inside_pct  substance as asked for -> percent of the finished product
    """

    must: tuple[str, ...]
    inside_pct: Mapping[str, float]


def oil_itself(
    oil_name: str,
    oil_pct: float,
    inside_high_pct: Mapping[str, float],
    rinse: str,
    market: str,
    placed_on: date,
) -> OilItself:
    """Label names of one library oil in a product: the oil with its own percent, its substances with theirs.

    inside_high_pct  substance, as a word like "linalool" -> highest percent of the oil

    >>> oil_itself("lavender", 0.3, {"linalool": 45}, "rinse_off", "EU", date(2026, 9, 1)).must
    ('Linalool', 'Lavandula Oil/Extract')
    """
    wanted = oil_name.lower()
    known = next((one for one in oils() if one.name.lower() == wanted), None) or next(
        (one for one in oils() if one.name.lower().startswith(wanted)), None
    )
    if known is None:
        raise UnknownName("oil", oil_name, [one.name for one in oils()])
    inside = {name: exact(oil_pct * high / 100.0) for name, high in inside_high_pct.items()}
    labels = {one.name.lower().replace("-", " "): one.name for one in allergens()}
    in_product = {labels[word]: pct for name, pct in inside.items() if (word := _words(name)) in labels}
    if known.label_name:
        in_product[known.label_name] = oil_pct
    return OilItself(names_above(in_product, rinse, market, placed_on).must, inside)


def _words(name: str) -> str:
    return name.lower().replace("_", " ").replace("-", " ")

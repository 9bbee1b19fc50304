"""The ingredient list of a jar: every line exploded into its components, summed, sorted.

Percents stay inside; the list shows names only. What is not known holds the export back.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from blendlab.batch import ledger
from blendlab.batch.sheet import Line, Plan
from blendlab.errors import Finding, Level
from blendlab.facts.labels import us_colour_names
from blendlab.facts.read import figure
from blendlab.shelf import Base, Ingredient, Item, Pigment, Resolved

ANY_ORDER_PCT = figure("batch", "any_order").value
"""Ingredients below this percent may follow in any order."""
FRAGRANCE = {"US": "Fragrance", "CA": "Parfum", "EU": "Parfum", "GB": "Parfum"}
WATER = {"US": "Water", "CA": "Aqua", "EU": "Aqua", "GB": "Aqua"}
UNKNOWN_ORDER = "Order not determined: ask the supplier."
ORDER_UNKNOWN = ("label-unknown", "label-order")
"""Findings that say that the order of the names is not known."""


@dataclass(frozen=True)
class Named:
    """One ingredient name with its percent of the finished product, low and high, where it is known."""

    name: str
    low_pct: float = 0.0
    high_pct: float = 0.0
    colour: bool = False
    known: bool = True


@dataclass(frozen=True)
class IngredientList:
    """The ingredient list of a market.

    names      in label order, colours last; undetermined  pairs whose order nobody knows
    export     whether the list may be printed
    """

    market: str
    names: tuple[str, ...]
    undetermined: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]

    @property
    def export(self) -> bool:
        """Whether the list may leave the house."""
        return not any(finding.level == "stop" for finding in self.findings)

    @property
    def text(self) -> str:
        """The names as one line."""
        return ", ".join(self.names)


def ingredients(
    resolved: Resolved,
    made: Plan,
    market: str,
    allergens: Sequence[str] = (),
    in_order: Mapping[str, tuple[float, float]] | None = None,
) -> IngredientList:
    """The ingredient list of the rounded batch.

    allergens  names the scent must be declared by, in label order (they follow the fragrance)
    in_order   name -> low and high percent of a bought base's ingredients, when its supplier says

    Components of all lines are exploded, summed by name, and sorted by percent; below 1 % any
    order holds. Ranges that overlap above 1 % and a base of unknown percents hold the list back.
    """
    parts = list(_parts(resolved, made, market, in_order or {}))
    summed = [named for named in _summed(parts) if not named.known or named.high_pct > 0]
    plain = [named for named in summed if not named.colour]
    colours = [named.name for named in summed if named.colour]
    known = sorted((named for named in plain if named.known), key=_middle, reverse=True)
    unsure = tuple(_overlaps(known))
    findings = [*_list_findings(resolved.base, plain, unsure), *_unnamed(colours, market)]
    names = [*_with_allergens(known, allergens, market), *(named.name for named in plain if not named.known)]
    return IngredientList(market, (*names, *dict.fromkeys(colours)), unsure, tuple(findings))


def _middle(named: Named) -> float:
    return (named.low_pct + named.high_pct) / 2


def _with_allergens(known: Sequence[Named], allergens: Sequence[str], market: str) -> list[str]:
    """Names of the scent's allergens behind the fragrance and behind everything of 1 % and more."""
    names = [named.name for named in known]
    more = [allergen for allergen in allergens if allergen not in names]
    scent = FRAGRANCE[market]
    after = names.index(scent) + 1 if scent in names else len(names)
    at = max(after, sum(_middle(named) >= ANY_ORDER_PCT for named in known))
    return [*names[:at], *more, *names[at:]]


def _parts(
    resolved: Resolved, made: Plan, market: str, in_order: Mapping[str, tuple[float, float]]
) -> Iterator[Named]:
    """Every component of every line, percent of the finished product."""
    whole = made.batch_g + sum(_dust_g(line, made) for line in made.lines)
    for line in made.lines:
        kind, _, item_id = line.item.partition(":")
        item = resolved.item(kind, item_id) or _preservative(resolved, item_id)
        grams = _dust_g(line, made) if line.beside else line.pure_g
        pct = 100 * grams / whole
        yield from _of_item(item, pct, market, resolved, in_order)
        stock = resolved.stock_of(item) if item is not None else None
        if line.carrier_g > 0 and not line.beside and stock is not None:
            yield from _of_item(stock.carrier, 100 * line.carrier_g / whole, market, resolved, {})


def _dust_g(line: Line, made: Plan) -> float:
    """Dust on all tops, as much of it as the jars of the whole batch would carry."""
    if not line.beside or made.jars < 1:
        return 0.0
    filled = made.jars * made.net_g
    return line.exact_g * made.batch_g / filled if filled else 0.0


def _preservative(resolved: Resolved, item_id: str) -> Item | None:
    """What tops the preservative up, found by the actives of the base."""
    chosen = ledger.choose(resolved)
    return chosen if chosen is not None and chosen.id == item_id else None


def _of_item(
    item: Item | None,
    pct: float,
    market: str,
    resolved: Resolved,
    in_order: Mapping[str, tuple[float, float]],
) -> Iterator[Named]:
    if isinstance(item, Base):
        yield from _of_base(resolved, pct, market, in_order)
    elif isinstance(item, Ingredient):
        yield from _of_components(item, pct, pct, market)
    elif isinstance(item, Pigment):
        for number in item.ci or (item.name,):
            yield Named(_colour(number, market), 0.0, pct, colour=True)
    elif item is not None:
        yield Named(FRAGRANCE[market], pct, pct)


def _of_base(
    resolved: Resolved, pct: float, market: str, in_order: Mapping[str, tuple[float, float]]
) -> Iterator[Named]:
    """What a base brings: by its formula, its preservative as its lot says, or as its supplier declares."""
    base, lines = resolved.base, resolved.base_lines
    if base.lines and lines is not None:
        for ingredient, of_base_pct in lines:
            keeps = base.preservative is not None and ingredient.id == base.preservative.id
            held = base.preservative_pct if keeps and base.preservative_pct else (of_base_pct, of_base_pct)
            yield from _of_components(ingredient, pct * held[0] / 100, pct * held[1] / 100, market)
        return
    for name in base.declared or tuple(in_order):
        bounds = in_order.get(name)
        told = _water(name, market)
        if bounds is None:
            yield Named(told, known=False)
        else:
            yield Named(told, pct * bounds[0] / 100, pct * bounds[1] / 100)
    if not base.declared and not in_order:
        yield Named(f"(ingredients of {base.name})", known=False)


def _of_components(item: Ingredient, low: float, high: float, market: str) -> Iterator[Named]:
    """Components of a raw material of which the product holds from `low` to `high` percent."""
    for part in item.components:
        yield Named(_water(part.inci, market), low * part.low_pct / 100, high * part.high_pct / 100)
    if not item.components:
        yield Named(f"(components of {item.name})", known=False)


def _colour(number: str, market: str) -> str:
    """A colour as a market names it: by its index number, in the US by its name."""
    if market == "US":
        return us_colour_names().get(number, f"CI {number}")
    return f"CI {number}" if number[:1].isdigit() else number


def _water(name: str, market: str) -> str:
    return WATER[market] if name.lower() in ("aqua", "water") else name


def _summed(parts: Sequence[Named]) -> list[Named]:
    """Names once each, their percents added; unknown stays unknown."""
    found: dict[str, Named] = {}
    for named in parts:
        held = found.setdefault(named.name, replace(named, low_pct=0.0, high_pct=0.0))
        found[named.name] = replace(
            held,
            low_pct=held.low_pct + named.low_pct,
            high_pct=held.high_pct + named.high_pct,
            known=held.known and named.known,
        )
    return list(found.values())


def _overlaps(known: Sequence[Named]) -> Iterator[tuple[str, str]]:
    """Pairs of which the later may be more than the earlier, and may reach 1 %."""
    for at, first in enumerate(known):
        for second in known[at + 1 :]:
            if second.high_pct >= ANY_ORDER_PCT and first.low_pct < second.high_pct - 1e-12:
                yield first.name, second.name


def _list_findings(
    base: Base, plain: Sequence[Named], unsure: Sequence[tuple[str, str]]
) -> Iterator[Finding]:
    unknown = [named.name for named in plain if not named.known]
    if unknown:
        text = f"{UNKNOWN_ORDER} The percents of {', '.join(unknown)} in {base.name} are not known."
        yield found(
            "stop",
            "label-unknown",
            "ingredients",
            text,
            "Ask for the percents, or ranges that do not overlap.",
        )
    if unsure:
        pairs = "; ".join(f"{first} and {second}" for first, second in unsure)
        yield found(
            "stop",
            "label-order",
            "ingredients",
            f"{UNKNOWN_ORDER} Their ranges overlap above {ANY_ORDER_PCT:g} %: {pairs}.",
            "Ask the supplier for narrower figures of this lot.",
        )


def _unnamed(colours: Sequence[str], market: str) -> Iterator[Finding]:
    if market != "US":
        return
    for colour in colours:
        if colour.startswith("CI "):
            text = f"{colour} has no US name here; a US label names a colour by its listed name."
            yield found("stop", f"colour-{colour}", "ingredients", text, "Look it up in 21 CFR 73 and 74.")


def found(level: Level, id: str, where: str, text: str, fix: str = "", source: str = "") -> Finding:
    """A finding about the label."""
    rule = source or "Reg. (EC) 1223/2009 Art. 19; 21 CFR 701.3"
    return Finding(level, id, f"batch.label.{where}", text, fix, rule)

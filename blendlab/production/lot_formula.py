"""What cooked lots really hold of each raw material, by what was weighed into their pots."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.production import lots_drawn, pot
from blendlab.production.stock_lots import Parts
from blendlab.shelf import Ingredient, Resolved, Stirred
from blendlab.store import BatchPage, Book, LotLine

Known = Mapping[str, Ingredient]
Order = dict[str, tuple[float, float]]


def as_taken(book: Book, page: BatchPage, resolved: Resolved) -> tuple[Resolved, Order | None]:
    """What a batch was made of with its base as its lots are, and the order that their supplier says.

    Of a cooked lot the pot says how much preservative it holds, of a bought one what was typed of it.
    """
    taken = lots_drawn.drawn(book, page).parts.get(f"base:{resolved.base.id}", ())
    cooked = as_cooked(book, taken, resolved.base_lines or ())
    order = in_order([line for line, _ in taken])
    if cooked is None:
        return resolved, order
    return replace(resolved, base_lines=cooked, base=replace(resolved.base, preservative_pct=None)), order


def in_order(lots: Sequence[LotLine]) -> Order | None:
    """Declared names of the base with low and high percent; None where a lot of it has none or others."""
    declared = [line.data.get("in_order") or {} for line in lots]
    if not declared or any(order.keys() != declared[0].keys() for order in declared):
        return None
    return {
        name: (min(order[name][0] for order in declared), max(order[name][1] for order in declared))
        for name in declared[0]
    } or None


def as_cooked(book: Book, parts: Parts, stated: Sequence[Stirred]) -> tuple[Stirred, ...] | None:
    """The formula of a base as its lots were cooked, mixed by the grams that were taken of each.

    stated  the formula that the design reckons with: its raw materials are told as they stand there

    None where no lot is named, or the grams of one of them are not all in the book: a bought lot, one of
    which a line was not weighed, a pot that holds more or less than its water explains.
    """
    whole = sum(grams for _, grams in parts)
    if whole <= 0:
        return None
    named: dict[str, Ingredient] = {}
    percents: dict[str, float] = {}
    for line, grams in parts:
        known = _known(book, line, stated)
        cooked = _percents(store.batch(book, line.batch), known) if known else None
        if cooked is None:
            return None
        named |= known
        for item, pct in cooked.items():
            percents[item] = percents.get(item, 0.0) + pct * grams / whole
    return tuple(Stirred(named[item], pct) for item, pct in percents.items())


def _known(book: Book, line: LotLine, stated: Sequence[Stirred]) -> Known:
    """The raw materials of a lot by their ids; none where it was bought or its batch cannot be read."""
    if not line.batch:
        return {}
    try:
        taken = store.taken(book, store.batch(book, line.batch))
    except BlendlabError:
        return {}
    cooked = {item.id: item for item in taken or () if isinstance(item, Ingredient)}
    return {**cooked, **{ingredient.id: ingredient for ingredient, _ in stated}}


def _percents(page: BatchPage, known: Known) -> dict[str, float] | None:
    """Id of a raw material -> percent of what the pot held in the end; what it lost or gained is water."""
    weighed, lines = page.weighed, {line.id: line for line in page.now.lines}
    items = {line.item.partition(":")[2] for line in lines.values()}
    if weighed.keys() != lines.keys() or not items <= known.keys():
        return None
    grams = dict.fromkeys(items, 0.0)
    for line_id, mass in weighed.items():
        grams[lines[line_id].item.partition(":")[2]] += mass
    whole = pot.mass_g(page)
    rest = whole - sum(grams.values())
    water = next((item for item in grams if known[item].function == "water"), None)
    if water is not None:
        grams[water] += rest
    elif abs(rest) > 1e-6:
        return None
    if whole <= 0 or min(grams.values()) < 0:
        return None
    return {item: 100 * mass / whole for item, mass in grams.items()}

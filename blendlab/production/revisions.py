"""Two revisions of one thing on her shelf: what differs, figure by figure, as it was and as it is now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from datetime import date
from typing import Any, NamedTuple

from blendlab import renew
from blendlab.codec import Noun
from blendlab.errors import Finding
from blendlab.facts.products import categories_of, product
from blendlab.recipe import Design, Ref
from blendlab.shelf import (
    Base,
    BaseLine,
    Component,
    Constituent,
    Declared,
    Item,
    Pigment,
    Price,
    Sheet,
    Shelf,
)

NONE = "none"
BESIDE = frozenset({"extra", "id", "format", "price", "price_per_g", "price_each"})
"""What is no figure of a thing, or is told with the lots it is paid for."""
SEEN = frozenset({"k", "s", "k0", "s0", "known", "basis", "strength_sd", "calibrations"})
"""What makes a colour, told in a sentence."""
WORDS = {
    "sheet": "its sheet",
    "own_sheet": "the sheet of its own fragrance",
    "pH": "pH",
    "ci": "colour index",
    "inci": "INCI name",
    "cas": "CAS number",
    "cap_pct": "highest use",
    "lines": "its formula",
    "actives": "actives",
    "contents": "restricted substances in it",
    "limits": "limit",
    "components": "made of",
    "constituents": "constituents",
    "declaration": "allergen declaration",
    "preservative_pct": "preservative in it",
    "density_mix_g_ml": "density before whipping",
    "density_whipped_g_ml": "density whipped",
    "density_g_ml": "density",
    "ref_overrun_pct": "overrun of its colour",
    "low_pct": "least use by its sheet",
    "high_pct": "highest use by its sheet",
    "add_below_c": "goes in below",
    "flash_c": "flash point",
    "vanillin_pct": "vanillin",
    "ethyl_vanillin_pct": "ethyl vanillin",
    "dilution_pct": "pure oil in it",
    "own_fragrance_pct": "fragrance of its own",
    "peroxide_mmol_l": "peroxide value",
    "water_pct": "water in it",
    "active_pct": "active surfactant in it",
}
"""Fields whose name says too little; any other field is called as it is named."""


SINCE = "changed-since"
"""Id of the caution about what was changed since a batch was begun."""
SAID = 3
"""Figures of one thing that a caution names."""


class Change(NamedTuple):
    """One figure of a thing that is not as it was."""

    what: str
    before: str
    now: str


def changes(old: Item, new: Item, categories: tuple[str, ...]) -> tuple[Change, ...]:
    """What differs between two revisions of one thing, beside its price.

    categories  those whose limits count for the product; what a sheet says of others is left out
    """
    if old.rev == new.rev:
        return ()
    before, now = (dict(_figures(item, categories)) for item in (old, new))
    told = (Change(what, before.get(what, NONE), now.get(what, NONE)) for what in {**before, **now})
    return (*_colour(old, new), *(change for change in told if change.before != change.now))


def since(design: Design, taken: tuple[Item, ...] | None, shelf: Shelf) -> Iterator[Finding]:
    """A caution about what was changed on a shelf since a batch was begun, in more than its price.

    taken  what the batch took; None = an earlier version began it and did not write that down
    """
    if taken is None:
        names = ", ".join(each.item.name for each in renew.newer(design, shelf))
        text = f"Changed on your shelf since this batch began: {names}. The book does not hold what it was."
        fix = "The batch is judged by what is on your shelf now. Look whether that is what went in."
    else:
        counted, told = categories(design), []
        for old in {(item.kind, item.id): item for item in taken}.values():
            new = shelf.today(old.kind, old.id)
            found = changes(old, new, counted) if new is not None else ()
            told += [
                f"{old.name}, {change.what}: {change.before}, now {change.now}" for change in found[:SAID]
            ]
        names = "; ".join(told)
        text = f"Changed on your shelf since this batch began: {names}. The batch is judged by what it was."
        fix = "If the change set a mistake right, judge the batch by your shelf as it is now."
    if names:
        yield Finding("caution", SINCE, "book.design", text, fix, "your book")


def categories(design: Design) -> tuple[str, ...]:
    """Categories whose limits bind a design, the kinds it is also sold as among them."""
    return tuple(categories_of([product(name) for name in (design.product, *design.scent.also_kinds)]))


def _figures(item: Item, categories: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for declared in fields(item):
        if declared.name in BESIDE | SEEN:
            continue
        what = WORDS.get(declared.name, declared.name.replace("_", " "))
        value, unit = getattr(item, declared.name), declared.metadata.get("unit", "")
        if isinstance(value, Sheet):
            yield from _of_sheet(what, value, categories)
        else:
            yield from _of_value(what, value, unit)


def _of_sheet(what: str, sheet: Sheet, categories: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    issued = f", issued {sheet.issued}" if sheet.issued else ""
    yield what, f"amendment {sheet.amendment}{issued}"
    for category in categories:
        limit = sheet.limits.get(category)
        said = "not for that use" if limit is None else _with_unit(limit, "% of the product")
        yield f"{what}, limit in category {category}", said


def _of_value(what: str, value: Any, unit: str) -> Iterator[tuple[str, str]]:
    """Every figure of a value under a name of its own; nothing for what is not known."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            name = inner.name if isinstance(inner, Constituent) else key
            yield from _of_value(f"{what}, {name}", inner, unit)
    elif isinstance(value, tuple) and value and isinstance(value[0], Noun):
        for part in value:
            yield from _of_part(what, part)
    elif isinstance(value, Noun) and not isinstance(value, Ref | Constituent | Declared | Price):
        for declared in fields(value):
            if declared.name != "extra":
                name = f"{what}, {declared.name.replace('_', ' ')}"
                yield from _of_value(name, getattr(value, declared.name), declared.metadata.get("unit", ""))
    elif value is not None and (value or value is False or isinstance(value, int | float)):
        yield what, _said(value, unit)


def _of_part(what: str, part: Any) -> Iterator[tuple[str, str]]:
    """A line of a formula, a component of a raw material."""
    if isinstance(part, BaseLine):
        yield f"{what}, {part.ingredient.id}", _with_unit(part.pct, "% of the base")
    elif isinstance(part, Component):
        yield f"{what}, {part.inci}", f"{_range(part.low_pct, part.high_pct)} %"


def _said(value: Any, unit: str) -> str:
    if isinstance(value, Constituent):
        return f"{_range(value.low, value.high)} % of the oil"
    if isinstance(value, Declared):
        return f"{'below ' if value.below else ''}{value.pct:g} % of the oil"
    if isinstance(value, Ref):
        return value.id
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        if len(value) == 2 and not isinstance(value[0], str):
            return f"{_range(*value)} %"
        return ", ".join(_with_unit(each, "") for each in value)
    return _with_unit(value, unit)


def _range(low: float, high: float) -> str:
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def _with_unit(value: Any, unit: str) -> str:
    if isinstance(value, str | date):
        return f"{value}"
    return f"{value:g} {unit}".strip()


def _colour(old: Item, new: Item) -> Iterator[Change]:
    """How the colour is known, and how many times as strong it has become."""
    if isinstance(old, Pigment) and isinstance(new, Pigment):
        if (old.k, old.s) != (new.k, new.s):
            norm = sum(each * each for each in old.k)
            grown = sum(then * now for then, now in zip(old.k, new.k, strict=True)) / norm if norm else 0.0
            stronger = f", {grown:.2f} times as strong" if norm else ""
            yield Change("colour", _known(old), f"{_known(new)}{stronger}")
    elif isinstance(old, Base) and isinstance(new, Base) and (old.k0, old.s0) != (new.k0, new.s0):
        yield Change("its white", _known(old), f"{_known(new)}, another white")


def _known(item: Pigment | Base) -> str:
    """How a colour is known: an estimate, or measured on a day of a lot."""
    if item.known != "measured" or not item.calibrations:
        return item.known
    last = item.calibrations[-1]
    return f"measured{f' {last.on}' if last.on else ''}{f' of lot {last.lot}' if last.lot else ''}"

"""What follows from the formula of a base: recomputed where its lines say it, cleared where they cannot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from blendlab.batch.cooking import BaseFigures, figures
from blendlab.facts.allergens import by_cas, by_name, natural_cas
from blendlab.facts.read import figure
from blendlab.shelf import Base, BaseLine, Ingredient, Stirred
from blendlab.units import digits

SAME = 1e-9
NOTHING = "nothing that follows from it"
"""What a change moved that moved nothing."""
SCENTED = {"parfum", "fragrance", "aroma", "oil"}
"""Words of an INCI name that may be a fragrance."""


def with_formula(base: Base, parts: Sequence[Stirred]) -> Base:
    """A base cooked of other lines, with what follows from them; `unconfirmed` says what that moved.

    parts  its lines with their raw materials, percent of the base

    The pH and the weighed cup are cleared: both are to be measured anew. Those of a base that had no formula
    before are of this one and stay. Unchanged lines change nothing. What an earlier change moved and nobody
    has confirmed stays told.
    """
    lines = tuple(BaseLine(ingredient=replace(item.ref, rev=""), pct=pct) for item, pct in parts)
    if lines == base.lines:
        return base
    made = figures(parts)
    change: dict[str, Any] = {
        "lines": lines,
        "anhydrous": bool(parts) and made.water_class == "anhydrous",
        "density_mix_g_ml": _mix_density(base, made),
        "density_whipped_g_ml": None if base.lines else base.density_whipped_g_ml,
        "pH": None if base.lines else base.pH,
        "own_fragrance_pct": _own_fragrance(base, parts),
        "actives": _actives(parts),
        "contents": _contents(parts),
        "declared": (),
        **_preserved(parts),
    }
    after = replace(base, **change)
    before = (said for said in base.unconfirmed if said != NOTHING)
    told = dict.fromkeys((*before, *_moved(base, after, made, parts)))
    return replace(after, unconfirmed=tuple(told) or (NOTHING,))


def _mix_density(base: Base, made: BaseFigures) -> float | None:
    """Density of the mix by its lines; where they do not tell it, her own of a base that had none before."""
    if made.density_g_ml is not None:
        return round(made.density_g_ml, 4)
    return None if base.lines else base.density_mix_g_ml


def _density(base: Base) -> str:
    return "not known" if base.density_mix_g_ml is None else f"{base.density_mix_g_ml:.3f}"


def _keepers(parts: Sequence[Stirred]) -> list[Stirred]:
    return [part for part in parts if part.ingredient.function == "preservative" and part.pct > 0]


def _preserved(parts: Sequence[Stirred]) -> dict[str, Any]:
    """The preservative and its percent; of two blends no percent adds up, their actives do."""
    kept = _keepers(parts)
    if len({part.ingredient.id for part in kept}) != 1:
        return {"preservative": None, "preservative_pct": None}
    pct = round(sum(part.pct for part in kept), 6)
    return {"preservative": replace(kept[0].ingredient.ref, rev=""), "preservative_pct": (pct, pct)}


def _actives(parts: Sequence[Stirred]) -> dict[str, float]:
    """Preservative actives by the highest bounds of their components, surfactants by their active matter."""
    found: dict[str, float] = {}
    for item, pct in _keepers(parts):
        for component in item.components:
            name = component.inci.lower()
            found[name] = round(found.get(name, 0.0) + pct * component.high_pct / 100, 6)
    for item, pct in parts:
        matter = [part for part in item.components if part.inci.lower() != "aqua"]
        if item.function == "surfactant" and item.active_pct > 0 and matter:
            name = max(matter, key=lambda part: part.high_pct).inci.lower()
            found[name] = round(found.get(name, 0.0) + pct * item.active_pct / 100, 6)
    return found


def _contents(parts: Sequence[Stirred]) -> dict[str, float]:
    """CAS -> highest percent of the base, of every component that names its own."""
    found: dict[str, float] = {}
    for item, pct in parts:
        for component in item.components:
            if component.cas:
                high = found.get(component.cas, 0.0) + pct * component.high_pct / 100
                found[component.cas] = round(min(high, 100.0), 6)
    return found


def _own_fragrance(base: Base, parts: Sequence[Stirred]) -> float | None:
    """Fragrance of its own: 0 where nothing in it can smell; a 0 ends with what may smell, new in it.

    Of no lines nothing is known.
    """
    if not parts:
        return None
    scented = {item.id for item, pct in parts if pct > 0 and _may_smell(item)}
    if base.own_fragrance_pct is None:
        return None if scented else 0.0
    came = base.lines and scented - {line.ingredient.id for line in base.lines}
    return None if came and base.own_fragrance_pct == 0 else base.own_fragrance_pct


def _may_smell(item: Ingredient) -> bool:
    """Whether a raw material is a fragrance or an oil, holds a listed allergen, or is not wholly named."""
    named_pct = sum(part.high_pct for part in item.components)
    if item.function == "oil" or named_pct < figure("batch", "material_named").value:
        return True
    names = {part.inci.lower() for part in item.components}
    words = {word for name in names for word in name.replace(",", " ").split()}
    listed = {name.lower() for name in by_name()}
    numbers = {part.cas for part in item.components if part.cas}
    return bool(words & SCENTED or names & listed or numbers & (by_cas().keys() | natural_cas().keys()))


def _moved(before: Base, after: Base, made: BaseFigures, parts: Sequence[Stirred]) -> Iterator[str]:
    """Each figure that the new lines moved or cleared, from what to what."""
    if before.preservative != after.preservative or before.preservative_pct != after.preservative_pct:
        keeper = after.preservative if after.preservative != before.preservative else None
        names = {item.id: item.name for item, _ in parts}
        now = f", now {names[keeper.id]}" if keeper is not None else ""
        old, new = _kept(before), _kept(after)
        yield f"preservative {old} to {new}{now}" if before.preservative_pct else f"preservative {new}{now}"
    if before.own_fragrance_pct != after.own_fragrance_pct:
        known = after.own_fragrance_pct is not None
        yield "no fragrance of its own, by its lines" if known else "fragrance of its own not known any more"
    actives = [*before.actives, *(name for name in after.actives if name not in before.actives)]
    for name in actives:
        was, now_pct = before.actives.get(name, 0.0), after.actives.get(name, 0.0)
        if abs(was - now_pct) > SAME:
            yield f"{name} {digits(was)} to {digits(now_pct)} %"
    if before.anhydrous != after.anhydrous:
        yield "it holds no water now" if after.anhydrous else "it may hold water now"
    if not parts:
        yield "its formula is gone: what it is made of is not known"
    elif made.density_g_ml is None:
        yield "density of the mix not known: an ingredient does not say its own"
    elif (old := _density(before)) != (new := _density(after)):
        yield f"density of the mix {old} to {new} g/ml"
    if not before.lines:
        return  # what was measured was measured of this formula
    if before.density_whipped_g_ml is not None:
        yield f"weighed cup of {before.density_whipped_g_ml:g} g/ml cleared"
    if before.pH is not None:
        yield f"pH {before.pH:g} cleared: measure the new one"
    if before.known == "measured":
        yield "its white is that of the formula before: make a new swatch"


def _kept(base: Base) -> str:
    if base.preservative_pct is None:
        return "not known"
    low, high = base.preservative_pct
    return f"{digits(low)} %" if low == high else f"{digits(low)} to {digits(high)} %"

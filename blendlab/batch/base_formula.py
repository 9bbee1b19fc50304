"""What follows from the formula of a base: recomputed where its lines say it, cleared where they cannot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from blendlab.batch.cooking import BaseFigures, figures
from blendlab.shelf import Base, BaseLine, Stirred
from blendlab.units import digits

SAME = 1e-9


def with_formula(base: Base, parts: Sequence[Stirred]) -> Base:
    """A base cooked of other lines, with what follows from them; `unconfirmed` says what that moved.

    parts  its lines with their raw materials, percent of the base

    The pH and the weighed cup are cleared: both are to be measured anew. Unchanged lines change nothing.
    """
    lines = tuple(BaseLine(ingredient=replace(item.ref, rev=""), pct=pct) for item, pct in parts)
    if lines == base.lines:
        return base
    made = figures(parts)
    change: dict[str, Any] = {
        "lines": lines,
        "anhydrous": made.water_class == "anhydrous",
        "density_mix_g_ml": round(made.density_g_ml or base.density_mix_g_ml, 4),
        "density_whipped_g_ml": None,
        "pH": None,
        "actives": _actives(parts),
        "contents": _contents(parts),
        "declared": (),
        **_preserved(parts),
    }
    after = replace(base, **change)
    return replace(after, unconfirmed=tuple(_moved(base, after, made)) or ("nothing that follows from it",))


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


def _moved(before: Base, after: Base, made: BaseFigures) -> Iterator[str]:
    """Each figure that the new lines moved or cleared, from what to what."""
    if before.preservative != after.preservative or before.preservative_pct != after.preservative_pct:
        keeper = after.preservative if after.preservative != before.preservative else None
        now = f", now {keeper.id}" if keeper is not None else ""
        yield f"preservative {_kept(before)} to {_kept(after)}{now}"
    names = [*before.actives, *(name for name in after.actives if name not in before.actives)]
    for name in names:
        old, new = before.actives.get(name, 0.0), after.actives.get(name, 0.0)
        if abs(old - new) > SAME:
            yield f"{name} {digits(old)} to {digits(new)} %"
    if made.density_g_ml is None:
        yield "density of the mix not known: an ingredient does not say its own"
    elif before.density_mix_g_ml != after.density_mix_g_ml:
        yield f"density of the mix {before.density_mix_g_ml:.3f} to {after.density_mix_g_ml:.3f} g/ml"
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

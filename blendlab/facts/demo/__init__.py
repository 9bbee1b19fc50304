"""The demo, all invented: the spring line of a botanical garden's gift shop, and its shelf."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from importlib.resources import files

from blendlab import recipe
from blendlab.facts.ingredients import ingredients, scales, whip_formula
from blendlab.facts.jars import jars
from blendlab.facts.library import demo_oils
from blendlab.facts.palette import bases, pigments
from blendlab.recipe import Design, Ref
from blendlab.shelf import Base, Shelf, pinned

COOKED = "soap-white"
"""The base that the demo studio cooks itself; the others are bought."""
DEMO = ("lagoon", "fern-glade", "dune-rose")


@cache
def demo_shelf() -> Shelf:
    """The shelf of the demo: starter pigments, invented oils, bases, raw materials, jars, two scales."""
    cooked = (_cooked(base) if base.id == COOKED else base for base in bases())
    return Shelf((*pigments(), *demo_oils(), *cooked, *ingredients(), *jars(), *scales()))


def _cooked(base: Base) -> Base:
    """The demo's soap base as it is cooked from the raw materials of the demo shelf, all invented."""
    made = {line.ingredient.id: line.pct for line in whip_formula()}
    kept = next(item for item in ingredients() if item.function == "preservative")
    washing = next(item for item in ingredients() if item.charge == "anionic")
    actives = {part.inci.lower(): made[kept.id] * part.high_pct / 100 for part in kept.components}
    first = washing.components[0]
    actives[first.inci.lower()] = round(made[washing.id] * (first.low_pct + first.high_pct) / 200, 2)
    return replace(
        base,
        lines=whip_formula(),
        actives=actives,
        preservative=Ref(kind="ingredient", id=kept.id),
        preservative_pct=(made[kept.id], made[kept.id]),
    )


def demo_designs(shelf: Shelf) -> tuple[Design, ...]:
    """The three jars of the demo line, taking their revisions from a shelf."""
    return tuple(_demo(name, shelf) for name in DEMO)


def _demo(name: str, shelf: Shelf) -> Design:
    text = (files("blendlab.facts") / "demo" / f"{name}.json").read_text(encoding="utf-8")
    return pinned(recipe.from_dict(json.loads(text)), shelf)

"""The demo: a spring line of three jars for the gift shop of a botanical garden, and its shelf."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from importlib.resources import files

from blendlab import recipe, store
from blendlab.facts.jars import jars
from blendlab.facts.library import demo_oils
from blendlab.facts.materials import ingredients, whip_formula
from blendlab.facts.palette import bases, pigments
from blendlab.facts.scales import scales
from blendlab.recipe import Design, Ref
from blendlab.shelf import Base, Item, Shelf
from blendlab.show.cards import card

COOKED = "soap-white"
"""The base that the demo studio cooks itself; the others are bought."""
DEMO = ("lagoon", "fern-glade", "dune-rose")
LINE = store.Line(id="spring-line", name="Spring line", cards=DEMO)


@cache
def demo_shelf() -> Shelf:
    """The shelf of the demo: starter pigments, invented oils, bases, raw materials, jars, two scales."""
    cooked = (_cooked(one) if one.id == COOKED else one for one in bases())
    return Shelf((*pigments(), *demo_oils(), *cooked, *ingredients(), *jars(), *scales()))


def _cooked(base: Base) -> Base:
    """The demo's soap base as it is cooked from the raw materials of the demo shelf, all invented."""
    made = {line.ingredient.id: line.pct for line in whip_formula()}
    kept = next(one for one in ingredients() if one.function == "preservative")
    washing = next(one for one in ingredients() if one.charge == "anionic")
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
    return store.pinned(recipe.from_dict(json.loads(text)), shelf)


def demo_design(shelf: Shelf) -> tuple[Design, tuple[Item, ...]]:
    """The demo to open on a first visit, and the revisions it uses.

    What was taken off her shelf comes from the demo's own.
    """
    with_demo = Shelf((*demo_shelf().items, *shelf.items))
    made = _demo(DEMO[0], with_demo)
    return made, store.embedded(made, with_demo)


def blank_design(shelf: Shelf) -> tuple[Design, tuple[Item, ...]]:
    """A white jar without scent, to start from."""
    made, _ = demo_design(shelf)
    white = recipe.Tone(id="white", name="White", share_pct=100)
    blank = replace(
        made,
        id=store.new_id(),
        name="New design",
        tones=(white,),
        arrangement=recipe.Arrangement(),
        top=recipe.Top(),
        scent=recipe.Scent(),
        view=recipe.View(),
    )
    return blank, store.embedded(blank, Shelf((*demo_shelf().items, *shelf.items)))


def first_start(folder: store.Folder) -> None:
    """Lay the demo shelf and the demo line out where there is none."""
    if store.lay_out(folder, demo_shelf().items, _demo_cards()):
        known = [saved.line.id for saved in store.lines(folder)]
        if LINE.id not in known and all(store.has_card(folder, one) for one in LINE.cards):
            store.save_line(folder, LINE, None)


def _demo_cards() -> Iterator[tuple[store.Card, bytes]]:
    for made in demo_designs(demo_shelf()):
        yield card(made, demo_shelf())

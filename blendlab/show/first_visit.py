"""What there is before she made anything: the demo line and its shelf, a design to open, a white jar."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from blendlab import recipe, store
from blendlab.assess import assess
from blendlab.facts.demo import DEMO, demo_designs, demo_shelf
from blendlab.recipe import Design
from blendlab.shelf import Item, Shelf, embedded
from blendlab.show.cards import card

LINE = store.CardLine(id="spring-line", name="Spring line", cards=DEMO)


def demo_design(shelf: Shelf) -> tuple[Design, tuple[Item, ...]]:
    """The demo to open on a first visit, and the revisions it uses.

    What was taken off her shelf comes from the demo's own.
    """
    with_demo = Shelf((*demo_shelf().items, *shelf.items))
    made = demo_designs(with_demo)[0]
    return made, embedded(made, with_demo)


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
    return blank, embedded(blank, Shelf((*demo_shelf().items, *shelf.items)))


def first_start(folder: store.Folder) -> None:
    """Lay the demo shelf and the demo line out where there is none."""
    store.lay_out(folder, demo_shelf().items, _demo_cards(), LINE)


def _demo_cards() -> Iterator[tuple[store.Card, bytes]]:
    for made in demo_designs(demo_shelf()):
        yield card(assess(made, demo_shelf()), demo_shelf())

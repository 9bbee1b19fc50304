"""What can be made today: for each card how many jars the stock makes, and what runs out first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from blendlab import store
from blendlab.batch import Plan
from blendlab.batch.stock import jars_for
from blendlab.errors import BlendlabError
from blendlab.production import foam, pieces, stock_lots
from blendlab.production.judgement import judge
from blendlab.shelf import Shelf
from blendlab.store import Book


@dataclass(frozen=True)
class Makeable:
    """A card: jars that the counted stock makes, what runs out first, what was never counted.

    jars  None where nothing of it was counted, or where it cannot be planned; `why` says so
    """

    name: str
    jars: int | None
    first: str = ""
    uncounted: tuple[str, ...] = ()
    why: str = ""


def today(folder: store.Folder, book: Book, shelf: Shelf, on: date) -> tuple[Makeable, ...]:
    """Every card, most jars first."""
    stock = stock_lots.in_stock(book, {}, on)
    left = stock.left
    found = []
    for entry in store.listing(folder):
        if entry.damaged:
            continue
        try:
            card = store.open_card(folder, entry.card_id).card
            cups = foam.cups(book, card.design)
            judged = judge(card.design, shelf.carrying(card.embedded), on, stock.taken, cups)
        except BlendlabError as problem:
            found.append(Makeable(entry.name, None, why=str(problem)))
            continue
        if judged.plan is None:
            found.append(Makeable(entry.name, None, why="It cannot be planned yet: open it on Batch."))
        else:
            found.append(of_plan(entry.name, judged.plan, card.design.jar.id, left, shelf))
    return tuple(sorted(found, key=lambda makeable: -(makeable.jars or 0)))


def of_plan(name: str, plan: Plan, jar_id: str, stock: Mapping[str, float], shelf: Shelf) -> Makeable:
    """How many jars like those of a plan the stock makes.

    stock  "kind:id" -> grams or pieces left; what is not in it was never counted
    """
    needs = {item: (needed, plan.name_of(item)) for item, needed in plan.needs.items() if needed > 0}
    for item in pieces.items_of(jar_id):
        kind, _, _ = item.partition(":")
        needs[item] = (float(plan.jars), pieces.name(shelf, kind, jar_id))
    reach = {
        item: jars_for(plan, item, stock[item] / needed)
        for item, (needed, _) in needs.items()
        if item in stock
    }
    uncounted = tuple(said for item, (_, said) in needs.items() if item not in stock)
    if not reach:
        return Makeable(name, None, uncounted=uncounted, why="Nothing of it was counted.")
    first = min(reach, key=lambda item: reach[item])
    return Makeable(name, reach[first], needs[first][1], uncounted)

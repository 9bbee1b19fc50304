"""Water lost in the pot of a base: the pot weighed empty and full, what to fill up, what the base weighs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from blendlab import store
from blendlab.batch import Line
from blendlab.batch.kitchen import water_back
from blendlab.errors import BlendlabError
from blendlab.facts.read import figure
from blendlab.production import plausible
from blendlab.production.kitchen_acts import open_step
from blendlab.production.plausible import asked
from blendlab.shelf import Ingredient, Shelf
from blendlab.store import BatchLog, BatchPage, Book, BookEntry, LotLine, Refused, at_once
from blendlab.store.book_draws import Take

EMPTY, FULL = "empty", "full"
"""Subjects of a pot on the scale."""
REFILL = "refill"
"""Step at which the lost water is filled up."""
STEPS = {EMPTY: "pot", FULL: REFILL}
"""Subject -> step at which it is weighed."""


@dataclass(frozen=True)
class Loss:
    """What the heat took: grams weighed in, what the pot must show when it is full again, water to add.

    lost_g  less than 0 where the pot holds more than was weighed in
    """

    ingredients_g: float
    target_g: float
    lost_g: float

    @property
    def water_g(self) -> float:
        """Water to fill up [g]."""
        return max(0.0, self.lost_g)


def empty_g(log: BatchLog) -> float | None:
    """What the empty pot weighed, or None [g]."""
    weighed = [entry.data["pot_g"] for entry in log.of("pot") if entry.subject == EMPTY]
    return float(weighed[-1]) if weighed else None


def loss(log: BatchLog, gross_g: float, tare_g: float | None = None) -> Loss:
    """What the pot lost, of all that was weighed into it so far.

    tare_g  of the empty pot, where it was not written down before

    Raises Refused without a tare, OutOfRange for a full pot that is lighter than the empty one.
    """
    tare = empty_g(log) if tare_g is None else tare_g
    if tare is None:
        raise Refused("The empty pot was not weighed: write down what it weighs.")
    ingredients = round(sum(log.weighed.values()), 9)
    return Loss(ingredients, round(tare + ingredients, 9), round(water_back(ingredients, tare, gross_g), 9))


def holds_more(told: Loss) -> bool:
    """Whether a pot holds more than was weighed into it, beyond what two scales may differ by."""
    return -told.lost_g > (figure("batch", "pot_full").high - 1) * told.ingredients_g


@at_once
def weigh_empty(book: Book, code: str, step_id: str, pot_g: float) -> None:
    """Write down what the empty pot weighs. Raises Refused before its turn."""
    open_step(book, code, step_id)
    book.write("pot", EMPTY, {"pot_g": pot_g}, code)
    book.tick(code, step_id)


@at_once
def fill_up(
    book: Book,
    page: BatchPage,
    step_id: str,
    gross_g: float,
    water_g: float,
    tare_g: float | None = None,
    lot: int | None = None,
    why: str = "",
) -> None:
    """Write down the pot with the melt in it and the water that was filled up, drawn from its lot.

    tare_g  of the empty pot, where it was not written down before; lot  of the water, None = of no lot

    Raises Refused before its turn, without a tare and for a lot that cannot be taken, OutOfRange for a pot
    lighter than the empty one, Short for a lot that holds less, Doubtful for a pot that holds much less or
    more than was weighed into it, while no reason is given.
    """
    code = page.line.code
    open_step(book, code, step_id)
    told = loss(page, gross_g, tare_g)
    doubts = plausible.of_pot(told.ingredients_g, told.ingredients_g - told.lost_g, water_g)
    said = asked({"pot_g": gross_g, "water_g": water_g}, doubts, why)
    drawn = lot if water_g > 0 else None
    if drawn is not None:
        line = _of_its_water(book, page, drawn)
        if line.held or line.unread:
            raise Refused(f"Lot {line.lot.code} is held back: {line.held or 'a line of it cannot be read'}.")
    if tare_g is not None:
        book.write("pot", EMPTY, {"pot_g": tare_g}, code)
    if drawn is None:
        book.write("pot", FULL, said, code)
    else:
        store.write_drawn(book, code, "pot", FULL, {**said, "lot": drawn}, drawn, water_g)
    book.tick(code, step_id)


def _of_its_water(book: Book, page: BatchPage, number: int) -> LotLine:
    line = store.lot(book, number)
    if not may_be_water(book, page, line.item):
        raise Refused(f"Lot {line.lot.code} is not of the water of this base.")
    return line


def may_be_water(book: Book, page: BatchPage, item: str) -> bool:
    """Whether a raw material is the water of a base, as it was when the batch began, or nobody can tell."""
    known = _as_taken(book, page).get(item)
    if item not in page.now.needs or not item.startswith("ingredient:"):
        return False
    return known is None or known.function == "water"


def _as_taken(book: Book, page: BatchPage) -> dict[str, Ingredient]:
    """Raw materials as a batch took them; none where it wrote none down, or they cannot be read."""
    try:
        items = store.taken(book, page) or ()
    except BlendlabError:
        items = ()
    return {f"ingredient:{item.id}": item for item in items if isinstance(item, Ingredient)}


def drawn(said: Mapping[str, Any]) -> Take:
    """Lot and grams of the water that an entry of the pot filled up; None = of no lot."""
    lot, grams = said.get("lot"), float(said.get("water_g") or 0.0)
    return (int(lot), grams) if lot is not None and grams > 0 else None


def corrected(book: Book, page: BatchPage, entry: BookEntry, said: Mapping[str, Any]) -> dict[str, Any]:
    """What an entry of the pot says once it is set right; water of 0 g is of no lot.

    said  by its keys: pot_g, water_g, lot (None = of no lot)

    A lot that is held back can be named, as with every weighing: the book says what went in, and the lot
    is a stop. Raises Refused for a lot of anything but the water of the base, OutOfRange for a full pot
    lighter than the empty one.
    """
    new = {**entry.data, **said}
    if drawn(new) is None:
        new["lot"] = None
    elif new["lot"] != entry.data.get("lot"):
        _of_its_water(book, page, new["lot"])
    standing = {each.number: (each.subject, each.data["pot_g"]) for each in page.of("pot")}
    shown = {**standing, entry.number: (entry.subject, new["pot_g"])}.values()
    empty = [grams for subject, grams in shown if subject == EMPTY]
    for grams in (grams for subject, grams in shown if subject == FULL and empty):
        water_back(0.0, empty[-1], grams)
    return new


def water_line(book: Book, page: BatchPage, shelf: Shelf) -> Line | None:
    """The line of a cooked base that is its water, as it was taken; None where nobody knows of one.

    shelf  of today, asked for what the batch did not write down
    """
    known = _as_taken(book, page)
    for line in page.now.lines:
        item = known.get(line.item) or shelf.today(*line.item.split(":", 1))
        if isinstance(item, Ingredient) and item.function == "water":
            return line
    return None


def water_g(page: BatchPage) -> float:
    """Water that was filled up in the pot [g]."""
    return round(sum(float(entry.data.get("water_g") or 0.0) for entry in page.of("pot")), 9)


def weighed_full(page: BatchPage) -> bool:
    """Whether what is in the pot was weighed once the heat was done, or no heat took anything of it."""
    order = [step.id for step in page.now.steps]
    full = any(entry.subject == FULL for entry in page.of("pot"))
    return REFILL not in order or (full and empty_g(page) is not None)


def mass_g(page: BatchPage) -> float:
    """What a cooked base weighs: by its pot once filled up and what went in later, else by its lines [g]."""
    full = [entry.data for entry in page.of("pot") if entry.subject == FULL]
    tare, weighed = empty_g(page), page.weighed
    if not full or tare is None:
        return round(sum(weighed.values()), 9)
    order = [step.id for step in page.now.steps]
    later = {step.line for step in page.now.steps[order.index(REFILL) :]} if REFILL in order else set()
    after = sum(grams for line, grams in weighed.items() if line in later)
    filled = float(full[-1]["pot_g"]) - tare + float(full[-1]["water_g"] or 0.0)
    return round(filled + after, 9)

"""Water lost in the pot of a base: the pot weighed empty and full, what to fill up, what the base weighs."""

from __future__ import annotations

from dataclasses import dataclass

from blendlab.batch.kitchen import water_back
from blendlab.production.kitchen_acts import open_step
from blendlab.store import BatchLog, BatchPage, Book, Refused

EMPTY, FULL = "empty", "full"
"""Subjects of a pot on the scale."""
REFILL = "refill"
"""Step at which the lost water is filled up."""


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


def weigh_empty(book: Book, code: str, step_id: str, pot_g: float) -> None:
    """Write down what the empty pot weighs. Raises Refused before its turn."""
    open_step(book, code, step_id)
    book.write("pot", EMPTY, {"pot_g": pot_g}, code)
    book.tick(code, step_id)


def fill_up(
    book: Book, page: BatchPage, step_id: str, gross_g: float, water_g: float, tare_g: float | None = None
) -> None:
    """Write down the pot with the melt in it and the water that was filled up.

    tare_g  of the empty pot, where it was not written down before

    Raises Refused before its turn and without a tare, OutOfRange for a pot lighter than the empty one.
    """
    code = page.line.code
    open_step(book, code, step_id)
    loss(page, gross_g, tare_g)
    if tare_g is not None:
        book.write("pot", EMPTY, {"pot_g": tare_g}, code)
    book.write("pot", FULL, {"pot_g": gross_g, "water_g": water_g}, code)
    book.tick(code, step_id)


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

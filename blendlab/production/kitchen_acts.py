"""What is done in the kitchen beside weighing, each act with its rule: nothing before its turn."""

from __future__ import annotations

from blendlab import store, units
from blendlab.batch import Step, gate_opens
from blendlab.production import kitchen_log
from blendlab.store import AlreadyWritten, Book, Refused
from blendlab.store.book_entries import FOAM


class TooWarm(Refused):
    """A product that is too warm for the next step; what was measured is written down."""


def open_step(book: Book, code: str, step_id: str) -> Step:
    """The step, if its turn has come. Raises AlreadyWritten when it is done, Refused before its turn."""
    page = store.batch(book, code)
    if step_id in page.ticked:
        raise AlreadyWritten("This step")
    current = kitchen_log.stand(page).current
    if current is None or current.id != step_id:
        first = f"first comes: {current.text}" if current else "every step is done."
        raise Refused(f"This step is not the next one; {first}")
    return current


def tick(book: Book, code: str, step_id: str) -> None:
    """Tick a step. Raises Refused for one that is weighed or measured instead, or before its turn."""
    step = open_step(book, code, step_id)
    if step.kind == "weigh":
        raise Refused("This step is weighed, not ticked.")
    if step.kind == "gate":
        raise Refused("This step needs a measured temperature.")
    book.tick(code, step_id)


def pass_gate(book: Book, code: str, step_id: str, celsius: float, unit: str = "C") -> None:
    """Pass a gate at a measured temperature [C]; unit  "C" or "F", for the answer.

    Raises TooWarm, and writes down what was measured; Refused before its turn.
    """
    step = open_step(book, code, step_id)
    if not gate_opens(step, celsius):
        book.write("temperature", step_id, {"celsius": celsius}, code)
        now, limit = (units.degrees(heat, unit) for heat in (celsius, step.below_c or 0.0))
        raise TooWarm(f"Wait: {now} is above {limit}.")
    book.tick(code, step_id, celsius)


def weigh_foam(book: Book, code: str, step_id: str, cup_ml: float, cup_g: float) -> None:
    """Write down the density of the foam from a level cup. Raises Refused before its turn."""
    open_step(book, code, step_id)
    said = {"g_ml": kitchen_log.measured_density(cup_ml, cup_g), "cup_ml": cup_ml, "cup_g": cup_g}
    book.write("density", FOAM, said, code)
    book.tick(code, step_id)


def measure_ph(book: Book, code: str, step_id: str, pH: float) -> None:
    """Write down the pH of the product. Raises Refused before its turn."""
    open_step(book, code, step_id)
    book.write("ph", "product", {"pH": pH}, code)
    book.tick(code, step_id)


def fill_jar(book: Book, code: str, net_g: float) -> None:
    """Write down the net grams of the next filled jar."""
    book.fill(code, len(store.batch_log(book, code).filled_g) + 1, net_g)


def retain(book: Book, code: str, step_id: str, grams: float) -> None:
    """Write down what is set aside. Raises Refused before its turn."""
    open_step(book, code, step_id)
    book.write("yield", "retained", {"retained_g": grams}, code)
    book.tick(code, step_id)


def close(book: Book, code: str, step_id: str, left_g: float, pH: float | None) -> None:
    """Write down what is left over, and the pH if it was measured. Raises Refused before its turn."""
    open_step(book, code, step_id)
    measured_later(book, code, pH=pH)
    book.write("yield", "left", {"left_g": left_g}, code)
    book.tick(code, step_id)


def measured_later(
    book: Book, code: str, pH: float | None = None, foam_g_ml: float | None = None, jar_g: float | None = None
) -> None:
    """Write down what was measured outside the working order; None = not measured."""
    if pH is not None:
        book.write("ph", "product", {"pH": pH}, code)
    if foam_g_ml is not None:
        book.write("density", FOAM, {"g_ml": foam_g_ml}, code)
    if jar_g is not None:
        fill_jar(book, code, jar_g)

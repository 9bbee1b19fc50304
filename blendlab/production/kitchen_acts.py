"""What is done in the kitchen beside weighing, each act with its rule: nothing before its turn."""

from __future__ import annotations

from blendlab import store, units
from blendlab.batch import Step, gate_opens
from blendlab.production import kitchen_log, pieces, plausible
from blendlab.production.plausible import asked
from blendlab.store import AlreadyWritten, Book, Refused, at_once
from blendlab.store.book_entries import FOAM

MEASURED = {
    "pot": "what the pot shows",
    "refill": "what the pot shows",
    "density": "what the level cup weighs",
    "ph": "the pH",
    "fill": "how many jars were filled",
    "retain": "what is set aside",
    "yield": "what is left over",
}
"""Step -> what is written down at it: none of them is ticked alone."""


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


@at_once
def tick(book: Book, code: str, step_id: str) -> None:
    """Tick a step. Raises Refused for one that is weighed or measured instead, or before its turn."""
    step = open_step(book, code, step_id)
    if step.kind == "weigh":
        raise Refused("This step is weighed, not ticked.")
    if step.kind == "gate":
        raise Refused("This step needs a measured temperature.")
    if step.id in MEASURED:
        raise Refused(f"This step is measured: write down {MEASURED[step.id]}.")
    book.tick(code, step_id)


def pass_gate(book: Book, code: str, step_id: str, celsius: float, unit: str = "C", why: str = "") -> None:
    """Pass a gate at a measured temperature [C]; unit  "C" or "F", in which it was typed and is answered.

    Raises Doubtful for a temperature that looks like the other degree, while no reason is given; TooWarm,
    and writes down what was measured; Refused before its turn.
    """
    step = open_step(book, code, step_id)
    said = asked({"celsius": celsius}, plausible.of_heat(celsius, unit), why)
    if not gate_opens(step, celsius):
        book.write("temperature", step_id, said, code)
        now, limit = (units.degrees(heat, unit) for heat in (celsius, step.below_c or 0.0))
        raise TooWarm(f"Wait: {now} is above {limit}.")
    book.write("tick", step_id, said, code)


@at_once
def weigh_foam(book: Book, code: str, step_id: str, cup_ml: float, cup_g: float, why: str = "") -> None:
    """Write down the density of the foam from a level cup.

    Raises Refused before its turn, Doubtful for a density no foam has, while no reason is given.
    """
    open_step(book, code, step_id)
    density = kitchen_log.measured_density(cup_ml, cup_g)
    said = {"g_ml": density, "cup_ml": cup_ml, "cup_g": cup_g}
    doubts = plausible.of_foam(density, plausible.mix_of(store.batch(book, code)))
    book.write("density", FOAM, asked(said, doubts, why), code)
    book.tick(code, step_id)


@at_once
def measure_ph(book: Book, code: str, step_id: str, pH: float, why: str = "") -> None:
    """Write down the pH of the product.

    Raises Refused before its turn, Doubtful outside the window of the base, while no reason is given.
    """
    open_step(book, code, step_id)
    doubts = plausible.of_acidity(store.batch(book, code).plan, pH)
    book.write("ph", "product", asked({"pH": pH}, doubts, why), code)
    book.tick(code, step_id)


@at_once
def fill_jar(book: Book, code: str, net_g: float, why: str = "") -> None:
    """Write down the net grams of the next filled jar.

    Raises Doubtful for grams far from the planned ones, while no reason is given.
    """
    page = store.batch(book, code)
    jar = 1 + max((int(fill.subject) for fill in page.of("fill") if fill.subject.isdigit()), default=0)
    book.fill(code, jar, net_g, **asked({}, plausible.of_fill(page, net_g), why))


@at_once
def all_filled(book: Book, code: str, step_id: str, jars: float, why: str = "") -> None:
    """Write down how many jars were filled in all, weighed or not.

    Raises Refused before its turn and for part of a jar, Doubtful for a count far from the planned one or
    below the jars that were weighed, while no reason is given.
    """
    open_step(book, code, step_id)
    count = plausible.whole(jars)
    doubts = plausible.of_jars(store.batch(book, code), count)
    book.write("filled", "jars", asked({"jars": count}, doubts, why), code)
    book.tick(code, step_id)


@at_once
def retain(book: Book, code: str, step_id: str, grams: float, why: str = "") -> None:
    """Write down what is set aside.

    Raises Refused before its turn, Doubtful for more than is not in jars, while no reason is given.
    """
    open_step(book, code, step_id)
    doubts = plausible.of_rest(store.batch(book, code), grams, "set aside")
    book.write("yield", "retained", asked({"retained_g": grams}, doubts, why), code)
    book.tick(code, step_id)


@at_once
def close(book: Book, code: str, step_id: str, left_g: float, pH: float | None, why: str = "") -> None:
    """Write down what is left over, and the pH if it was measured.

    Raises Refused before its turn, Doubtful for figures that are hard to believe, while no reason is given.
    """
    open_step(book, code, step_id)
    left = asked({"left_g": left_g}, plausible.of_rest(store.batch(book, code), left_g, "left over"), why)
    measured_later(book, code, pH=pH, why=why)
    book.write("yield", "left", left, code)
    book.tick(code, step_id)
    pieces.draw(book, store.batch(book, code))


@at_once
def measured_later(
    book: Book,
    code: str,
    pH: float | None = None,
    foam_g_ml: float | None = None,
    jar_g: float | None = None,
    why: str = "",
) -> None:
    """Write down what was measured outside the working order; None = not measured.

    Raises Doubtful for a figure that is hard to believe, while no reason is given; nothing is written then.
    """
    page = store.batch(book, code)
    doubts: list[str] = []
    doubts += plausible.of_acidity(page.plan, pH) if pH is not None else ()
    doubts += plausible.of_foam(foam_g_ml, plausible.mix_of(page)) if foam_g_ml is not None else ()
    doubts += plausible.of_fill(page, jar_g) if jar_g is not None else ()
    reason = asked({}, doubts, why)
    if pH is not None:
        book.write("ph", "product", {"pH": pH, **reason}, code)
    if foam_g_ml is not None:
        book.write("density", FOAM, {"g_ml": foam_g_ml, **reason}, code)
    if jar_g is not None:
        fill_jar(book, code, jar_g, why)
        pieces.draw(book, store.batch(book, code), "one more jar was weighed")

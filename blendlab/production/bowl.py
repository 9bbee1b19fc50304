"""What the bowl says in the kitchen: foam by its cups, the top-up for what really went in."""

from __future__ import annotations

from blendlab.batch import Line
from blendlab.batch.kitchen import foam, top_up_for
from blendlab.production.kitchen_acts import open_step
from blendlab.production.kitchen_log import measured_density
from blendlab.store import BatchPage, Book
from blendlab.store.book_entries import MIX, WHIPPING
from blendlab.units import digits, on_scale


def weigh_cup(
    book: Book, code: str, step_id: str, cup_ml: float, foam_g: float, mix_g: float | None = None
) -> None:
    """Write a level cup on the way down, and the same cup of the mix where it was weighed.

    Raises Refused before its turn.
    """
    open_step(book, code, step_id)
    for subject, cup_g in ((MIX, mix_g), (WHIPPING, foam_g)):
        if cup_g is not None:
            density = measured_density(cup_ml, cup_g)
            book.write("density", subject, {"g_ml": density, "cup_ml": cup_ml, "cup_g": cup_g}, code)


def foam_words(page: BatchPage) -> str:
    """What the last cup on the way says: whip on or stop, and why; "" before the first."""
    cups, mix, target = page.densities(WHIPPING), page.densities(MIX), page.now.density
    if not cups or target is None:
        return ""
    told = foam(cups, target.g_ml, mix[-1] if mix else None)
    risen = ""
    if told.overrun_pct is not None and told.air is not None:
        risen = f", overrun {told.overrun_pct:.0f} %, {100 * told.air:.0f} % of it air"
    said = f"Cup {len(cups)}: {cups[-1]:.3f} g/ml{risen}."
    if told.whip_on:
        return f"{said} Whip on to {target.g_ml:.2f} g/ml."
    reached = cups[-1] <= target.g_ml
    return f"{said} Stop: " + ("that is what was planned." if reached else "the foam collapses.")


def top_up_words(page: BatchPage, line: Line) -> str:
    """What the preservative would be for what really went into the bowl; "" while that is as planned."""
    plan = page.now
    if line.what != "preservative":
        return ""
    bowl = [part for part in plan.lines if part.cup == "Bowl" and part.id in page.weighed]
    made = top_up_for(plan, page.weighed)
    if made is None or all(abs(page.weighed[part.id] - part.grams) <= part.step_g for part in bowl):
        return ""
    grams = on_scale(made.topup_g, line.step_g)
    if not made.within:
        return f"For what really went into the bowl {grams} g would be needed: more than law and sheet allow."
    reached = (
        "" if plan.preservative is None else f" for {digits(plan.preservative.target_pct)} % in each tone"
    )
    return f"What really went into the bowl asks for {grams} g{reached}."

"""What the bowl says in the kitchen: foam by its cups, the top-up for what really went in."""

from __future__ import annotations

from blendlab import store
from blendlab.batch import Line, Plan
from blendlab.batch.filling import jars_from_batch
from blendlab.batch.kitchen import foam
from blendlab.batch.top_up import asking, top_up_for
from blendlab.facts.read import figure
from blendlab.production import base_mix, judgement, plausible
from blendlab.production.kitchen_acts import open_step
from blendlab.production.kitchen_log import measured_density
from blendlab.shelf import Base, Shelf
from blendlab.store import BatchPage, Book, at_once
from blendlab.store.book_entries import FOAM, MIX, WHIPPING
from blendlab.units import digits, on_scale, plain

IN_THE_BOWL = ("base", "addition")
"""What the preservative is reckoned for."""


@at_once
def weigh_cup(
    book: Book,
    code: str,
    step_id: str,
    cup_ml: float,
    foam_g: float,
    mix_g: float | None = None,
    why: str = "",
) -> None:
    """Write a level cup on the way down, and the same cup of the mix where it was weighed.

    Raises Refused before its turn, Doubtful for a density that is hard to believe, while no reason is given.
    """
    open_step(book, code, step_id)
    density = measured_density(cup_ml, foam_g)
    mix = plausible.mix_of(store.batch(book, code)) if mix_g is None else measured_density(cup_ml, mix_g)
    doubts = [
        *(plausible.of_mix(mix) if mix_g is not None and mix is not None else ()),
        *plausible.of_foam(density, mix),
    ]
    reason = plausible.asked({}, doubts, why)
    for subject, cup_g in ((MIX, mix_g), (WHIPPING, foam_g)):
        if cup_g is not None:
            said = {"g_ml": measured_density(cup_ml, cup_g), "cup_ml": cup_ml, "cup_g": cup_g}
            book.write("density", subject, {**said, **reason}, code)


def foam_words(page: BatchPage) -> str:
    """What the last cup on the way says: whip on or stop, and why; "" before the first."""
    cups, mix, plan = page.densities(WHIPPING), page.densities(MIX), page.now
    target = plan.foam_g_ml or (plan.density.g_ml if plan.density is not None else None)
    if not cups or target is None:
        return ""
    told = foam(cups, target, mix[-1] if mix else None)
    risen = ""
    if told.overrun_pct is not None and told.air is not None:
        risen = f", overrun {told.overrun_pct:.0f} %, {100 * told.air:.0f} % of it air"
    said = f"Cup {len(cups)}: {cups[-1]:.3f} g/ml{risen}."
    if told.whip_on:
        return f"{said} Whip on to {target:.2f} g/ml."
    if len(cups) > 1 and cups[-1] > cups[-2]:
        said += f" Stop: heavier than the cup before, {cups[-2]:.3f} g/ml: the foam collapses."
        return f"{said} {against_plan(page.now, cups[-1])}".strip()
    return f"{said} Stop. {against_plan(page.now, cups[-1])}".strip()


def filling_words(page: BatchPage) -> str:
    """What the weighed foam means for the jars that are filled with it; "" before it was weighed."""
    weighed = page.densities(FOAM)
    told = against_plan(page.now, weighed[-1]) if weighed else ""
    return told and f"Foam {weighed[-1]:.3f} g/ml. {told}"


def against_plan(plan: Plan, g_ml: float) -> str:
    """How foam of a density [g/ml] stands to the planned one, and what a jar holds of it; "" without a plan.

    Within what two level cups of one foam may differ by it is as planned. What is folded in after the cup
    was weighed counts as planned.
    """
    filling = plausible.filling_of(plan, g_ml)
    if plan.density is None or filling is None:
        return ""
    share, jar_g = g_ml / (plan.foam_g_ml or plan.density.g_ml), plan.net_g * filling / plan.density.g_ml
    if round(abs(100 * (share - 1)), 9) <= figure("batch", "cups_differ").value:
        return "That is what was planned."
    much = f"{abs(100 * (share - 1)):.0f} % {'lighter' if share < 1 else 'heavier'} than planned"
    return (
        f"{much}: a jar filled as planned holds about {jar_g:.0f} g, not {plain(plan.net_g, 1)} g."
        f"{_jars_words(plan, jar_g)} The net weight of the label is that of the filled jars."
    )


def _jars_words(plan: Plan, net_g: float) -> str:
    """How many jars of another net weight the batch fills; "" where that is as many as planned."""
    habits = (plan.overfill_pct / 100, plan.retained_g, plan.loss_pct / 100)
    jars, _ = jars_from_batch(plan.batch_g, net_g, *habits)
    wanted = plan.asked or plan.jars
    return f" The batch then fills about {jars}, not {wanted}." if jars != wanted else ""


def asked(book: Book, page: BatchPage, line: Line, shelf: Shelf) -> tuple[Line, str]:
    """A line as the bowl asks for it, and why in words, "" where that is as planned.

    Everything follows a base that was too little (`kitchen_log.smaller_pct`); the preservative follows
    whatever went into the bowl, and the lots of base that were drawn: what of it is in already is not
    asked for again.
    """
    plan = page.now
    if line.what != "preservative":
        return line, _smaller_words(page, line)
    base = judgement.base_drawn(book, page, shelf)
    held = _held(base, line, shelf)
    if base is not None and held is None:
        return (
            line,
            f"How much {line.name} lot {base.lot} holds is not known: this is the top-up of the sheet.",
        )
    made = top_up_for(plan, page.weighed, held)
    if made is None:
        return line, _smaller_words(page, line)
    anew, there = asking(plan, line, made, page.weighed), page.weighed.get(line.id, 0.0)
    if _as_planned(page) and _same_base(plan, held) and line.grams <= anew.good[1]:
        return line, _smaller_words(page, line)
    grams = on_scale(made.topup_g, line.step_g)
    known = f"; {on_scale(there, line.step_g)} g are in" if there else ""
    if not made.within:
        room = f"they leave room for {on_scale(there + anew.grams, line.step_g)} g{known}"
        return anew, f"What really went into the bowl asks for {grams} g, law and sheet for less: {room}."
    reached = (
        "" if plan.preservative is None else f" for {digits(plan.preservative.target_pct)} % in each tone"
    )
    if not anew.grams and not there:
        return anew, f"What really went into the bowl holds enough{reached}: write 0 g down."
    return anew, f"What really went into the bowl asks for {grams} g{reached}{known}."


def _held(base: Base | None, line: Line, shelf: Shelf) -> tuple[float, float] | None:
    """Low and high percent of the preservative of a line in the drawn base; None where another keeps it."""
    if base is None or (base.preservative is not None and line.item != f"ingredient:{base.preservative.id}"):
        return None
    return base_mix.held(base, shelf)


def _smaller_words(page: BatchPage, line: Line) -> str:
    """Why a line asks for clearly less than the sheet did: a smaller batch, or a lighter bowl."""
    before = page.plan.line(line.id)
    if line.id in page.asked or line.grams >= before.grams:
        return ""
    grams, planned = (on_scale(each, line.step_g) for each in (line.grams, before.grams))
    told = f"{grams} g go with it, not {planned} g."
    if any(entry.data.get("shrink_pct") for entry in page.of("deviation")):
        return f"There is less base than planned: {told}"
    return f"The bowl is lighter than planned: {told}" if line.grams < before.good[0] else ""


def _as_planned(page: BatchPage) -> bool:
    bowl = [part for part in page.now.lines if part.what in IN_THE_BOWL and part.id in page.weighed]
    return all(abs(page.weighed[part.id] - part.grams) <= part.step_g for part in bowl)


def _same_base(plan: Plan, held: tuple[float, float] | None) -> bool:
    """Whether the lots that were drawn hold what the sheet took the base to hold."""
    topped = plan.preservative
    if topped is None or held is None:
        return True
    each = zip(held, (topped.base_low_pct, topped.base_high_pct), strict=True)
    return all(taken is not None and abs(pct - taken) <= base_mix.ALIKE_PCT for pct, taken in each)

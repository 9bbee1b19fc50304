"""What kitchen, Book and Shelf ask of the book: lots to take, where a batch stands, what to write."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from blendlab import batch, recipe, store
from blendlab.batch import Line, Plan, Progress, Step
from blendlab.batch.kitchen import Weighed, cups_so_far, for_rest, judge, remaining
from blendlab.batch.record import batch_yield, yield_finding
from blendlab.batch.weighing import too_much
from blendlab.batch.weight import average_check, lightest, metric_net_weight
from blendlab.errors import BlendlabError, Finding
from blendlab.recipe import Design
from blendlab.shelf import Jar, Shelf
from blendlab.store import BatchPage, Book, LotLine, Refused
from blendlab.units import plain

LOOKED_AT = 8
"""Newest batches of a name that are looked at for one that still runs."""


# --- lots and batches ---------------------------------------------------------------------------------


def lots_to_take(book: Book, chosen: Mapping[str, int]) -> dict[str, LotLine]:
    """Lot to take of each thing: hers where she chose one that holds something, else the first to end."""
    numbers = {one.number: one for one in store.lots(book)}
    hers = {item: numbers[number] for item, number in chosen.items() if number in numbers}
    return {**store.next_lots(book), **hers}


def lot_words(line: LotLine) -> str:
    """A lot in a list: code, what is left, until when."""
    until = f", until {line.lot.expiry}" if line.lot.expiry else ""
    return f"{line.lot.code}, {plain(line.left_g, 2)} g left{until}"


def newest(book: Book, design: Design) -> BatchPage | None:
    """The newest batch of jars of a design, or None."""
    found = store.batches(book, design.id)
    return store.batch(book, found[0].code) if found else None


def start(book: Book, made: Plan, design: Design, shelf: Shelf, on: date) -> str:
    """Start a batch of a design in the book; returns its code."""
    glass = shelf.today("jar", design.jar.id)
    size = f"{glass.nominal_ml:.0f}" if isinstance(glass, Jar) else ""
    sku = recipe.slug(design.name).upper().replace("-", "")[:10] + size
    return book.start(made, on, sku=sku, design=design)


def running(book: Book, design: Design) -> str | None:
    """Code of the newest batch of a design that is not finished, or None."""
    page = newest(book, design)
    if page is None or page.of("release"):
        return None
    return page.line.code if stand(page).current is not None else None


def expiries(book: Book, page: BatchPage) -> tuple[date | None, ...]:
    """Day each lot of a batch ends."""
    numbers = dict.fromkeys(one.lot for one in page.weighings if one.lot is not None and not one.corrected)
    return tuple(store.lot(book, one).lot.expiry for one in numbers)


# --- the kitchen --------------------------------------------------------------------------------------


def stand(page: BatchPage) -> Progress:
    """Where a batch stands."""
    return batch.progress(page.now, page.asked, page.ticked)


@dataclass(frozen=True)
class Rung:
    """One line of the ladder beside the line that is weighed.

    state  "done", "now" or "later"; grams  what really went in, else what is asked for
    """

    name: str
    grams: float
    step_g: float
    state: str


def ladder(page: BatchPage, line: Line) -> tuple[tuple[Rung, ...], float]:
    """The cup of a line, what is done and what comes, and what the whole cup makes."""
    plan, weighed, asked = page.now, page.weighed, page.asked
    rungs = []
    for one in plan.cups[line.cup]:
        done = one.id in asked and remaining(one, asked) == 0
        state = "now" if one.id == line.id else "done" if done else "later"
        rungs.append(Rung(one.name, weighed.get(one.id, one.grams) if done else one.grams, one.step_g, state))
    return tuple(rungs), round(sum(one.grams for one in rungs), 9)


def so_far(page: BatchPage, cup: str) -> float:
    """Grams that really went into a cup."""
    return cups_so_far(page.now.lines, page.weighed).get(cup, 0.0)


def asked_line(page: BatchPage, line: Line) -> Line:
    """The line as it is asked for now: all of it, or what it asks for on top."""
    return for_rest(line, page.asked)


def on_top(page: BatchPage, line: Line) -> bool:
    """Whether the line was weighed before and asks for more."""
    return line.id in page.asked


def part_of(page: BatchPage, line: Line) -> int:
    """Number of the next weighing of a line."""
    standing = [
        one for one in page.weighings if one.line == line.id and not one.corrected and one.weighed_g > 0
    ]
    return len(standing) + 1


def takes(book: Book, line: Line, grams: float, lot: int | None) -> list[tuple[int | None, float, float]]:
    """Lots that a weighing is drawn from: the chosen one, then those that end first.

    Gives lot, grams weighed, grams of the pure thing that leave the lot.
    """
    share = line.stock_pct / 100
    if lot is None:
        return [(None, grams, grams * share)]
    others = [one.number for one in store.lots(book, line.item) if one.number != lot and one.left_g > 0]
    rest, found = grams * share, []
    for number in (lot, *others):
        taken = min(rest, store.lot(book, number).left_g)
        if taken > 0:
            found.append((number, round(taken / share, 6), round(taken, 6)))
            rest = round(rest - taken, 6)
    if rest > 0 or not found:
        return [(lot, grams, grams * share)]
    return list(found)


def lots_in_words(book: Book, line: Line, lot: int | None) -> str:
    """How a line is shared among lots when the first does not hold it all."""
    shared = takes(book, line, line.grams, lot)
    if len(shared) > 1:
        each = (
            f"{plain(grams, 2)} g from {store.lot(book, number or 0).lot.code}" for number, grams, _ in shared
        )
        return f"One lot does not hold it all: {', then '.join(each)}."
    number, _, drawn = shared[0]
    if number is not None and store.lot(book, number).left_g < drawn:
        return f"The lots of {line.name} do not hold that much: count them, or take no named lot."
    return ""


def weigh(
    book: Book,
    page: BatchPage,
    line: Line,
    grams: float,
    lot: int | None,
    cause: str = "",
) -> None:
    """Write a weighing down at once, drawn from its lots; with a cause where one was asked for.

    Raises Refused for a line whose turn has not come, for a lot of another thing, for too much where
    only a new cup or a bigger rest helps, and for too little without a cause.
    """
    _refuse_before_its_turn(page, line)
    _refuse_off(line, grams, cause)
    _write(book, page, line, grams, lot, cause, line.grams)


def _refuse_before_its_turn(page: BatchPage, line: Line) -> None:
    current = stand(page).line
    if current is None or current.id != line.id:
        first = f"first comes {current.name}." if current else "no line is open."
        raise Refused(f"{line.name} is not the next line; {first}")


def _refuse_off(line: Line, grams: float, cause: str) -> None:
    found = judge(line, grams)
    if grams > line.good[1] and (found.explain or line.protected):
        raise Refused(
            f"{plain(grams, 3)} g of {line.name} are too much: start the cup again, or make the rest bigger."
        )
    if grams < line.good[0] and found.explain and not cause.strip():
        raise Refused(
            f"{plain(grams, 3)} g of {line.name} are too little: write down the cause and the decision."
        )


def _write(
    book: Book, page: BatchPage, line: Line, grams: float, lot: int | None, cause: str, asked: float
) -> None:
    if lot is not None and store.lot(book, lot).item != line.item:
        raise Refused(f"That lot is not one of {line.name}.")
    code = page.line.code
    if cause:
        book.write("deviation", line.id, {"cause": cause, "grams": grams, "planned_g": line.grams}, code)
    book.weigh_from(
        code,
        line.id,
        takes(book, line, grams, lot),
        planned_g=asked,
        scale=line.scale,
        part=part_of(page, line),
    )


def enlarge(book: Book, page: BatchPage, line: Line, grams: float, lot: int | None) -> float:
    """Answer too much by a bigger rest of the batch; returns by how many percent.

    Raises Refused for a line whose turn has not come.
    """
    _refuse_before_its_turn(page, line)
    whole, before = page.now.line(line.id), page.asked.get(line.id, 0.0)
    pct = too_much(whole.grams, before + grams)
    said = {
        "enlarge_pct": pct,
        "cause": f"{plain(grams, 3)} g went in, {plain(line.grams, 3)} g were asked for",
    }
    book.write("deviation", line.id, said, page.line.code)
    fresh = store.batch(book, page.line.code)
    asked = round(fresh.now.line(line.id).grams - before, 9)
    _write(book, fresh, line, grams, lot, "", asked)
    return pct


def start_cup_again(book: Book, page: BatchPage, line: Line, grams: float, lot: int | None) -> None:
    """Answer too much by a new cup: what was in it is waste, its lines are open again."""
    lines = [one.id for one in page.now.cups[line.cup]]
    note = f"{line.cup}: {plain(grams, 3)} g of {line.name} instead of {plain(line.grams, 3)} g, thrown away"
    book.throw_away(page.line.code, lines, note, (lot, grams * line.stock_pct / 100))
    book.write("deviation", line.id, {"cause": note, "grams": grams}, page.line.code)


def judged(page: BatchPage, line: Line, grams: float) -> tuple[Weighed, float]:
    """What a weighing means, and how much bigger the batch would get if the rest followed it [%]."""
    whole, before = page.now.line(line.id), page.asked.get(line.id, 0.0)
    return judge(line, grams), too_much(whole.grams, before + grams) if whole.grams else 0.0


def measured_density(cup_ml: float, cup_g: float) -> float:
    """Density of the foam from a level cup [g/ml]."""
    return cup_g / cup_ml


def water_back(page: BatchPage, tare_g: float, gross_g: float) -> float:
    """Water that the pot lost on the heat, of all that was weighed into it so far [g]."""
    return batch.kitchen.water_back(sum(page.weighed.values()), tare_g, gross_g)


# --- after the batch ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Outcome:
    """How a batch of jars came out. None = not weighed."""

    planned_g: float
    filled_g: float
    jars: int
    mean_g: float | None
    yield_pct: float | None
    unaccounted_g: float | None
    finding: Finding | None


def outcome(page: BatchPage) -> Outcome:
    """Filled mass of the planned mass, jars and their mean."""
    plan, filled = page.now, page.filled_g
    if not filled or plan.batch_g <= 0:
        return Outcome(plan.batch_g, 0.0, 0, None, None, None, None)
    kept = page.of("yield")
    retained = sum(float(one.data.get("retained_g", 0.0)) for one in kept) or plan.retained_g
    made = batch_yield(plan.batch_g, sum(filled), retained)
    return Outcome(
        plan.batch_g,
        round(sum(filled), 3),
        len(filled),
        fmean(filled),
        made.yield_pct,
        made.unaccounted_g,
        yield_finding(made),
    )


def weight_words(page: BatchPage, nominal_g: float) -> str:
    """Whether the weighed jars keep a net weight by the average system, in words."""
    checked = average_check(nominal_g, page.filled_g)
    kept = "keeps" if checked.keeps else "does not keep"
    short = f"{checked.below_tne} of {len(page.filled_g)} jars short by more than {checked.tne_g:g} g"
    return (
        f"A label of {nominal_g:g} g {kept} the average rules: mean {checked.mean_g:.1f} g; {short}, "
        f"{checked.below_2tne} by more than twice that."
    )


def label_grams(page: BatchPage) -> int | None:
    """Whole grams for a label from the lightest weighed jars; None before three are weighed."""
    least = lightest(page.filled_g)
    return None if least is None or least < 5 else metric_net_weight(least)


def try_again(page: BatchPage) -> tuple[Design | None, str]:
    """The design of a batch as it was made then, or a sentence why there is none."""
    try:
        return recipe.from_dict(page.design), ""
    except BlendlabError as problem:
        return None, str(problem)


def big_grams(plan: Plan, step: Step) -> float | None:
    """Grams that a step names and that stand big on the screen: what is taken of the bowl."""
    portion = next((one for one in plan.portions if step.id == f"take:{one.tone}"), None)
    return portion.take_g if portion is not None and not portion.rest else None

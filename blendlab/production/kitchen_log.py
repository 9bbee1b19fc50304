"""Where a batch stands in the kitchen, and each weighing written down at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Any

from blendlab import batch, store
from blendlab.batch import Line, Plan, Progress, Step
from blendlab.batch.kitchen import Verdict, for_rest, judge, remaining
from blendlab.batch.resize import IN_THE_BOWL
from blendlab.batch.weighing import good_between, too_much
from blendlab.errors import OutOfRange
from blendlab.production.stock_lots import takes, to_choose
from blendlab.store import BatchPage, Book, Refused, Weighing, at_once
from blendlab.units import plain, round_lines

FOR_GOOD = ("addition", "preservative", "pigment")
"""What is in bowl or tone once it is weighed."""


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


def asked_then(page: BatchPage, weighing: Weighing) -> float:
    """Grams the kitchen asked for when a line was weighed, before the batch was made smaller to go with it.

    0 for a second lot of the same weighing: what was asked for stands with the first.
    """
    if not weighing.planned_g:
        return 0.0
    resized = (entry for entry in page.of("deviation") if entry.data.get("shrink_pct"))
    for entry in resized:
        room = page.plan.line(entry.subject).step_g
        if entry.subject == weighing.line and abs(weighing.planned_g - entry.data["grams"]) <= room:
            return float(entry.data["planned_g"])
    return weighing.planned_g


def ladder(page: BatchPage, line: Line) -> tuple[tuple[Rung, ...], float]:
    """The cup of a line, what is done and what comes, and what the whole cup makes.

    line  as it is asked for now; its rung counts what of it is in the cup already
    """
    plan, weighed, asked = page.now, page.weighed, page.asked
    rungs = []
    for other in plan.cups[line.cup]:
        done = other.id in asked and remaining(other, asked) == 0
        state = "now" if other.id == line.id else "done" if done else "later"
        grams = weighed.get(other.id, other.grams) if done else other.grams
        if state == "now":
            grams = weighed.get(other.id, 0.0) + line.grams
        rungs.append(Rung(other.name, round(grams, 9), other.step_g, state))
    return tuple(rungs), round(sum(rung.grams for rung in rungs), 9)


def asked_line(page: BatchPage, line: Line) -> Line:
    """The line as it is asked for now: all of it, or what it asks for on top."""
    return for_rest(line, page.asked)


def on_top(page: BatchPage, line: Line) -> bool:
    """Whether the line was weighed before and asks for more."""
    return line.id in page.asked


def part_of(page: BatchPage, line: Line) -> int:
    """Number of the next weighing of a line."""
    return 1 + sum(weighing.stands for weighing in page.weighings if weighing.line == line.id)


def cups_before(page: BatchPage, line: Line) -> int:
    """How often the cup of a line was thrown away and started again."""
    return sum(entry.subject == line.cup for entry in page.of("deviation"))


@at_once
def weigh(
    book: Book,
    page: BatchPage,
    line: Line,
    grams: float,
    lot: int | None,
    cause: str = "",
    then: Sequence[int] = (),
) -> None:
    """Write a weighing down at once, drawn from its lots; with a cause where one was asked for.

    then  lots that she lets fill up what the first does not hold

    A line that the bowl asks nothing of is done with 0 g: that is written down, and nothing is drawn.
    Where the base is too little, the rest of the batch is made smaller with it (`smaller_pct`); portions,
    pigments and scent follow what really went into the bowl.

    Raises Refused for a line whose turn has not come, for a lot of another thing, for too much where
    only a new cup or a bigger rest helps, and for too little without a cause.
    """
    _refuse_before_its_turn(page, line)
    _refuse_off(line, grams, cause, can_enlarge(book, page, line, judged(page, line, grams)[1]))
    asks = _asks_anew(page, line)
    if asks and not cause:
        cause = f"{plain(line.grams, 3)} g were asked for by what went into the bowl"
    if pct := smaller_pct(page, line, grams):
        said = {"shrink_pct": pct, "cause": cause, "grams": grams, "planned_g": line.grams}
        _resized(book, page, line, grams, _lots(lot, then), said)
        return
    if cause:
        said = {"cause": cause, "grams": grams, "planned_g": line.grams, **asks}
        book.write("deviation", line.id, said, page.line.code)
    if grams or line.grams:
        _write(book, page, line, grams, _lots(lot, then), line.grams)
    _follow(book, page.line.code, line)


def _asks_in_all(page: BatchPage, line: Line) -> float:
    """Grams that a line asks for in all: what it was asked for before, and what it asks for now."""
    return round(page.asked.get(line.id, 0.0) + line.grams, 9)


def _asks_anew(page: BatchPage, line: Line, enlarge_pct: float = 0.0) -> dict[str, float]:
    """What an entry says of a line that the bowl asks other grams of than the sheet; else nothing."""
    if line.grams and line.grams == asked_line(page, page.now.line(line.id)).grams:
        return {}
    return {"asks_g": round(_asks_in_all(page, line) * (1 + enlarge_pct / 100), 9)}


def _refuse_before_its_turn(page: BatchPage, line: Line) -> None:
    current = stand(page).line
    if current is None or current.id != line.id:
        first = f"first comes {current.name}." if current else "no line is open."
        raise Refused(f"{line.name} is not the next line; {first}")


def _refuse_off(line: Line, grams: float, cause: str, can_grow: bool) -> None:
    found = judge(line, grams)
    if grams > line.good[1] and (found.explain or line.protected):
        bigger = ", or make the rest bigger" if can_grow else ""
        raise Refused(f"{plain(grams, 3)} g of {line.name} are too much: start the cup again{bigger}.")
    if grams < line.good[0] and found.explain and not cause.strip():
        raise Refused(
            f"{plain(grams, 3)} g of {line.name} are too little: write down the cause and the decision."
        )


def _lots(lot: int | None, then: Sequence[int]) -> tuple[int, ...]:
    return () if lot is None else (lot, *then)


def _write(book: Book, page: BatchPage, line: Line, grams: float, lots: Sequence[int], asked: float) -> None:
    book.weigh_from(
        page.line.code,
        line.id,
        takes(book, line, grams, lots),
        planned_g=asked,
        scale=line.scale,
        part=part_of(page, line),
    )


@at_once
def enlarge(
    book: Book, page: BatchPage, line: Line, grams: float, lot: int | None, then: Sequence[int] = ()
) -> float:
    """Answer too much by a bigger rest of the batch; returns by how many percent.

    then  lots that she lets fill up what the first does not hold

    Raises Refused for a line whose turn has not come, for one that is not part of the batch or of which
    nothing was asked, and where the lots do not hold the base it takes.
    """
    _refuse_before_its_turn(page, line)
    if line.beside:
        raise Refused(f"{line.name} is not part of the batch: a bigger batch makes up for none of it.")
    _, pct = judged(page, line, grams)
    if pct <= 0:
        raise Refused(f"Nothing of {line.name} was asked for: start the cup again.")
    more_g, left_g = base_on_top(book, page, line, pct)
    if left_g is not None and left_g < more_g:
        raise Refused(f"A bigger rest still takes {more_g:.0f} g of base; its lots hold {left_g:.0f} g.")
    cause = f"{plain(grams, 3)} g of {line.name} went in, {plain(line.grams, 3)} g were asked for"
    said = {"enlarge_pct": pct, "cause": cause, **_asks_anew(page, line, pct)}
    _resized(book, page, line, grams, _lots(lot, then), said)
    return pct


def _whole_steps(base: Line, pct: float) -> float:
    """By how many percent a base gets bigger that is weighed in whole steps, rounded up."""
    (up,) = round_lines([base.grams * (1 + pct / 100)], [base.step_g], [True], ["up"])
    return 100 * (up / base.grams - 1)


def base_on_top(book: Book, page: BatchPage, line: Line, pct: float) -> tuple[float, float | None]:
    """Grams of base still to weigh for a rest bigger by some percent, beside a line, and what its lots hold.

    The second is None where the book has no lot of it. Beside too much of a preservative only the lot in the
    bowl counts: another may hold some of it, and would bring more of what is too much.
    """
    bases = [each for each in page.now.lines if each.what == "base" and each.id != line.id]
    more = sum(each.grams * (1 + pct / 100) - page.asked.get(each.id, 0.0) for each in bases)
    items = {each.item for each in bases}
    if not any(store.lots(book, item) for item in items):
        return max(0.0, more), None
    names = {each.id for each in bases}
    bowl = {each.lot for each in page.weighings if each.stands and each.line in names}
    there = [lot for item in items for lot in to_choose(book, item, page.line.made_on)]
    if line.what == "preservative":
        there = [lot for lot in there if bowl == {lot.number}]
    return max(0.0, more), sum(lot.left_g for lot in there)


def can_enlarge(book: Book, page: BatchPage, line: Line, pct: float) -> bool:
    """Whether a rest bigger by some percent can make up for too much of a line."""
    more_g, left_g = base_on_top(book, page, line, pct)
    return not line.beside and (left_g is None or more_g <= left_g)


def smaller_pct(page: BatchPage, line: Line, grams: float) -> float:
    """By how many percent the rest of a batch gets smaller with a base that is too little; else 0."""
    if line.what != "base" or grams >= line.good[0] or not judge(line, grams).explain:
        return 0.0
    return max(0.0, -judged(page, line, grams)[1])


def stays_too_much(page: BatchPage, line: Line, grams: float) -> tuple[str, ...]:
    """Names of what went in already and is too much for a batch made smaller with a base that is too little.

    Scent is none of it: what of it is too much stays over.
    """
    share = 1 - smaller_pct(page, line, grams) / 100
    there = [each for each in page.now.lines if each.what in FOR_GOOD and each.id in page.weighed]
    if share == 1:
        return ()
    over = (
        each.name
        for each in there
        if page.weighed[each.id] > good_between(each.grams * share, each.step_g)[1]
    )
    return tuple(dict.fromkeys(over))


def _resized(
    book: Book, page: BatchPage, line: Line, grams: float, lots: Sequence[int], said: Mapping[str, Any]
) -> None:
    """Write why the rest is of another size, then the weighing as the line of the new size asks for it."""
    book.write("deviation", line.id, said, page.line.code)
    fresh = store.batch(book, page.line.code)
    asked = round(fresh.now.line(line.id).grams - page.asked.get(line.id, 0.0), 9)
    _write(book, fresh, line, grams, lots, asked)
    _follow(book, page.line.code, line)


def _follow(book: Book, code: str, line: Line) -> None:
    """Write down what the tones are told to share, once all that makes it up is weighed.

    Of a bowl that is lighter than what the tones take of it, and beside less pigment than was asked for, the
    planned scent would be too large a part. A batch that was made bigger or smaller is told as it came out.
    """
    page = store.batch(book, code)
    inside = line.what in IN_THE_BOWL
    beside = [
        each for each in page.now.lines if (each.what in IN_THE_BOWL if inside else each.tone == line.tone)
    ]
    if any(each.id not in page.asked or remaining(each, page.asked) for each in beside):
        return
    grams = round(sum(page.weighed.get(each.id, 0.0) for each in beside), 9)
    if inside:
        told = round(sum(portion.take_g for portion in page.now.portions), 9)
        if told and grams != told and (grams < told or page.shared != page.plan):
            book.write("deviation", line.id, {"bowl_g": grams}, code)
    elif line.what == "pigment":
        told = next(portion.pigment_g for portion in page.now.portions if portion.tone == line.tone)
        if grams < told:
            book.write("deviation", line.id, {"pigment_g": grams}, code)


@at_once
def start_cup_again(
    book: Book, page: BatchPage, line: Line, grams: float, lot: int | None, then: Sequence[int] = ()
) -> None:
    """Answer too much by a new cup: what was in it is waste, its lines are open again.

    then  lots that she lets fill up what the first does not hold
    """
    lines = [other.id for other in page.now.cups[line.cup]]
    note = f"{line.cup}: {plain(grams, 3)} g of {line.name} instead of {plain(line.grams, 3)} g, thrown away"
    spilt = [(number, drawn) for number, _, drawn in takes(book, line, grams, _lots(lot, then))]
    book.throw_away(page.line.code, lines, note, spilt)
    book.write("deviation", line.cup, {"cause": note, "grams": grams}, page.line.code)


def judged(page: BatchPage, line: Line, grams: float) -> tuple[Verdict, float]:
    """What a weighing means, and how much bigger the batch would get if the rest followed it [%]."""
    before, whole = page.asked.get(line.id, 0.0), _asks_in_all(page, line)
    pct = too_much(whole, before + grams) if whole else 0.0
    return judge(line, grams), _under_its_limit(page, line, pct) if pct > 0 else pct


def _under_its_limit(page: BatchPage, line: Line, pct: float) -> float:
    """Percent by which the batch gets bigger, so that what went in too much comes under its limit again.

    Base is weighed in whole steps, and a base that holds its preservative already gets no top-up: for a
    preservative, and a pigment that is so near its cap, the batch gets bigger by that too.
    """
    now = page.now
    if line.what == "preservative":
        return max(pct, *(_whole_steps(each, pct) for each in now.lines if each.what == "base"))
    portion = next((each for each in now.portions if each.tone == line.tone), None)
    if line.what != "pigment" or line.cap_pct is None or portion is None:
        return pct
    topped = sum(each.grams for each in now.lines if each.what == "preservative")
    room = 1 + topped / sum(each.grams for each in now.lines if each.what in IN_THE_BOWL)
    near = now.line(line.id).grams * line.stock_pct * room > line.cap_pct * portion.grams
    return 100 * ((1 + pct / 100) * room - 1) if near else pct


def measured_density(cup_ml: float, cup_g: float) -> float:
    """Density of the foam from a level cup [g/ml]. Raises OutOfRange for a cup of nothing."""
    if not cup_ml > 0:
        raise OutOfRange("Level cup", cup_ml, 1, inf, "ml")
    return cup_g / cup_ml


def big_grams(plan: Plan, step: Step) -> float | None:
    """Grams that a step names and that stand big on the screen: what is taken of the bowl, or on top."""
    if step.grams is not None:
        return step.grams
    portion = next((portion for portion in plan.portions if step.id == f"take:{portion.tone}"), None)
    return portion.take_g if portion is not None and not portion.rest else None

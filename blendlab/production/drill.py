"""A recall tried out on one lot: planned use, waste and what is weighed on the shelf against what came."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.facts.read import figure
from blendlab.store import BatchLog, Book, LotLine, Refused
from blendlab.store.book_care_entries import Drill
from blendlab.units import plain


@dataclass(frozen=True)
class Balance:
    """What the book says of a lot before it is weighed: grams that came, that batches planned, wasted."""

    lot: LotLine
    planned_g: float
    lost_g: float
    batches: int
    unread: tuple[str, ...] = ()


def balance(book: Book, number: int) -> Balance:
    """What the book says of a lot: what each standing line drew, put back to what it was planned with."""
    line, told, planned = store.lot(book, number), list(store.unread_lots(book, [number])), 0.0
    drawn, lost = store.draws(book, number)
    logs: dict[str, BatchLog] = {}
    for (code, what), grams in drawn.items():
        try:
            log = logs.setdefault(code, logs.get(code) or store.batch_log(book, code))
        except BlendlabError as problem:
            told.append(f"Batch {code}: {problem}")
            continue
        planned += grams * log.asked[what] / log.weighed[what] if what else grams
    told += [f"Batch {code}: {sentence}" for code, log in logs.items() for sentence in log.unread]
    return Balance(line, round(planned, 4), lost, len(logs), tuple(told))


def judge(found: Balance, counted_g: float, on: date, minutes: float | None = None) -> Drill:
    """A drill with its result: how far planned use, waste and the counted rest are off what came [%].

    Raises Refused for a lot that nothing came of.
    """
    came = found.lot.came_g
    if came <= 0:
        raise Refused(f"Nothing came of lot {found.lot.lot.code}: choose one that was received or cooked.")
    off = round(100 * (found.planned_g + found.lost_g + counted_g - came) / came, 2)
    return Drill(
        on=on, lot=found.lot.number, came_g=came, planned_g=found.planned_g, lost_g=found.lost_g,
        counted_g=counted_g, off_pct=off, minutes=minutes,
    )  # fmt: skip


def keep(book: Book, number: int, counted_g: float, on: date, minutes: float | None = None) -> Drill:
    """Try a recall out on a lot that was just weighed, and write the result down."""
    drill = judge(balance(book, number), counted_g, on, minutes)
    store.keep_drill(book, drill)
    return drill


def verdict(drill: Drill) -> str:
    """How a drill came out, in a sentence."""
    most = figure("batch", "drill_off").value
    sums = (
        f"{plain(drill.planned_g, 1)} g planned, {plain(drill.lost_g, 1)} g wasted and "
        f"{plain(drill.counted_g, 1)} g on the shelf of {plain(drill.came_g, 1)} g that came"
    )
    if abs(drill.off_pct) <= most:
        return f"{sums}: {drill.off_pct:+g} %, within {most:g} %."
    return (
        f"{sums}: {drill.off_pct:+g} %, more than {most:g} % off. "
        "Look for weighings or waste nobody wrote down."
    )


def due_on(book: Book) -> date | None:
    """Day the next drill is due; None while there was none."""
    done = store.drills(book)
    return done[0][1].on + timedelta(days=int(figure("batch", "drill_days").value)) if done else None

"""The sheet of a batch as it stands: after what was made bigger or smaller, asked anew, taken on top."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import count, takewhile
from math import inf
from typing import TYPE_CHECKING

from blendlab.batch.further import further_id, with_further
from blendlab.batch.kitchen import asked_anew, enlarged
from blendlab.batch.sheet import Plan, Portion

if TYPE_CHECKING:
    from blendlab.store.book_batches import BatchPage, Entry


def sized(page: BatchPage) -> Plan:
    """The plan with every time that the rest of the batch was made bigger or smaller."""
    return enlarged(page.plan, [_resized_pct(entry) for entry in page.of("deviation")])


def now(page: BatchPage) -> Plan:
    """What every line and tone asks for in all: the plan of this size, lines the bowl asked for anew."""
    asks: dict[str, float] = {}
    for entry in page.of("deviation"):
        pct = _resized_pct(entry)
        asks = {
            line: grams * (1 + pct / 100)
            for line, grams in asks.items()
            if page.plan.line(line).cup != entry.subject and (grams or not pct)
        }
        if entry.data.get("asks_g") is not None:
            asks[entry.subject] = entry.data["asks_g"]
    return asked_anew(_with_further(page, sized(page)), asks)


def told(page: BatchPage, entry: Entry) -> Plan:
    """The plan as it stood when an entry was first written: what the kitchen said then."""
    return _with_further(page, _sized_then(page, entry), entry.first)


def _sized_then(page: BatchPage, entry: Entry) -> Plan:
    """The plan of the size that the batch had when an entry was first written."""
    before = (each for each in page.entries if each.number < entry.first)
    known = tuple(each for each in before if each.kind == "deviation")
    gone = {each.corrects for each in known}
    stood = (each for each in known if each.number not in gone and not each.data.get("withdrawn"))
    return enlarged(page.plan, [_resized_pct(each) for each in stood])


def _resized_pct(entry: Entry) -> float:
    """By how many percent a deviation made the rest of the batch bigger; less than 0 is smaller."""
    return float(entry.data.get("enlarge_pct", 0.0)) - float(entry.data.get("shrink_pct", 0.0))


def _with_further(page: BatchPage, plan: Plan, before: float = inf) -> Plan:
    """The plan with what tones get on top that were taken before it was made bigger.

    before  number of a line of the book: what was ticked later does not count
    """
    if not any(map(_resized_pct, page.of("deviation"))):
        return plan
    done = {entry.subject: entry for entry in page.of("tick") if entry.first < before}
    return with_further(plan, _ticks(page, "take", done), _ticks(page, "fold", done))


def _ticks(page: BatchPage, kind: str, done: Mapping[str, Entry]) -> dict[str, list[Portion]]:
    """Tone -> its portion as the kitchen told it at each tick of a step of that kind."""
    found: dict[str, list[Portion]] = {}
    for tone in (portion.tone for portion in page.plan.portions):
        ids = (further_id(kind, times, tone) for times in count())
        for step in takewhile(done.__contains__, ids):
            then = _sized_then(page, done[step]).portions
            found.setdefault(tone, []).extend(portion for portion in then if portion.tone == tone)
    return found

"""The sheet of a batch as it stands: bigger or smaller, shared as the bowl came out, asked anew."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import count, takewhile
from math import inf
from typing import TYPE_CHECKING

from blendlab.batch.further import further_id, with_further
from blendlab.batch.resize import asked_anew, enlarged, followed
from blendlab.batch.sheet import Plan, Portion

if TYPE_CHECKING:
    from blendlab.store.book_batches import BatchPage, Entry


def sized(page: BatchPage) -> Plan:
    """The plan with every time that the rest of the batch was made bigger or smaller."""
    return enlarged(page.plan, [_resized_pct(entry) for entry in page.of("deviation")])


def shared(page: BatchPage) -> Plan:
    """The plan of this size, its tones as they were told to share the real bowl."""
    return _shared(page, page.of("deviation"), _taken(page))


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
    return asked_anew(_with_further(page, shared(page)), asks)


def told(page: BatchPage, entry: Entry) -> Plan:
    """The plan as it stood when an entry was first written: what the kitchen said then."""
    return _with_further(page, _shared_then(page, entry), entry.first)


def _shared_then(page: BatchPage, entry: Entry, taken: Mapping[str, float] | None = None) -> Plan:
    """The plan as `shared` when an entry was first written."""
    before = (each for each in page.entries if each.number < entry.first)
    known = tuple(each for each in before if each.kind == "deviation")
    gone = {each.corrects for each in known}
    stood = [each for each in known if each.number not in gone and not each.data.get("withdrawn")]
    return _shared(page, stood, _taken(page, entry.first) if taken is None else taken)


def _shared(page: BatchPage, deviations: Iterable[Entry], taken: Mapping[str, float]) -> Plan:
    """The plan after some deviations; taken: tone -> grams that were taken of the bowl by then."""
    said = list(deviations)
    whole = enlarged(page.plan, [_resized_pct(entry) for entry in said])
    bowl_g: float | None = None
    pigments: dict[str, float] = {}
    for entry in said:
        factor = 1 + _resized_pct(entry) / 100
        bowl_g = entry.data.get("bowl_g", None if bowl_g is None else bowl_g * factor)
        pigments = {tone: grams * factor for tone, grams in pigments.items()}
        if entry.data.get("pigment_g") is not None:
            pigments[page.plan.line(entry.subject).tone] = entry.data["pigment_g"]
    if bowl_g is None and not pigments:
        return whole
    planned_g = sum(portion.take_g for portion in whole.portions)
    return followed(whole, planned_g if bowl_g is None else bowl_g, pigments, taken)


def _taken(page: BatchPage, before: float = inf) -> dict[str, float]:
    """Tone -> grams that were told to be taken of the bowl before it was made bigger or smaller.

    before  number of a line of the book: what was ticked later does not count
    """
    taken: dict[str, float] = {}
    if any(map(_resized_pct, page.of("deviation"))):
        for entry in page.of("tick"):
            kind, _, tone = entry.subject.partition(":")
            if kind.partition("-")[0] == "take" and entry.first < before:
                told = {each.tone: each.take_g for each in _shared_then(page, entry, taken).portions}
                taken = taken | {tone: told[tone]}
    return taken


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
            then = _shared_then(page, done[step]).portions
            found.setdefault(tone, []).extend(portion for portion in then if portion.tone == tone)
    return found

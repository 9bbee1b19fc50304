"""The decision about a batch and what follows from it: released, or kept as test jars."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from datetime import date
from statistics import fmean

from blendlab import batch, store
from blendlab.assess import Assessment
from blendlab.batch import Evidence, Plan
from blendlab.batch.kitchen import PRACTICE
from blendlab.errors import BlendlabError, Finding, counted
from blendlab.production import (
    assessments,
    durability,
    judgement,
    lot_formula,
    made_advice,
    outcome,
    plausible,
)
from blendlab.production.made_design import in_the_product
from blendlab.shelf import Shelf
from blendlab.store import BatchPage, Book, Refused
from blendlab.store.book_entries import FOAM

NARROWER_BOUGHT = (
    "Ask its supplier for percents; enter them on Lots with the delivery of {name}, or correct its lot there."
)
NARROWER_COOKED = (
    "Ask the suppliers of its raw materials; enter the percents on Shelf, in Components of each raw material."
)
"""Where narrower figures of a base are entered."""


class NotReleased(Refused):
    """A batch that may not be sold yet; `points` say why."""

    def __init__(self, code: str, points: Iterable[Finding]) -> None:
        self.points = tuple(points)
        said = " ".join(point.text for point in self.points)
        super().__init__(f"{code} is not released: {said}")


class NotRead(Refused):
    """A batch with cautions that she has not said to have read; `cautions` are their sentences."""

    def __init__(self, cautions: Iterable[str]) -> None:
        self.cautions = tuple(cautions)
        several = len(self.cautions) > 1
        told = (
            f"{counted(len(self.cautions), 'caution')} {'are' if several else 'is'} to be read before release"
        )
        super().__init__(f"{told}: tick that you have read {'them' if several else 'it'}.")


def evidence(page: BatchPage) -> Evidence:
    """What the book holds of a batch before it is released."""
    standing = [weighing for weighing in page.weighings if weighing.stands]
    nameless = {weighing.line for weighing in standing if weighing.lot is None}
    caused = {entry.subject for entry in page.of("deviation") if entry.data.get("cause")}
    corrected = {each.line for each in standing if each.corrects is not None and each.note.strip()}
    density, acidity = page.densities(FOAM), page.of("ph")
    gates = {step.id for step in page.plan.steps if step.kind == "gate"}
    return Evidence(
        weighed=in_the_product(page),
        lots=frozenset(weighing.line for weighing in standing) - nameless,
        explained=frozenset(caused | corrected),
        ticked=page.ticked,
        pH=float(acidity[-1].data["pH"]) if acidity else None,
        density_g_ml=density[-1] if density else None,
        filled=len(page.filled_g),
        celsius={tick.subject: tick.data.get("celsius") for tick in page.of("tick") if tick.subject in gates},
        cups=density,
    )


def open_points(page: BatchPage, plan: Plan | None = None) -> tuple[Finding, ...]:
    """What of the record keeps a batch from being released; a line that cannot be read is one of them.

    plan  what the record is held against; None = the sheet as it was begun
    """
    unread = tuple(
        Finding(
            "stop",
            "release-unread",
            f"book.release.unread.{position}",
            f"The record is not whole. {sentence}",
            "Do not sell this batch: what that line said is not known.",
            PRACTICE,
        )
        for position, sentence in enumerate(page.unread)
    )
    return (*batch.open_points(plan or page.now, evidence(page)), *unread, *_room_points(page))


def unweighed(page: BatchPage) -> tuple[Finding, ...]:
    """The stop of a batch of which not every line is weighed: what its jars hold and how long is open."""
    return tuple(point for point in open_points(page) if point.id == batch.UNWEIGHED)


def _room_points(page: BatchPage) -> Iterator[Finding]:
    """Caution for jars that hold more grams than the weighed foam has room for: one figure is not right."""
    mean = fmean(page.filled_g) if page.filled_g else 0.0
    for doubt in plausible.of_volume(page, mean):
        text = f"Filled jars and foam do not agree. Mean of the jars: {doubt}"
        fix = "Weigh a jar again, less its glass; the net weight of the label rests on the jars."
        yield Finding("caution", "release-room", "book.release.room", text, fix, PRACTICE)


def sale_points(book: Book, page: BatchPage, shelf: Shelf, on: date) -> tuple[Finding, ...]:
    """What is told of a batch as it was made, by its weighings, its lots and its assessment.

    The stops bar the sale; the cautions are read before it is decided.
    """
    try:
        judged = judgement.as_made(book, page, shelf, on)
    except BlendlabError as problem:
        return (Finding("stop", "design-unreadable", "book.design", str(problem)),)
    cautions = (finding for finding in judged.findings if finding.level == "caution")
    assessed = made_advice.of_jars(assessments.assessed_by(judged, assessments.families(book)))
    return (*judgement.stops(page, judged), *assessed, *cautions, *_label_order(book, page, judged))


def _label_order(book: Book, page: BatchPage, judged: Assessment) -> Iterator[Finding]:
    """Cautions for an ingredient list whose order nobody knows: the batch can be sold, its label not printed.

    They are the same for every market that the design names.
    """
    resolved, made = judged.resolved, judged.plan
    if resolved is None or made is None or not made.lines:
        return
    base = resolved.base
    resolved, order = lot_formula.as_taken(book, page, resolved)
    listed = batch.ingredients(resolved, made, resolved.design.markets[0], in_order=order)
    fix = NARROWER_COOKED if base.lines else NARROWER_BOUGHT
    for finding in listed.findings:
        if finding.id in batch.ORDER_UNKNOWN:
            text = f"The label of this batch cannot be printed. {finding.text}"
            yield replace(finding, level="caution", text=text, fix=fix.format(name=base.name))


def called_back(page: BatchPage) -> tuple[Finding, ...]:
    """The stop of a batch whose release was called back and that was not decided anew."""
    if page.decision != store.CALLED_BACK:
        return ()
    said = page.of("release")[-1].data
    text = f"Called back on {said['on']}. {said.get('why', '')}".strip()
    fix = "Correct what is wrong, then decide anew; the recall list names what is sold."
    heats = tuple(said.get("heats", ()))
    return (Finding("stop", "called-back", "book.release", text, fix, PRACTICE, heats=heats),)


def standing(book: Book, page: BatchPage, shelf: Shelf) -> tuple[Finding, ...]:
    """Stops and cautions of a released batch as its record stands now, as of the day of its release.

    What ended since was good when it was decided. () for a batch that is not released.
    """
    if page.decision != store.FOR_SALE:
        return ()
    decided = date.fromisoformat(page.of("release")[-1].data["on"])
    return tuple(point for point in points(book, page, shelf, decided) if point.level != "note")


def read_before(page: BatchPage) -> frozenset[str]:
    """Sentences of the cautions that were read before a batch was released."""
    decisions = page.of("release")
    return frozenset(decisions[-1].data.get("read", ())) if decisions else frozenset()


def points(book: Book, page: BatchPage, shelf: Shelf, on: date) -> tuple[Finding, ...]:
    """Everything to be read before a batch is released; with a stop among it, it cannot be."""
    sheet = replace(page.now, acidity=judgement.acidity(book, page, shelf))
    told = (*open_points(page, sheet), *sale_points(book, page, shelf, on))
    return (*told, *durability.stops(book, page, on), *outcome.outcome(page).findings)


def cautions(told: Iterable[Finding]) -> tuple[str, ...]:
    """Sentences of the points that do not bar a release and are to be read before it."""
    return sentences(told, "caution")[0]


def sentences(told: Iterable[Finding], level: str) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """Sentences of the points of a level, each once, and the temperatures [C] they name in their order."""
    found = {point.text: point.heats for point in told if point.level == level}
    return tuple(found), tuple(heat for heats in found.values() for heat in heats)


def release(book: Book, code: str, shelf: Shelf, on: date, read: Collection[str] = ()) -> None:
    """Release a batch for sale.

    read  sentences of the cautions that she says she has read; they are kept with the decision

    Raises NotReleased with what stands open, NotRead for cautions that she has not read, AlreadyWritten
    when it was decided before, Refused for a cooked base.
    """
    page = store.batch(book, code)
    told = points(book, page, shelf, on) if page.line.kind == "jars" else ()
    if page.decision in ("", store.CALLED_BACK):
        stops = [point for point in told if point.level == "stop"]
        if stops:
            raise NotReleased(code, stops)
        unread = [caution for caution in cautions(told) if caution not in read]
        if unread:
            raise NotRead(unread)
    book.decide(code, store.FOR_SALE, on, *sentences(told, "caution"))


def keep_as_test_jars(book: Book, code: str, on: date) -> None:
    """Decide that a batch is never sold. Raises AlreadyWritten, Refused for a cooked base."""
    book.decide(code, store.TEST_JARS, on)

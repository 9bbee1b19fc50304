"""Lines of a batch that were written down wrong: a new line beside each; what was released is judged anew.

A correction and the call-back that follows from it are one transaction: never the one without the other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from blendlab import renew, store
from blendlab.errors import UnknownName
from blendlab.production import base_lots, batches, held_lots, kitchen_acts, pieces, pot, release, sales
from blendlab.shelf import Shelf
from blendlab.store import BatchPage, Book, BookEntry, Refused, at_once
from blendlab.store.book_corrections import OWN_RULES, say_why


@dataclass(frozen=True)
class Figure:
    """The figure of an entry that can be set right: its key, unit, least and most."""

    key: str
    unit: str
    low: float
    high: float
    whole: bool = False


FIGURES = {
    "tick": (Figure("celsius", "", -60, 500),),
    "temperature": (Figure("celsius", "", -60, 500),),
    "pot": (Figure("pot_g", "g", 1, 1_000_000), Figure("water_g", "g", 0, 1_000_000)),
    "density": (Figure("g_ml", "g/ml", 0.01, 25),),
    "ph": (Figure("pH", "", 0, 14),),
    "fill": (Figure("net_g", "g", 0.001, 100_000),),
    "filled": (Figure("jars", "", 0, 1_000_000, whole=True),),
    "yield": (Figure("retained_g", "g", 0, 1e7), Figure("left_g", "g", 0, 1e7)),
    "sale": (Figure("jars", "", 1, 1_000_000, whole=True),),
    "kept": (Figure("jars", "", 1, 1_000_000, whole=True),),
}
"""Kind of entry -> its figures; an entry may say some of them only, see `figures_of`."""
FILLED = frozenset({"fill", "filled"})
"""Kinds of entries that say how many jars were filled."""


def figures_of(entry: BookEntry) -> tuple[Figure, ...]:
    """The figures of an entry that can be set right; of none it can be taken back only."""
    return tuple(figure for figure in FIGURES.get(entry.kind, ()) if entry.data.get(figure.key) is not None)


def correctable(page: BatchPage) -> tuple[BookEntry, ...]:
    """Entries of a batch that stand and can be set right or taken back, newest first.

    What the kitchen reckoned itself of what was weighed is none: it stays what it told.
    """
    closed = OWN_RULES - {"sale", "release"}
    standing = (entry for entry in page.entries if entry.stands and entry.kind not in closed)
    standing = (entry for entry in standing if not {"bowl_g", "pigment_g"} & entry.data.keys())
    known = (entry for entry in standing if entry.subject != store.CALLED_BACK or entry.kind != "release")
    return tuple(sorted(known, key=lambda entry: -entry.number))


@at_once
def correct_weighing(
    book: Book,
    code: str,
    number: int,
    grams: float,
    why: str,
    lot: int | None = None,
    *,
    shelf: Shelf,
    on: date,
) -> tuple[str, ...]:
    """Add a corrected weighing; the lot gives what the grams hold of the pure thing.

    lot  another lot than before; None = the same

    Returns the codes of the batches that were called back by it. Raises Refused without a reason, for a
    lot of another thing and for a line that was thrown away; AlreadyWritten for a line that was corrected;
    Short; UnknownName for a number that is not of this batch.
    """
    page = store.batch(book, code)
    weighing = next((found for found in page.weighings if found.number == number), None)
    if weighing is None:
        raise UnknownName(
            "weighing of this batch", str(number), [str(found.number) for found in page.weighings]
        )
    line = page.now.line(weighing.line)
    if lot is not None and store.lot(book, lot).item != line.item:
        raise Refused(f"That lot is not one of {line.name}.")
    book.correct_weighing(number, grams, why, lot, draw_g=grams * line.stock_pct / 100)
    return _judged(book, page, why, shelf, on)


@at_once
def correct_entry(
    book: Book, code: str, number: int, said: Mapping[str, Any], why: str, *, shelf: Shelf, on: date
) -> tuple[str, ...]:
    """Add a corrected entry: a temperature, pH, cup, jar, pot with its water, yield, sale ...

    said  what is really so, by its keys

    Returns the codes of the batches that were called back by it. Raises Refused without a reason, for a
    decision, for fewer jars than are sold, for a lot that cannot be taken; Short for one that holds less;
    AlreadyWritten for a line that was corrected; BadDocument for a figure that is none.
    """
    page = store.batch(book, code)
    entry = _entry(page, number)
    say_why(why)
    if entry.kind == "sale":
        sales.correct(book, page, entry, said, why)
        return ()
    if entry.kind == "density":
        said = {**said, "cup_ml": None, "cup_g": None}
    if entry.kind == "pot":
        said = pot.corrected(book, page, entry, said)
    _write(book, page, entry, said, why)
    return _judged(book, page, why, shelf, on)


@at_once
def take_back(book: Book, code: str, number: int, why: str, *, shelf: Shelf, on: date) -> tuple[str, ...]:
    """Take an entry back that should never have been written: nothing of it counts.

    A decision that is taken back is called back: the batch is decided anew. A pot that is taken back is
    asked for again.

    Returns the codes of the batches that were called back by it. Raises as `correct_entry`, Refused too for
    the pot of a base that is in stock: it weighs what the pot says.
    """
    say_why(why)
    page = store.batch(book, code)
    entry = _entry(page, number)
    if entry.kind == "sale":
        sales.correct(book, page, entry, {"jars": 0}, why)
        return ()
    if entry.kind == "release":
        return (code,) if store.call_back(book, code, why.strip(), max(on, page.line.made_on)) else ()
    if entry.kind == "pot":
        _weigh_again(book, page, entry, why)
    _write(book, page, entry, {}, why, withdrawn=True)
    return _judged(book, page, why, shelf, on)


@at_once
def measured_later(
    book: Book, code: str, measured: Mapping[str, float | None], why: str, *, shelf: Shelf, on: date
) -> tuple[str, ...]:
    """Write down what was measured of a batch after its kitchen was left, and judge it by that.

    measured  pH, foam_g_ml, jar_g; None = not measured

    Returns the codes of the batches that were called back by it. Raises as `kitchen_acts.measured_later`.
    """
    before = store.batch(book, code)
    kitchen_acts.measured_later(book, code, **measured, why=why)
    return _judged(book, before, why, shelf, on)


@at_once
def judge_by_shelf(book: Book, code: str, why: str, *, shelf: Shelf, on: date) -> bool:
    """Judge a batch by a shelf as it is now, and no longer by what it was begun with.

    Returns whether a release was called back by it. Raises Refused without a reason, BadDocument where
    what it took cannot be read.
    """
    page = store.batch(book, code)
    design, then = batches.begun_with(book, page, shelf)
    now = shelf.carrying(then.embedded)
    store.take_anew(book, code, batches.to_take(renew.renewed(design, now), now), why)
    return judge_anew(book, code, shelf, on)


@at_once
def take_assessment_back(book: Book, number: int, why: str, *, shelf: Shelf, on: date) -> tuple[str, ...]:
    """Take an assessment back that was written down wrong; every released batch is judged without it.

    Returns the codes of those that were called back. Raises as `store.withdraw`.
    """
    store.withdraw(book, number, why)
    return tuple(code for code in store.for_sale(book) if judge_anew(book, code, shelf, on))


@at_once
def _write(
    book: Book, page: BatchPage, entry: BookEntry, said: Mapping[str, Any], why: str, withdrawn: bool = False
) -> None:
    """Write a corrected line of whatever kind, unless by it fewer jars than none would be left."""
    code = page.line.code
    store.correct_entry(book, code, entry.number, said, why, withdrawn=withdrawn)
    after = sales.jars(store.batch(book, code)).left
    if after < min(0, sales.jars(page).left):
        raise Refused("More jars would be sold or put aside than there are: correct that first.")
    if entry.kind == "pot":
        now = {} if withdrawn else {**entry.data, **said}
        store.draw_anew(book, code, pot.drawn(entry.data), pot.drawn(now), why.strip())
    if entry.kind in FILLED:
        pieces.draw(book, store.batch(book, code), why)


def _weigh_again(book: Book, page: BatchPage, entry: BookEntry, why: str) -> None:
    """Open the step at which a pot was weighed."""
    made = base_lots.became(book, page.line.code)
    if made is not None and entry.stands:
        raise Refused(f"Lot {made.lot.code} was made of it: set what the pot says right instead.")
    step = pot.STEPS.get(entry.subject)
    for tick in (each for each in page.of("tick") if each.subject == step):
        store.correct_entry(book, page.line.code, tick.number, {}, why, withdrawn=True)


def _entry(page: BatchPage, number: int) -> BookEntry:
    found = next((entry for entry in page.entries if entry.number == number), None)
    if found is None:
        raise UnknownName("entry of this batch", str(number), [str(entry.number) for entry in page.entries])
    return found


def _judged(book: Book, before: BatchPage, why: str, shelf: Shelf, on: date) -> tuple[str, ...]:
    """Judge what was made of a batch after a correction: itself, or all that took of the lot it became.

    before  the batch as it stood

    Returns the codes of those that were called back.
    """
    code = before.line.code
    if before.line.kind != "base":
        return (code,) if judge_anew(book, code, shelf, on) else ()
    number = base_lots.told_anew(book, before, why)
    return () if number is None else judge_lot(book, number, shelf, on)


class Brought(NamedTuple):
    """What setting something right brings.

    called_back  codes of the batches that it calls back
    new          code of each batch that stays released -> sentences of cautions that are new of it
    """

    called_back: tuple[str, ...]
    new: Mapping[str, tuple[str, ...]]


def judged_with(book: Book, code: str) -> tuple[str, ...]:
    """Codes of the batches of jars that are judged anew where a batch is set right: as `correct_entry`."""
    if store.batch(book, code).line.kind != "base":
        return (code,)
    lot = base_lots.became(book, code)
    return held_lots.went_into(book, lot.number) if lot is not None else ()


def brought(book: Book, codes: Sequence[str], shelf: Shelf, act: Callable[[], tuple[str, ...]]) -> Brought:
    """Do an act that sets something right, and say what it brings.

    codes  batches that are judged anew by it; act  gives the codes of those that it calls back
    """
    before = {code: _cautions(book, code, shelf) for code in codes}
    called_back = act()
    after = ((code, _cautions(book, code, shelf)) for code in codes)
    new = {code: tuple(said for said in told if said not in before[code]) for code, told in after}
    return Brought(called_back, {code: told for code, told in new.items() if told})


def _cautions(book: Book, code: str, shelf: Shelf) -> tuple[str, ...]:
    """Cautions that stand of a batch while it is released."""
    return release.cautions(release.standing(book, store.batch(book, code), shelf))


@at_once
def lot_set_right(book: Book, number: int, act: Callable[[], bool], *, shelf: Shelf, on: date) -> Brought:
    """Do an act that writes something of a lot, and judge what was made of it.

    act  says whether it wrote anything

    Raises UnknownName for a lot that cannot be read.
    """
    codes = held_lots.went_into(book, number)
    return brought(book, codes, shelf, lambda: judge_lot(book, number, shelf, on) if act() else ())


def judge_anew(book: Book, code: str, shelf: Shelf, on: date) -> bool:
    """Judge a released batch on its figures as they stand now; call it back where a stop is found.

    Returns whether it was called back.
    """
    page = store.batch(book, code)
    stops, heats = release.sentences(release.standing(book, page, shelf), "stop")
    if not stops:
        return False
    return store.call_back(book, code, " ".join(stops), max(on, page.line.made_on), heats) is not None


def judge_lot(book: Book, number: int, shelf: Shelf, on: date) -> tuple[str, ...]:
    """Judge every released batch that took of a lot, or of a base cooked with it, on what is known now.

    Returns the codes of those that were called back. Raises UnknownName for a lot that cannot be read.
    """
    return tuple(code for code in held_lots.went_into(book, number) if judge_anew(book, code, shelf, on))

"""Lots of the book for a batch: which to take, how they share a line, what may not be taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from blendlab import store
from blendlab.batch import Line
from blendlab.errors import Finding
from blendlab.store import Book, LotLine, Refused
from blendlab.units import plain

BOOK = "your book"
MIXED = " + "
"""Between the codes of lots that one line is taken of."""
Chosen = Mapping[str, Sequence[int]]
""" "kind:id" -> numbers of the lots she chose for it, in their order."""
Parts = tuple[tuple[LotLine, float], ...]
"""Lots with the grams that are taken of each, in their order."""


@dataclass(frozen=True)
class InStock:
    """The lots of the book on a day.

    lines  all of them, the first to end first
    taken  "kind:id" -> lots that are taken of it, in their order
    """

    on: date
    lines: tuple[LotLine, ...]
    taken: Mapping[str, tuple[LotLine, ...]]

    @property
    def left(self) -> Mapping[str, float]:
        """Grams that may be taken of everything that was ever received: "kind:id" -> grams."""
        return store.stock_of(self.lines, self.on)


def in_stock(book: Book, chosen: Chosen, on: date) -> InStock:
    """Lots on a day, with those to take of each thing: those she chose that hold something, else the
    first to end.

    What ended is taken only by her choice; what is held back or cannot be read wholly, not even then.
    """
    lines = store.lots(book)
    full = {line.number: line for line in lines if line.left_g > 0 and _free(line)}
    hers = {item: tuple(full[each] for each in numbers if each in full) for item, numbers in chosen.items()}
    first = {item: (line,) for item, line in store.next_of(lines, on).items()}
    return InStock(on, lines, {**first, **{item: found for item, found in hers.items() if found}})


def _free(line: LotLine) -> bool:
    return not (line.held or line.unread)


def to_choose(book: Book, item: str, on: date) -> tuple[LotLine, ...]:
    """Lots of a thing that she may take: those that may be taken unasked first, then those that ended."""
    holding = [line for line in store.lots(book, item) if line.left_g > 0 and _free(line)]
    return tuple(sorted(holding, key=lambda line: line.ended(on)))


def lot_label(line: LotLine, on: date | None = None) -> str:
    """A lot to choose: its code and until when; not what is left, which changes while she chooses."""
    ended = on is not None and line.ended(on)
    return line.lot.code + (f", {'ended' if ended else 'until'} {line.ends}" if line.ends else "")


def codes(lines: Iterable[LotLine]) -> str:
    """The codes of the lots of one line."""
    return MIXED.join(line.lot.code for line in lines)


def lot_words(line: LotLine, on: date | None = None) -> str:
    """A lot in a list: code, what is left, until when, and why it is not taken unasked on a day."""
    ended = on is not None and line.ended(on)
    until = f", {'ended' if ended else 'until'} {line.ends}" if line.ends else ""
    held = f", held back: {line.held}" if line.held else ""
    return f"{line.lot.code}, {plain(line.left_g, 2)} {store.unit_of(line.item)} left{until}{held}"


def lot_findings(lots: Mapping[str, Sequence[LotLine]], on: date) -> tuple[Finding, ...]:
    """Stops for lots that ended or are held back; the end of a base is judged with the base."""
    found = []
    for item, lines in lots.items():
        for line in lines:
            name = f"Lot {line.lot.code} of {line.lot.name or line.lot.of.id}"
            if line.ended(on) and line.lot.of.kind != "base":
                text = f"{name} ended on {line.lot.expiry}."
                found.append(_stop("ended", item, line, text, "Take a fresh lot."))
            if line.held:
                text = f"{name} is held back: {line.held}."
                found.append(_stop("held", item, line, text, "Free it when it is cleared, or take another."))
    return tuple(found)


def _stop(why: str, item: str, line: LotLine, text: str, fix: str) -> Finding:
    return Finding("stop", f"lot-{why}-{line.number}", f"batch.lots.{item}", text, fix, BOOK)


def shared(lines: Sequence[LotLine], grams: float) -> Parts:
    """How a mass is drawn from lots: the first is emptied before the next is opened."""
    rest, found = grams, []
    for line in lines:
        taken = min(rest, line.left_g)
        if taken > 0:
            found.append((line, round(taken, 6)))
            rest = round(rest - taken, 6)
    return tuple(found)


def takes(book: Book, line: Line, grams: float, lots: Sequence[int]) -> list[tuple[int | None, float, float]]:
    """Lots that a weighing is drawn from: those she named, in their order, and no others.

    Gives lot, grams weighed, grams of the pure thing that leave the lot; without a name, no lot. What is
    more than they hold is asked of the first, and the book refuses it.

    Raises Refused for a lot that is held back, cannot be read or is of another thing.
    """
    share = line.stock_pct / 100
    if not lots:
        return [(None, grams, grams * share)]
    known = {other.number: other for other in store.lots(book, line.item)}
    for number in lots:
        if number not in known:
            raise Refused(f"That lot is not one of {line.name}.")
        if not _free(known[number]):
            why = known[number].held or "a line about it cannot be read"
            raise Refused(f"Lot {known[number].lot.code} is held back: {why}.")
    found = shared([known[number] for number in lots], grams * share)
    if len(lots) == 1 or round(sum(taken for _, taken in found) - grams * share, 6) < 0:
        return [(lots[0], grams, grams * share)]
    return [(each.number, round(taken / share, 6), taken) for each, taken in found]


def planned(book: Book, line: Line, on: date) -> tuple[int, ...]:
    """Lots of a line as the sheet names them; else the first to end. One that ended only she may choose."""
    there = [other for other in to_choose(book, line.item, on) if not other.ended(on)]
    wanted = (line.lot,) if any(other.lot.code == line.lot for other in there) else line.lot.split(MIXED)
    named = [other.number for code in wanted for other in there if other.lot.code == code]
    return tuple(named) or tuple(other.number for other in there)[:1]


def to_mix_in(book: Book, line: Line, lot: int | None, on: date) -> LotLine | None:
    """The lot that would fill up what the chosen one does not hold of a line; None where nothing is short."""
    there = to_choose(book, line.item, on)
    chosen = next((other for other in there if other.number == lot), None)
    if chosen is None or chosen.left_g >= line.pure_g:
        return None
    return next((other for other in there if other is not chosen and not other.ended(on)), None)


def lots_in_words(book: Book, line: Line, lots: Sequence[int]) -> str:
    """How a line is shared among lots when the first does not hold it all, or that it cannot be."""
    known = {other.number: other for other in store.lots(book, line.item)}
    chosen = [known[number] for number in lots if number in known]
    found = shared(chosen, line.pure_g)
    if not chosen or chosen[0].left_g >= line.pure_g:
        return ""
    short = line.pure_g - sum(taken for _, taken in found)
    if short > 0:
        return f"{codes(chosen)}: {plain(short, 2)} g less than {line.name} asks for. Mix a lot in or count."
    each = (f"{plain(taken, 2)} g from {other.lot.code}" for other, taken in found)
    return f"One lot does not hold it all: {', then '.join(each)}."

"""Recall: from a batch, a lot or a thing to the jars and who has them, on paper and as rows."""

from __future__ import annotations

from collections.abc import Collection, Container, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

from blendlab import printing, store
from blendlab.errors import BlendlabError, counted
from blendlab.production import lots_drawn, pot, sales
from blendlab.store import BatchLine, Book, LotLine, Reach, SaleLine
from blendlab.tables import csv_of
from blendlab.units import plain

WIDTHS = (0.22, 0.3, 0.2, 0.28)
HEADS = (
    "Batch", "Name", "Made on", "Took of the lot, {unit}", "Which is", "Order", "Channel", "To", "Sold on",
    "Jars sold", "Jars back", "Jars out",
)  # fmt: skip
MOST = "at most"
NAMELESS = "no lot named, in it, in its base or in a dilution"


@dataclass(frozen=True)
class CalledBatch:
    """A batch that is called back: grams (or pieces) of the lot in question, its sales, jars not sold.

    grams  through a cooked lot its share of what was cooked; None where the whole batch is meant, or where
           nobody wrote down which lot it took
    most   whether it is at most that: what the cooked lot weighed before it left its pot is not known
    left   jars there by the book; None where its sheet cannot be read
    kept   jars that were put aside for tests; None where that is not known
    """

    line: BatchLine
    grams: float | None
    weighed: int
    sales: tuple[SaleLine, ...]
    left: int | None
    most: bool = False
    kept: int | None = 0

    @property
    def out(self) -> int:
        """Jars that somebody has."""
        return sum(sale.out for sale in self.sales)


@dataclass(frozen=True)
class Recall:
    """What is called back.

    of       what it is about, in words
    lots     with the grams that are meant: what of them is in the batch, else received
    batches  jars
    unnamed  codes of batches that may belong here: they weighed the thing, or filled it up as water, and
             named no lot, or weighed a dilution in it, or took of a base that did
    unread   sentences about what of the chain cannot be read
    unseen   sentences about what of it nobody wrote down: the lots of carriers of dilutions
    most     numbers of lots of which at most those grams are meant
    """

    of: str
    lots: tuple[tuple[LotLine, float], ...]
    batches: tuple[CalledBatch, ...]
    unnamed: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    most: frozenset[int] = frozenset()
    unseen: tuple[str, ...] = ()

    @property
    def out(self) -> int:
        """Jars that somebody has."""
        return sum(batch.out for batch in self.batches)

    @property
    def unit(self) -> str:
        """What the lot in question is counted in."""
        return store.unit_of(self.lots[0][0].item) if self.lots else "g"


def of_batch(book: Book, code: str) -> Recall:
    """Everything of one batch: its lots with suppliers, through cooked lots, its jars, who has them.

    Of a cooked base the jars that were made of its lot.
    """
    origin, log = store.backward(book, code), store.batch_log(book, code)
    told = dict.fromkeys((*log.unread, *_unread(origin)))
    behind = tuple(_lots(book, origin))
    most = frozenset(lot.number for lot, _, most in behind if most)
    own = tuple((lot, grams) for lot, grams, _ in behind)
    if log.line.kind != "base":
        batch = _called(book, log.line, None)
        return Recall(code, own, (batch,), (), tuple(told), most, _carriers(book, code))
    became = _cooked_as(book, [code])
    onward = of_lots(book, became, code)
    told |= dict.fromkeys(onward.unread if became else store.unread_lots(book))
    return replace(onward, lots=(*own, *onward.lots), unread=tuple(told), most=most)


def _carriers(book: Book, code: str) -> tuple[str, ...]:
    """What is not known of the dilutions of a batch; a sheet that cannot be read tells none."""
    try:
        return lots_drawn.carriers(store.batch(book, code))
    except BlendlabError:
        return ()


def _cooked_as(book: Book, codes: Container[str]) -> list[int]:
    """Numbers of the lots that some batches became."""
    return [line.number for line in store.lots(book) if line.batch and line.batch in codes]


def of_lots(book: Book, numbers: Iterable[int], of: str = "") -> Recall:
    """Everything that was made of some lots, through cooked base lots to the jars and who has them."""
    reaches = [store.forward(book, number) for number in numbers]
    every = list(_all(book, reaches))
    may, beside = _may_hold(book, {reach.lot.item for reach, _ in every})
    taken: dict[str, tuple[BatchLine, float, bool]] = {}
    for reach, share in every:
        for line in reach.batches:
            _, before, most = taken.get(line.code, (line, 0.0, False))
            grams = round(before + share.of_gram * reach.grams.get(line.code, 0.0), 6)
            taken[line.code] = (line, grams, most or share.most)
    return Recall(
        of or " ".join(f"lot {reach.lot.lot.code}" for reach in reaches),
        tuple({reach.lot.number: (reach.lot, reach.lot.came_g) for reach, _ in every}.values()),
        tuple(
            _called(book, line, grams, most) for line, grams, most in taken.values() if line.kind == "jars"
        ),
        tuple(sorted(may - set(taken))),
        tuple(dict.fromkeys(sentence for reach in (*reaches, *beside) for sentence in _unread(reach))),
    )


def _may_hold(book: Book, items: Collection[str]) -> tuple[set[str], list[Reach]]:
    """Codes of batches that weighed one of some things and named no lot, on through the bases among them.

    A bottle of a diluted oil was made of a lot that nobody named. Gives the ways of those bases and bottles.
    """
    found: set[str] = set()
    onward: list[Reach] = []
    todo, done = set(items), set[str]()
    while todo:
        nameless = {code for item in todo for code in _nameless(book, item)}
        nameless -= found
        thinned = {oil for item in todo for oil in store.thinned(book, item)} - done
        bottles = [line.number for oil in thinned for line in store.lots(book, oil)]
        ways = [store.forward(book, number) for number in (*_cooked_as(book, nameless), *bottles)]
        every = [reach for reach, _ in _all(book, ways)]
        found |= nameless.union(*([line.code for line in reach.batches] for reach in every))
        onward += ways
        done |= todo
        todo = ({reach.lot.item for reach in every} | thinned) - done
    return found, onward


def _nameless(book: Book, item: str) -> Iterator[str]:
    """Codes of batches that weighed a thing, a dilution in it, or filled it up as water, and name no lot."""
    yield from store.unnamed(book, item)
    yield from store.diluted_in(book, item)
    yield from _watered(book, item)


def _watered(book: Book, item: str) -> list[str]:
    """Codes of batches into whose pot a thing may have gone as water of no named lot."""
    return [code for code in store.filled_up_of_none(book) if _may_be_water(book, code, item)]


def _may_be_water(book: Book, code: str, item: str) -> bool:
    """Whether a thing may be the water of a base; of one that cannot be read nobody can tell."""
    try:
        return pot.may_be_water(book, store.batch(book, code), item)
    except BlendlabError:
        return True


def of_thing(book: Book, item: str, name: str) -> Recall:
    """Everything that was made of any lot of one thing ("kind:id")."""
    return of_lots(book, [line.number for line in store.lots(book, item)], name)


def of_complaint(book: Book, complaint: store.ComplaintLine) -> Recall:
    """Everything that shares a lot with the jar of a complaint: the fault may lie in the lot.

    Grams of several lots are not told as one. Raises UnknownName for a complaint without a batch code.
    """
    own = of_batch(book, complaint.code)
    shared = of_lots(book, [lot.number for lot, _ in own.lots])
    batches = tuple(replace(batch, grams=None, most=False) for batch in shared.batches)
    if all(batch.line.code != complaint.code for batch in batches):
        batches = (*own.batches, *batches)
    said = f"complaint about {complaint.code}"
    told = tuple(dict.fromkeys((*own.unread, *shared.unread)))
    return Recall(said, shared.lots, batches, shared.unnamed, told)


def _called(book: Book, line: BatchLine, grams: float | None, most: bool = False) -> CalledBatch:
    log = store.batch_log(book, line.code)
    left: int | None = None
    kept: int | None = None
    try:
        jars = sales.jars(store.batch(book, line.code))
        left, kept = jars.left, None if jars.uncounted else jars.kept
    except BlendlabError:
        pass  # what is left of it is not known, and the list says so
    sold = store.sale_lines(line.code, log.entries)
    return CalledBatch(line, grams, len(log.filled_g), sold, left, most, kept)


class _Share(NamedTuple):
    """What a gram on the way holds of the lot in question [g]; most = it is at most that."""

    of_gram: float = 1.0
    most: bool = False

    def through(self, book: Book, grams: float, cooked: LotLine) -> _Share:
        """The share in a gram of a cooked lot that some grams went into."""
        whole, known = _whole(book, cooked)
        return _Share(self.of_gram * grams / whole if whole > 0 else 0.0, self.most or not known)


ALL = _Share()
"""A gram of the lot itself."""


def _whole(book: Book, cooked: LotLine) -> tuple[float, bool]:
    """What a cooked lot weighed before it left its pot [g], and whether that is known.

    What stayed in the pot took its part of everything; where nobody weighed it the part of what came out is
    taken as larger than it can have been.
    """
    try:
        page = store.batch(book, cooked.batch)
    except BlendlabError:
        return cooked.came_g, False
    mass = pot.mass_g(page) if pot.weighed_full(page) else 0.0
    return max(mass, cooked.came_g), mass >= cooked.came_g


def _all(book: Book, reaches: Iterable[Reach], share: _Share = ALL) -> Iterator[tuple[Reach, _Share]]:
    """Every lot on the way, with what a gram of it holds of the lot it began with."""
    for reach in reaches:
        yield reach, share
        for onward in reach.onward:
            cooked_in = reach.grams.get(onward.lot.batch, 0.0)
            yield from _all(book, (onward,), share.through(book, cooked_in, onward.lot))


def _unread(chain: Reach | store.Origin) -> Iterator[str]:
    yield from chain.unread
    for inner in chain.onward if isinstance(chain, Reach) else chain.behind:
        yield from _unread(inner)


def _lots(book: Book, origin: store.Origin, share: _Share = ALL) -> Iterator[tuple[LotLine, float, bool]]:
    """Lots of a batch and those behind them, with the share of their grams that is in it.

    Third: whether it is at most that.
    """
    behind = {cooked.batch.code: cooked for cooked in origin.behind}
    for lot in origin.lots:
        grams = share.of_gram * origin.grams.get(lot.number, 0.0)
        yield lot, round(grams, 6), share.most
        if lot.batch in behind:
            inner = _Share(most=share.most).through(book, grams, lot)
            yield from _lots(book, behind[lot.batch], inner)


# --- on paper -----------------------------------------------------------------------------------------


def recall_pdf(called: Recall) -> bytes:
    """The list to work through: every lot, every batch, everyone who has a jar, each code on one line."""
    rows = [("code", "what", "how much", "from or to")]
    for lot, grams in called.lots:
        supplier = lot.lot.supplier or (f"cooked as {lot.batch}" if lot.batch else "supplier not entered")
        most = f"{MOST} " if lot.number in called.most else ""
        much = f"{most}{plain(grams, 2)} {store.unit_of(lot.item)}"
        rows.append((lot.lot.code, lot.lot.name or lot.item, much, supplier))
    for batch in called.batches:
        rows += _of(batch, called.unit)
    for code in called.unnamed:
        rows.append((code, NAMELESS, "not known", "look whether it belongs here"))
    rows += [("not known", sentence, "not known", "look in the book's file") for sentence in called.unread]
    rows += [("not known", sentence, "not known", "look at the bottle") for sentence in called.unseen]
    head = f"{counted(len(rows) - 1, 'line')}; {counted(called.out, 'jar')} out."
    head += " Ask everyone on it; write each answer down."
    return printing.list_pdf(f"Recall list, {called.of}", head, rows, WIDTHS, whole=1)


def _of(batch: CalledBatch, unit: str) -> Iterator[tuple[str, str, str, str]]:
    most = f"{MOST} " if batch.most else ""
    took = "" if batch.grams is None else f", took {most}{plain(batch.grams, 2)} {unit}"
    code = batch.line.code
    yield (
        code,
        f"{batch.line.name}{took}",
        f"{counted(batch.weighed, 'jar')} weighed",
        f"made {batch.line.made_on}",
    )
    for sale in batch.sales:
        back = f", {sale.back} back" if sale.back else ""
        order = f"order {sale.said.order}" if sale.said.order else ""
        who = " · ".join(
            part for part in (sale.said.to, order, sale.said.channel, f"{sale.said.on or ''}") if part
        )
        yield (
            code,
            f"{sale.said.jars} sold{back}",
            f"{counted(sale.out, 'jar')} out",
            who or "not written down",
        )
    for jars, what, where in (
        (batch.left, "not sold by the book", "shelf, samples"),
        (batch.kept, "put aside for tests", "test shelf"),
    ):
        if jars != 0 or what == "not sold by the book":
            yield code, what, "not known" if jars is None else counted(jars, "jar"), where


def recall_csv(called: Recall) -> bytes:
    """The same as a table: a row for each sale, and one for each batch that nobody bought of."""
    return csv_of([head.format(unit=called.unit) for head in HEADS], _cells(called))


def _cells(called: Recall) -> Iterator[list[object]]:
    for batch in called.batches:
        grams = "" if batch.grams is None else f"{batch.grams:.12g}"
        head = [batch.line.code, batch.line.name, batch.line.made_on, grams, MOST if batch.most else ""]
        for sale in batch.sales:
            said = sale.said
            who = [said.order, said.channel, said.to, said.on or ""]
            yield [*head, *who, said.jars, sale.back, sale.out]
        if not batch.sales:
            yield [*head, "", "", "", "", 0, 0, 0]
    for code in called.unnamed:
        yield [code, NAMELESS, *[""] * 10]
    for sentence in (*called.unread, *called.unseen):
        yield ["not known", sentence, *[""] * 10]

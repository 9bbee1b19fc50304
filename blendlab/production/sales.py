"""Jars of a batch once it is made: sold, come back, counted, put aside. Only whole jars."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from blendlab import store
from blendlab.codec import decode
from blendlab.errors import BlendlabError, counted
from blendlab.production import durability, outcome
from blendlab.production.plausible import asked, whole
from blendlab.store import BatchPage, Book, Jars, Refused
from blendlab.store.book_sales_entries import JarCount, Kept, Return, Sale


def made(page: BatchPage) -> int:
    """Jars that there were to sell: as she counted them, else as many as the plan yields or were weighed."""
    counted = outcome.jars_filled(page)
    return max(page.now.jars, len(page.filled_g)) if counted is None else counted


def correct(book: Book, page: BatchPage, sale: store.BookEntry, said: Mapping[str, Any], why: str) -> None:
    """Write down what a sale should have said; 0 jars take it back.

    said  what is really so, by its keys

    Raises Refused for more jars than are left, for fewer than came back of it, for a day before the batch.
    """
    plain = {**sale.data, **said, "why": why, "withdrawn": said.get("jars") == 0}
    store.sell(book, page.line.code, decode(Sale, plain), made(page), corrects=sale.number)


def jars(page: BatchPage) -> Jars:
    """What became of the jars of a batch."""
    return store.jars_of(page, made(page))


@dataclass(frozen=True)
class Part:
    """Some of the jars of a batch: what became of them, how many, and her reasons."""

    what: str
    jars: int
    why: str = ""


def account(page: BatchPage) -> tuple[Part, ...]:
    """What became of every jar of a batch: the parts add up to those that were made.

    what  "out", "spoilt", "kept", "lost" (by counting, less than 0 = found) or "left"; none of no jars but
          those that are left
    """
    return tuple(part for part in _parts(page) if part.jars or part.what == "left")


def _parts(page: BatchPage) -> Iterator[Part]:
    there = jars(page)
    returned = [entry for entry in page.of("return") if not entry.data.get("sellable")]
    yield Part("out", there.out)
    yield Part("spoilt", there.spoilt, _reasons(returned))
    yield Part("kept", there.kept)
    yield Part("lost", -there.counted, _reasons(page.of("jars")))
    yield Part("left", there.left)


def _reasons(entries: Sequence[store.BookEntry]) -> str:
    return "; ".join(dict.fromkeys(entry.data["why"] for entry in entries))


def sell(
    book: Book, code: str, jars: float, to: str, on: date, channel: str = "", order: str = "", why: str = ""
) -> None:
    """Write a sale down.

    channel  where it was sold, in her words; order: number of the order
    why      why jars whose best before is over were sold all the same

    Raises Refused for part of a jar, for a batch that is not released for sale, for a day on which it was
    not, for more jars than are left and for a day before the batch; Doubtful, without a reason, for a day
    after the best before.
    """
    page = store.batch(book, code)
    over = durability.over(book, page, on)
    reason = asked({}, [over.sentence] if over else [], why)
    sold = Sale(
        jars=whole(jars, least=1),
        to=to.strip(),
        on=on,
        channel=channel.strip(),
        order=order.strip(),
        **reason,
    )
    store.sell(book, code, sold, made(page))


def take_back(
    book: Book, code: str, sale: int, jars: float, on: date, why: str, sellable: bool = False
) -> None:
    """Write down that jars of a sale came back; sellable  they go back into the stock.

    Raises Refused for part of a jar, without a reason, and for more jars than are out of the sale.
    """
    back = Return(sale=sale, jars=whole(jars, least=1), on=on, why=why.strip(), sellable=sellable)
    store.take_back(book, code, back)


@store.at_once
def keep_for_tests(book: Book, code: str, count: float, tests: Sequence[str], on: date) -> None:
    """Write down how many jars of a batch were put aside, and for which tests; they are not sold.

    Raises Refused for part of a jar, for more jars than are left, for no test, for a cooked base and for a
    day before the batch.
    """
    aside = whole(count, least=1)
    kept = Kept(jars=aside, tests=tuple(tests), on=on)
    store.keep_for_tests(book, code, kept)
    left = jars(store.batch(book, code)).left
    if left < 0:
        there = max(0, left + aside)
        raise Refused(f"{counted(aside, 'jar')} to be put aside; by the book {there} are left.")


def count(book: Book, code: str, there: float, on: date, why: str) -> None:
    """Write down how many jars of a batch are there, where that is not what the book says.

    Raises Refused for part of a jar, without a reason, and where the count agrees.
    """
    page = store.batch(book, code)
    change = whole(there) - jars(page).left
    store.count_jars(book, code, JarCount(change=change, on=on, why=why.strip()), made(page))


# --- over the whole book ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Sold:
    """What was sold of a card or of a line: sales, jars that went out, jars that came back."""

    name: str
    sales: int
    jars: int
    back: int


def by_card(book: Book, since: date) -> dict[str, Sold]:
    """Design id -> what was sold of it since a day, most jars first; the newest batch gives the name."""
    found: dict[str, Sold] = {}
    for design, name, line in store.sales_since(book, since):
        before = found.get(design, Sold(name, 0, 0, 0))
        found[design] = Sold(name, before.sales + 1, before.jars + line.said.jars, before.back + line.back)
    return dict(sorted(found.items(), key=lambda item: -item[1].jars))


def by_line(folder: store.Folder, sold: Mapping[str, Sold]) -> tuple[Sold, ...]:
    """What was sold of each line; a card that stands in two lines counts in both."""
    found = []
    for saved in store.lines(folder):
        own = [sold[card] for card in saved.line.cards if card in sold]
        sums = (sum(getattr(each, key) for each in own) for key in ("sales", "jars", "back"))
        found.append(Sold(saved.line.name, *sums))
    return tuple(found)


NEWEST = 60
"""Newest batches that are looked through for jars that are left."""


class Left(NamedTuple):
    """A batch for sale of which jars are left; why they are not sold unasked, in a few words, or ""."""

    line: store.BatchLine
    jars: Jars
    over: str


def left_over(book: Book, on: date) -> tuple[Left, ...]:
    """Batches for sale of which jars are left, the oldest first: they go first.

    Those whose best before is over on a day come last.
    """
    found: list[Left] = []
    for line in store.batches(book)[:NEWEST]:
        if line.kind == "jars":
            try:
                page = store.batch(book, line.code)
            except BlendlabError:  # told on its own page, and nothing is sold of it
                continue
            if page.decision == store.FOR_SALE and jars(page).left > 0:
                over = durability.over(book, page, on)
                found.append(Left(line, jars(page), over.short if over else ""))
    oldest_first = found[::-1]
    return tuple(sorted(oldest_first, key=lambda left: bool(left.over)))

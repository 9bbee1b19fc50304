"""The lots that a batch was really made of: with their grams, when they end, whether others follow."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from blendlab import store
from blendlab.errors import BlendlabError, Finding
from blendlab.production.stock_lots import BOOK, MIXED, Parts, lot_findings
from blendlab.store import BatchLog, BatchPage, Book


@dataclass(frozen=True)
class Drawn:
    """What a batch was made of: "kind:id" -> lots with the grams weighed of each.

    unread  a stop for each line about one of its lots that cannot be read
    """

    parts: Mapping[str, Parts]
    unread: tuple[Finding, ...]


def drawn(book: Book, page: BatchLog) -> Drawn:
    """The lots that were weighed into a batch; what was thrown away is not in it."""
    grams: dict[int, float] = {}
    for weighing in page.weighings:
        if weighing.stands and weighing.lot is not None:
            grams[weighing.lot] = round(grams.get(weighing.lot, 0.0) + weighing.weighed_g, 9)
    for pot in page.of("pot"):
        if pot.data.get("lot") is not None:
            grams[pot.data["lot"]] = round(grams.get(pot.data["lot"], 0.0) + pot.data["water_g"], 9)
    known = {line.number: line for line in store.lots(book)}
    parts: dict[str, Parts] = {}
    for number, mass in grams.items():
        if number in known:
            line = known[number]
            parts[line.item] = (*parts.get(line.item, ()), (line, mass))
    unread = tuple(
        Finding(
            "stop",
            f"lot-unread-{position}",
            "book.lots",
            f"A lot of this batch cannot be read. {sentence}",
            "Do not sell this batch: what that lot was is not known.",
            BOOK,
        )
        for position, sentence in enumerate(store.unread_lots(book, grams))
    )
    return Drawn(parts, unread)


def by_line(book: Book, page: BatchLog) -> dict[str, tuple[str, float]]:
    """Line id -> codes of the lots it was weighed from ("" = none was named), grams that went in."""
    codes = {line.number: line.lot.code for line in store.lots(book)}
    lots: dict[str, list[str]] = {}
    for weighing in page.weighings:
        if weighing.stands:
            lots.setdefault(weighing.line, []).append(codes.get(weighing.lot or 0, ""))
    return {
        line: (MIXED.join(filter(None, dict.fromkeys(lots[line]))), grams)
        for line, grams in page.weighed.items()
    }


def behind(book: Book, taken: Drawn) -> Iterator[Finding]:
    """Stops for lots that a cooked base was made of: ended when it was cooked, or held back since."""
    cooked = {line.batch for parts in taken.parts.values() for line, _ in parts if line.batch}
    for code in sorted(cooked):
        try:
            page = store.batch(book, code)
        except BlendlabError as problem:
            text = f"The base cooked as {code} cannot be read: {problem}"
            yield Finding("stop", f"lot-behind-{code}", "book.lots", text, "Do not sell this batch.", BOOK)
            continue
        made_of = drawn(book, page)
        lots = {item: [line for line, _ in parts] for item, parts in made_of.parts.items()}
        yield from (*lot_findings(lots, page.line.made_on), *made_of.unread, *_nameless(page))


def _nameless(page: BatchPage) -> Iterator[Finding]:
    """What went into a cooked base of no named lot: a stop as for a line that is weighed directly."""
    code, names = page.line.code, {line.id: line.name for line in page.plan.lines}
    lines = [weighing.line for weighing in page.weighings if weighing.stands and weighing.lot is None]
    if lines:
        listed = "; ".join(dict.fromkeys(names.get(line, line) for line in lines))
        text = f"The base cooked as {code} was weighed without a lot named of: {listed}. Where that came "
        text += "from is not known."
        fix = f"Name the lots by correcting the lines of {code} in the Book, or do not sell this batch."
        yield Finding("stop", f"lot-nameless-{code}", "book.lots", text, fix, BOOK)
    for pot in page.of("pot"):
        if pot.data.get("water_g") and pot.data.get("lot") is None:
            text = (
                f"{pot.data['water_g']:g} g of water were filled up in the base cooked as {code}, of no lot."
            )
            fix = "Name the lot of the water when you fill up, so that it can be traced."
            yield Finding("caution", f"lot-water-{code}", "book.lots", text, fix, BOOK)

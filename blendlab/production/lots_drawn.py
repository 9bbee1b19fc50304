"""The lots that a batch was really made of: with their grams, when they end, whether others follow."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from blendlab import store
from blendlab.errors import BlendlabError, Finding
from blendlab.production.stock_lots import BOOK, MIXED, Parts, lot_findings
from blendlab.shelf import Base
from blendlab.store import BatchLog, BatchPage, Book, LotLine


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


def cooked_otherwise(book: Book, taken: Drawn, base: Base | None) -> Iterator[Finding]:
    """What tells lots of a cooked base from the formula that a batch is judged by.

    A stop where a thing is in one and not in the other, else a caution; a lot that was cooked by an earlier
    version did not keep its formula.
    """
    if base is None or not base.lines:
        return
    for line, _ in taken.parts.get(f"base:{base.id}", ()):
        try:
            cooked = _cooked_as(book, line)
        except BlendlabError as problem:
            yield _otherwise(line, f"The formula of lot {line.lot.code} cannot be read: {problem}", False)
            continue
        if cooked is None:
            continue
        lot, here = ({part.ingredient.id: part.pct for part in each.lines} for each in (cooked, base))
        apart = [name for name in {**lot, **here} if lot.get(name) != here.get(name)]
        if apart:
            figures = (f"{name} {lot.get(name, 0):g} %, here {here.get(name, 0):g} %" for name in apart)
            text = f"Lot {line.lot.code} was cooked by another formula of {base.name}: {'; '.join(figures)}."
            yield _otherwise(line, text, lot.keys() == here.keys())


def _otherwise(line: LotLine, text: str, same: bool) -> Finding:
    """The finding about a lot of another formula; `same`: of the same things in other percents."""
    if same:
        fix = "Look whether the order of the ingredient list still holds."
        return Finding("caution", f"lot-formula-{line.number}", "book.lots", text, fix, BOOK)
    fix = "Do not sell this batch: its label may not name what is in it."
    return Finding("stop", f"lot-formula-{line.number}", "book.lots", text, fix, BOOK)


def _cooked_as(book: Book, line: LotLine) -> Base | None:
    """The base as a lot of it was cooked; None where it was bought, or nobody kept it. Raises BadDocument."""
    items = store.taken(book, store.batch_log(book, line.batch)) if line.batch else None
    same = (item for item in items or () if isinstance(item, Base) and item.id == line.lot.of.id)
    return next(same, None)


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


def nameless(page: BatchPage) -> tuple[str, ...]:
    """What went into a batch of no named lot."""
    names = {line.id: line.name for line in page.plan.lines}
    lines = (weighing.line for weighing in page.weighings if weighing.stands and weighing.lot is None)
    return tuple(dict.fromkeys(names.get(line, line) for line in lines))


def carriers(page: BatchPage) -> tuple[str, ...]:
    """What a batch weighed as a dilution, in sentences: of its carrier the book knows no lot."""
    standing = {weighing.line for weighing in page.weighings if weighing.stands}
    lines = (line for line in page.plan.lines if line.id in standing and line.carrier_g > 0)
    told = (
        f"{line.name} was weighed as {line.stock_pct:g} % in {line.carrier_name or 'a carrier'}: "
        "of which lot that was, the book does not know."
        for line in lines
    )
    return tuple(dict.fromkeys(told))


def _nameless(page: BatchPage) -> Iterator[Finding]:
    """What went into a cooked base of no named lot: a stop as for a line that is weighed directly."""
    code, names = page.line.code, nameless(page)
    if names:
        listed = "; ".join(names)
        text = f"The base cooked as {code} was weighed without a lot named of: {listed}. Where that came "
        text += "from is not known."
        fix = f"Name the lots by correcting the lines of {code} in the Book, or do not sell this batch."
        yield Finding("stop", f"lot-nameless-{code}", "book.lots", text, fix, BOOK)
    for pot in page.of("pot"):
        if pot.data.get("water_g") and pot.data.get("lot") is None:
            text = (
                f"{pot.data['water_g']:g} g of water were filled up in the base cooked as {code}, of no lot."
            )
            fix = f"Name its lot by correcting the line of the pot of {code} in the Book."
            yield Finding("caution", f"lot-water-{code}", "book.lots", text, fix, BOOK)

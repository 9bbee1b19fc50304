"""A design judged with the lots of the book: those to be taken, or those that a batch was made of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from blendlab import store
from blendlab.assess import Assessment, assess
from blendlab.batch.acidity import PhWindow, of_design
from blendlab.errors import BlendlabError, Finding, worst_first
from blendlab.production import batches, lots_drawn, made_advice, revisions, stock_lots
from blendlab.production.base_mix import ALIKE_PCT, Part, held, mixed
from blendlab.production.made_design import as_weighed, in_the_product, shared_findings, went_in
from blendlab.recipe import Design
from blendlab.shelf import Base, Shelf, resolve, same_lot
from blendlab.store import BatchPage, Book, LotLine
from blendlab.units import digits

Lots = Mapping[str, Sequence[LotLine]]
""" "kind:id" -> the lots that are taken of it, in their order."""
JUDGED_AGAIN = ("batch.base", "batch.preservative")
"""Where the sheet spoke of the lots that were planned; what was drawn and weighed is judged in its place."""


def judge(design: Design, shelf: Shelf, on: date, lots: Lots, cups: tuple[float, ...] = ()) -> Assessment:
    """The one assessment that every page reads.

    lots  of several lots of the base the first is emptied before the next is opened
    cups  densities of foam that her book knows of the base, see `foam.cups`
    """
    lines, base = lots.get(_key(design), ()), base_of(design, shelf)
    taken: Sequence[Part] = [(line, 1.0) for line in lines[:1]]
    judged = assess(design, shelf, on, _codes(lots), _as_taken(base, taken, shelf), cups=cups)
    if len(lines) > 1 and judged.plan is not None:
        needed = judged.plan.needs.get(_key(design), 0.0)
        taken = stock_lots.shared(lines, needed) or taken
        judged = assess(design, shelf, on, _codes(lots), _as_taken(base, taken, shelf), cups=cups)
    used = set(judged.plan.needs) if judged.plan is not None else set()
    told = stock_lots.lot_findings({item: each for item, each in lots.items() if item in used}, on)
    changed = (*_formula_changed(design, shelf, lines), *_cooked_otherwise(base, lines))
    kept = (finding for finding in judged.findings if not changed or finding.id != "base-unconfirmed")
    weaker = _weaker(design, base, _as_taken(base, taken, shelf), shelf)
    told = (*told, *_unmeasured(judged, lots))
    made = judged.plan
    if made is not None:
        made = replace(made, findings=worst_first((*made.findings, *weaker)))
    return replace(judged, plan=made, findings=worst_first((*kept, *told, *changed, *weaker)))


def _weaker(design: Design, base: Base | None, taken: Base | None, shelf: Shelf) -> tuple[Finding, ...]:
    """Caution for lots that hold less preservative than their base, while she does not say what she wants.

    A top-up keeps the percent that is there: by itself it would make a weak lot a weak jar.
    """
    if base is None or taken is None or design.batch.preservative_pct is not None:
        return ()
    wanted, there = held(base, shelf), held(taken, shelf)
    if wanted is None or there is None or taken.preservative != base.preservative:
        return ()
    if there[0] >= wanted[0] - ALIKE_PCT:
        return ()
    return (
        Finding(
            "caution",
            "preservative-weaker",
            "batch.preservative",
            f"Lot {taken.lot} holds {digits(there[0])} % of its preservative, {base.name} on your shelf "
            f"{digits(wanted[0])} %. The top-up only keeps what the lot holds.",
            "Top it up to what the shelf says, or have the lower percent assessed.",
            "your book",
            {"batch.preservative_pct": wanted[0]},
            f"Top up to {digits(wanted[0])} %",
        ),
    )


def _unmeasured(judged: Assessment, lots: Lots) -> Iterator[Finding]:
    """Note for a lot without a swatch of a pigment whose colour was measured on another."""
    tones = judged.resolved.tones if judged.resolved is not None else ()
    for pigment in {pigment.id: pigment for tone in tones for pigment in tone.pigments}.values():
        code = stock_lots.codes(lots.get(f"pigment:{pigment.id}", ()))
        if pigment.known == "measured" and pigment.lot and code and not same_lot(pigment.lot, code):
            text = f"{pigment.name}: its colour was measured on lot {pigment.lot}; {code} is taken."
            fix = f"Make a swatch of {code} before you trust the colour."
            yield Finding("note", f"lot-colour-{pigment.id}", "look.tones", text, fix, "your swatches")


def _cooked_otherwise(base: Base | None, lines: Sequence[LotLine]) -> Iterator[Finding]:
    """Caution for lots of a base that were cooked by another formula than the design reckons with."""
    for line in lines:
        cooked = line.data.get("formula", "")
        if base is not None and base.formula and cooked and cooked != base.formula:
            text = (
                f"Lot {line.lot.code} was cooked by another formula of {base.name} than this design "
                "reckons with: label and limits here are not those of the lot."
            )
            fix = "Cook a lot by the formula of now, or take one that was."
            yield Finding("caution", f"lot-formula-{line.number}", "batch.base", text, fix, "your book")


def _formula_changed(design: Design, shelf: Shelf, lines: Sequence[LotLine]) -> tuple[Finding, ...]:
    """Stop for a design that still reckons with the formula its base had before, or had unconfirmed.

    Where the lots to be taken were cooked by that very formula it is right to reckon so.
    """
    now, taken = shelf.newer(design.base), base_of(design, shelf)
    if not isinstance(now, Base) or taken is None or (now.lines == taken.lines and not taken.unconfirmed):
        return ()
    cooked_so = bool(lines) and all(line.data.get("formula") == taken.formula for line in lines)
    if cooked_so and taken.formula and not taken.unconfirmed:
        text = (
            f"You changed the formula of {now.name} since; {stock_lots.codes(lines)} was cooked by the one "
            "this design reckons with."
        )
        return (Finding("note", "base-formula-of-lot", "batch.base", text, "", "your book"),)
    what = "changed" if now.lines != taken.lines else "confirmed"
    return (
        Finding(
            "stop",
            "base-formula",
            "batch.base",
            f"You {what} the formula of {now.name} since this design took it: these figures are of before.",
            "Use the base as it is on the shelf now.",
            "your shelf",
            {"base.rev": now.rev},
            f"Use {now.name} as it is now",
        ),
    )


def as_made(book: Book, page: BatchPage, shelf: Shelf, on: date, market: str = "") -> Assessment:
    """The design of a batch judged on what was weighed, on the lots that were drawn, on what it took then.

    No finding has a button, nor advice to design it otherwise: what was made stays as it is.

    on      the day of law and sheets; the age of what went in is judged on the day the batch was made
    market  where its jars go; "" = where the design says

    Raises BadDocument, NewerFormat for a design, or a thing it took, that cannot be read.
    """
    begun, carried = batches.begun_with(book, page, shelf)
    weighed = in_the_product(page)
    design = as_weighed(begun, page.sized, weighed, page.shared)
    if market:
        design = replace(design, markets=(market,))
    drawn = lots_drawn.drawn(book, page)
    base, measured = _as_drawn(design, drawn, carried) or base_of(design, carried), _measured(page)
    lots = {item: [line for line, _ in parts] for item, parts in drawn.parts.items()}
    made_on = page.line.made_on
    went, codes = went_in(page.sized, weighed, page.shared), _codes(lots)
    judged = assess(design, carried, on, codes, base, went, made_on=made_on, measured_pH=measured)
    told = (*drawn.unread, *lots_drawn.behind(book, drawn))
    told += shared_findings(page.now, page.weighed)
    since = revisions.since(begun, store.taken(book, page), shelf)
    cooked = lots_drawn.cooked_otherwise(book, drawn, base)
    own = (finding for finding in judged.findings if measured is None or finding.id != "ph")
    made = made_advice.of_jars((*own, *stock_lots.lot_findings(lots, made_on)))
    return replace(judged, findings=worst_first((*made, *told, *since, *cooked)))


def _measured(page: BatchPage) -> float | None:
    """The pH that a batch measured last; whether it lies where it must is judged with the record."""
    acidity = page.of("ph")
    return float(acidity[-1].data["pH"]) if acidity else None


def base_drawn(book: Book, page: BatchPage, shelf: Shelf) -> Base | None:
    """The base as the lots make it that were drawn of it; None where none was named."""
    try:
        design, carried = batches.begun_with(book, page, shelf)
    except BlendlabError:
        return None
    return _as_drawn(design, lots_drawn.drawn(book, page), carried)


def acidity(book: Book, page: BatchPage, shelf: Shelf) -> PhWindow | None:
    """Where the pH of a batch must lie by the lots that were drawn; None where its base holds no water.

    A design that cannot be read, or whose base or jar is gone, leaves the window its sheet was begun with.
    """
    try:
        design, carried = batches.begun_with(book, page, shelf)
        resolved = resolve(design, carried)
    except BlendlabError:
        return page.now.acidity
    base = _as_drawn(design, lots_drawn.drawn(book, page), carried)
    return of_design(resolved if base is None else resolved.with_base(base))


def _as_drawn(design: Design, drawn: lots_drawn.Drawn, shelf: Shelf) -> Base | None:
    return _as_taken(base_of(design, shelf), drawn.parts.get(_key(design), ()), shelf)


def stops(page: BatchPage, judged: Assessment) -> tuple[Finding, ...]:
    """What bars the jars of a batch: stops of what was made, and those its sheet had from the start."""
    sheet = (finding for finding in page.now.findings if finding.where not in JUDGED_AGAIN)
    told = (*judged.findings, *made_advice.of_jars(sheet))
    found = {finding.id: finding for finding in told if finding.level == "stop"}
    return tuple(found.values())


def base_of(design: Design, shelf: Shelf) -> Base | None:
    """The base of a design, or None where nobody has it."""
    return shelf.find(design.base) if shelf.has(design.base) else None


def _key(design: Design) -> str:
    return f"base:{design.base.id}"


def _codes(lots: Lots) -> dict[str, str]:
    return {item: stock_lots.codes(lines) for item, lines in lots.items() if lines}


def _as_taken(base: Base | None, parts: Sequence[Part], shelf: Shelf) -> Base | None:
    return mixed(base, parts, shelf) if base is not None and parts else None

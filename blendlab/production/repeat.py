"""The same batch again with what is there now: every difference, from what to what, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from blendlab import renew, store
from blendlab.assess import Assessment
from blendlab.batch import Plan
from blendlab.errors import Finding
from blendlab.production import foam, lots_drawn, stock_lots
from blendlab.production.batches import begun_with
from blendlab.production.costs import Prices
from blendlab.production.judgement import Lots, judge
from blendlab.production.price_changes import price_changes
from blendlab.production.revisions import categories, changes
from blendlab.production.settings import Settings
from blendlab.recipe import Design, Dose, Tone
from blendlab.shelf import Base, Item, Oil, Pigment, Shelf, embedded
from blendlab.store import BatchPage, Book, LotLine
from blendlab.tint.measured_items import between_lots
from blendlab.units import digits, on_scale

NO_LOT = "no lot"
FOLLOWS = "follows from what is above"
CHANGED = "changed on your shelf since"
NOT_KEPT = "changed on your shelf since, if only in its price; what it was then is not known"
GONE = "deleted since; this batch kept it as it was"
NEW_SHEET = "another sheet of its supplier, judged again"
NO_SHEET = "it has no sheet any more"
NEW_FORMULA = "you changed its formula"
NEW_SWATCH = "measured by your own swatches"
FOAM_PLANNED = "Foam to plan with"
USUAL = Settings()


class Difference(NamedTuple):
    """One thing that is not as it was: what, as it was, as it is now, and why."""

    what: str
    before: str
    now: str
    why: str


@dataclass(frozen=True)
class Repeat:
    """A batch to be made again.

    design       the design with what the differences say; nothing else of it is changed
    carried      the revisions it uses, those that are on no shelf any more as the batch took them
    judged       that design with today's shelf and lots
    differences  what is taken first, then what follows for colour, sheet and price
    stops        what stands in the way of a sale today
    """

    design: Design
    carried: tuple[Item, ...]
    judged: Assessment
    differences: tuple[Difference, ...]
    stops: tuple[Finding, ...]


def repeat(book: Book, page: BatchPage, shelf: Shelf, on: date, lots: Lots, kept: Settings = USUAL) -> Repeat:
    """A batch made again on a day; nothing is written.

    lots  "kind:id" -> lots that are taken now
    kept  her rates, for what a cooked base costs, and her currency

    Raises BadDocument, NewerFormat for a design, or a thing it took, that cannot be read.
    """
    made, of_then = begun_with(book, page, shelf)
    shelf = shelf.carrying(of_then.embedded)
    again = renew.renewed(made, shelf)
    parts = lots_drawn.drawn(book, page).parts
    then = {item: tuple(line for line, _ in each) for item, each in parts.items()}
    found = [*_revisions(store.taken(book, page), made, shelf)]
    again, of_lots = _with_lots(again, page, shelf, then, lots, on)
    carried = embedded(again, shelf)
    shelf = shelf.carrying(carried)
    judged = judge(again, shelf, on, lots, foam.cups(book, again))
    found += [*of_lots, *_of_colour((made, of_then), (again, shelf)), *_of_sheet(page.plan, judged.plan)]
    before, now = (Prices(book, each, kept.rates, kept.currency) for each in (of_then, shelf))
    priced = price_changes(page, before, parts, now, lots, kept.currency)
    found += [Difference(*each) for each in priced]
    stops = (replace(finding, act=None, button="") for finding in judged.findings if finding.level == "stop")
    return Repeat(again, carried, judged, tuple(found), tuple(stops))


def _revisions(taken: tuple[Item, ...] | None, made: Design, shelf: Shelf) -> Iterator[Difference]:
    """Things that were changed on the shelf since, figure by figure, or gone from it."""
    if taken is None:
        for each in renew.newer(made, shelf):
            yield Difference(each.item.name, "as it was then", "as on your shelf", NOT_KEPT)
        return
    counted = categories(made)
    for old in {(item.kind, item.id): item for item in taken}.values():
        new = shelf.today(old.kind, old.id)
        if new is None:
            yield Difference(old.name, "on your shelf", "not on your shelf", GONE)
        else:
            for change in changes(old, new, counted):
                yield Difference(f"{new.name}: {change.what}", change.before, change.now, _why_new(old, new))


def _why_new(old: Item, new: Item) -> str:
    """Why a thing is not as it was."""
    if isinstance(old, Oil) and isinstance(new, Oil) and old.sheet != new.sheet:
        return NEW_SHEET if new.sheet is not None else NO_SHEET
    if isinstance(old, Base) and isinstance(new, Base) and old.lines != new.lines:
        return NEW_FORMULA
    if isinstance(new, Pigment) and new.known == "measured" and old.rev != new.rev:
        return NEW_SWATCH
    return CHANGED


def _of_colour(then: tuple[Design, Shelf], now: tuple[Design, Shelf]) -> Iterator[Difference]:
    """How far each tone moves by the model; nothing where a base or a jar is on no shelf."""
    if any(not shelf.has(ref) for design, shelf in (then, now) for ref in (design.base, design.jar)):
        return
    for name, step in renew.moved(then, now).items():
        if step >= renew.LEAST_STEP:
            yield Difference(f"Colour of {name}", "as it was then", f"Delta E {step:.1f} from it", FOLLOWS)


def _with_lots(
    again: Design,
    page: BatchPage,
    shelf: Shelf,
    then: Mapping[str, tuple[LotLine, ...]],
    lots: Lots,
    on: date,
) -> tuple[Design, list[Difference]]:
    """The design with the doses of pigments as strong as their new lots, and every lot that is another."""
    found: list[Difference] = []
    factors: dict[str, float] = {}
    base = shelf.find(again.base) if shelf.has(again.base) else None
    for item, name in {line.item: line.name for line in page.plan.lines}.items():
        before, now = then.get(item, ()), tuple(lots.get(item, ()))
        if stock_lots.codes(before) == stock_lots.codes(now):
            continue
        why = _why(before, on)
        kind, _, item_id = item.partition(":")
        if kind == "pigment":
            factor, said = _strength(shelf.today(kind, item_id), base, before, now)
            factors[item_id] = factor
            why = f"{why}; {said[:1].lower()}{said[1:]}"
        old, new = (stock_lots.codes(each) or NO_LOT for each in (before, now))
        found.append(Difference(f"Lot of {name}", old, new, why))
    tones = tuple(_dosed(tone, factors) for tone in again.tones)
    return replace(again, tones=tones), [*found, *_of_doses(again.tones, tones, shelf)]


def _why(before: tuple[LotLine, ...], on: date) -> str:
    """Why the lots of then are not the ones of now."""
    if not before:
        return "no lot was named then"
    said = []
    for line in before:
        if line.held:
            said.append(f"{line.lot.code} is held back: {line.held}")
        elif line.left_g <= 0:
            said.append(f"{line.lot.code} is used up")
        elif line.ended(on):
            said.append(f"{line.lot.code} ended on {line.ends}")
        else:
            said.append(f"{line.lot.code} still holds {digits(line.left_g)} g, another is taken first")
    return "; ".join(said)


def _strength(
    item: Item | None, base: Base | None, before: tuple[LotLine, ...], now: tuple[LotLine, ...]
) -> tuple[float, str]:
    """Strength of the lot of now as a factor on that of then, in words; 1 where it was not measured."""
    stays = "the dose stays: make a swatch of each lot before you trust the colour"
    if not isinstance(item, Pigment) or base is None or len(before) != 1 or len(now) != 1:
        return 1.0, stays
    old, new = before[0].lot.code, now[0].lot.code
    change = between_lots(item, base, old, new)
    if change is None:
        blind = [code for code in (old, new) if not item.measured(code)]
        return 1.0, f"no swatch of {' and '.join(blind)}, {stays}"
    return change.ratio, change.words


def _dosed(tone: Tone, factors: Mapping[str, float]) -> Tone:
    """The tone with less of what is stronger now."""

    def scaled(dose: Dose) -> Dose:
        factor = factors.get(dose.pigment.id, 1.0)
        return dose if factor == 1 else replace(dose, pct=round(min(100.0, dose.pct / factor), 5))

    return replace(tone, doses=tuple(map(scaled, tone.doses)))


def _of_doses(before: tuple[Tone, ...], now: tuple[Tone, ...], shelf: Shelf) -> Iterator[Difference]:
    for old, new in zip(before, now, strict=True):
        for then, today in zip(old.doses, new.doses, strict=True):
            if then.pct != today.pct:
                name = shelf.find(today.pigment).name
                yield Difference(
                    f"{name} in {new.name}",
                    f"{digits(then.pct)} %",
                    f"{digits(today.pct)} %",
                    "as strong as the lot of then",
                )


def _of_sheet(then: Plan, now: Plan | None) -> Iterator[Difference]:
    """What follows for the sheet: mass, jars, each line that is weighed otherwise."""
    if now is None or not now.lines:
        yield Difference("Sheet", f"{len(then.lines)} lines", "none", "nothing can be sized: see the stops")
        return
    of_foam = foam.words(now.density) if now.density else ""
    pairs = [
        (FOAM_PLANNED, _foam(then), _foam(now)),
        ("Net weight of a jar", f"{then.net_g:.1f} g", f"{now.net_g:.1f} g"),
        ("Jars", f"{then.jars}", f"{now.jars}"),
        ("Whole batch", f"{then.batch_g:.1f} g", f"{now.batch_g:.1f} g"),
        ("Preservative in the base", _kept(then), _kept(now)),
    ]
    for line in {line.id: line for plan in (now, then) for line in plan.lines}.values():
        grams = (sum(each.grams for each in plan.lines if each.id == line.id) for plan in (then, now))
        before, after = (f"{on_scale(mass, line.step_g)} g" for mass in grams)
        pairs.append((f"To weigh: {line.name}, {line.cup}", before, after))
    for what, before, after in pairs:
        if before != after:
            yield Difference(what, before, after, of_foam if what == FOAM_PLANNED and of_foam else FOLLOWS)


def _foam(plan: Plan) -> str:
    return f"{plan.density.g_ml:.2f} g/ml" if plan.density else "not known"


def _kept(plan: Plan) -> str:
    kept = plan.preservative
    if kept is None:
        return "none"
    if kept.base_low_pct is None or kept.base_high_pct is None:
        return "not known"
    low, high = digits(kept.base_low_pct), digits(kept.base_high_pct)
    return f"{low} %" if low == high else f"{low} to {high} %"

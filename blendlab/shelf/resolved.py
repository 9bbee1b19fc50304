"""A design with its items in place, looked up once: what every room that judges or weighs it reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from blendlab.recipe import Design, Place, Tone, places
from blendlab.recipe.tones import names
from blendlab.shelf.base import Base
from blendlab.shelf.ingredient import Ingredient, Scale
from blendlab.shelf.item import Item
from blendlab.shelf.jar import Jar
from blendlab.shelf.oil import Oil
from blendlab.shelf.owned import Shelf
from blendlab.shelf.pigment import Pigment


class Dosed(NamedTuple):
    """A pigment in a tone: percent of the finished portion; `at` is its place in the list on the bench."""

    pigment: Pigment
    pct: float
    at: int


class Blended(NamedTuple):
    """An oil in the scent: percent of the scent; `at` is its place in the list on the bench."""

    oil: Oil
    share_pct: float
    at: int


class Stirred(NamedTuple):
    """A raw material and its percent: of the finished product, or of the base where it is a line of it."""

    ingredient: Ingredient
    pct: float


class Stock(NamedTuple):
    """A thing that is weighed through a dilution: percent of the pure thing in it, and its carrier."""

    of: Item
    pct: float
    carrier: Ingredient


@dataclass(frozen=True)
class DosedTone:
    """A tone with its pigments."""

    tone: Tone
    doses: tuple[Dosed, ...]

    @property
    def id(self) -> str:
        """Id of the tone."""
        return self.tone.id

    @property
    def pigments(self) -> tuple[Pigment, ...]:
        """Its pigments, in the order of its doses."""
        return tuple(dose.pigment for dose in self.doses)


@dataclass(frozen=True)
class Resolved:
    """A design with its items in place.

    design        without what nobody has: doses, oils, additions, stocks, dust of `missing` are left out;
                  its tones have a name each
    shelf         what else there is to choose from
    tones         in the order of the design; oils, additions, stocks likewise
    base_lines    what the base is cooked from; None when one of it is not on the shelf
    base_kept_by  what the base says it was preserved with
    scales        those the design names, else all on the shelf
    preservative  the one the design asks for
    dust          the mica on the top
    missing       references of the design that nobody has
    cups          densities of foam that her book knows of the base, whipped alike [g/ml]
    ph_measured   the pH of its base is that which the batch itself measured
    """

    design: Design
    shelf: Shelf
    base: Base
    jar: Jar
    tones: tuple[DosedTone, ...]
    oils: tuple[Blended, ...]
    additions: tuple[Stirred, ...]
    stocks: tuple[Stock, ...]
    base_lines: tuple[Stirred, ...] | None
    base_kept_by: Ingredient | None
    scales: tuple[Scale, ...]
    preservative: Ingredient | None
    dust: Pigment | None
    missing: tuple[Place, ...]
    cups: tuple[float, ...] = ()
    ph_measured: bool = False

    @property
    def pigments(self) -> tuple[Pigment, ...]:
        """Every pigment of the tones and of the dusted top once, in the order of use."""
        used = [pigment for tone in self.tones for pigment in tone.pigments]
        used += [self.dust] if self.dust is not None else []
        return tuple({pigment.ref.key: pigment for pigment in used}.values())

    def with_base(self, base: Base) -> Resolved:
        """The same design with another state of its base in place, such as one lot of it."""
        lines = _lines_or_none(base, self.shelf)
        return replace(self, base=base, base_lines=lines, base_kept_by=_kept_by(base, self.shelf))

    def at_ph(self, pH: float) -> Resolved:
        """The same design at the pH that its batch measured, whatever its base had."""
        return replace(self, base=replace(self.base, pH=pH), ph_measured=True)

    def with_lots(self, lots: Mapping[str, str]) -> Resolved:
        """The same design with its pigments as the lots are known that are taken: "kind:id" -> code."""

        def taken(dose: Dosed) -> Dosed:
            return dose._replace(pigment=dose.pigment.of_lot(lots.get(f"pigment:{dose.pigment.id}", "")))

        tones = tuple(replace(tone, doses=tuple(map(taken, tone.doses))) for tone in self.tones)
        return replace(self, tones=tones)

    def stock_of(self, item: Item) -> Stock | None:
        """The stock that an item is weighed through, if there is one."""
        same = (stock for stock in self.stocks if (stock.of.kind, stock.of.id) == (item.kind, item.id))
        return next(same, None)

    def on_shelf(self, kind: str, item_id: str) -> Item | None:
        """What is taken in the hand today: the thing as it stands on the shelf, else as the design has it."""
        return self.shelf.today(kind, item_id) or self.item(kind, item_id)

    def item(self, kind: str, item_id: str) -> Item | None:
        """What the design uses under that kind and id; None when it uses no such thing."""
        used: tuple[Item | None, ...] = (
            self.base,
            self.jar,
            *self.pigments,
            *(blended.oil for blended in self.oils),
            *(stirred.ingredient for stirred in self.additions),
            *(part for stock in self.stocks for part in (stock.of, stock.carrier)),
            *(stirred.ingredient for stirred in self.base_lines or ()),
            self.preservative,
            self.base_kept_by,
        )
        same = (item for item in used if item is not None and (item.kind, item.id) == (kind, item_id))
        return next(same, None)


def missing(design: Design, shelf: Shelf) -> tuple[Place, ...]:
    """References of a design that nobody has; those of past test jars do not count."""
    return tuple(place for place in places(design) if not place.past and not shelf.has(place.ref))


def resolve(design: Design, shelf: Shelf) -> Resolved:
    """The design with its items in place.

    Raises UnknownName when the base or the jar is not on the shelf; everything else that nobody has
    is left out and named in `missing`.

    >>> from blendlab.recipe import Ref
    >>> jar = Jar(id="j", name="j", nominal_ml=120, outer_mm=72, inner_mm=68, height_mm=40)
    >>> tone = Tone(id="white", name="White", share_pct=100)
    >>> gone = Ref(kind="base", id="gone")
    >>> resolve(Design(id="d", name="D", product="whipped_soap", tones=(tone,), jar=jar.ref, base=gone),
    ...     Shelf((jar,)))
    Traceback (most recent call last):
    blendlab.errors.UnknownName: Unknown base "gone"; known: .
    """
    base: Base = shelf.find(design.base)
    jar: Jar = shelf.find(design.jar)
    known = _known(design, shelf)
    batch = known.batch
    named = tuple(shelf.find(ref) for ref in batch.scales)
    return Resolved(
        design=known,
        shelf=shelf,
        base=base,
        jar=jar,
        tones=tuple(_tone(bench, tone, shelf) for bench, tone in zip(design.tones, known.tones, strict=True)),
        oils=tuple(
            Blended(shelf.find(share.oil), share.share_pct, at)
            for at, share in enumerate(design.scent.oils)
            if shelf.has(share.oil)
        ),
        additions=tuple(Stirred(shelf.find(part.ingredient), part.pct) for part in batch.additions),
        stocks=tuple(
            Stock(shelf.find(part.of), part.pct, shelf.find(part.carrier)) for part in batch.dilutions
        ),
        base_lines=_lines_or_none(base, shelf),
        base_kept_by=_kept_by(base, shelf),
        scales=named or tuple(shelf.of("scale")),
        preservative=shelf.find(batch.preservative) if batch.preservative is not None else None,
        dust=shelf.find(known.top.dust.pigment) if known.top.dust else None,
        missing=missing(design, shelf),
    )


def lines_of(base: Base, shelf: Shelf) -> tuple[Stirred, ...]:
    """The lines of a base with their raw materials.

    Raises UnknownName when one is not on the shelf.
    """
    return tuple(Stirred(shelf.find(line.ingredient), line.pct) for line in base.lines)


def _lines_or_none(base: Base, shelf: Shelf) -> tuple[Stirred, ...] | None:
    return lines_of(base, shelf) if all(shelf.has(line.ingredient) for line in base.lines) else None


def _kept_by(base: Base, shelf: Shelf) -> Ingredient | None:
    kept_by = base.preservative
    return shelf.find(kept_by) if kept_by is not None and shelf.has(kept_by) else None


def _tone(bench: Tone, tone: Tone, shelf: Shelf) -> DosedTone:
    found = (
        Dosed(shelf.find(dose.pigment), dose.pct, at)
        for at, dose in enumerate(bench.doses)
        if shelf.has(dose.pigment)
    )
    return DosedTone(tone, tuple(found))


def _known(design: Design, shelf: Shelf) -> Design:
    """The design without what nobody has; of two tones that read alike the second is numbered."""
    batch, top, named = design.batch, design.top, names(design)
    has = shelf.has
    asked = batch.preservative
    return replace(
        design,
        tones=tuple(
            replace(tone, name=named[tone.id], doses=tuple(dose for dose in tone.doses if has(dose.pigment)))
            for tone in design.tones
        ),
        top=replace(top, dust=None) if top.dust and not has(top.dust.pigment) else top,
        scent=replace(design.scent, oils=tuple(share for share in design.scent.oils if has(share.oil))),
        batch=replace(
            batch,
            scales=tuple(ref for ref in batch.scales if has(ref)),
            preservative=asked if asked is not None and has(asked) else None,
            additions=tuple(part for part in batch.additions if has(part.ingredient)),
            dilutions=tuple(part for part in batch.dilutions if has(part.of) and has(part.carrier)),
        ),
    )

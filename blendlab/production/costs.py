"""What a gram out of a lot costs: by its own pack and postage, or by what was cooked into it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import NamedTuple

from blendlab import recipe, store
from blendlab.batch.cost import money, work
from blendlab.batch.pricing import PerGram, Rates, carrier_price, carriers_of, of_pack, per_gram_of
from blendlab.codec import decode
from blendlab.errors import BlendlabError
from blendlab.production.stock_lots import shared
from blendlab.recipe import Ref
from blendlab.shelf import Price, Shelf
from blendlab.store import BatchPage, Book, LotLine
from blendlab.units import plain


class Spent(NamedTuple):
    """What a batch took, in money and grams; `unpriced` names what has no price and is not in it.

    wasted  the part of the money that pays for what stays in packs
    """

    material: Decimal
    grams: float
    unpriced: tuple[str, ...]
    wasted: Decimal = Decimal(0)


@dataclass(frozen=True)
class Prices:
    """What things cost by the lots of a book, by a shelf, and by the rates of her work, in her currency."""

    book: Book
    shelf: Shelf
    rates: Rates
    currency: str

    @cached_property
    def _lots(self) -> Mapping[int, LotLine]:
        return {line.number: line for line in store.lots(self.book)}

    def of_mixed(self, lines: Sequence[LotLine], grams: float) -> PerGram:
        """Cost of a gram of what some grams are taken of: the first lot is emptied before the next."""
        parts = shared(lines, grams) or ((lines[0], 1.0),)
        found = [(self.of_lot(line), money(taken)) for line, taken in parts]
        unpriced = tuple(name for each, _ in found for name in each.unpriced)
        if any(each.money is None for each, _ in found):
            return PerGram(None, "", unpriced)
        whole = sum(taken for _, taken in found)
        paid = sum(((each.money or 0) * taken for each, taken in found), Decimal(0))
        wasted = sum((each.wasted * taken for each, taken in found), Decimal(0))
        basis = " + ".join(dict.fromkeys(each.basis for each, _ in found))
        return PerGram(paid / whole, basis, wasted=wasted / whole)

    def of_newest(self, item: str, behind: frozenset[str] = frozenset()) -> PerGram | None:
        """Cost of a gram of the lot she cooked last of a base ("base:id"); None where she cooked none.

        behind  batches that are not asked, as they were cooked with it
        """
        cooked = [line for line in self._lots.values() if line.item == item and line.batch]
        others = [line for line in cooked if line.batch not in behind]
        return self.of_lot(max(others, key=lambda line: line.number), behind) if others else None

    def of_lot(self, line: LotLine, behind: frozenset[str] = frozenset()) -> PerGram:
        """Cost of a gram of a lot: what cooking it took, what was paid for it, else as of its thing.

        behind  batches that were cooked with it
        """
        if line.batch:
            return self._cooked(line, behind | {line.batch}) if line.batch not in behind else PerGram(None)
        price = price_of(line)
        if price is not None:
            return of_pack(price, None, f"lot {line.lot.code}, by its own pack")
        return self.of_item(line.item, behind)

    def of_item(self, item: str, behind: frozenset[str] = frozenset()) -> PerGram:
        """Cost of a gram of a thing ("kind:id") of which no lot has a price: a base as she cooked it last.

        What she never cooked costs what the shelf says, a base what its formula does.
        """
        newest = self.of_newest(item, behind)
        return newest or per_gram_of(self.shelf.today(*item.split(":", 1)), self.shelf)

    def _cooked(self, line: LotLine, behind: frozenset[str]) -> PerGram:
        """Raw materials at their lots' prices and her work, over the grams that came out."""
        name = line.lot.name or line.lot.code
        try:
            taken = self.spent(line.batch, behind)
        except BlendlabError as problem:
            return PerGram(None, str(problem), (name,))
        if taken.unpriced or line.came_g <= 0:
            return PerGram(None, "", taken.unpriced or (name,))
        minutes = line.data.get("minutes")
        worked = work(self.rates.cook_minutes if minutes is None else minutes, self.rates.per_h)
        basis, came = _cooked_words(line, taken, worked, self.currency), money(line.came_g)
        return PerGram((taken.material + worked) / came, basis, wasted=taken.wasted / came)

    def spent(self, code: str, behind: frozenset[str] = frozenset()) -> Spent:
        """What a batch took: lots at their own prices, what has no lot at the price of the shelf.

        Raises UnknownName, BadDocument for a batch that cannot be read.
        """
        parts = list(self._parts(code, behind))
        material = sum((money(grams) * (each.money or 0) for _, grams, each in parts), Decimal(0))
        wasted = sum((money(grams) * each.wasted for _, grams, each in parts), Decimal(0))
        unpriced = dict.fromkeys(name for name, _, each in parts if each.money is None)
        return Spent(material, sum(grams for _, grams, _ in parts), tuple(unpriced), wasted)

    def _parts(self, code: str, behind: frozenset[str]) -> Iterator[tuple[str, float, PerGram]]:
        """Name, grams and price of everything a batch took; what is counted in pieces has its own share."""
        for number, grams in store.drawn(self.book, code).items():
            line = self._lots.get(number)
            if line is not None and store.unit_of(line.item) != "g":
                continue
            if line is None:
                yield f"lot {number}", grams, PerGram(None)
            else:
                yield line.lot.name or line.lot.of.id, grams, self.of_lot(line, behind)
        page = store.batch(self.book, code)
        for weighing in (found for found in page.weighings if found.stands):
            asked = page.now.line(weighing.line)
            pure_g = weighing.weighed_g * asked.stock_pct / 100
            if weighing.lot is None:
                yield asked.name, pure_g, self.of_item(asked.item, behind)
            if asked.stock_pct < 100:
                name, each = carrier_price(_carrier(page, asked.item), asked.name, self.shelf)
                yield name, weighing.weighed_g - pure_g, each


def _carrier(page: BatchPage, item: str) -> Ref | None:
    """What something was diluted in by the design of a batch; None = its design does not say."""
    return carriers_of(recipe.from_dict(page.design)).get(item) if page.design else None


def price_of(line: LotLine) -> Price | None:
    """What was paid for a lot; None where nothing was written down."""
    kept = line.data.get("price")
    return None if kept is None else decode(Price, kept)


def _cooked_words(line: LotLine, taken: Spent, worked: Decimal, currency: str) -> str:
    kilos = money(line.came_g) / 1000
    said = f"lot {line.lot.code}, a kg: {taken.material / kilos:.2f} {currency} of raw materials, "
    said += (
        f"{worked / kilos:.2f} {currency} of work"
        if worked
        else "no work, as minutes or rate are not entered"
    )
    if taken.grams > line.came_g:
        said += f"; {plain(line.came_g, 0)} of {plain(taken.grams, 0)} g came out"
    return said

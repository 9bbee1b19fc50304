"""What a batch would be short of: stock, the lot that is to be taken, lots that lie aside."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from blendlab import batch
from blendlab.assess import Assessment
from blendlab.batch import Plan
from blendlab.batch.stock import enough_for
from blendlab.codec import digest
from blendlab.errors import Finding, worst_first
from blendlab.production.stock_lots import BOOK, InStock, codes, lot_words
from blendlab.units import on_scale, plain

SHORT = ("batch.stock.", "batch.lots.")
"""What the places of findings begin with that say what a batch is short of."""


def with_stock(judged: Assessment, stock: InStock) -> Assessment:
    """A judged design with what its batch would be short of, and a digest of the lots this rests on."""
    made = judged.plan
    told = () if made is None else findings(made, stock)
    rests_on = digest_of({} if made is None else made.needs, stock)
    return replace(judged, findings=worst_first((*judged.findings, *told)), stock=rests_on)


def digest_of(needs: Mapping[str, float], stock: InStock) -> str:
    """What the lots of some things say, as a digest: another one, and a judgement may be another.

    needs  "kind:id" -> grams that are asked for; what a lot holds beyond them makes no difference
    """
    there = (line for line in stock.lines if line.item in needs and line.left_g > 0)
    said = [
        [line.number, line.lot, line.data, line.usable(stock.on), min(line.left_g, needs[line.item])]
        for line in there
    ]
    taken: dict[str, Any] = {
        item: [line.number for line in lines] for item, lines in stock.taken.items() if item in needs
    }
    return digest([said, taken])


def findings(made: Plan, stock: InStock) -> tuple[Finding, ...]:
    """What a batch would be short of, and the lots of its things that are not taken unasked."""
    return (*batch.stock_findings(made, stock.left), *_lots_short(made, stock), *_aside(made, stock))


def short(told: Iterable[Finding]) -> tuple[Finding, ...]:
    """Of findings those that say that a batch is short of something."""
    return tuple(
        finding for finding in told if finding.where.startswith(SHORT) and finding.level == "caution"
    )


def _lots_short(made: Plan, stock: InStock) -> Iterable[Finding]:
    """A lot that does not hold its line while others would: nobody mixes them without being asked."""
    left = stock.left
    for item, needed in made.needs.items():
        lots = stock.taken.get(item, ())
        held = sum(line.left_g for line in lots)
        if lots and held < needed <= left.get(item, 0.0):
            name = lots[0].lot.name or item.partition(":")[2]
            text = f"{codes(lots)} of {name}: {plain(held, 2)} g of the {plain(needed, 2)} g asked for."
            fix = "Take another lot, or mix a second one in."
            yield Finding("caution", f"lot-short-{item}", f"batch.lots.{item}", text, fix, BOOK)


def _aside(made: Plan, stock: InStock) -> Iterable[Finding]:
    """Lots with something left that are not taken unasked, and why."""
    needs = made.needs
    for line in stock.lines:
        if line.item in needs and line.left_g > 0 and not line.usable(stock.on):
            text = f"{line.lot.name}: lot {lot_words(line, stock.on)}. It is not taken by itself."
            yield Finding("note", f"lot-aside-{line.number}", f"batch.lots.{line.item}", text, "", BOOK)


def stock_words(made: Plan, stock: Mapping[str, float]) -> str:
    """How large a batch like this one the counted stock makes; "" where nothing of it was counted."""
    enough = enough_for(made, stock)
    return "" if enough is None else f"{on_scale(enough.batch_g, 1)} g of batch, then {enough.first} is out"

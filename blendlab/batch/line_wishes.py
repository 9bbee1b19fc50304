"""A design as wanted percents, line by line, before any mass is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from blendlab.batch import ledger
from blendlab.batch.preservative import Gate, blend_cap, gate
from blendlab.batch.sheet import What
from blendlab.facts.preservatives import active_limits
from blendlab.fragrance.contents import at_least
from blendlab.recipe import Design
from blendlab.shelf import Base, Ingredient, Item, Oil, Resolved, Scale

NOTHING_PCT = 1e-9
"""A percent below this is none: it is less than a scale or an assay can tell."""
STRONG = ("absorbing", "lake")
"""Groups of pigments whose smallest amount counts double."""


@dataclass(frozen=True)
class Want:
    """A line before rounding.

    tone  index of its tone, or -1: it goes into all
    pct   of the pure thing; of the finished portion for a pigment, of the finished product else
    """

    id: str
    item: Any
    what: What
    cup: str
    tone: int = -1
    pct: float = 0.0
    stock_pct: float = 100.0
    cap_pct: float | None = None
    careful: bool = False
    lot: str = ""

    @property
    def protected(self) -> bool:
        """Whether it is rounded by itself."""
        return self.what in ("preservative", "oil", "pigment")

    @property
    def way(self) -> str:
        """How it is rounded: a preservative up, an oil never up."""
        return {"preservative": "up", "oil": "down"}.get(self.what, "near")


@dataclass(frozen=True)
class Wish:
    """What the preservative has to reach, in percent of the finished product.

    held     of it in the base; most  least of law and sheet; wanted  hers, else as in the base
    extra    actives that scent and additions bring to the product: name -> percent
    unknown  actives of the blend that an oil cannot answer for
    """

    ingredient: Ingredient
    held: ledger.Held
    wanted: float
    most: float
    extra: Mapping[str, float]
    unknown: tuple[str, ...]
    strength: float


@dataclass(frozen=True)
class Draft:
    """A design ready to be sized. `wants` starts with the base.

    weights   share of each tone, they add up to 1; loads  wanted load, percent
    dust_lot  lot of the mica on the tops
    """

    resolved: Resolved
    wants: tuple[Want, ...]
    weights: tuple[float, ...]
    load_pct: float
    ceiling_pct: float | None
    wish: Wish | None
    scales: tuple[Scale, ...]
    dust_lot: str = ""

    @property
    def design(self) -> Design:
        """The design."""
        return self.resolved.design

    @property
    def base(self) -> Base:
        """Its base."""
        return self.resolved.base

    @property
    def preservative_at(self) -> int | None:
        """Index of the line of the preservative."""
        return next((at for at, want in enumerate(self.wants) if want.what == "preservative"), None)

    def inside(self, tone: int) -> float:
        """Share of a tone that does not come from the bowl: its pigments and the scent."""
        own = sum(want.pct / want.stock_pct for want in self.wants if want.tone == tone)
        scent = sum(want.pct / want.stock_pct for want in self.wants if want.what == "oil")
        return own + scent


def draft(
    resolved: Resolved, ceiling_pct: float | None = None, lots: Mapping[str, str] | None = None
) -> Draft:
    """The wanted lines of a design; what nobody has is left out (it is a finding already).

    lots  "kind:id" -> code of the lot to take
    """
    base, design = resolved.base, resolved.design
    whole = sum(tone.share_pct for tone in design.tones)
    weights = tuple(tone.share_pct / whole if whole else 0.0 for tone in design.tones)
    chosen = _Lots(lots or {})
    additions = _additions(resolved, chosen)
    oils = _oils(resolved, chosen)
    wish = _wish(resolved, additions, oils)
    kept = _preservative(wish, chosen)
    wants = [Want("base", base, "base", "Bowl", lot=chosen.of(base))]
    wants += [*additions, *kept, *oils, *_pigments(resolved, chosen)]
    load = sum(oil.pct for oil in oils)
    dust_lot = chosen.of(resolved.dust) if resolved.dust is not None else ""
    return Draft(resolved, tuple(wants), weights, load, ceiling_pct, wish, resolved.scales, dust_lot)


class _Lots:
    def __init__(self, chosen: Mapping[str, str]) -> None:
        self.chosen = chosen

    def of(self, item: Any) -> str:
        return self.chosen.get(f"{item.kind}:{item.id}", getattr(item, "lot", ""))


def _stock(resolved: Resolved, item: Item) -> float:
    """Percent of the dilution that something is weighed through; 100 without one."""
    stock = resolved.stock_of(item)
    return 100.0 if stock is None else stock.pct


def _additions(resolved: Resolved, lots: _Lots) -> list[Want]:
    return [
        Want(f"addition:{item.id}", item, "addition", "Bowl", pct=pct, lot=lots.of(item))
        for item, pct in resolved.additions
        if pct > NOTHING_PCT
    ]


def _oils(resolved: Resolved, lots: _Lots) -> list[Want]:
    there = [blended for blended in resolved.oils if blended.share_pct > NOTHING_PCT]
    whole = sum(blended.share_pct for blended in there)
    load_pct = resolved.design.scent.load_pct
    made = []
    for blended in there if load_pct > 0 else ():
        oil = blended.oil
        pct = load_pct * blended.share_pct / whole
        stock = _stock(resolved, oil)
        limited = oil.sheet is not None
        made.append(
            Want(
                f"oil:{oil.id}",
                oil,
                "oil",
                "Scent",
                pct=pct,
                stock_pct=stock,
                careful=limited,
                lot=lots.of(oil),
            )
        )
    return made


def _pigments(resolved: Resolved, lots: _Lots) -> list[Want]:
    made = []
    for at, dosed in enumerate(resolved.tones):
        tone = dosed.tone
        for dose in dosed.doses:
            if dose.pct > NOTHING_PCT and tone.share_pct > 0:
                item = dose.pigment
                cap = item.cap_pct if dose.pct <= item.cap_pct else None
                made.append(
                    Want(
                        f"pigment:{item.id}@{tone.id}",
                        item,
                        "pigment",
                        f"Colour: {tone.name}",
                        at,
                        dose.pct,
                        _stock(resolved, item),
                        cap,
                        item.group in STRONG,
                        lots.of(item),
                    )
                )
    return made


def _preservative(wish: Wish | None, lots: _Lots) -> list[Want]:
    if wish is None or not wish.held.known:
        return []
    item = wish.ingredient
    return [
        Want(
            "preservative",
            item,
            "preservative",
            "Preservative",
            stock_pct=wish.strength,
            cap_pct=wish.most,
            careful=True,
            lot=lots.of(item),
        )
    ]


def _wish(resolved: Resolved, additions: list[Want], oils: list[Want]) -> Wish | None:
    design, base = resolved.design, resolved.base
    item = ledger.choose(resolved)
    if item is None:
        return None
    held = ledger.held(base, item)
    extra, unknown = _extra(design.product, item, additions, oils)
    parts, own_actives = ledger.of_ingredient(item), ledger.of_base(base)
    there = {
        name: pct + max(0.0, own_actives.get(name, 0.0) - parts[name] * held.high / 100)
        for name, pct in extra.items()
    }
    law = blend_cap(parts, {**ledger.limits(design.product), **_own_limits(item)}, there)
    most = min(law, item.high_pct if item.high_pct is not None else law)
    wanted = design.batch.preservative_pct
    if wanted is None:
        wanted = held.low if held.known or item.low_pct is None else item.low_pct
    return Wish(item, held, wanted, most, extra, unknown, _stock(resolved, item))


def _own_limits(item: Ingredient) -> dict[str, float]:
    return {name.lower(): pct for name, pct in item.limits.items()}


def _extra(
    product: str, item: Ingredient, additions: list[Want], oils: list[Want]
) -> tuple[dict[str, float], tuple[str, ...]]:
    """Actives of a blend that scent and additions bring, percent of the product; and those nobody knows."""
    parts = ledger.of_ingredient(item)
    shares: list[tuple[Oil, float]] = [(want.item, want.pct / 100) for want in oils]
    found: dict[str, float] = {}
    unknown = []
    for name, limit in active_limits(product).items():
        if name not in parts:
            continue
        stirred = sum(want.pct * ledger.of_ingredient(want.item).get(name, 0.0) / 100 for want in additions)
        scent = ledger.of_scent(limit.cas, shares)
        if scent is None:
            unknown.append(limit.active)
        found[name] = stirred + at_least(scent)
    return found, tuple(unknown)


def gate_of(drafted: Draft) -> Gate:
    """Gate of the preservative: its own sheet, else that of the base or its lot, else common practice."""
    kept = drafted.wish.ingredient if drafted.wish else None
    if kept is not None and kept.add_below_c is not None:
        return gate(kept.add_below_c, kept.name)
    return gate(drafted.base.add_below_c, drafted.base.name)

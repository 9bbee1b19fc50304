"""A scent on the bench: loads in three ways of speaking, proposals, what it smells of, what has changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Literal

from blendlab import fragrance
from blendlab.assess import Assessment, with_additions
from blendlab.facts.read import figure
from blendlab.fragrance.percent_conversions import cost, density, drops, parts_of_base, pct_of_final
from blendlab.recipe import Design, Scent, evened
from blendlab.shelf import Base, Oil, Shelf

Way = Literal["pct", "parts", "grams"]
HOURS = (0.0, 1 / 12, 0.5, 2.0, 8.0, 24.0)
SHOWN_SUBSTANCES = 6
STEP_G = 0.01


@dataclass(frozen=True)
class Load:
    """One load said three ways.

    pct    percent of the finished product
    parts  grams of scent to 100 g of everything else
    grams  grams of scent in the whole batch; batch_g: mass of that batch
    price  of the scent in one jar; None = an oil has no price
    jar_g  grams of scent in one jar
    drops  fewest and most drops in that, for a feel only; None = an oil has no density
    """

    pct: float
    parts: float
    grams: float
    batch_g: float
    price: float | None
    jar_g: float
    drops: tuple[float, float] | None


def batch_g(assessed: Assessment) -> float:
    """Mass of the batch: what is asked for in grams, else the jars by their filling."""
    batch = assessed.design.batch
    if batch.grams is not None:
        return batch.grams
    one = sum(tone.grams for tone in assessed.layout.tones) if assessed.layout else 0.0
    return (batch.jars + batch.spare) * one


def load(assessed: Assessment, shelf: Shelf) -> Load:
    """The load of a design, said three ways, and what it costs a jar."""
    design = assessed.design
    whole, pct = batch_g(assessed), design.scent.load_pct
    jars = (design.batch.jars + design.batch.spare) or 1
    price, jar_g = _price(design, shelf, whole / jars), whole / jars * pct / 100
    parts = parts_of_base(min(pct, 99.99))
    return Load(pct, parts, whole * pct / 100, whole, price, jar_g, _drops(design, shelf, jar_g))


def _drops(design: Design, shelf: Shelf, scent_g: float) -> tuple[float, float] | None:
    """Fewest and most drops in some grams of the scent; None when the density of an oil is missing."""
    inside = oils(design, shelf)
    densities = [oil.density_g_ml for oil in inside if oil.density_g_ml is not None]
    shares = [share.share_pct for share in design.scent.oils]
    if len(densities) != len(shares) or not sum(shares):
        return None
    mixed, per_ml = density(shares, densities), figure("batch", "drops_oil")
    return drops(scent_g, mixed, per_ml.low), drops(scent_g, mixed, per_ml.high)


def _price(design: Design, shelf: Shelf, grams: float) -> float | None:
    """Price of the scent in some grams of product; None when an oil or its price is missing."""
    shares = design.scent.oils
    total = sum(share.share_pct for share in shares)
    inside = oils(design, shelf)
    prices = {oil.id: oil.price_per_g for oil in inside if oil.price_per_g is not None}
    if not total or len(inside) != len(shares) or len(prices) != len(inside):
        return None
    parts = {share.oil.id: share.share_pct / total for share in shares}
    return cost(parts, prices, grams, design.scent.load_pct)[1]


def pct_from(way: Way, figure: float, whole_g: float) -> float:
    """A load as percent of the finished product, from the way it was typed.

    >>> round(pct_from("parts", 3.0, 1000), 3), pct_from("grams", 12.0, 1000)
    (2.913, 1.2)
    """
    if way == "parts":
        return pct_of_final(figure)
    if way == "grams":
        return 100 * figure / whole_g if whole_g else 0.0
    return figure


def oils(design: Design, shelf: Shelf) -> list[Oil]:
    """Oils of a scent as the design carries them, those that the shelf knows."""
    return [shelf.find(share.oil) for share in design.scent.oils if shelf.has(share.oil)]


def closest(assessed: Assessment, shelf: Shelf, market: str) -> fragrance.Closest | None:
    """Nearest blends for one market, on her finest scale; None while the scent cannot be checked."""
    design = assessed.design
    base = shelf.find(design.base) if shelf.has(design.base) else None
    inside = oils(design, shelf)
    if not isinstance(base, Base) or len(inside) != len(design.scent.oils) or not assessed.scents:
        return None
    most = max([design.scent.load_pct, *design.scent.tone_loads.values()])
    step = min((scale.step_g for scale in shelf.of("scale")), default=STEP_G)
    return fragrance.closest(
        replace(evened(design.scent), load_pct=most),
        inside,
        with_additions(base, design, shelf),
        design.product,
        market,
        assessed.on,
        batch_g(assessed) or 1000.0,
        step,
    )


def as_checked(assessed: Assessment, shelf: Shelf, market: str, scent: Scent) -> fragrance.ScentCheck:
    """What a proposed scent would be told, oil by oil as the design carries them."""
    by_id = {oil.id: oil for oil in oils(assessed.design, shelf)}
    base = with_additions(shelf.find(assessed.design.base), assessed.design, shelf)
    inside = [by_id[share.oil.id] for share in scent.oils]
    return fragrance.check(scent, inside, base, assessed.design.product, market, assessed.on)


def taken(scent: Scent, proposed: Scent) -> dict[str, Any]:
    """Changes of the design that take a proposal: shares and load; loads of tones in proportion."""
    most = max([scent.load_pct, *scent.tone_loads.values()])
    by_id = {share.oil.id: share.share_pct for share in proposed.oils}
    changes: dict[str, Any] = {
        f"scent.oils.{at}.share_pct": by_id.pop(share.oil.id, 0.0) for at, share in enumerate(scent.oils)
    }
    part = proposed.load_pct / most if most else 0.0
    changes["scent.load_pct"] = proposed.load_pct if not scent.tone_loads else scent.load_pct * part
    for tone_id, pct in scent.tone_loads.items():
        changes[f"scent.tone_loads.{tone_id}"] = pct * part
    return changes


def present_notes(assessed: Assessment) -> list[float]:
    """Top, middle and base as they are, to the half point, what is unknown left aside."""
    check = next(iter(assessed.scents.values()), None)
    parts = (check.notes.top, check.notes.middle, check.notes.base) if check else (0.0, 0.0, 0.0)
    whole = sum(parts)
    if not whole:
        return [0.3, 0.4, 0.3]
    top, middle = (round(200 * part / whole) / 200 for part in parts[:2])
    return [top, middle, 1 - top - middle]


def note_word(oil: Oil) -> str:
    """The note an oil has most of."""
    if oil.notes is None:
        return "?"
    return max(zip(("top", "middle", "base"), oil.notes, strict=True), key=lambda note: note[1])[0]


@dataclass(frozen=True)
class Smell:
    """What the opened jar smells of first, and how the scent fades where it stays on the skin.

    first  substance -> share of the vapour; notes: top, middle, base of the vapour
    fades  hours, share left, notes of what is left; empty for what is rinsed off
    """

    first: Mapping[str, float]
    notes: Mapping[str, float]
    known_pct: float
    fades: Sequence[tuple[float, float, tuple[float, ...]]]


def smell(assessed: Assessment, shelf: Shelf, rinse: str) -> Smell | None:
    """Headspace of the jar and, on the skin, the fading; None without a known substance."""
    inside = oils(assessed.design, shelf)
    total = sum(share.share_pct for share in assessed.design.scent.oils)
    if len(inside) != len(assessed.design.scent.oils) or not total:
        return None
    shares = [share.share_pct / total for share in assessed.design.scent.oils]
    whiff = fragrance.headspace(inside, shares)
    if not whiff.shares:
        return None
    first = dict(list(whiff.shares.items())[:SHOWN_SUBSTANCES])
    fades = []
    if rinse == "leave_on" and assessed.design.scent.load_pct > 0:
        found = fragrance.fade(inside, shares, assessed.design.scent.load_pct, HOURS)
        for hour, left, notes in zip(found.hours, found.left, found.notes, strict=True):
            fades.append((hour, float(left), tuple(float(note) for note in notes)))
    return Smell(first, whiff.notes, whiff.known_pct, fades)


def changed(assessed: Assessment, shelf: Shelf, saved: date) -> tuple[fragrance.Reason, ...]:
    """Why a saved scent has to be judged again: lots, sheets and days since it was saved."""
    then = {oil.id: oil for oil in oils(assessed.design, shelf)}
    now = {key: item for key in then if isinstance(item := shelf.today("oil", key), Oil)}
    design = assessed.design
    return fragrance.since(then, now, saved, assessed.on, design.product, design.markets)


def renewed(scent: Scent, shelf: Shelf) -> Scent:
    """A scent with every oil at its revision of today."""
    fresh = [
        replace(share, oil=item.ref) if (item := shelf.today("oil", share.oil.id)) is not None else share
        for share in scent.oils
    ]
    return replace(scent, oils=tuple(fresh))

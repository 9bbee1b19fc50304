"""A scent on the bench: loads in three ways of speaking, proposals, what it smells of, what has changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import inf
from typing import Any, Literal

from blendlab import fragrance
from blendlab.assess import Assessment, with_additions
from blendlab.batch import Plan, plan
from blendlab.facts.read import figure
from blendlab.fragrance.percent_conversions import cost, density, drops, parts_of_base, pct_of_final
from blendlab.recipe import Scent, evened
from blendlab.shelf import Oil, Shelf

Way = Literal["pct", "parts", "grams"]
HOURS = (0.0, 1 / 12, 0.5, 2.0, 8.0, 24.0)
SHOWN_SUBSTANCES = 6
STEP_G = 0.01
ROUNDS = 12


@dataclass(frozen=True)
class Load:
    """One load said three ways.

    pct      percent of the finished product
    parts    grams of scent to 100 g of everything else
    grams    grams of scent that the batch sheet weighs; step_g: step of the scale that weighs them
    batch_g  mass of that batch; 0 while nothing can be sized
    price    of the scent in one jar; None = an oil has no price, or no jar comes out
    jar_g    grams of scent in one jar of the planned net weight; what is lost on the way is not in it
    drops    fewest and most drops in that, for a feel only; None = an oil has no density
    """

    pct: float
    parts: float
    grams: float
    step_g: float
    batch_g: float
    price: float | None
    jar_g: float
    drops: tuple[float, float] | None


def load(assessed: Assessment) -> Load:
    """The load of a design, said three ways, and what it costs a jar; grams are those of the batch sheet."""
    pct = assessed.design.scent.load_pct
    grams, step = _scent_g(assessed.plan)
    whole = assessed.plan.batch_g if assessed.plan else 0.0
    jar_g = assessed.plan.net_g * grams / whole if assessed.plan and assessed.plan.jars else 0.0
    parts = parts_of_base(min(pct, 99.99))
    return Load(pct, parts, grams, step, whole, _price(assessed), jar_g, _drops(assessed, jar_g))


def _drops(assessed: Assessment, scent_g: float) -> tuple[float, float] | None:
    """Fewest and most drops in some grams of the scent; None when the density of an oil is missing."""
    design, inside = assessed.design, oils(assessed)
    densities = [oil.density_g_ml for oil in inside if oil.density_g_ml is not None]
    shares = [share.share_pct for share in design.scent.oils]
    if len(densities) != len(shares) or not sum(shares):
        return None
    mixed, per_ml = density(shares, densities), figure("batch", "drops_oil")
    return drops(scent_g, mixed, per_ml.low), drops(scent_g, mixed, per_ml.high)


def _scent_g(sheet: Plan | None) -> tuple[float, float]:
    """Grams of fragrance that a batch sheet weighs, and the step they are weighed with."""
    lines = [line for line in sheet.lines if line.what == "oil"] if sheet else []
    return round(sum(line.pure_g for line in lines), 9), min((line.step_g for line in lines), default=STEP_G)


def _price(assessed: Assessment) -> float | None:
    """Price of the scent in one jar of the batch; None when an oil has no price or no jar comes out."""
    scent, inside, sheet = assessed.design.scent, oils(assessed), assessed.plan
    total = sum(share.share_pct for share in scent.oils)
    prices = {oil.id: oil.price_per_g for oil in inside if oil.price_per_g is not None}
    known = len(inside) == len(scent.oils) and len(prices) == len({oil.id for oil in inside})
    if not total or not known or sheet is None or sheet.jars < 1:
        return None
    parts = dict.fromkeys(prices, 0.0)
    for share in scent.oils:
        parts[share.oil.id] += share.share_pct / total
    return cost(parts, prices, sheet.batch_g / sheet.jars, scent.load_pct)[1]


def pct_from(way: Way, figure: float, assessed: Assessment) -> float:
    """A load as percent of the finished product, from the way it was typed: the sheet then weighs it."""
    if way == "parts":
        return pct_of_final(figure)
    if way == "grams":
        return _pct_of_grams(figure, assessed)
    return figure


def _pct_of_grams(grams: float, assessed: Assessment) -> float:
    """The load at which the batch sheet weighs some grams of scent, to the step of the scale.

    Oils are rounded down one by one: the load is raised until their sum passes what was typed, then halved
    between what weighs too little and what weighs too much.
    """
    resolved, layout, sheet = assessed.resolved, assessed.layout, assessed.plan
    if resolved is None or layout is None or sheet is None or sheet.batch_g <= 0:
        return assessed.design.scent.load_pct
    pct = tried = 100 * grams / sheet.batch_g
    least, low, high = inf, 0.0, inf
    for _ in range(ROUNDS):
        scent = replace(resolved.design.scent, load_pct=min(tried, 100.0))
        asked = replace(resolved, design=replace(resolved.design, scent=scent))
        made = plan(asked, layout, ceiling_pct=assessed.ceiling_pct, on=assessed.on)
        weighed, step = _scent_g(made)
        short = grams - weighed
        if abs(short) < least:
            pct, least = scent.load_pct, abs(short)
        if least < step / 2 or made.batch_g <= 0:
            break
        low, high = (tried, high) if short > 0 else (low, tried)
        tried = (low + high) / 2 if low > 0 and high < inf else tried + 100 * short / made.batch_g
    return pct


def oils(assessed: Assessment) -> list[Oil]:
    """Oils of a scent as the design carries them, those that somebody has."""
    return [blended.oil for blended in assessed.resolved.oils] if assessed.resolved else []


def closest(assessed: Assessment, market: str) -> fragrance.Closest | None:
    """Nearest blends for one market, on her finest scale; None while the scent cannot be checked."""
    design, resolved = assessed.design, assessed.resolved
    if resolved is None or len(resolved.oils) != len(design.scent.oils) or not assessed.scents:
        return None
    most = max([design.scent.load_pct, *design.scent.tone_loads.values()])
    step = min((scale.step_g for scale in resolved.scales), default=STEP_G)
    whole = assessed.plan.batch_g if assessed.plan else 0.0
    return fragrance.closest(
        replace(evened(design.scent), load_pct=most),
        oils(assessed),
        with_additions(resolved),
        design.product,
        market,
        assessed.on,
        whole or 1000.0,
        step,
    )


def as_checked(assessed: Assessment, market: str, scent: Scent) -> fragrance.ScentCheck | None:
    """What a proposed scent would be told, oil by oil as the design carries them."""
    if assessed.resolved is None:
        return None
    by_id = {oil.id: oil for oil in oils(assessed)}
    inside = [by_id[share.oil.id] for share in scent.oils]
    base = with_additions(assessed.resolved)
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


def smell(assessed: Assessment, rinse: str) -> Smell | None:
    """Headspace of the jar and, on the skin, the fading; None without a known substance."""
    inside = oils(assessed)
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
    then = {oil.id: oil for oil in oils(assessed)}
    now = {key: item for key in then if isinstance(item := shelf.today("oil", key), Oil)}
    design = assessed.design
    return fragrance.since(then, now, saved, assessed.on, design.product, design.markets)

"""Figures that can be true: what lies outside the usual is asked about, and her reason is kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from math import isfinite
from typing import Any

from blendlab import units
from blendlab.batch import Plan
from blendlab.batch.whip import with_other_foam
from blendlab.errors import BlendlabError, counted
from blendlab.facts.read import figure
from blendlab.store import BatchPage, Refused
from blendlab.store.book_entries import FOAM, MIX
from blendlab.units import plain


class Doubtful(BlendlabError, RuntimeError):
    """A figure that is hard to believe; nothing was written. With a reason it is."""


def asked(data: Mapping[str, Any], doubts: Iterable[str], why: str) -> dict[str, Any]:
    """What is written: the data, with her reason where something is doubted.

    Raises Doubtful where something is doubted and no reason was given.
    """
    doubted, reason = tuple(doubts), why.strip()
    if doubted and not reason:
        raise Doubtful(" ".join(doubted))
    return {**data, "why": reason} if doubted else dict(data)


def whole(count: float, what: str = "jars", least: int = 0) -> int:
    """A count as it was typed. Raises Refused for part of one, for less than the least, for no number.

    what  what is counted, in words

    >>> whole(12.0)
    12
    """
    if not isfinite(count) or count != int(count) or count < least:
        raise Refused(f"{count:g} {what} are no count; whole {what} are.")
    return int(count)


def happened(on: date, today: date) -> date:
    """The day of something that happened. Raises Refused for a day that has not come."""
    if on > today:
        raise Refused(f"{on} is still to come.")
    return on


def of_fill(page: BatchPage, net_g: float) -> Iterator[str]:
    """Net grams of a jar against the planned ones, and against what of the weighed foam it holds."""
    plan, usual = page.now, figure("batch", "fill_share")
    if plan.net_g > 0 and not usual.low <= round(net_g / plan.net_g, 9) <= usual.high:
        yield (
            f"{plain(net_g, 1)} g in a jar; {plain(plan.net_g, 1)} g were planned, "
            f"usual is {usual.low * plan.net_g:.0f} to {usual.high * plan.net_g:.0f} g."
        )

    yield from of_volume(page, net_g)


def filling_of(plan: Plan, cup_g_ml: float) -> float | None:
    """Density of the filling [g/ml] with foam of a weighed density in it; None where none was planned."""
    if plan.density is None or plan.net_g <= 0:
        return None
    planned = plan.foam_g_ml or plan.density.g_ml
    return with_other_foam(plan.density.g_ml, planned, cup_g_ml, plan.foam_share)


def of_volume(page: BatchPage, net_g: float) -> Iterator[str]:
    """Net grams of a jar that take more room, as foam of the weighed density, than the jar is filled to.

    The planned overfill, and what two level cups of one foam may differ by, are left to it.
    """
    foams, plan = page.densities(FOAM), page.now
    filling = filling_of(plan, foams[-1]) if foams else None
    if plan.density is None or filling is None:
        return
    filled_to, takes = plan.net_g / plan.density.g_ml, net_g / filling
    most = filled_to * (1 + plan.overfill_pct / 100) * (1 + figure("batch", "cups_differ").value / 100)
    folded = " and what is folded in" if plan.foam_share < 1 else ""
    if round(takes - most, 9) > 0:
        yield (
            f"{plain(net_g, 1)} g of foam of {foams[-1]:.2f} g/ml{folded} take {takes:.0f} ml; the jar is "
            f"filled to {filled_to:.0f} ml, that is {filled_to * filling:.0f} g of this foam{folded}."
        )


def mix_of(page: BatchPage) -> float | None:
    """Density of the mix before whipping [g/ml]: her last cup of it, else as planned; None = not known."""
    mixes = page.densities(MIX)
    return mixes[-1] if mixes else page.now.mix_g_ml


def of_foam(g_ml: float, mix: float | None) -> Iterator[str]:
    """Density of the whipped base [g/ml] against what foam can have, and against its mix."""
    usual = figure("batch", "foam_true")
    if not usual.low <= g_ml <= usual.high:
        yield f"{g_ml:.2f} g/ml; whipped bases have {usual.low:g} to {usual.high:g} g/ml."
    if mix is not None and g_ml > mix:
        yield f"{g_ml:.2f} g/ml is more than the mix before whipping has, {mix:.2f} g/ml."


def of_mix(g_ml: float) -> Iterator[str]:
    """Density of the mix before whipping [g/ml]."""
    usual = figure("batch", "mix_true")
    if not usual.low <= g_ml <= usual.high:
        yield f"{g_ml:.2f} g/ml before whipping; mixes have {usual.low:g} to {usual.high:g} g/ml."


def of_heat(celsius: float, unit: str) -> Iterator[str]:
    """Temperature of the product [C], typed in `unit` "C" or "F", that may be the other degree."""
    usual = figure("batch", "product_heat")
    if usual.low <= celsius <= usual.high:
        return
    typed, other = units.convert(celsius, "C", unit), "C" if unit == "F" else "F"
    meant = units.convert(typed, other, "C")
    said = f"{units.degrees(celsius, unit)} is unusual for the product"
    if usual.low <= meant <= usual.high:
        yield f"{said}. Is it {plain(typed, 1)} °{other}, that is {units.degrees(round(meant, 1), unit)}?"
    else:
        yield f"{said}; usual is {units.degrees(usual.low, unit)} to {units.degrees(usual.high, unit)}."


def of_acidity(plan: Plan, pH: float) -> Iterator[str]:
    """A measured pH against the window of its batch."""
    if plan.acidity is not None and not plan.acidity.holds(pH):
        yield plan.acidity.outside(pH)


def of_rest(page: BatchPage, grams: float, what: str) -> Iterator[str]:
    """Grams set aside or left over against what is neither in jars nor set aside yet."""
    went_in = sum(page.weighed.values())
    aside = sum(entry.data.get("retained_g") or 0.0 for entry in page.of("yield"))
    there = went_in - sum(page.filled_g) - aside
    if went_in and grams > there:
        kept = " nor set aside" if aside else ""
        yield (
            f"{plain(grams, 1)} g {what}; of what was weighed in {max(0.0, there):.0f} g are not in jars"
            f"{kept}."
        )


def of_pot(ingredients_g: float, there_g: float, water_g: float) -> Iterator[str]:
    """Grams in a pot of a base, and of the water that fills it up, against what was weighed into it."""
    least, usual = figure("batch", "cooked_share"), figure("batch", "pot_full")
    if there_g < least.low * ingredients_g:
        yield f"{plain(there_g, 1)} g are in the pot; {plain(ingredients_g, 1)} g were weighed into it."
    full = there_g + water_g
    if not usual.low * ingredients_g <= round(full, 6) <= usual.high * ingredients_g:
        yield (
            f"With {plain(water_g, 1)} g of water the pot holds {plain(full, 1)} g; "
            f"{plain(ingredients_g, 1)} g were weighed into it."
        )


def of_base(whole_g: float, out_g: float) -> Iterator[str]:
    """Grams of a cooked base, with what is left in the pot, against what the pot held."""
    least = figure("batch", "cooked_share")
    if out_g < least.low * whole_g:
        yield f"{plain(out_g, 1)} g came out of {plain(whole_g, 1)} g that went in."


def of_jars(page: BatchPage, jars: int) -> Iterator[str]:
    """Jars filled in all against those that were weighed, what went into them, and the planned ones."""
    usual, planned, weighed = figure("batch", "fill_share"), page.now.jars, len(page.filled_g)
    went_in, mean_g = sum(page.weighed.values()), sum(page.filled_g) / max(1, weighed)
    if jars < weighed:
        yield f"{counted(jars, 'jar')}; {weighed} were weighed."
    elif went_in and jars * mean_g > went_in:
        yield (
            f"{counted(jars, 'jar')} of {mean_g:.1f} g are {jars * mean_g:.0f} g; {went_in:.0f} g were "
            "weighed in."
        )
    elif planned and not usual.low * planned <= jars <= usual.high * planned:
        yield f"{counted(jars, 'jar')}; {planned} were planned."

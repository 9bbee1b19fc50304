"""A wanted colour to a few genuinely different recipes, each with what it costs and how sure it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import Finding, worst_first
from blendlab.facts.read import figure
from blendlab.recipe import Dose, Tone
from blendlab.shelf import Base, Pigment
from blendlab.tint import inconstancy
from blendlab.tint.appearance import polar
from blendlab.tint.arrays import Array
from blendlab.tint.chemistry import ph_findings
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.law import LISTS, listed
from blendlab.tint.measured_items import base_reflectance
from blendlab.tint.prediction import ToneRecipe, tone_recipe
from blendlab.tint.recipe_search import Match, match
from blendlab.tint.spectra import lab_of
from blendlab.tint.uncertainty import DoseWeighing, Spread, spread_of, trials
from blendlab.tint.words import hue_word

_LOOKED_AT, _FREED_PCT = 60, 60.0
_TONE = "match"


@dataclass(frozen=True, eq=False)
class Way:
    """One way to a wanted colour.

    match       percents, Lab and CIEDE2000 to the target, as the scale can weigh it
    R           reflectance [31] of the open surface
    spread      how far the real colour may lie from it
    expected    CIEDE2000 to expect from the target with that spread
    grams       pigment id -> grams in the portion; empty without a portion
    cost        money for one portion, or for 100 g; None while a price is unknown
    lamp        lamp under which it changes most, and by how much (CIEDE2000)
    findings    what lists and pH say of its pigments
    """

    match: Match
    R: Array
    spread: Spread
    expected: float
    grams: Mapping[str, float]
    cost: float | None
    lamp: tuple[str, float]
    findings: tuple[Finding, ...]

    @property
    def stopped(self) -> bool:
        """Not for sale as it stands."""
        return any(finding.level == "stop" for finding in self.findings)


@dataclass(frozen=True, eq=False)
class Ranking:
    """What the shelf has to say to a wanted colour.

    ways      a few, the best first; each is a different set of pigments
    reached   the best lies within Delta E 1 of the target
    obstacle  what stands in the way, in words; "" when reached
    """

    target: Array
    ways: tuple[Way, ...]
    reached: bool
    obstacle: str


@dataclass(frozen=True)
class Wanted:
    """Bounds of a search.

    most       pigments in a recipe, 1 to 3
    caps       pigment id -> highest percent; else the cap of the pigment
    total_pct  highest percent of all together; None = the most a base bears unchanged
    portion_g  mass of the portion [g], None = not weighed; step_g step of the scale
    markets    whose colour lists are asked; place where on the body it is used
    """

    most: int = 3
    caps: Mapping[str, float] | None = None
    total_pct: float | None = None
    portion_g: float | None = None
    step_g: float = 0.01
    markets: tuple[str, ...] = ()
    place: str = "body"


def ways(
    target: ArrayLike, pigments: Sequence[Pigment], base: Base, wanted: Wanted | None = None, count: int = 3
) -> Ranking:
    """A few different recipes for a colour, ranked by what to expect of them.

    target  Lab (D65, 2 degrees) of the open surface

    Order: what no list stops first; then the difference to expect with the spread (to 0.5), fewer
    pigments, less cost, less change from lamp to lamp, fewer cautions.
    Raises OutOfRange for no pigment.

    >>> from blendlab.facts.palette import bases, pigments
    >>> ranking = ways([82.4, 13.9, 6.3], pigments(), bases()[0])
    >>> ranking.reached, len(ranking.ways)
    (True, 3)
    """
    bounds = wanted or Wanted()
    matches = _matches(target, pigments, base, bounds, _LOOKED_AT)
    different = _different(matches, pigments, base)
    found = sorted((_way(recipe, target, pigments, base, bounds) for recipe in different), key=_rank)
    best = min((way.match.delta_e00 for way in found), default=float("inf"))
    reached = best <= figure("tint", "matches").value
    obstacle = "" if reached else _obstacle(target, pigments, base, bounds, matches)
    return Ranking(np.asarray(target, dtype=float), _apart(found, count), reached, obstacle)


def _apart(found: Sequence[Way], count: int) -> tuple[Way, ...]:
    """The best ways that share less than half of their pigments, then the best of the rest."""
    chosen: list[Way] = []
    for way in found:
        mine = set(way.match.doses)
        others = [set(each.match.doses) for each in chosen]
        if all(2 * len(mine & each) < len(mine | each) for each in others):
            chosen.append(way)
    rest = [way for way in found if way not in chosen]
    return tuple(sorted([*chosen, *rest][:count], key=_rank))


def _matches(
    target: ArrayLike, pigments: Sequence[Pigment], base: Base, bounds: Wanted, count: int
) -> tuple[Match, ...]:
    return match(
        target,
        pigments,
        base,
        bounds.most,
        bounds.caps,
        bounds.total_pct,
        bounds.portion_g,
        bounds.step_g,
        count,
    )


def _rank(way: Way) -> tuple[bool, float, int, float, float, int]:
    dear = float("inf") if way.cost is None else round(way.cost, 2)
    shift = round(2 * way.lamp[1]) / 2
    return way.stopped, round(2 * way.expected) / 2, len(way.match.doses), dear, shift, len(way.findings)


def _different(matches: Sequence[Match], pigments: Sequence[Pigment], base: Base) -> list[Match]:
    """The best match of each set of pigments that do the work; one that only adds a trace is the same."""
    kept: dict[frozenset[str], Match] = {}
    for recipe in matches:
        working = frozenset(
            name
            for name in recipe.doses
            if delta_e_2000(_without(recipe, name, pigments, base), recipe.lab)
            >= figure("tint", "matches").value
        )
        kept.setdefault(working or frozenset(recipe.doses), recipe)
    return list(kept.values())


def _without(recipe: Match, name: str, pigments: Sequence[Pigment], base: Base) -> Array:
    """Lab of a match with one of its pigments left out."""
    rest = {key: pct for key, pct in recipe.doses.items() if key != name}
    return lab_of(_tone_recipe(rest, pigments, base).mixed()[2])


def _tone_recipe(doses: Mapping[str, float], pigments: Sequence[Pigment], base: Base) -> ToneRecipe:
    known = {pigment.id: pigment for pigment in pigments}
    return tone_recipe(_TONE, base, ((known[name], pct) for name, pct in doses.items()))


def _way(recipe: Match, target: ArrayLike, pigments: Sequence[Pigment], base: Base, bounds: Wanted) -> Way:
    made = _tone_recipe(recipe.doses, pigments, base)
    weighing = DoseWeighing({_TONE: bounds.portion_g}, bounds.step_g) if bounds.portion_g else None
    R = made.mixed()[2]
    expected = float(delta_e_2000(lab_of(trials(made, weighing)), target).mean())
    changes = inconstancy.inconstancy(R)
    lamp = max(changes, key=changes.__getitem__)
    mass = bounds.portion_g or 100.0
    grams = {name: pct * mass / 100 for name, pct in recipe.doses.items()}
    return Way(
        recipe,
        R,
        spread_of(made, weighing),
        expected,
        grams if bounds.portion_g else {},
        _cost(made.pigments, grams),
        (lamp, changes[lamp]),
        _findings(made, base, bounds),
    )


def _cost(pigments: Sequence[Pigment], grams: Mapping[str, float]) -> float | None:
    total = 0.0
    for pigment in pigments:
        if pigment.price_per_g is None:
            return None
        total += pigment.price_per_g * grams[pigment.id]
    return total


def _findings(recipe: ToneRecipe, base: Base, bounds: Wanted) -> tuple[Finding, ...]:
    doses = tuple(
        Dose(pigment=pigment.ref, pct=float(pct))
        for pigment, pct in zip(recipe.pigments, recipe.c, strict=True)
    )
    tone = Tone(id=_TONE, name=_TONE, share_pct=100, doses=doses)
    found = list(ph_findings(tone, recipe.pigments, base))
    for market in bounds.markets:
        for pigment, pct in zip(recipe.pigments, recipe.c, strict=True):
            if market in LISTS:
                found += listed(market, "look.tones", pigment, bounds.place, float(pct))
    return worst_first(found)


def _obstacle(
    target: ArrayLike, pigments: Sequence[Pigment], base: Base, bounds: Wanted, matches: Sequence[Match]
) -> str:
    """What keeps the nearest recipe from the target, in words with its numbers."""
    if not matches:
        return (
            f"One step of the scale ({bounds.step_g:g} g) is too much of any pigment for this portion; "
            "make a bigger portion or a stock."
        )
    nearest = min(matches, key=lambda recipe: recipe.delta_e00)
    near = f"Delta E {round(2 * nearest.delta_e00) / 2:g}"
    said = [f"In the model nothing on your shelf comes nearer than {near}."]
    white = lab_of(base_reflectance(base))
    wanted, got = polar(target), polar(nearest.lab)
    if wanted[0] > white[0] + 0.5:
        lighter = f"The undyed base has L* {white[0]:.0f}, this colour {wanted[0]:.0f}"
        return f"{said[0]} {lighter}: no pigment lightens it that far."
    free = Wanted(bounds.most, {pigment.id: 100.0 for pigment in pigments}, _FREED_PCT)
    freed = min(recipe.delta_e00 for recipe in _matches(target, pigments, base, free, 20))
    if freed < nearest.delta_e00 / 2:
        names = {pigment.id: pigment.name for pigment in pigments}
        held = [names.get(limit, "all pigment together") for limit in nearest.limits]
        if not held:
            return f"{said[0]} The step of the scale stands in the way; make a bigger portion or a stock."
        return f"{said[0]} What stands in the way: the highest use of {' and '.join(held)}."
    if wanted[1] > got[1] + 2:
        said.append(f"A stronger {hue_word(np.asarray(target).tolist())} would help.")
    if wanted[0] < got[0] - 2:
        said.append("A darker pigment would help.")
    return " ".join(said)

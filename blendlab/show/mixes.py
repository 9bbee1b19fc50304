"""Mixes for a wanted colour, ready to be shown and taken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from blendlab.assess import Assessment
from blendlab.errors import MARKS
from blendlab.facts.read import figure
from blendlab.forms.targets import Target
from blendlab.shelf import Pigment, Shelf
from blendlab.show.pictures import in_place
from blendlab.tint import Wanted, see, ways
from blendlab.tint.inconstancy import UNDER, parting_lamp
from blendlab.tint.recipe_ranking import Way
from blendlab.units import digits, plain


@dataclass(frozen=True)
class Mix:
    """One mix: hex of weak, likely and strong, one sentence, and the doses that take it into a tone."""

    hexes: tuple[str, str, str]
    sentence: str
    doses: tuple[dict[str, Any], ...]
    stopped: bool


@dataclass(frozen=True)
class Mixes:
    """Mixes for a wanted colour; what stands in the way where it is not reached."""

    target: Target
    mixes: tuple[Mix, ...]
    obstacle: str


def mixes(wanted: Target, assessed: Assessment, shelf: Shelf, tone_id: str, most: int = 3) -> Mixes:
    """Three different mixes for a colour, weighable for that tone of the batch (0.3 s for 40 pigments)."""
    design, base, pigments = assessed.design, in_place(assessed).base, tuple(shelf.of("pigment"))
    weighing = assessed.dose_weighing
    step = weighing.step_g
    bounds = Wanted(
        most=most,
        portion_g=weighing.portion_g.get(tone_id),
        step_g=step,
        markets=design.markets,
        place=design.place,
    )
    answer = ways(wanted.lab, pigments, base, bounds)
    found = tuple(_mix(way, wanted, pigments, step) for way in answer.ways)
    return Mixes(wanted, found, answer.obstacle)


def _mix(way: Way, wanted: Target, pigments: Sequence[Pigment], step: float) -> Mix:
    known = {each.id: each for each in pigments}
    return Mix(
        tuple(see(shade.R).hex for shade in (way.spread.weak, way.spread.likely, way.spread.strong)),  # type: ignore[arg-type]
        _sentence(way, wanted, known, step),
        taken_doses(way.match.doses, known),
        way.stopped,
    )


def taken_doses(doses: Mapping[str, float], known: Mapping[str, Pigment]) -> tuple[dict[str, Any], ...]:
    """Pigment ids with their percents as plain doses that a tone takes."""
    return tuple(
        {"pigment": {"kind": "pigment", "id": name, "rev": known[name].rev}, "pct": round(pct, 6)}
        for name, pct in doses.items()
    )


def _sentence(way: Way, wanted: Target, known: Mapping[str, Pigment], step: float) -> str:
    places = max(0, len(plain(step)) - 2)
    parts = []
    for name, pct in way.match.doses.items():
        grams = f" ({way.grams[name]:.{places}f} g)" if name in way.grams else ""
        parts.append(f"{digits(pct)} % {known[name].name}{grams}")
    near = f"Delta E {way.match.delta_e00:.1f} in the model, {way.expected:.1f} expected"
    said = [f"{near}; {' with '.join(parts)}, spread Delta E {way.spread.delta_e00:.1f}"]
    lamp, change = way.lamp
    said.append(f"{UNDER[lamp]} it changes by {change:.1f}")
    said += _metamerism(way, wanted)
    if way.cost is not None:
        said.append(f"pigment for {way.cost:.2f}")
    if way.findings:
        worst = way.findings[0]
        said.append(f"{MARKS[worst.level]}: {worst.text.rstrip('.')}")
    return ", ".join(said) + "."


def _metamerism(way: Way, wanted: Target) -> list[str]:
    """Under which lamp another recipe of the colour is told from the one she has."""
    parted = None if wanted.R is None else parting_lamp(way.R, wanted.R)
    if parted is None or parted[1] < figure("tint", "metameric").value:
        return []
    lamp, index = parted
    return [f"{UNDER[lamp]} it parts from {wanted.words} by {index:.1f}"]

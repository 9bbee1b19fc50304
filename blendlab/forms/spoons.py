"""Spoons and drops at the door: grams with their range, a percent to weigh, or a refusal."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from blendlab.batch import Line, Plan
from blendlab.batch.dusting import pigment_pct
from blendlab.batch.spoons import Spooned, drops_range, refuse, spoons
from blendlab.errors import BlendlabError
from blendlab.facts.densities import bulk_density
from blendlab.facts.read import figure
from blendlab.recipe import Design
from blendlab.shelf import Oil, Pigment, Shelf
from blendlab.units import digits, read_number

LINES = ("pigment", "oil", "preservative")
UNITS = {
    "tsp_us": "US teaspoons",
    "tbsp_us": "US tablespoons",
    "tsp_metric": "spoons of 5 ml",
    "drops": "drops",
}
MOST = 1000


@dataclass(frozen=True)
class Found:
    """Grams in words with their range, and the middle as percent of the portion; None where none is set."""

    words: str
    pct: float | None


def grams(
    made: Plan, line_id: str, typed: str, unit: str, heaped: bool, shelf: Shelf
) -> tuple[Found | None, str]:
    """What some spoons or drops of a line weigh, or why it must be weighed."""
    line = made.line(line_id)
    kind, _, item_id = line.item.partition(":")
    item = shelf.today(kind, item_id)
    try:
        count = read_number(typed, "", 0.01, MOST)
        refuse(line.name, line.what, isinstance(item, Oil) and item.sheet is not None)
        found = _weighed(item, count, unit, heaped)
    except BlendlabError as problem:
        return None, str(problem)
    if found is None:
        return None, f"{line.name} is not measured in {UNITS.get(unit, unit)}: weigh it."
    return _told(made, line, found), ""


def _weighed(item: object, count: float, unit: str, heaped: bool) -> Spooned | None:
    if isinstance(item, Oil) and unit == "drops":
        return drops_range(count, item.density_g_ml or figure("batch", "oil_density").value)
    if isinstance(item, Pigment) and unit != "drops":
        heap = bulk_density(item)
        return spoons(count, heap.low, heap.high, unit, heaped)
    return None


def _told(made: Plan, line: Line, found: Spooned) -> Found:
    said = f"{digits(found.low_g)} to {digits(found.high_g)} g, a factor of {found.ratio:.1f}: an estimate."
    portion = next((portion for portion in made.portions if portion.tone == line.tone), None)
    if portion is None or portion.grams <= 0:
        return Found(said, None)
    uncoloured = portion.grams - line.grams
    low, high = (pigment_pct(uncoloured, mass) for mass in found)
    least, most = (pigment_pct(uncoloured, mass, "uncoloured") for mass in found)
    middle = pigment_pct(uncoloured, sqrt(found.low_g * found.high_g))
    return Found(
        f"{said} {digits(low)} to {digits(high)} % of {portion.name} with it, "
        f"{digits(least)} to {digits(most)} % on top of it uncoloured.",
        round(middle, 4),
    )


def path_of(design: Design, line: Line) -> str:
    """Path in the design of the dose that a line comes from, or ""."""
    for at, tone in enumerate(design.tones):
        for place, dose in enumerate(tone.doses):
            if tone.id == line.tone and f"pigment:{dose.pigment.id}" == line.item:
                return f"tones.{at}.doses.{place}.pct"
    return ""

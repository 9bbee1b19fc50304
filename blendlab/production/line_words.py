"""Lines and portions of a batch sheet as they are read: grams, ounces, cups."""

from __future__ import annotations

from blendlab import units
from blendlab.batch import Line, Plan, weighing
from blendlab.batch.steps import taken
from blendlab.facts.read import figure
from blendlab.shelf import Scale


def least(scale: Scale) -> tuple[float, float]:
    """Smallest sensible amount on a scale: of an ordinary line, of a protected one [g]."""
    return weighing.least(scale.step_g), weighing.least(scale.step_g, protected=True)


def least_usp41(scale: Scale) -> tuple[float, float]:
    """Smallest amount on a scale by USP <41> [g], and the error it is for [%]."""
    tolerance = figure("batch", "usp41_tolerance").value
    return weighing.least_usp41(scale.step_g, tolerance), tolerance


def grams(value: float, step_g: float) -> str:
    """Grams with as many decimals as the scale shows, thousands with a thin space.

    >>> grams(1976.0, 1), grams(8.4, 0.01)
    ('1\u2009976', '8.40')
    """
    return units.on_scale(value, step_g, "\u2009")


def ounces(value: float, step_g: float) -> str:
    """The same mass in ounces, fine enough for the step of the scale.

    >>> ounces(453.6, 1), ounces(8.42, 0.01)
    ('16.00', '0.2970')
    """
    places = 2 if step_g >= 1 else 3 if step_g >= 0.1 else 4
    return f"{units.convert(value, 'g', 'oz'):,.{places}f}".replace(",", "\u2009")


def cups(made: Plan) -> tuple[tuple[str, str], ...]:
    """Each cup of a batch with its grams, for the label on it."""
    return tuple(
        (cup, f"{grams(sum(line.grams for line in lines), min(line.step_g for line in lines))} g")
        for cup, lines in made.cups.items()
    )


def portion_lines(made: Plan) -> tuple[str, ...]:
    """What is taken of the bowl for each tone, in words."""
    return tuple(
        f"{portion.name}: {taken(portion)} of the bowl"
        + (f" and {portion.scent_g:g} g of the scent" if portion.scent_g else "")
        for portion in made.portions
    )


def line_grams(line: Line, unit: str) -> tuple[str, str]:
    """What stands big and what stands small behind it."""
    if unit == "oz":
        return ounces(line.grams, line.step_g), f"{grams(line.grams, line.step_g)} g"
    return grams(line.grams, line.step_g), ""

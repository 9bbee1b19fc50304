"""Where the grams of a planned batch are meant to go, as rows: Batch and kitchen show the same."""

from __future__ import annotations

from blendlab import units
from blendlab.batch import Plan
from blendlab.batch.allotment import allotment
from blendlab.production import line_words
from blendlab.recipe import Batch
from blendlab.ui.words import batch as say

STEP_G = 0.1
"""Grams are shown so finely that the parts add up to the whole that stands below them."""

FINE = (2, 3, 4)
"""Decimals of the grams of a jar, the fewest that make the whole."""


def rows(made: Plan, asked: Batch) -> list[tuple[str, str]]:
    """Each part with its grams and the source of its figure, then what they make."""
    parts = allotment(made, asked)
    if not parts:
        return []
    shown = units.round_lines([part.grams for part in parts], [STEP_G] * len(parts))
    names = {
        "jars": _jars(made, shown[0]),
        "overfill": say.PART_OVERFILL.format(pct=made.overfill_pct),
        "retained": say.PART_RETAINED,
        "loss": say.PART_LOSS.format(pct=made.loss_pct),
        "rest": say.PART_REST,
    }
    told = [
        (names[part.key], _grams(grams) + (f"; {part.source}" if part.source else ""))
        for part, grams in zip(parts, shown, strict=True)
    ]
    return [*told, (say.PARTS_MAKE, _grams(sum(shown)))]


def _jars(made: Plan, whole_g: float) -> str:
    """What each jar holds, so finely that so many of them make the grams beside it; about, where none do."""
    for places in FINE:
        if round(made.jars * round(made.net_g, places), 1) == round(whole_g, 1):
            return say.PART_JARS.format(jars=made.jars, net=f"{made.net_g:.{places}f}")
    return say.PART_JARS_ABOUT.format(jars=made.jars, net=f"{made.net_g:.{FINE[0]}f}")


def _grams(value: float) -> str:
    return say.WHOLE_GRAMS.format(grams=line_words.grams(value, STEP_G))

"""How much a scent browns a tone: the usual bands by percent of vanillin in the finished portion."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import NamedTuple

from blendlab.errors import Level
from blendlab.facts.read import level, number, table


class VanillinBand(NamedTuple):
    """One band: its bounds [% of the finished portion] in words, how bad, what to expect."""

    bounds: str
    level: Level
    effect: str
    source: str


@cache
def _bands() -> tuple[tuple[float, VanillinBand], ...]:
    rows = table("tint/vanillin_bands")
    starts = [row["from_pct"] for row in rows]
    bounds = [f"<{starts[1]}", *(f"{low}-{high}" for low, high in pairwise(starts[1:])), f">{starts[-1]}"]
    return tuple(
        (number(row, "from_pct"), VanillinBand(words, level(row), row["effect"], row["source"]))
        for row, words in zip(rows, bounds, strict=True)
    )


def vanillin_band(pct: float, worse: int = 0) -> VanillinBand:
    """Band of a percent of vanillin in the finished portion; the last one holds what lies above its edge.

    worse  bands further down, such as 1 for an alkaline base

    >>> vanillin_band(0.06).effect, vanillin_band(0.06, 1).effect
    ('tan expected', 'clear brown expected')
    >>> vanillin_band(0.3).bounds, vanillin_band(0.301).bounds
    ('0.1-0.3', '>0.3')
    """
    bands = _bands()
    *edges, last = (start for start, _ in bands[1:])
    inside = sum(pct >= edge for edge in edges) + (pct > last)
    return bands[min(inside + worse, len(bands) - 1)][1]

"""From what a solver found to what can be typed and weighed, without crossing a limit.

Shares of restricted oils are cut, the rest lies on the oil that is limited least; grams of restricted
oils are only ever rounded down. Rows are checked again in decimals, before and after the scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal

import numpy as np

from blendlab.fragrance.solver import Floats, Space

SHARE_STEP = Decimal("0.01")
LOAD_STEP = Decimal("0.01")
DUST = Decimal("1e-7")
"""What a solver leaves behind the figure, percent of the scent."""


@dataclass(frozen=True)
class Rounded:
    """A blend as it is typed and as it is weighed.

    load_pct    percent of the finished product; shares_pct of the scent, sum 100
    grams       of each oil in the batch, on the step of the scale
    """

    load_pct: float
    shares_pct: tuple[float, ...]
    grams: tuple[float, ...]


def strain(space: Space) -> Floats:
    """How much of its tightest row one gram of each oil uses, shape (n,); 0 = nothing limits it."""
    rows, _ = space.scaled()
    return np.asarray(rows.max(axis=0, initial=0.0).clip(0.0))


def rounded(space: Space, grams: Floats, batch_g: float, step_g: float) -> Rounded | None:
    """A solved blend on steps of 0.01 % and of the scale; None when nothing is left.

    grams  of each oil in 100 g of product, within the space

    >>> from blendlab.fragrance.solver import space
    >>> held = space(1.0, 2, {"a": ([1.0, 0.0], 0.33337)})
    >>> rounded(held, np.array([0.33337, 0.66663]), 500, 0.01).shares_pct
    (33.33, 66.67)
    """
    exact = [Decimal(repr(max(0.0, float(one)))) for one in grams]
    total = sum(exact, Decimal(0))
    if total <= 0:
        return None
    strains = strain(space)
    shares = _shares(exact, total, strains)
    load = (total + Decimal("1e-9")).quantize(LOAD_STEP, ROUND_FLOOR)
    while load > 0:
        grams_ = weighed(load, shares, strains, batch_g, step_g)
        typed = [load * share for share in shares]
        if holds(space, typed, 10_000) and holds(space, grams_, batch_g):
            return Rounded(float(load), tuple(map(float, shares)), tuple(map(float, grams_)))
        load -= LOAD_STEP
    return None


def _shares(exact: Sequence[Decimal], total: Decimal, strains: Floats) -> list[Decimal]:
    """Shares in steps; restricted oils down, the rest on the oil that is limited least."""
    ways = [ROUND_FLOOR if one > 0 else ROUND_HALF_UP for one in strains]
    found = [(100 * one / total).quantize(DUST) for one in exact]
    shares = [one.quantize(SHARE_STEP, way) for one, way in zip(found, ways, strict=True)]
    inside = [one for one in range(len(exact)) if found[one] > 0]
    least = min(inside, key=lambda one: (float(strains[one]), -exact[one]))
    shares[least] += 100 - sum(shares)
    return shares


def weighed(
    load: Decimal, shares: Sequence[Decimal], strains: Floats, batch_g: float, step_g: float
) -> list[Decimal]:
    """Grams on the step of a scale: restricted oils down, the others to the nearest."""
    batch, step = Decimal(repr(float(batch_g))), Decimal(repr(float(step_g)))
    ways = [ROUND_FLOOR if one > 0 else ROUND_HALF_UP for one in strains]
    return [
        (batch * load * share / 10000 / step).quantize(Decimal(1), way) * step
        for share, way in zip(shares, ways, strict=True)
    ]


def holds(space: Space, grams: Sequence[Decimal], batch_g: float) -> bool:
    """Whether grams in a batch keep every row of a space, reckoned in decimals."""
    batch = Decimal(repr(float(batch_g)))
    for factors, most in zip(space.rows, space.most, strict=True):
        used = sum(
            (Decimal(repr(float(one))) * gram for one, gram in zip(factors, grams, strict=True)), Decimal(0)
        )
        if 100 * used / batch > Decimal(repr(float(most))) * (1 + Decimal("1e-12")):
            return False
    return True

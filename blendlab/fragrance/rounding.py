"""From what a solver found to what can be typed and weighed, without crossing a limit.

Shares of restricted oils are cut, a share at its minimum is never, the rest lies on the oil that is
limited least; grams of restricted oils are only ever rounded down. Rows are checked again in decimals,
before and after the scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

import numpy as np

from blendlab.fragrance.space import Floats, Space

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

    >>> from blendlab.fragrance.space import space
    >>> held = space(1.0, 2, {"a": ([1.0, 0.0], 0.33337)})
    >>> rounded(held, np.array([0.33337, 0.66663]), 500, 0.01).shares_pct
    (33.33, 66.67)
    """
    exact = [Decimal(repr(max(0.0, float(gram)))) for gram in grams]
    total = sum(exact, Decimal(0))
    if total <= 0:
        return None
    strains = strain(space)
    shares = _shares(exact, total, strains, least_shares(space))
    load = (total + Decimal("1e-9")).quantize(LOAD_STEP, ROUND_FLOOR)
    while load > 0:
        grams_ = weighed(load, shares, strains, batch_g, step_g)
        typed = [load * share for share in shares]
        if holds(space, typed, 10_000) and holds(space, grams_, batch_g):
            return Rounded(float(load), tuple(map(float, shares)), tuple(map(float, grams_)))
        load -= LOAD_STEP
    return None


def least_shares(space: Space) -> list[Decimal]:
    """Least share of each oil, percent of the scent."""
    total = Decimal(repr(float(space.total)))
    return [(100 * Decimal(repr(float(low))) / total).quantize(DUST) for low in space.low]


def _shares(
    exact: Sequence[Decimal], total: Decimal, strains: Floats, least: Sequence[Decimal]
) -> list[Decimal]:
    """Shares in steps; restricted oils down to their minimum, the rest on the oil that is limited least."""
    found = [(100 * gram / total).quantize(DUST) for gram in exact]
    shares = []
    for share, bound, low in zip(found, strains, least, strict=True):
        cut = share.quantize(SHARE_STEP, ROUND_FLOOR if bound > 0 else ROUND_HALF_UP)
        shares.append(cut if cut >= low else share.quantize(SHARE_STEP, ROUND_CEILING))
    free = [at for at, share in enumerate(found) if share > least[at]] or list(range(len(exact)))
    rest = min(free, key=lambda at: (float(strains[at]), -exact[at]))
    shares[rest] += 100 - sum(shares)
    return shares


def weighed(
    load: Decimal, shares: Sequence[Decimal], strains: Floats, batch_g: float, step_g: float
) -> list[Decimal]:
    """Grams on the step of a scale: restricted oils down, the others to the nearest."""
    batch, step = Decimal(repr(float(batch_g))), Decimal(repr(float(step_g)))
    ways = [ROUND_FLOOR if bound > 0 else ROUND_HALF_UP for bound in strains]
    return [
        (batch * load * share / 10000 / step).quantize(Decimal(1), way) * step
        for share, way in zip(shares, ways, strict=True)
    ]


def holds(space: Space, grams: Sequence[Decimal], batch_g: float) -> bool:
    """Whether grams in a batch keep every row of a space, reckoned in decimals."""
    batch = Decimal(repr(float(batch_g)))
    for factors, most in zip(space.rows, space.most, strict=True):
        used = sum(
            (Decimal(repr(float(factor))) * gram for factor, gram in zip(factors, grams, strict=True)),
            Decimal(0),
        )
        if 100 * used / batch > Decimal(repr(float(most))) * (1 + Decimal("1e-12")):
            return False
    return True

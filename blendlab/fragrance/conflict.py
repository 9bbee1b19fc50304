"""Why no blend meets every row: a smallest set of rows that cannot hold together.

A first linear programme lets every row give a little; the rows that carry a price there cannot hold
together (Farkas' lemma). From these, one row after the other is left out as long as the rest still
cannot hold (deletion filter; Chinneck and Dravnieks 1991). What stays is irreducible.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from blendlab.fragrance.space import Floats, Space

LOAD = "the load"
PRICED = 1e-9


@dataclass(frozen=True)
class Demands:
    """Everything a space asks for, each as one row: factors @ grams <= most.

    names   rows by their names, then "the load", then minimums and maximums of single oils
    """

    factors: Floats
    most: Floats
    names: tuple[str, ...]


def demands(space: Space, oils: Iterable[str] = ()) -> Demands:
    """The rows, the load as "at least", minimums as shares, and the maximums that bind at all."""
    called = [*oils] or [f"oil {at + 1}" for at in range(len(space.low))]
    rows, most = space.scaled()
    eye = np.eye(len(space.low))
    least = np.flatnonzero(space.low > 0)
    capped = np.flatnonzero(space.high < space.total)
    part = space.low[least, None] / space.total
    factors = np.vstack([rows, -np.ones((1, len(eye))) / space.total, part - eye[least], eye[capped]])
    ends = np.concatenate([most, [-1.0], np.zeros(len(least)), space.high[capped]])
    bounds = [*(space.low_names[int(at)] for at in least), *(f"no {called[at]}" for at in capped)]
    return Demands(factors, ends, (*space.names, LOAD, *bounds))


def irreducible(space: Space, oils: Iterable[str] = ()) -> tuple[str, ...]:
    """Names of rows that cannot hold together although any of them could be left out; () = all can.

    oils  names of the oils, for the words of their bounds

    >>> from blendlab.fragrance.space import space
    >>> tight = space(1.0, 2, {"a": ([1.0, 1.0], 0.5), "b": ([1.0, 0.0], 0.9)})
    >>> irreducible(tight)
    ('a', 'the load')
    """
    asked = demands(space, oils)
    price = _prices(asked)
    if price is None:
        return ()
    kept = [int(row) for row in np.flatnonzero(price > PRICED)]
    for row in list(kept):
        rest = [other for other in kept if other != row]
        if _prices(asked, rest) is not None:
            kept = rest
    return tuple(asked.names[row] for row in kept)


def _prices(asked: Demands, only: list[int] | None = None) -> Floats | None:
    """Price of each row in the programme of least giving; None when nothing has to give."""
    from scipy.optimize import linprog

    chosen = list(range(len(asked.names))) if only is None else only
    if not chosen:
        return None
    factors, most = asked.factors[chosen], asked.most[chosen]
    count = factors.shape[1]
    wide = np.hstack([factors, -np.eye(len(chosen))])
    cost = np.concatenate([np.zeros(count), np.ones(len(chosen))])
    found = linprog(cost, A_ub=wide, b_ub=most, bounds=(0, None), method="highs")
    if found.fun < PRICED:
        return None
    prices = np.zeros(len(asked.names))
    prices[chosen] = -found.ineqlin.marginals
    return prices

"""Every row of a blend for the solver: limits that never give, and her own ceilings that may."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from blendlab.fragrance.blend import SHEETS, Blend
from blendlab.fragrance.contents import at_least
from blendlab.fragrance.load import FULL
from blendlab.fragrance.own_caps import bound
from blendlab.fragrance.space import Floats, Space, space

ROOM = 1 - 5e-4
"""Part of every row that a search uses, so that shares in steps of 0.01 % still keep it."""

Rows = dict[str, tuple[Sequence[float], float]]


@dataclass(frozen=True)
class Laid:
    """The space of a blend.

    space   limits, her own ceilings and her least shares, with total = the load asked for
    own     names of her own ceilings
    """

    space: Space
    own: tuple[str, ...]

    def tight(self, total: float) -> Space:
        """The space at another load, with room for rounding in every row."""
        where = self.space.at(total)
        return replace(where, most=where.most * ROOM)

    def loosened(self, name: str, most: float, total: float) -> Space:
        """The tight space with one of her own ceilings at another figure; a limit is never loosened."""
        where = self.tight(total)
        if name not in self.own:
            return where
        ends = where.most.copy()
        ends[where.names.index(name)] = most * ROOM
        return replace(where, most=ends)


def laid(blend: Blend, least: Mapping[str, float]) -> Laid:
    """The rows of a blend; an oil without a usable sheet gets nothing.

    least  id of an oil -> least share, percent of the scent
    """
    limits = [sheet.limit_pct for sheet in blend.sheets]
    free = max(0.0, 1.0 - at_least(blend.used))
    rows: Rows = {SHEETS: ([1.0 / limit if limit else 0.0 for limit in limits], free)}
    for row in blend.constraints:
        if row.pct is not None and row.limiting:
            factors = [at_least(pct) / 100.0 for pct in row.contents_pct]
            name = row.name if row.name not in rows else f"{row.name} ({row.kind})"
            rows[name] = (factors, max(0.0, row.pct - row.base_pct))
    own = _own(blend)
    low = {at: least[oil.id] for at, oil in enumerate(blend.oils) if least.get(oil.id, 0.0) > 0}
    whole = space(
        FULL,
        len(limits),
        {**rows, **own},
        low=low,
        high={at: 0.0 for at, limit in enumerate(limits) if not limit},
        low_names={at: f"At least {pct:g} % {blend.names[at]}" for at, pct in low.items()},
    )
    return Laid(whole.at(blend.load_pct), tuple(own))


def _own(blend: Blend) -> Rows:
    rows: Rows = {}
    for row in blend.house:
        inside = [bound(oil, pct, row.unit) for oil, pct in zip(blend.oils, row.contents_pct, strict=True)]
        rows[row.name] = ([pct / 100.0 for pct in inside], max(0.0, at_least(row.pct) - row.base_pct))
    return rows


def notes_of(blend: Blend, strengths: Mapping[str, float], target: Sequence[float]) -> Floats:
    """Top, middle and base of each oil as its pull away from a target, shape (n, 3).

    Weighted by strength, so that a blend lies on the target when the pulls of its grams add up to 0.
    """
    own = np.array([oil.notes or (0.0, 0.0, 0.0) for oil in blend.oils], float)
    weight = np.array([strengths.get(oil.id, 1.0) for oil in blend.oils], float)
    return np.asarray((own - np.asarray(target, float)) * weight[:, None])

"""Every row of a blend for the solver: limits that never give, and her own ceilings that may."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from blendlab.fragrance.blend import SHEETS, Blend
from blendlab.fragrance.load import FULL
from blendlab.fragrance.own_caps import bound
from blendlab.fragrance.solver import Floats, Space, space

ROOM = 1 - 5e-4
"""Part of every row that a search uses, so that shares in steps of 0.01 % still keep it."""

Rows = dict[str, tuple[Sequence[float], float]]


@dataclass(frozen=True)
class Laid:
    """The space of a blend.

    space   limits and her own ceilings, with total = the load asked for
    own     names of her own rows: her ceilings and least shares
    limits  the same space without her own rows
    """

    space: Space
    own: tuple[str, ...]
    limits: Space

    def tight(self, total: float) -> Space:
        """The space at another load, with room for rounding in every row."""
        where = at(self.space, total)
        return replace(where, most=where.most * ROOM)

    def loosened(self, name: str, most: float, total: float) -> Space:
        """The tight space with one of her own ceilings at another figure; a limit is never loosened."""
        where = self.tight(total)
        if name not in self.own:
            return where
        ends = where.most.copy()
        ends[where.names.index(name)] = most * ROOM
        return replace(where, most=ends)


def at(where: Space, total: float) -> Space:
    """A space at another load; what is barred stays barred."""
    return replace(where, total=total, high=np.where(where.high > 0, total, 0.0))


def laid(blend: Blend, least: Mapping[str, float]) -> Laid:
    """The rows of a blend; an oil without a usable sheet gets nothing.

    least  id of an oil -> least share, percent of the scent
    """
    limits = [sheet.limit_pct or 0.0 for sheet in blend.sheets]
    rows: Rows = {
        SHEETS: ([1.0 / one if one else 0.0 for one in limits], max(0.0, 1.0 - (blend.used or 0.0)))
    }
    for row in blend.constraints:
        if row.pct is not None and row.limit.use.act == "limit":
            factors = [(one or 0.0) / 100.0 for one in row.contents_pct]
            name = row.name if row.name not in rows else f"{row.name} ({row.kind})"
            rows[name] = (factors, max(0.0, row.pct - row.base_pct))
    barred = {position: 0.0 for position, one in enumerate(limits) if not one}
    own = _own(blend, least)
    count = len(limits)
    listed = space(FULL, count, rows, high=barred)
    both = space(FULL, count, {**rows, **own}, high=barred)
    return Laid(at(both, blend.load_pct), tuple(own), at(listed, blend.load_pct))


def _own(blend: Blend, least: Mapping[str, float]) -> Rows:
    rows: Rows = {}
    for row in blend.house:
        inside = [bound(oil, one, row.unit) for oil, one in zip(blend.oils, row.contents_pct, strict=True)]
        rows[row.name] = ([one / 100.0 for one in inside], max(0.0, (row.pct or 0.0) - row.base_pct))
    for position, (oil, name) in enumerate(zip(blend.oils, blend.names, strict=True)):
        if least.get(oil.id, 0.0) > 0:
            part = least[oil.id] / 100.0
            factors = [part - (one == position) for one in range(len(blend.oils))]
            rows[f"At least {least[oil.id]:g} % {name}"] = (factors, 0.0)
    return rows


def notes_of(blend: Blend, strengths: Mapping[str, float], target: Sequence[float]) -> Floats:
    """Top, middle and base of each oil as its pull away from a target, shape (n, 3).

    Weighted by strength, so that a blend lies on the target when the pulls of its grams add up to 0.
    """
    own = np.array([oil.notes or (0.0, 0.0, 0.0) for oil in blend.oils], float)
    weight = np.array([strengths.get(oil.id, 1.0) for oil in blend.oils], float)
    return np.asarray((own - np.asarray(target, float)) * weight[:, None])

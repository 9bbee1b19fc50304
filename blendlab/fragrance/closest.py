"""The nearest blends that keep every limit, her own ceilings and the notes she wishes for.

Scaled down, with few changes, with the change spread out, or nearest to her notes. A limit of law,
of a Standard or of a sheet never gives way; what one of her own ceilings costs is found by solving
once more with it a tenth higher.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

import numpy as np

from blendlab.fragrance.blend import Blend, lay_out
from blendlab.fragrance.conflict import irreducible
from blendlab.fragrance.contents import at_least
from blendlab.fragrance.notes import Balance, balance
from blendlab.fragrance.proposals import Change, Closest, Proposal, Relaxed, Way
from blendlab.fragrance.relaxation import explain
from blendlab.fragrance.rounding import Rounded, rounded, strain, weighed
from blendlab.fragrance.solver import (
    Nearest,
    NoBlend,
    highest_total,
    nearest_even,
    nearest_few,
    nearest_notes,
    scale_down,
)
from blendlab.fragrance.solver_rows import Laid, laid, notes_of
from blendlab.fragrance.space import Floats, Space
from blendlab.fragrance.thresholds import keeps
from blendlab.recipe import OilShare, Scent
from blendlab.shelf import Base, Oil
from blendlab.units import floored

MOVED_PCT = 0.005
MORE = 1.1
"""How much higher one of her own ceilings is tried."""
NEAR = 0.005
"""Notes within half a point of the wish are on it."""


def closest(
    scent: Scent,
    oils: Sequence[Oil],
    base: Base,
    product: str,
    market: str,
    on: date,
    batch_g: float = 1000.0,
    step_g: float = 0.01,
) -> Closest:
    """Nearest blends of the same oils that keep every limit and what `scent` wishes for.

    Arguments and errors as `check`; besides
    batch_g  mass of the batch; step_g: step of the scale the oils are weighed on

    >>> from blendlab.facts.library import demo_oils
    >>> white = Base(id="w", name="White", product="body_butter", k0=(0.0,) * 31, s0=(1.0,) * 31,
    ...     known="estimate", basis="", ref_overrun_pct=100, density_mix_g_ml=1.0, own_fragrance_pct=0)
    >>> oils = [oil for oil in demo_oils() if oil.id in ("lavender", "fresh-citrus-accord")]
    >>> shares = tuple(OilShare(oil=oil.ref, share_pct=50) for oil in oils)
    >>> wish = Scent(load_pct=12, oils=shares)
    >>> found = closest(wish, oils, white, "body_butter", "EU", date(2026, 11, 25))
    >>> [(proposal.way, proposal.scent.load_pct) for proposal in found.proposals]
    [('scale', 8.68), ('few', 12.0)]
    """
    blend = lay_out(scent, oils, base, product, on)
    left_out = {
        name: sheet.text for name, sheet in zip(blend.names, blend.sheets, strict=True) if not sheet.limit_pct
    }
    if fits(scent, blend):
        return Closest(True, (), left_out)
    if not blend.oils or blend.used is None or blend.used >= 1 or scent.load_pct <= 0:
        return Closest(False, (), left_out)
    search = _Search(scent, blend, laid(blend, scent.caps.least), batch_g, step_g)
    conflict, needs = search.conflict()
    return Closest(False, tuple(search.proposals()), left_out, conflict, needs)


def fits(scent: Scent, blend: Blend) -> bool:
    """Whether a blend keeps its limits, her own ceilings and her notes as it is."""
    ceiling, _ = blend.most()
    if ceiling is None or not keeps(scent.load_pct, ceiling):
        return False
    if not laid(blend, scent.caps.least).space.holds(np.array(blend.grams(scent.load_pct))):
        return False
    return scent.wish is None or _distance(scent, blend, blend.shares) <= NEAR


def _strengths(scent: Scent) -> Mapping[str, float]:
    return scent.strengths if scent.wish_by == "odour" else {}


def _balance(scent: Scent, blend: Blend, shares: Sequence[float]) -> Balance:
    strong = {
        name: _strengths(scent).get(oil.id, 1.0) for name, oil in zip(blend.names, blend.oils, strict=True)
    }
    notes = {name: oil.notes for name, oil in zip(blend.names, blend.oils, strict=True)}
    return balance(dict(zip(blend.names, shares, strict=True)), notes, strong)


def _distance(scent: Scent, blend: Blend, shares: Sequence[float]) -> float:
    """Largest miss of a note, as a share."""
    got = _balance(scent, blend, shares)
    wish = scent.wish or (got.top, got.middle, got.base)
    return max(abs(part - want) for part, want in zip((got.top, got.middle, got.base), wish, strict=True))


@dataclass(frozen=True)
class _Search:
    """One search: the wish, its rows, and what a batch and a scale can show."""

    scent: Scent
    blend: Blend
    laid: Laid
    batch_g: float
    step_g: float

    def conflict(self) -> tuple[tuple[str, ...], Mapping[str, float]]:
        """Rows in each other's way at the load asked for, and what her own would have to be."""
        where = self.laid.space
        found = irreducible(where, self.blend.names)
        return found, {**self._ceilings_needed(), **self._minimums_left()} if found else {}

    def _ceilings_needed(self) -> dict[str, float]:
        """What her ceilings would have to be, if nothing else of hers gave way."""
        brought = {row.name: row.base_pct for row in self.blend.house}
        try:
            needs = explain(self.laid.space, list(brought)).rows
        except NoBlend:
            return {}
        return {name: most + brought[name] for name, most in needs.items()}

    def _minimums_left(self) -> dict[str, float]:
        """What her least shares would have to be, percent of the scent, if nothing else gave way."""
        where = self.laid.space
        try:
            lows = explain(where, loose_lows=True).lows
        except NoBlend:
            return {}
        return {where.low_names[at]: 100 * grams / where.total for at, grams in lows.items()}

    def proposals(self) -> list[Proposal]:
        """Every way that ends in a blend, without doubles."""
        made = [self._scaled()]
        load = min(self.scent.load_pct, floored(highest_total(self.laid.tight(self.scent.load_pct))))
        ways: list[tuple[Way, Callable[[Space], Nearest]]] = [
            ("few", lambda where: nearest_few(where, self._wish(where.total))),
            ("even", lambda where: nearest_even(where, self._wish(where.total))),
        ]
        if wished := self.scent.wish:
            ways.insert(0, ("notes", lambda where: self._by_notes(where, wished)))
        made += [self._solved(way, solve, load) for way, solve in ways if load > 0]
        seen: dict[object, Proposal] = {}
        for proposal in made:
            if proposal is not None:
                scent = proposal.scent
                key = scent.load_pct, tuple(share.share_pct for share in scent.oils)
                seen.setdefault(key, proposal)
        return list(seen.values())

    def _wish(self, total: float) -> list[float]:
        return self.blend.grams(total)

    def _by_notes(self, where: Space, wished: Sequence[float]) -> Nearest:
        pull = notes_of(self.blend, _strengths(self.scent), wished)
        return nearest_notes(where, pull, (0.0, 0.0, 0.0), self._wish(where.total))

    def _scaled(self) -> Proposal | None:
        """All shares kept at the highest load that her rows and every limit allow."""
        wish = np.array(self._wish(self.scent.load_pct))
        load = floored(scale_down(self.laid.space, list(wish)))
        if load <= 0:
            return None
        exact = Rounded(load, tuple(100 * share for share in self.blend.shares), self._weighed(load))
        binding = self.laid.space.binding(wish * (scale_down(self.laid.space, list(wish)) / wish.sum()))
        made = self._proposal("scale", exact, binding)
        return replace(made, scent=replace(self.scent, load_pct=load), changes=(), largest_pct=0.0)

    def _weighed(self, load: float) -> tuple[float, ...]:
        """Grams of the shares as they are."""
        shares = [Decimal(repr(100 * share)) for share in self.blend.shares]
        strains = strain(self.laid.space)
        found = weighed(Decimal(repr(load)), shares, strains, self.batch_g, self.step_g)
        return tuple(float(gram) for gram in found)

    def _solved(self, way: Way, solve: Callable[[Space], Nearest], load: float) -> Proposal | None:
        try:
            answer = solve(self.laid.tight(load))
        except NoBlend:
            return None
        made = rounded(self.laid.space.at(load), answer.grams, self.batch_g, self.step_g)
        if made is None:
            return None
        proposal = self._proposal(way, made, answer.binding)
        return replace(proposal, relaxed=self._relaxed(way, solve, answer.grams, load, answer.binding))

    def _relaxed(
        self, way: Way, solve: Callable[[Space], Nearest], grams: Floats, load: float, binding: Sequence[str]
    ) -> tuple[Relaxed, ...]:
        """What a tenth more of each ceiling of hers that binds would bring."""
        own = {row.name: row for row in self.blend.house}
        lowered = load < self.scent.load_pct * (1 - 1e-6)
        found = []
        for name in (row for row in binding if row in own):
            most = at_least(own[name].pct)
            wider = self.laid.loosened(name, most * MORE - own[name].base_pct, load)
            if lowered:
                what, before = "load", load
                after = min(self.scent.load_pct, highest_total(wider))
            else:
                what = "distance to the wished notes" if way == "notes" else "largest change"
                before = self._moved(way, grams, load)
                after = self._moved(way, solve(wider).grams, load)
            found.append(Relaxed(name, most, most * MORE, own[name].unit, what, before, after))
        return tuple(found)

    def _moved(self, way: Way, grams: Floats, load: float) -> float:
        """Points by which a blend misses what this way looks for."""
        shares = [float(gram) / load for gram in grams]
        if way == "notes":
            return 100 * _distance(self.scent, self.blend, shares)
        return 100 * max(abs(a - b) for a, b in zip(shares, self.blend.shares, strict=True))

    def _proposal(self, way: Way, made: Rounded, binding: tuple[str, ...]) -> Proposal:
        blend = self.blend
        pairs = zip(blend.names, blend.shares, made.shares_pct, strict=True)
        moved = [Change(name, 100 * before, after) for name, before, after in pairs]
        moved = sorted((change for change in moved if change.pct > MOVED_PCT), key=lambda change: -change.pct)
        return Proposal(
            way=way,
            scent=replace(
                self.scent,
                load_pct=made.load_pct,
                oils=tuple(
                    OilShare(oil=oil.ref, share_pct=share)
                    for oil, share in zip(blend.oils, made.shares_pct, strict=True)
                ),
            ),
            grams=dict(zip(blend.names, made.grams, strict=True)),
            changes=tuple(moved),
            largest_pct=moved[0].pct if moved else 0.0,
            binding=binding,
            notes=_balance(self.scent, blend, [share / 100 for share in made.shares_pct]),
        )

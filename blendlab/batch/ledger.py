"""One account per preservative active, over base, top-up, scent and everything stirred in.

Names are INCI in small letters; salts of an acid count as the acid. Percents of two different
blends are never added.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from blendlab.batch.preservative import acid_equivalent, undissociated
from blendlab.codec import Noun
from blendlab.facts.preservatives import acids, active_limits
from blendlab.fragrance.contents import high_pct
from blendlab.shelf import Base, Ingredient, Oil, Resolved


def counted(name: str, pct: float) -> tuple[str, float]:
    """The active that a component counts as, and its percent as that.

    >>> counted("Sodium Benzoate", 1.0)[0], round(counted("Sodium Benzoate", 1.0)[1], 4)
    ('benzoic acid', 0.8474)
    """
    acid = acids().get(name.lower())
    if acid is None:
        return name.lower(), pct
    return acid.acid.lower(), acid_equivalent(pct, acid.g_mol_acid, acid.g_mol_salt)


def of_ingredient(ingredient: Ingredient) -> dict[str, float]:
    """Highest percent of each active in a raw material."""
    found: dict[str, float] = {}
    for part in ingredient.components:
        name, pct = counted(part.inci, part.high_pct)
        found[name] = found.get(name, 0.0) + pct
    return found


def of_base(base: Base) -> dict[str, float]:
    """Percent of each active that a base declares."""
    found: dict[str, float] = {}
    for own, declared in base.actives.items():
        name, pct = counted(own, declared)
        found[name] = found.get(name, 0.0) + pct
    return found


def of_scent(cas: str, oils: Iterable[tuple[Oil, float]]) -> float | None:
    """Highest percent of an active from oils with their shares (0 to 1); None when one oil cannot say."""
    total = 0.0
    for oil, share in ((oil, share) for oil, share in oils if share > 0):
        inside = high_pct(oil, {cas})
        if inside is None:
            return None
        total += share * inside
    return total


class Held(NamedTuple):
    """How a percent of a preservative in a base is known, and low and high where it is.

    known  whether there is a figure to size a top-up on; without one low and high are 0
    """

    how: str
    known: bool = False
    low: float = 0.0
    high: float = 0.0


def held(base: Base, preservative: Ingredient) -> Held:
    """How much of a preservative a base already holds: as declared, else by its actives.

    A base that was preserved with something else holds none that can be added up.
    """
    other = base.preservative is not None and base.preservative.id != preservative.id
    if other:
        return Held("other")
    if base.preservative_pct is not None:
        return Held("declared", True, *base.preservative_pct)
    actives, parts = of_base(base), of_ingredient(preservative)
    ratios = [100 * actives[name] / part for name, part in parts.items() if part > 0 and name in actives]
    if not ratios:
        return Held("unknown")
    return Held("actives", True, min(ratios), max(ratios))


def choose(resolved: Resolved) -> Ingredient | None:
    """The preservative to top up with: hers, else the one of the base, else the one its actives name."""
    if resolved.preservative is not None:
        return resolved.preservative
    if resolved.base.preservative is not None:
        return resolved.base_kept_by
    actives = of_base(resolved.base)
    known: Iterable[Ingredient] = resolved.shelf.of("ingredient")
    keepers = (ingredient for ingredient in known if ingredient.function == "preservative")
    named = (keeper for keeper in keepers if any(name in actives for name in of_ingredient(keeper)))
    return next(named, None)


@dataclass(frozen=True)
class Active(Noun):
    """One active in one tone: its percent of the finished product, its limit, where that comes from."""

    name: str
    tone: str
    pct: float
    limit_pct: float
    source: str

    @property
    def within(self) -> bool:
        """Whether it keeps its limit."""
        return self.pct <= self.limit_pct * (1 + 1e-12)


def limits(kind: str) -> dict[str, float]:
    """Limits of all listed actives for a kind of product: name -> percent."""
    return {name: limit.pct for name, limit in active_limits(kind).items()}


def free_acid(base: Base, preservative: Ingredient) -> dict[str, float]:
    """Share of each acid of a preservative that is not split at the pH of the base; empty without pH."""
    if base.pH is None:
        return {}
    by_acid = {acid.acid.lower(): acid.pka for acid in acids().values()}
    return {
        name: undissociated(base.pH, by_acid[name]) for name in of_ingredient(preservative) if name in by_acid
    }

"""A base as its lots are known: one lot, or several by weight in one bowl."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any, TypeVar

from blendlab.batch import ledger
from blendlab.recipe import Ref
from blendlab.shelf import Base, Ingredient, Shelf
from blendlab.store import LotLine

Part = tuple[LotLine, float]
"""A lot and the grams that are taken of it."""
Range = tuple[float, float]
Said = TypeVar("Said", float, date)
ALIKE_PCT = 0.005
"""Percent of preservative by which two bases may differ and still ask for the same top-up."""
LONGEST_CODE = 40
"""Letters of a lot's code that a base has room for."""


def of_lot(base: Base, line: LotLine, shelf: Shelf) -> Base:
    """A base as one lot of it is known: preservative, dates, weighed density, pH, own fragrance.

    What the lot does not say is as the base says, but for its dates: they are never those of another.
    """
    said, kept_by = line.data, line.data.get("kept_by")
    change: dict[str, Any] = {
        "lot": line.lot.code[:LONGEST_CODE],
        "opened_on": line.lot.opened,
        "best_before": line.lot.expiry,
    }
    if kept_by:
        change["preservative"] = Ref(kind="ingredient", id=kept_by)
    if isinstance(said.get("preservative_pct"), list):
        low, high = sorted(float(pct) for pct in said["preservative_pct"])
        change["preservative_pct"] = (low, high)
        change["actives"] = _actives(base, replace(base, **change), high, shelf)
    elif said.get("preservative_pct") == "unknown":
        change |= {"preservative_pct": None, "actives": {}}
    for key in ("pH", "density_whipped_g_ml", "add_below_c", "own_fragrance_pct"):
        if isinstance(said.get(key), int | float):
            change[key] = float(said[key])
    return replace(base, **change)


def _actives(base: Base, lot: Base, kept_pct: float, shelf: Shelf) -> dict[str, float]:
    """Actives of a lot that holds a percent of its preservative; those of the base's own are not in it."""
    keeper = _keeper(lot, shelf)
    if keeper is None:
        return dict(base.actives)
    parts, own = ledger.of_ingredient(keeper), _keeper(base, shelf)
    gone = parts.keys() | (ledger.of_ingredient(own).keys() if own is not None else set())
    others = {name: pct for name, pct in base.actives.items() if ledger.counted(name, pct)[0] not in gone}
    return {**others, **{name: part * kept_pct / 100 for name, part in parts.items()}}


def _keeper(base: Base, shelf: Shelf) -> Ingredient | None:
    kept_by = base.preservative
    return shelf.find(kept_by) if kept_by is not None and shelf.has(kept_by) else None


def mixed(base: Base, parts: Sequence[Part], shelf: Shelf) -> Base:
    """A base as the lots in one bowl make it; what one of them does not say is not known of the mix.

    parts  lots with their grams, one at least

    Percents add up by weight, foams by volume; dates and heats are those of the most delicate lot. The
    pH of a mix is not the mean of two: where they differ it is not known until it is measured.
    """
    lots, grams = [of_lot(base, line, shelf) for line, _ in parts], [mass for _, mass in parts]
    whole = sum(grams)
    first = lots[0]
    if len(lots) == 1 or whole <= 0:
        return first
    shares = [mass / whole for mass in grams]
    foams = [lot.density_whipped_g_ml for lot in lots]
    volume = _mean(shares, [None if foam is None else 1 / foam for foam in foams])
    change: dict[str, Any] = {
        "lot": " + ".join(lot.lot for lot in lots)[:LONGEST_CODE],
        "pH": first.pH if len({lot.pH for lot in lots}) == 1 else None,
        "density_whipped_g_ml": None if volume is None else 1 / volume,
        "own_fragrance_pct": _mean(shares, [lot.own_fragrance_pct for lot in lots]),
        "add_below_c": min(_there(lots, lambda lot: lot.add_below_c), default=None),
        "opened_on": min(_there(lots, lambda lot: lot.opened_on), default=None),
        "best_before": min(_there(lots, lambda lot: lot.best_before), default=None),
    }
    return replace(first, **change, **_preserved(lots, shares, shelf))


def _preserved(lots: Sequence[Base], shares: Sequence[float], shelf: Shelf) -> dict[str, Any]:
    """Preservative and actives of a mix; percents of two preservatives do not add up."""
    said = [(lot.preservative, lot.preservative_pct, lot.actives) for lot in lots]
    if all(each == said[0] for each in said):
        return {}
    known = [held(lot, shelf) for lot in lots]
    alike = len({lot.preservative and lot.preservative.id for lot in lots}) == 1
    ranges = [each for each in known if each is not None]
    if not alike or len(ranges) < len(lots):
        return {"preservative_pct": None, "actives": {}}
    names = {name for lot in lots for name in lot.actives}
    actives = {name: _sum(shares, [lot.actives.get(name, 0.0) for lot in lots]) for name in names}
    low, high = (_sum(shares, [each[end] for each in ranges]) for end in (0, 1))
    return {"preservative_pct": (low, high), "actives": actives}


def held(lot: Base, shelf: Shelf) -> Range | None:
    """Low and high percent of the preservative in a lot, declared or by its actives; None = not known."""
    if lot.preservative_pct is not None:
        return lot.preservative_pct
    keeper = _keeper(lot, shelf)
    found = ledger.held(lot, keeper) if keeper is not None else None
    return (found.low, found.high) if found is not None and found.known else None


def _sum(shares: Sequence[float], figures: Sequence[float]) -> float:
    return sum(share * figure for share, figure in zip(shares, figures, strict=True))


def _mean(shares: Sequence[float], figures: Sequence[float | None]) -> float | None:
    """The mean by shares, or None where one of the figures is not known."""
    known = [figure for figure in figures if figure is not None]
    return _sum(shares, known) if len(known) == len(figures) else None


def _there(lots: Sequence[Base], read: Callable[[Base], Said | None]) -> list[Said]:
    return [said for lot in lots if (said := read(lot)) is not None]

"""Single questions to the limits: what law allows on a day, what is prohibited, rows for a solver."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from blendlab.facts.law import laws
from blendlab.facts.products import product
from blendlab.facts.standards import standards
from blendlab.fragrance.blend import SHEETS
from blendlab.fragrance.load import FULL
from blendlab.fragrance.sheets import State
from blendlab.fragrance.solver import Space, space


def law_on(cas: str, scope: str, on: date) -> float | None:
    """Smallest figure of EU law for a substance and one scope on a day, % of the finished product.

    None = law has no figure for it.

    >>> law_on("6259-76-3", "rinse_off", date(2026, 6, 1)), law_on("6259-76-3", "rinse_off", date(2026, 4, 1))
    (0.5, None)
    """
    figures = [
        one.pct
        for one in laws(frozenset({scope}), on)
        if cas in one.cas and one.pct is not None and one.use.act == "limit"
    ]
    return min(figures, default=None)


def prohibited(cas: str, kind: str = "whipped_soap", on: date = date.max) -> bool:
    """Whether law or a Standard rules a substance out as a fragrance ingredient.

    >>> prohibited("80-54-6"), prohibited("78-70-6")
    (True, False)
    """
    of = product(kind)
    rows = (*laws(of.scopes, on), *standards(of.category))
    return any(cas in one.cas and one.pct == 0 and one.use.act == "limit" for one in rows)


def prohibited_state(cas: str, content_pct: float | None) -> State:
    """State of an oil by its content of one substance: any content of a prohibited one stops.

    A trace without a figure is a question for the assessor, never a pass.

    >>> prohibited_state("80-54-6", 0.0001), prohibited_state("80-54-6", None)
    ('stop', 'caution')
    """
    if not prohibited(cas):
        return "use"
    if content_pct is None:
        return "caution"
    return "stop" if content_pct > 0 else "use"


def space_of(
    oils: Sequence[str],
    load_pct: float,
    contents_pct: Mapping[str, Sequence[float]],
    caps_pct: Mapping[str, float],
    sheets_pct: Sequence[float] | None = None,
    least_g: Mapping[str, float] | None = None,
) -> Space:
    """Space of blends from contents and caps by substance, sheets by oil and least grams by oil.

    contents_pct  substance -> percent of each oil
    caps_pct      substance -> percent of the finished product
    sheets_pct    sheet limit of each oil; their used fractions add up to at most 1

    >>> space_of(["A", "B"], 1.0, {"eugenol": [0.0, 6.6]}, {"eugenol": 0.02}, [100, 4.91]).names
    ('eugenol', 'All sheets together')
    """
    rows: dict[str, tuple[Sequence[float], float]] = {
        name: ([one / 100.0 for one in contents_pct[name]], cap) for name, cap in caps_pct.items()
    }
    high: dict[int, float] = {}
    if sheets_pct is not None:
        rows[SHEETS] = ([1.0 / one if one > 0 else 0.0 for one in sheets_pct], 1.0)
        high = {position: min(FULL, one) for position, one in enumerate(sheets_pct)}
    low = {oils.index(name): grams for name, grams in (least_g or {}).items()}
    return space(load_pct, len(oils), rows, low, high)

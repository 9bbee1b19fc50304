"""A highest percent on skin, and what the engine does with one.

Every word of the column `engine_use` is defined here and nowhere else: `ENGINE_USE`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from blendlab.facts.read import Row

Act = Literal["limit", "ask", "material", "advice", "nothing"]


@dataclass(frozen=True)
class EngineUse:
    """What one word of `engine_use` does.

    act       "limit" lowers a ceiling; "ask" is a restriction without a figure here, shown as not
              checked; "material" concerns the raw material; "advice" gives a caution; "nothing"
    verified  the figure was read in its source and is not known to be replaced
    shown     how a screen says it
    """

    act: Act
    verified: bool
    shown: str


ENGINE_USE: dict[str, EngineUse] = {
    "block": EngineUse("limit", True, "listed"),
    "block_if_no_newer": EngineUse("limit", False, "listed; a later revision exists and was not read"),
    "apply_unverified": EngineUse("limit", False, "unverified"),
    "ask_certificate": EngineUse("ask", False, "no figure here; the supplier's sheet answers"),
    "raw_material_check": EngineUse("material", True, "a rule for the raw material"),
    "advice": EngineUse("advice", True, "advice, not law"),
    "info": EngineUse("nothing", False, "for reading only"),
    "no_limit": EngineUse("nothing", True, "no restriction for this use"),
}


@dataclass(frozen=True)
class Limit:
    """One highest percent of a substance, a sum of substances or an oil in the finished product.

    kind   "standard" (IFRA) or "law"
    cas    all registry numbers that are summed
    pct    % of the finished product; 0 = prohibited; None = no figure here
    scope  category or words of the law
    photo  limit of a phototoxic oil: it counts in the sum rule, not by itself
    """

    name: str
    kind: Literal["standard", "law"]
    cas: tuple[str, ...]
    pct: float | None
    use: EngineUse
    scope: str
    source: str
    checked_on: str
    photo: bool = False


def use_of(row: Row) -> EngineUse:
    """Meaning of the word in a row's `engine_use`; an unknown word is refused.

    Raises BadFacts.
    """
    word = row["engine_use"]
    if word not in ENGINE_USE:
        raise row.bad(f'engine_use is "{word}"; one of {", ".join(ENGINE_USE)}')
    return ENGINE_USE[word]


def split(cell: str) -> tuple[str, ...]:
    """Entries of a cell that holds several, separated by semicolons.

    >>> split("78-70-6; 126-90-9;")
    ('78-70-6', '126-90-9')
    """
    return tuple(entry.strip() for entry in cell.split(";") if entry.strip())

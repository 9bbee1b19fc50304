"""What an oil holds, as far as it is known: the highest percent of a substance or of a group.

The high bound is the lot's analysis, else the declared maximum, else the library maximum; never a
typical value times a factor. What nobody has looked for is unknown, never 0.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from math import fsum

from blendlab.facts.allergens import by_cas
from blendlab.facts.law import laws, plant_parts
from blendlab.facts.standards import standards
from blendlab.fragrance.registry_numbers import names
from blendlab.shelf import Base, Oil

WHOLE = 100.0


def high_pct(oil: Oil, cas: Collection[str]) -> float | None:
    """Highest percent of the oil that a substance, or the sum of a group, can reach; None = unknown.

    cas  every registry number that belongs to it

    A figure declared as "<x" counts as x. A complete declaration answers for what it does not list,
    as far as its list of names reaches. An oil whose own number is in `cas` counts whole.

    >>> from blendlab.facts.library import oil
    >>> high_pct(oil("EO01"), {"78-70-6"}), high_pct(oil("EO01"), {"93-15-2"})
    (45.0, None)
    """
    if oil.cas and oil.cas in cas:
        return WHOLE
    analysed = [part.high for key, part in oil.constituents.items() if key in cas]
    if oil.analysed and analysed:
        return min(WHOLE, fsum(analysed))
    rows = oil.declaration.rows if oil.declaration else {}
    declared = [row.pct for key, row in rows.items() if key in cas]
    if declared:
        return min(WHOLE, fsum(declared))
    if analysed:
        return min(WHOLE, fsum(analysed))
    return 0.0 if _answers(oil, cas) else None


def _answers(oil: Oil, cas: Collection[str]) -> bool:
    """Whether a complete declaration speaks for what it leaves out."""
    names = [by_cas().get(key) for key in cas]
    return bool(names) and all(name is not None and looked_for(oil, name.old) for name in names)


def looked_for(oil: Oil, old: bool) -> bool:
    """Whether a complete declaration covers a name of the list, by whether the name is an old one."""
    said = oil.declaration
    return said is not None and said.complete and (old or said.names == "new81")


def at_least(pct: float | None) -> float:
    """What is known of a content: nothing of one that is not known.

    >>> at_least(4.0), at_least(None)
    (4.0, 0.0)
    """
    return pct or 0.0


def prohibited(cas: str) -> bool:
    """Whether law or a Standard rules a substance out of everything for the skin.

    >>> prohibited("80-54-6"), prohibited("78-70-6")
    (True, False)
    """
    rows = (*laws(frozenset({"rinse_off", "leave_on"}), date.max), *standards("9"))
    return any(cas in limit.cas and limit.pct == 0 and limit.use.act == "limit" for limit in rows)


def phototoxic(oil: Oil) -> bool:
    """Whether an oil counts in the phototoxic sum: yes unless its part of the plant says otherwise.

    Distilled and furocoumarin-free peel oils do not count; a part that is not known does.
    """
    return plant_parts().get(oil.plant_part, True)


def in_base(base: Base) -> dict[str, float]:
    """CAS -> highest percent of what the base brings, the actives of its preservative among it.

    An active whose name stands in the contents already, by whichever of its numbers, is not counted twice.
    """
    found = dict(base.contents)
    for name, pct in base.actives.items():
        cas = names().get(name.lower(), "")
        listed = by_cas().get(cas)
        if cas and found.keys().isdisjoint(listed.cas if listed else {cas}):
            found[cas] = pct
    return found


def known_pct(oil: Oil) -> float:
    """Share of the oil whose make-up is known, percent: sum of typical contents, at most 100."""
    return min(WHOLE, fsum(part.typical for part in oil.constituents.values()))

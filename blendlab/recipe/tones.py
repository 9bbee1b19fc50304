"""Tones of a design: room for one more, shares that make a total, a free id, names told apart."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import count

from blendlab.recipe.design import Design

LONGEST = 60
"""Letters of a name."""


@dataclass(frozen=True)
class Room:
    """Share of a new tone, and what the others keep [% by weight of the jar]."""

    new: float
    others: Mapping[str, float]


def room_for_a_tone(design: Design) -> Room:
    """Shares after one more tone comes in: an equal part for it, the others in proportion.

    >>> from blendlab.recipe import Ref, Tone
    >>> pair = (Tone(id="a", name="a", share_pct=60), Tone(id="b", name="b", share_pct=40))
    >>> jar, base = Ref(kind="jar", id="j"), Ref(kind="base", id="b")
    >>> room = room_for_a_tone(Design(id="d", name="d", product="p", tones=pair, jar=jar, base=base))
    >>> room.new, room.others["a"]
    (33.33, 40.0)
    """
    new = round(100 / (len(design.tones) + 1), 2)
    return Room(new, shared_out({tone.id: tone.share_pct for tone in design.tones}, 100 - new))


def shared_out(shares: Mapping[str, float], total: float) -> dict[str, float]:
    """Shares in proportion that make `total`, to 0.01; the last takes what rounding leaves."""
    whole = sum(shares.values())
    kept = {
        key: round(total * (share / whole if whole else 1 / len(shares)), 2) for key, share in shares.items()
    }
    if kept:
        last = list(kept)[-1]
        kept[last] = round(total - sum(share for key, share in kept.items() if key != last), 2)
    return kept


def free_tone_id(design: Design) -> str:
    """An id that no tone of the design has."""
    ids = {tone.id for tone in design.tones}
    return next(free for number in range(len(ids) + 1) if (free := f"tone-{number + 1}") not in ids)


def free_name(name: str, taken: Iterable[str]) -> str:
    """The name, numbered where it is taken already, however its letters are written.

    >>> free_name("White", ["white", "Cream"]), free_name("Sand", ["White"])
    ('White 2', 'Sand')
    """
    held = {other.casefold() for other in taken}
    ends = ("" if number == 1 else f" {number}" for number in count(1))
    numbered = (f"{name[: LONGEST - len(end)]}{end}" for end in ends)
    return next(free for free in numbered if free.casefold() not in held)


def names(design: Design) -> dict[str, str]:
    """Name of each tone by its id, wherever it is named: of two that read alike the second is numbered."""
    found: dict[str, str] = {}
    for tone in design.tones:
        found[tone.id] = free_name(tone.name, found.values())
    return found

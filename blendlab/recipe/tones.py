"""Tones of a design: room for one more, shares that make a total, a free id."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from blendlab.recipe.design import Design


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

"""Every topic of the reference rows, each a thin adapter onto the real function of its room.

An adapter translates keys; it computes nothing. `NOT_BUILT` names the topics whose function does
not exist yet, with the room it belongs to; a row of such a topic is reported, never skipped in silence.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.adapters import batch, colour, fragrance, jar

if TYPE_CHECKING:
    from collections.abc import Callable

TOPICS: dict[str, Callable[[dict], dict]] = {
    **colour.TOPICS,
    **jar.TOPICS,
    **fragrance.TOPICS,
    **batch.TOPICS,
}
NOT_BUILT: dict[str, str] = {
    **colour.NOT_BUILT,
    **jar.NOT_BUILT,
    **fragrance.NOT_BUILT,
    **batch.NOT_BUILT,
}

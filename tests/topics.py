"""Every topic of the reference rows, each a thin adapter onto the real function of its room.

An adapter translates keys; it computes nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.adapters import afterwards, batch, colour, fragrance, jar

if TYPE_CHECKING:
    from collections.abc import Callable

TOPICS: dict[str, Callable[[dict], dict]] = {
    **colour.TOPICS,
    **jar.TOPICS,
    **fragrance.TOPICS,
    **batch.TOPICS,
    **afterwards.TOPICS,
}

"""What a backup holds of prices, without bringing it in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from blendlab.codec import object_in
from blendlab.errors import BlendlabError
from blendlab.shelf import Item, item_from_dict
from blendlab.shelf.item import PRICES
from blendlab.store import archive, settings
from blendlab.store.bring_in import PLACES


@dataclass(frozen=True)
class PackedPrices:
    """Prices on the shelf of a backup: things that have one, that have none, that cannot be read.

    currency  of the settings in it; "" = they cannot be read
    """

    priced: int
    without: int
    unread: int
    currency: str


def prices_in(path: Path) -> PackedPrices:
    """Look at every thing on the shelf of a backup and at its settings.

    Raises BadDocument for what is no backup, NewerFormat for one of a later version.
    """
    counts: dict[bool | None, int] = {True: 0, False: 0, None: 0}
    with archive.opened(path) as packed:
        for name in packed.names:
            if PLACES["shelf"].fullmatch(name):
                counts[_has_price(PurePosixPath(name).parts[1], packed.read(name))] += 1
        known = packed.read(settings.NAME) if settings.NAME in packed.names else b"{}"
    return PackedPrices(counts[True], counts[False], counts[None], _currency(known))


def _has_price(kind: str, data: bytes) -> bool | None:
    """Whether a thing has a price; None where it cannot be read."""
    try:
        item: Item = item_from_dict(kind, object_in(kind, data))
    except BlendlabError:
        return None
    return any(getattr(item, name, None) is not None for name in PRICES)


def _currency(data: bytes) -> str:
    try:
        return settings.currency_in(data)
    except BlendlabError:
        return ""

"""A design -> its swatch card as it is kept."""

from __future__ import annotations

from typing import Any

import numpy as np

from blendlab import jar, store
from blendlab.assess import Assessment
from blendlab.errors import LEVELS
from blendlab.shelf import Shelf, embedded, pinned
from blendlab.show.pictures import Picture
from blendlab.show.views import picture

CARD_PX = (840, 720)


PANEL = 184


def card(assessed: Assessment, shelf: Shelf) -> tuple[store.Card, bytes]:
    """The card of a judged design and its picture (PNG)."""
    design = assessed.design
    made = store.Card(design=pinned(design, shelf), embedded=embedded(design, shelf), judged=judged(assessed))
    return made, jar.encode(card_picture(assessed), "png")


def draw_again(folder: store.Folder, assessed: Assessment) -> store.Saved:
    """Save the card of a judged design with a new picture; what it says was judged stays.

    Raises UnknownName, BadDocument, NotSaved, NewerFormat for a card of a later version.
    """
    saved, seen = store.open_card(folder, assessed.design.id)
    return store.save(folder, saved, jar.encode(card_picture(assessed), "png"), seen)


def card_picture(assessed: Assessment) -> Picture:
    """The jar of a card from the front; a plain panel where there is nothing to draw."""
    if assessed.layout is None:
        return np.full((CARD_PX[1], CARD_PX[0], 3), PANEL, np.uint8)
    return picture(assessed, "front", CARD_PX)


def judged(assessed: Assessment) -> dict[str, Any]:
    """What a card keeps of an assessment: plain values only.

    "stock" stands in it where a book was looked at: grams of each thing, digest of its lots.
    """
    market, check = next(iter(assessed.scents.items()), ("", None))
    labels = assessed.labels.get(market)
    lots = {"needs": dict(assessed.plan.needs) if assessed.plan else {}, "lots": assessed.stock}
    return {
        "on": assessed.on.isoformat(),
        "product": assessed.design.product,
        "counts": {level: assessed.count(level) for level in LEVELS},
        "checks": _checks(check),
        "findings": [[finding.level, finding.text] for finding in assessed.findings],
        "tones": [
            {
                "name": each.tone.name,
                "share_pct": each.tone.share_pct,
                "hex": each.seen.hex,
                "lab": [round(float(part), 2) for part in each.seen.lab],
                "known": each.tint.known,
            }
            for each in assessed.tones
        ],
        "oils": [share.oil.id for share in assessed.design.scent.oils],
        "names": [name.name for name in labels.names] if labels else [],
        "market": market,
        "ceiling_pct": check.ceiling_pct if check else None,
        **({"stock": lots} if assessed.stock else {}),
    }


def _checks(check: Any) -> dict[str, Any]:
    if check is None:
        return {}
    counts = check.counts
    return {"checked": counts.checked, "unverified": counts.unverified, "unknown": counts.unknown}

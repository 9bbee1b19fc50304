"""A design -> its swatch card as it is kept."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np

from blendlab import jar, store
from blendlab.assess import Assessment, assess
from blendlab.errors import LEVELS
from blendlab.recipe import Design
from blendlab.shelf import Shelf, embedded, pinned
from blendlab.show.pictures import Picture
from blendlab.show.views import picture

CARD_PX = (840, 720)


PANEL = 184


def card(design: Design, shelf: Shelf, on: date | None = None) -> tuple[store.Card, bytes]:
    """The card of a design and its picture (PNG)."""
    assessed = assess(design, shelf, on)
    made = store.Card(design=pinned(design, shelf), embedded=embedded(design, shelf), judged=judged(assessed))
    return made, jar.encode(card_picture(assessed), "png")


def draw_again(folder: store.Folder, card_id: str) -> store.Saved:
    """Save a card with a new picture of the design as it stands in it.

    Raises UnknownName, BadDocument, NotSaved, NewerFormat for a card of a later version.
    """
    saved, seen = store.open_card(folder, card_id)
    assessed = assess(saved.design, Shelf((), saved.embedded))
    return store.save(folder, saved, jar.encode(card_picture(assessed), "png"), seen)


def card_picture(assessed: Assessment) -> Picture:
    """The jar of a card from the front; a plain panel where there is nothing to draw."""
    if assessed.layout is None:
        return np.full((CARD_PX[1], CARD_PX[0], 3), PANEL, np.uint8)
    return picture(assessed, "front", CARD_PX)


def judged(assessed: Assessment) -> dict[str, Any]:
    """What a card keeps of an assessment: plain values only."""
    market, check = next(iter(assessed.scents.items()), ("", None))
    labels = assessed.labels.get(market)
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
    }


def _checks(check: Any) -> dict[str, Any]:
    if check is None:
        return {}
    counts = check.counts
    return {"checked": counts.checked, "unverified": counts.unverified, "unknown": counts.unknown}

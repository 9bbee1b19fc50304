"""How a batch came out, as rows: kitchen view and Book show the same."""

from __future__ import annotations

from blendlab.production.outcome import Outcome
from blendlab.ui.words import book as say


def rows(came: Outcome) -> list[tuple[str, str]]:
    """Planned, jars, yield, and where every gram went."""
    found = [(say.PLANNED, say.GRAMS.format(grams=came.planned_g))]
    if came.why:
        became = say.BECAME_GRAMS.format(grams=came.became_g, why="; ".join(filter(None, came.why)))
        found.append((say.BECAME, became))
    if came.balance is None:
        return found
    kept, about = came.balance, say.ABOUT if came.balance.estimated else ""
    grams = say.GRAMS.format
    if came.yield_pct is not None:
        found += [
            (say.JARS_WEIGHED, say.JARS_MEAN.format(jars=came.jars, mean=came.mean_g)),
            (say.YIELD, (say.YIELD_OF_IT if came.why else say.YIELD_PCT).format(pct=came.yield_pct)),
        ]
    if kept.base_g:
        found += [
            (say.WENT_IN_POT, grams(grams=kept.in_g)),
            (say.CAME_OUT, grams(grams=kept.base_g)),
            (say.STEAM, grams(grams=kept.steam_g)),
        ]
    else:
        found += [
            (say.WENT_IN, grams(grams=kept.in_g)),
            (say.IN_JARS, about + grams(grams=kept.jars_g)),
            (say.SET_ASIDE, grams(grams=kept.retained_g)),
        ]
    lost, more = (say.LOST, kept.lost_g), (say.MORE_OUT, -kept.lost_g)
    name, rest_g = lost if kept.lost_g >= 0 else more
    return [
        *found,
        (say.LEFT_OVER, grams(grams=kept.left_g)),
        *([(say.SCENT_LEFT, say.SCENT_GRAMS.format(grams=kept.scent_g))] if kept.scent_g else []),
        (name, about + say.LOST_GRAMS.format(grams=rest_g, pct=abs(kept.lost_pct))),
    ]

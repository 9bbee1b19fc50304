"""The tones of a design under every lamp and to every eye, in colours and in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from blendlab.assess import Assessment, ToneJudged
from blendlab.tint import EYES, LAMPS, delta_e_2000, see
from blendlab.tint.inconstancy import adapted_lab


@dataclass(frozen=True)
class Strip:
    """The tones side by side under one lamp or to one eye.

    words   the lamp or the eye
    hexes   of the tones, in the order of the design
    changes CIEDE2000 of each tone from daylight and the usual eye; None for that itself
    least   smallest CIEDE2000 between two tones, and their names; None for one tone
    """

    words: str
    hexes: tuple[str, ...]
    changes: tuple[float, ...] | None
    least: tuple[float, str, str] | None


def lamps(assessed: Assessment) -> tuple[Strip, ...]:
    """One strip for each lamp, daylight first, adapted to the screen."""
    found = []
    for lamp, words in LAMPS.items():
        labs = [adapted_lab(tone.tint.R, lamp) for tone in assessed.tones]
        usual = [adapted_lab(tone.tint.R, "D65") for tone in assessed.tones]
        changes = None if lamp == "D65" else tuple(map(_apart, labs, usual))
        hexes = tuple(see(tone.tint.R, lamp).hex for tone in assessed.tones)
        found.append(Strip(words, hexes, changes, _least(assessed.tones, labs)))
    return tuple(found)


def eyes(assessed: Assessment) -> tuple[Strip, ...]:
    """One strip for each eye in daylight, the usual one first."""
    found = []
    for eye, words in EYES.items():
        seen = [see(tone.tint.R, eye=eye) for tone in assessed.tones]
        found.append(
            Strip(
                words,
                tuple(shade.hex for shade in seen),
                None,
                _least(assessed.tones, [shade.lab for shade in seen]),
            )
        )
    return tuple(found)


def _apart(lab: object, other: object) -> float:
    return float(delta_e_2000(lab, other))  # type: ignore[arg-type]


def _least(tones: Sequence[ToneJudged], labs: Sequence[object]) -> tuple[float, str, str] | None:
    names = [tone.tone.name for tone in tones]
    pairs = [
        (_apart(a, b), first, second)
        for (first, a), (second, b) in combinations(zip(names, labs, strict=True), 2)
    ]
    return min(pairs, default=None)

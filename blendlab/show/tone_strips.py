"""Weak, likely and strong of every tone, as a picture and in words."""

from __future__ import annotations

from blendlab import jar
from blendlab.assess import Assessment, ToneJudged
from blendlab.jar.strip import Band
from blendlab.show.pictures import Picture


def strip(assessed: Assessment, width: int = 700) -> Picture:
    """Weak, likely and strong of every tone, exact, on neutral grey."""
    return jar.strip([_band(judged) for judged in assessed.tones], width)


def _band(judged: ToneJudged) -> Band:
    weak, likely, strong = (_codes(shade.hex) for shade in (judged.weak, judged.seen, judged.strong))
    return Band(judged.tone.name, weak, likely, strong, judged.spread.delta_e00, judged.tint.known)


def _codes(hex_: str) -> tuple[int, int, int]:
    return int(hex_[1:3], 16), int(hex_[3:5], 16), int(hex_[5:7], 16)


def strip_words(assessed: Assessment) -> str:
    """Text alternative of the strip."""
    tones = (
        f"{judged.tone.name}: likely {judged.seen.hex}, weak {judged.weak.hex}, strong {judged.strong.hex}, "
        f"spread Delta E {judged.spread.delta_e00:.1f}, {judged.tint.known}"
        for judged in assessed.tones
    )
    return f"Weak, likely and strong of each tone. {'; '.join(tones)}."

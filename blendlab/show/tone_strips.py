"""Weak, likely and strong of every tone, as a picture and in words."""

from __future__ import annotations

from blendlab import jar
from blendlab.assess import Assessment, ToneJudged
from blendlab.jar.strip import Band
from blendlab.show.pictures import Picture


def strip(assessed: Assessment, width: int = 700) -> Picture:
    """Weak, likely and strong of every tone, exact, on neutral grey."""
    return jar.strip([_band(each) for each in assessed.tones], width)


def _band(each: ToneJudged) -> Band:
    weak, likely, strong = (_codes(shade.hex) for shade in (each.weak, each.seen, each.strong))
    delta_e = each.spread.delta_e00 if each.spread else None
    return Band(each.tone.name, weak, likely, strong, delta_e, each.tint.known)


def _codes(hex_: str) -> tuple[int, int, int]:
    return int(hex_[1:3], 16), int(hex_[3:5], 16), int(hex_[5:7], 16)


def strip_words(assessed: Assessment) -> str:
    """Text alternative of the strip."""
    tones = []
    for each in assessed.tones:
        spread = f", spread Delta E {each.spread.delta_e00:.1f}" if each.spread else ""
        tones.append(
            f"{each.tone.name}: likely {each.seen.hex}, weak {each.weak.hex}, strong {each.strong.hex}"
            f"{spread}, {each.tint.known}"
        )
    return f"Weak, likely and strong of each tone. {'; '.join(tones)}."

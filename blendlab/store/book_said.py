"""What every entry of the book may say, whatever it is about."""

from __future__ import annotations

from dataclasses import dataclass

from blendlab.codec import Noun, text


@dataclass(frozen=True, kw_only=True)
class Said(Noun):
    """What every entry may say beside its own words.

    why        why it is so all the same, or why it corrects the line before
    withdrawn  it takes the line it corrects back: nothing of it counts
    """

    why: str = text(600, default="")
    withdrawn: bool = False

"""Plain words for a colour that has no name."""

from __future__ import annotations

from math import atan2, degrees, hypot
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

_GREYS = ((20.0, "black"), (45.0, "dark grey"), (70.0, "grey"))
_HUES = (
    (20.0, "pink-red"),
    (45.0, "coral"),
    (70.0, "orange"),
    (100.0, "yellow"),
    (135.0, "yellow-green"),
    (175.0, "green"),
    (220.0, "blue-green"),
    (260.0, "sky blue"),
    (295.0, "blue"),
    (330.0, "violet"),
    (360.0, "pink"),
)


def words(lab: Sequence[float]) -> str:
    """Plain words for one Lab colour; every Lab has exactly one name.

    Source: common practice.

    >>> words([82, 14, 6]), words([95, 0, 3]), words([80, -12, -4])
    ('light coral', 'white', 'light soft blue-green')
    """
    L, a, b = (float(part) for part in lab)
    C = hypot(a, b)
    if L > 88 and C < 6:
        return "white"
    if C < 5:
        return next((name for limit, name in _GREYS if limit > L), "pale grey")
    name = hue_word(lab)
    return " ".join(part for part in (_lightness(L), "soft" if C < 15 else "", _special(name, L, C)) if part)


def hue_word(lab: Sequence[float]) -> str:
    """The plain word for the hue alone.

    >>> hue_word([50, 40, 30])
    'coral'
    """
    hue = degrees(atan2(float(lab[2]), float(lab[1]))) % 360.0
    return next((name for limit, name in _HUES if hue < limit), _HUES[-1][1])


def _lightness(L: float) -> str:
    if L > 85:
        return "pale"
    if L > 70:
        return "light"
    return "deep" if L < 35 else ""


def _special(name: str, L: float, C: float) -> str:
    if name == "coral" and L < 50:
        return "brick"
    if name == "orange" and L < 55:
        return "brown"
    return "cream" if name == "yellow" and C < 25 and L > 75 else name

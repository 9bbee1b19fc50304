"""CIEDE2000, the one measure of how far apart two colours look."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from blendlab.tint.arrays import Array


def delta_e_2000(lab1: ArrayLike, lab2: ArrayLike) -> Array:
    """CIEDE2000 of two Lab colours [..., 3], kL = kC = kH = 1.

    Below 1 is not seen side by side, 2 to 4 is visible, above 5 is another colour.
    Source: Sharma, Wu, Dalal 2005, Color Research and Application 30(1).

    >>> float(delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485]).round(4))
    2.0425
    """
    L1, a1, b1 = np.moveaxis(np.asarray(lab1, dtype=float), -1, 0)
    L2, a2, b2 = np.moveaxis(np.asarray(lab2, dtype=float), -1, 0)
    stretch = _stretch((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2.0)
    a1, a2 = a1 * stretch, a2 * stretch
    C1, C2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360.0, np.degrees(np.arctan2(b2, a2)) % 360.0
    grey = C1 * C2 == 0
    turn = np.where(grey, 0.0, (h2 - h1 + 180.0) % 360.0 - 180.0)
    turn = np.where(~grey & (h2 - h1 == 180.0), 180.0, turn)
    dL, dC = L2 - L1, C2 - C1
    dH = 2.0 * np.sqrt(C1 * C2) * np.sin(np.radians(turn / 2.0))
    L, C = (L1 + L2) / 2.0, (C1 + C2) / 2.0
    SL, SC, SH, RT = _weights(L, C, _mean_hue(h1, h2, grey))
    l, c, h = dL / SL, dC / SC, dH / SH
    return np.asarray(np.sqrt(np.maximum(l * l + c * c + h * h + RT * c * h, 0.0)))


def metric(lab: ArrayLike) -> Array:
    """Matrix [3, 3] that turns small steps of Lab around one colour into steps of about CIEDE2000.

    The rotation term for blues is left out.

    >>> (metric([50.0, 0.0, 0.0]) @ [1.0, 0.0, 0.0]).round(2).tolist()
    [1.0, 0.0, 0.0]
    """
    L, a, b = np.asarray(lab, dtype=float)
    stretch = _stretch(np.hypot(a, b))
    C, hue = np.hypot(a * stretch, b), np.degrees(np.arctan2(b, a * stretch)) % 360.0
    SL, SC, SH, _ = _weights(L, C, hue)
    x, y = np.cos(np.radians(hue)), np.sin(np.radians(hue))
    return np.array([[1.0 / SL, 0.0, 0.0], [0.0, x * stretch / SC, y / SC], [0.0, -y * stretch / SH, x / SH]])


def _stretch(chroma: Array) -> Array:
    """Factor on a* that widens the scale of near greys."""
    seventh = chroma**7
    return np.asarray(1.5 - 0.5 * np.sqrt(seventh / (seventh + 25.0**7)))


def _mean_hue(h1: Array, h2: Array, grey: Array) -> Array:
    total = h1 + h2
    far = np.abs(h1 - h2) > 180.0
    mean = np.where(far, np.where(total < 360.0, (total + 360.0) / 2.0, (total - 360.0) / 2.0), total / 2.0)
    return np.where(grey, total, mean)


def _weights(L: Array, C: Array, hue: Array) -> tuple[Array, Array, Array, Array]:
    def cosine(times: float, shift: float) -> Array:
        return np.asarray(np.cos(np.radians(times * hue + shift)))

    T = 1.0 - 0.17 * cosine(1, -30) + 0.24 * cosine(2, 0) + 0.32 * cosine(3, 6) - 0.20 * cosine(4, -63)
    level = (L - 50.0) ** 2
    seventh = C**7
    twist = np.sin(2.0 * np.radians(30.0 * np.exp(-(((hue - 275.0) / 25.0) ** 2))))
    RT = -2.0 * np.sqrt(seventh / (seventh + 25.0**7)) * twist
    return 1.0 + 0.015 * level / np.sqrt(20.0 + level), 1.0 + 0.045 * C, 1.0 + 0.015 * C * T, RT

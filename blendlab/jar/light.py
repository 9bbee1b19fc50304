"""Coded and linear light of sRGB (IEC 61966-2-1); shading by one factor for all three channels."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import floor
from typing import Any

import numpy as np
from numpy.typing import NDArray

STEPS = 16383
"""Steps of linear light in the encoding table: error at most 0.1 of a code, every code survives."""


def decode(coded: Any) -> NDArray[np.float64]:
    """Linear light 0..1 of coded sRGB 0..1.

    >>> float(decode(0.5).round(4))
    0.214
    """
    coded = np.asarray(coded, dtype=float)
    power = ((np.maximum(coded, 0) + 0.055) / 1.055) ** 2.4
    return np.asarray(np.where(coded <= 0.04045, coded / 12.92, power))


def encode(linear: Any) -> NDArray[np.float64]:
    """Coded sRGB 0..1 of linear light 0..1; the inverse of `decode`."""
    linear = np.asarray(linear, dtype=float)
    power = 1.055 * np.maximum(linear, 0.0031308) ** (1 / 2.4) - 0.055
    return np.asarray(np.where(linear <= 0.0031308, 12.92 * linear, power))


@cache
def table() -> NDArray[np.uint8]:
    """Codes 0..255 of linear light in steps of 1/STEPS."""
    codes = np.floor(encode(np.arange(STEPS + 1) / STEPS) * 255 + 0.5).astype(np.uint8)
    codes.flags.writeable = False
    return codes


def to_codes(linear: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Codes of linear light of any shape; what lies outside 0..1 is clipped."""
    index = np.clip(linear, 0.0, 1.0)
    index *= np.float32(STEPS)
    index += np.float32(0.5)
    return np.take(table(), index.astype(np.uint16))


def snap(linear: Any) -> NDArray[np.float64]:
    """Linear light of the nearest code, so that a flat area shows exactly that code.

    >>> bool(to_codes(np.float32(snap(decode(90.3 / 255)))) == 90)
    True
    """
    return decode(np.floor(encode(np.clip(linear, 0.0, 1.0)) * 255 + 0.5) / 255)


def max_factor(srgb8: Sequence[float]) -> float:
    """Largest factor by which a colour can be brightened before a channel clips.

    >>> round(max_factor([243, 240, 230]), 4)
    1.1157
    """
    brightest = float(decode(max(srgb8) / 255))
    return 1.0 / brightest if brightest else float("inf")


def shade_srgb8(srgb8: Sequence[float], factor: float) -> tuple[int, ...]:
    """A colour in more or less light: linear light times one factor, rounded half up.

    Over white all channels are divided by the largest, so that the hue stays.

    >>> shade_srgb8([90, 163, 160], 0.5)
    (64, 119, 116)
    """
    linear = decode(np.asarray(srgb8) / 255) * factor
    linear = linear / max(1.0, float(linear.max()))
    return tuple(floor(code * 255 + 0.5) for code in encode(linear).tolist())

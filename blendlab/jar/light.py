"""Linear light to codes of a picture, fast; shading by one factor for all three channels."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from blendlab.tint.appearance import codes, decode, encode

STEPS = 16383
"""Steps of linear light in the encoding table: error at most 0.1 of a code, every code survives."""


@cache
def table() -> NDArray[np.uint8]:
    """Codes 0..255 of linear light in steps of 1/STEPS."""
    coded = codes(encode(np.arange(STEPS + 1) / STEPS))
    coded.flags.writeable = False
    return coded


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
    return decode(codes(encode(np.clip(linear, 0.0, 1.0))) / 255)


def max_factor(linear: Any, axis: int = -1) -> NDArray[Any]:
    """Largest factor by which colours can be brightened before a channel clips.

    linear  light of any shape, channels along `axis`, which stays with length 1

    >>> max_factor(decode(np.array([243, 240, 230]) / 255)).round(4).tolist()
    [1.1157]
    """
    return np.asarray(1.0 / np.maximum(np.max(linear, axis=axis, keepdims=True), 1e-6))


def shaded(linear: Any, factor: float, axis: int = -1) -> NDArray[Any]:
    """Colours in more or less light: one factor for all channels, at most until one clips, so the hue stays.

    >>> to_codes(shaded(decode(np.array([90, 163, 160]) / 255), 0.5)).tolist()
    [64, 119, 116]
    """
    return np.asarray(linear * np.minimum(factor, max_factor(linear, axis)))

"""The predicted jar and a photo of the real one in one picture, parted by an upright line."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.jar import light
from blendlab.jar.filled_jar import Layout
from blendlab.jar.painter import Picture, vessel
from blendlab.jar.projection import project
from blendlab.jar.vessel import extent, fitting_scale
from blendlab.tint.appearance import decode

LINE = 2
"""Width of the line between the two in pixels."""


class Outline(NamedTuple):
    """A rectangle round a jar, in pixels of its picture."""

    left: float
    top: float
    right: float
    bottom: float


def outline(layout: Layout, px: tuple[int, int]) -> Outline:
    """Where the glass of a jar stands in its front view: its widest sides, its rim and its foot."""
    glass = vessel(layout)
    low, high = extent(glass)
    scale = fitting_scale(glass, px)

    def row(v: float) -> float:
        return 0.49 * px[1] - (v - (low + high) / 2) * scale

    _, rim, _ = project(180, glass.mouth[1], glass.brim, tilt=figure("jar", "camera_tilt").value)
    half = glass.outer * scale
    return Outline(px[0] / 2 - half, row(rim), px[0] / 2 + half, row(low))


def laid_over(photo: Picture, marked: Outline, target: Outline, px: tuple[int, int]) -> Picture:
    """A photo moved and scaled so that the jar marked on it stands where the predicted one stands.

    What lies outside the photo has the grey of the panel.

    Raises OutOfRange when the mark is narrower or lower than 8 pixels.
    """
    for what, length in (("width", marked.right - marked.left), ("height", marked.bottom - marked.top)):
        if length < 8:
            raise OutOfRange(f"{what} of the marked jar", length, 8, float("inf"), "pixels")
    across = (marked.right - marked.left) / (target.right - target.left)
    down = (marked.bottom - marked.top) / (target.bottom - target.top)
    data = (across, 0, marked.left - across * target.left, 0, down, marked.top - down * target.top)
    moved = Image.fromarray(photo).transform(
        px, Image.Transform.AFFINE, data, Image.Resampling.BILINEAR, fillcolor=(184, 184, 184)
    )
    return np.asarray(moved)


def balanced(photo: Picture, gain: NDArray[np.float64]) -> Picture:
    """A photo in other light: every channel times its gain in linear light.

    >>> balanced(np.full((1, 1, 3), 100, dtype=np.uint8), np.ones(3)).tolist()
    [[[100, 100, 100]]]
    """
    return light.to_codes((decode(photo / 255.0) * gain).astype(np.float32))


def wiped(predicted: Picture, photo: Picture, share: float) -> Picture:
    """Predicted left of the line, photo right of it; the line stands at `share` of the width.

    Raises OutOfRange for a share outside 0 to 1 and for pictures of different sizes.
    """
    if not 0 <= share <= 1:
        raise OutOfRange("place of the line", share, 0, 1, "of the width")
    if predicted.shape != photo.shape:
        raise OutOfRange(
            "width of the photo", photo.shape[1], predicted.shape[1], predicted.shape[1], "pixels"
        )
    at = round(share * predicted.shape[1])
    joined = predicted.copy()
    joined[:, at:] = photo[:, at:]
    if 0 < at < predicted.shape[1]:
        joined[:, max(0, at - LINE // 2) : at + LINE // 2] = 255
    return joined

"""The middle of a picture as one colour, in linear light, where there is no card."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from blendlab.facts.read import figure
from blendlab.photo.picture import LEAST_PATCH, Box, open_picture
from blendlab.tint.appearance import encode

MIDDLE = 0.3


@dataclass(frozen=True)
class Patch:
    """Mean colour of a patch.

    srgb   [3], encoded, 0 to 1
    sd     standard deviation of the linear level over the patch, as a share of its mean
    note   what to mind about it, in words
    """

    srgb: NDArray[np.float64]
    sd: float
    note: str


def middle(data: bytes) -> Patch:
    """Colour of the middle of a picture file (JPEG, PNG, WebP).

    Raises BadPicture when the bytes are no picture, too large, too small, or in a colour space that
    has no sRGB meaning here.
    """
    picture = open_picture(data)
    edge = (1 - MIDDLE) / 2
    tiny = min(picture.size) * MIDDLE < LEAST_PATCH + 1
    linear = picture.patch(Box(0, 0, 1, 1) if tiny else Box(edge, edge, MIDDLE, MIDDLE))
    mean = linear.mean(axis=(0, 1))
    sd = float((linear.std(axis=(0, 1)) / np.maximum(mean, 1e-6)).max())
    return Patch(encode(mean), sd, _note(mean, sd))


def _note(mean: NDArray[np.float64], sd: float) -> str:
    notes = ["No grey card: light and camera tint it."]
    if mean.max() > figure("tint", "photo_clipped").value:
        notes.append("It is overexposed; the hue is lost.")
    if mean.min() < figure("tint", "photo_dark").value:
        notes.append("It is very dark.")
    if sd > figure("tint", "patch_uneven").value:
        notes.append(f"It is uneven: the level varies by {sd * 100:.0f} %.")
    return " ".join(notes)

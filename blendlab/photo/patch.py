"""The middle of a picture as one colour, in linear light; broken and unfit files answered in words."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from blendlab.errors import BlendlabError
from blendlab.tint.appearance import decode, encode

MOST_PIXELS = 60_000_000
LEAST_SIDE = 16
MIDDLE = 0.3
CLIPPED, DARK = 0.97, 0.02
"""Linear levels beyond which a channel says nothing (limits from common practice with photographed cards)."""


class BadPicture(BlendlabError, ValueError):
    """A file that is no picture that can be used; the sentence says why."""


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
    picture = _open(data)
    width, height = picture.size
    left, top = round(width * (1 - MIDDLE) / 2), round(height * (1 - MIDDLE) / 2)
    box = picture.crop((left, top, width - left, height - top))
    box.thumbnail((400, 400), Image.Resampling.BOX)
    linear = decode(np.asarray(box, np.float64) / 255)
    mean = linear.mean(axis=(0, 1))
    sd = float((linear.std(axis=(0, 1)) / np.maximum(mean, 1e-6)).max())
    return Patch(encode(mean), sd, _note(mean, sd))


def _open(data: bytes) -> Image.Image:
    if not data:
        raise BadPicture("The file is empty.")
    try:
        picture = Image.open(BytesIO(data))
        width, height = picture.size
        if width * height > MOST_PIXELS:
            raise BadPicture(
                f"The picture has {width} x {height} pixels; at most {MOST_PIXELS // 1_000_000} million fit."
            )
        if min(width, height) < LEAST_SIDE:
            raise BadPicture(f"The picture has {width} x {height} pixels; each side needs {LEAST_SIDE}.")
        if picture.mode in ("CMYK", "YCCK", "LAB"):
            raise BadPicture(f"The picture is made for print ({picture.mode}); save it as sRGB first.")
        picture.draft("RGB", (1600, 1600))
        return ImageOps.exif_transpose(picture).convert("RGB")
    except (
        UnidentifiedImageError,
        Image.DecompressionBombError,
        OSError,
        SyntaxError,
        ValueError,
    ) as problem:
        raise (
            problem
            if isinstance(problem, BadPicture)
            else BadPicture("This file is no picture that can be read (JPEG, PNG or WebP).")
        ) from problem


def _note(mean: NDArray[np.float64], sd: float) -> str:
    notes = ["No grey card: light and camera tint it."]
    if mean.max() > CLIPPED:
        notes.append("It is overexposed; the hue is lost.")
    if mean.min() < DARK:
        notes.append("It is very dark.")
    if sd > 0.1:
        notes.append(f"It is uneven: the level varies by {sd * 100:.0f} %.")
    return " ".join(notes)

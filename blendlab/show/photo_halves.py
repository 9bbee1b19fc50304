"""The predicted jar beside a photo of the real one, at one size and under one white."""

from __future__ import annotations

import numpy as np

from blendlab import photo
from blendlab.assess import Assessment
from blendlab.jar import wipe
from blendlab.show.pictures import Picture, drawable
from blendlab.show.views import picture


def beside_photo(
    assessed: Assessment,
    data: bytes,
    marked: photo.Box,
    share: float,
    card: photo.Box | None = None,
    px: tuple[int, int] = (760, 700),
) -> Picture:
    """The predicted jar left of a line, a photo of the real one right of it, both at one size.

    marked  the jar on the photo: its sides, its rim and its foot
    card    a grey card on the photo, which gives its exposure and its white; without it the photo's own

    Raises photo.BadPicture, OutOfRange.
    """
    shown = photo.open_picture(data)
    height, width = shown.pixels.shape[:2]
    place = wipe.Outline(
        marked.left * width,
        marked.top * height,
        (marked.left + marked.width) * width,
        (marked.top + marked.height) * height,
    )
    layout = drawable(assessed)
    moved = wipe.laid_over(shown.pixels, place, wipe.outline(layout, px), px)
    if card is not None:
        mean = shown.patch(card).mean(axis=(0, 1))
        moved = wipe.balanced(moved, photo.CARDS["grey"] / np.maximum(mean, 1e-3))
    return wipe.wiped(picture(assessed, "front", px), moved, share)

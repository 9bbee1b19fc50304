"""A picture with its marks drawn on it, for the screen."""

from __future__ import annotations

from collections.abc import Mapping
from io import BytesIO

from PIL import Image, ImageDraw

from blendlab.photo.picture import Box, Picture

WIDEST = 900
"""Pixels of the picture on the screen."""


def outlined(picture: Picture, marks: Mapping[str, Box]) -> bytes:
    """PNG bytes of the picture with each mark as a black and white frame and its name.

    >>> import numpy as np
    >>> outlined(Picture(np.zeros((40, 60, 3), np.uint8), (60, 40), ()), {"card": Box(0, 0, 0.5, 1)})[1:4]
    b'PNG'
    """
    small = Image.fromarray(picture.pixels)
    small.thumbnail((WIDEST, WIDEST), Image.Resampling.BOX)
    pen = ImageDraw.Draw(small)
    for name, box in marks.items():
        left, top = box.left * small.width, box.top * small.height
        right, bottom = left + box.width * small.width - 1, top + box.height * small.height - 1
        for inset, ink in ((0, "black"), (2, "white"), (4, "black")):
            if right - left > 2 * inset and bottom - top > 2 * inset:
                pen.rectangle(
                    (left + inset, top + inset, right - inset, bottom - inset), outline=ink, width=2
                )
        pen.text((left + 10, top + 8), name, fill="white", stroke_width=2, stroke_fill="black", font_size=18)
    out = BytesIO()
    small.save(out, "PNG")
    return out.getvalue()

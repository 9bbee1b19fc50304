"""Lines and words on a picture, and a picture as bytes."""

from __future__ import annotations

from io import BytesIO
from math import pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from PIL.PngImagePlugin import PngInfo

from blendlab.errors import UnknownName
from blendlab.jar.glass import visible_half_angle

if TYPE_CHECKING:
    from blendlab.jar.solid import Solid
    from blendlab.jar.views import Sheet

Picture = NDArray[np.uint8]
INK = (48, 48, 48)
QUALITY = 95
FORMATS = ("jpeg", "png")


def encode(picture: Picture, kind: str = "png") -> bytes:
    """A picture as the bytes of a file, sRGB.

    kind  "jpeg": quality 95 without chroma subsampling, which would move the colours of edges;
          "png": exact

    >>> encode(np.full((8, 8, 3), 184, dtype=np.uint8), "png")[1:4]
    b'PNG'
    """
    if kind not in FORMATS:
        raise UnknownName("kind of picture file", kind, FORMATS)
    held = BytesIO()
    image = Image.fromarray(picture)
    if kind == "jpeg":
        image.save(held, "JPEG", quality=QUALITY, subsampling=0)
    else:
        says = PngInfo()
        says.add(b"sRGB", b"\x00")
        image.save(held, "PNG", compress_level=3, pnginfo=says)
    return held.getvalue()


def _font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size)


def bar(picture: Picture, length_mm: float, length_px: int) -> None:
    """Draw a scale bar with ticked ends at the lower right, inside the border."""
    height, width = picture.shape[:2]
    size = max(9, width // 50)
    inset = max(6, width // 30)
    right, y = width - inset - 2, height - inset - 2
    left = right - length_px + 1
    image = Image.fromarray(picture)
    pen = ImageDraw.Draw(image)
    tick = max(2, size // 4)
    pen.line([(left, y), (right, y)], fill=INK, width=max(1, size // 8))
    for x in (left, right):
        pen.line([(x, y - tick), (x, y + tick)], fill=INK, width=1)
    pen.text(((left + right) / 2, y - tick - 1), f"{length_mm:g} mm", INK, _font(size), anchor="ms")
    picture[:] = np.asarray(image)


def angles(picture: Picture, sheet: Sheet, solid: Solid, turn: float) -> None:
    """Mark 0, 90, 180 and 270 degrees below the rolled-out wall, and above it what is now in view."""
    image = Image.fromarray(picture)
    pen = ImageDraw.Draw(image)
    size = max(9, picture.shape[1] // 55)
    middle = picture.shape[1] / 2
    per_degree = pi * solid.radius / 180 * sheet.scale
    low = sheet.rows.start + (sheet.y[0] - 0) * sheet.scale
    high = low - solid.height * sheet.scale
    for place, word in ((-180, "180"), (-90, "270"), (0, "0"), (90, "90"), (180, "180")):
        x = middle + place * per_degree
        pen.line([(x, low + 2), (x, low + 2 + size // 2)], fill=INK, width=1)
        pen.text((x, low + 4 + size // 2), f"{word}\u00b0", INK, _font(size), anchor="mt")
    half = visible_half_angle(solid.outer, solid.radius, solid.n)
    centre = (turn + 180) % 360 - 180
    y = high - size // 2 - 2
    for lap in (-360, 0, 360):
        ends = [max(-180.0, centre + lap - half), min(180.0, centre + lap + half)]
        if ends[0] < ends[1]:
            pen.line([(middle + end * per_degree, y) for end in ends], fill=INK, width=max(1, size // 7))
    x = middle + centre * per_degree
    pen.line([(x, y), (x, y + size // 2)], fill=INK, width=1)
    words = _font(size)
    room = pen.textlength("in view", words) / 2 + 2
    pen.text((min(max(x, room), picture.shape[1] - room), y - 3), "in view", INK, words, anchor="ms")
    picture[:] = np.asarray(image)

"""Lines and words on a picture, and a picture as bytes."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from math import pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from PIL.PngImagePlugin import PngInfo

from blendlab.errors import UnknownName
from blendlab.jar import light
from blendlab.jar.glass import visible_half_angle
from blendlab.tint.appearance import decode

if TYPE_CHECKING:
    from blendlab.jar.solid import Solid
    from blendlab.jar.views import Sheet

Picture = NDArray[np.uint8]
INK = (48, 48, 48)
QUALITY = 95
FORMATS = ("jpeg", "png")


def encode(picture: Picture, kind: str = "png", says: str = "") -> bytes:
    """A picture as the bytes of a file, sRGB.

    kind  "jpeg": quality 95 without chroma subsampling, which would move the colours of edges;
          "png": exact, also without a ground
    says  a description that travels in the file

    >>> encode(np.full((8, 8, 3), 184, dtype=np.uint8), "png")[1:4]
    b'PNG'
    """
    if kind not in FORMATS:
        raise UnknownName("kind of picture file", kind, FORMATS)
    held = BytesIO()
    image = Image.fromarray(picture)
    if kind == "jpeg":
        image.save(held, "JPEG", quality=QUALITY, subsampling=0, comment=says.encode())
    else:
        told = PngInfo()
        told.add(b"sRGB", b"\x00")
        if says:
            told.add_itxt("Description", says)
        image.save(held, "PNG", compress_level=3, pnginfo=told)
    return held.getvalue()


def shrunk(picture: Picture, times: int) -> Picture:
    """A picture of `1/times` its size, every pixel the mean of its light.

    >>> shrunk(np.full((4, 4, 3), 184, dtype=np.uint8), 2).shape
    (2, 2, 3)
    """
    height, width, planes = picture.shape
    blocks = decode(picture / 255.0).reshape(height // times, times, width // times, times, planes)
    return light.to_codes(blocks.mean(axis=(1, 3)).astype(np.float32))


@cache
def font(size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    """The lettering of pictures in a size in pixels."""
    return ImageFont.load_default(size)


def bar(picture: Picture, length_mm: float, length_px: int) -> None:
    """Draw a scale bar with ticked ends at the lower right, inside the border; opaque on any picture."""
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
    pen.text(((left + right) / 2, y - tick - 1), f"{length_mm:g} mm", INK, font(size), anchor="ms")
    picture[:] = np.asarray(image)


def angles(picture: Picture, sheet: Sheet, solid: Solid, turn: float) -> None:
    """Mark 0, 90, 180 and 270 degrees below the rolled-out wall, and above it what is now in view.

    Words that would touch the border are left out.
    """
    image = Image.fromarray(picture)
    pen = ImageDraw.Draw(image)
    height, width = picture.shape[:2]
    size = max(9, width // 55)
    tick = size // 2
    per_degree = pi * solid.radius / 180 * sheet.scale
    low = sheet.rows.start + sheet.y[0] * sheet.scale
    high = low - solid.height * sheet.scale

    def place(angle: float) -> float:
        return float(width / 2 + angle * per_degree)

    def say(angle: float, y: float, text: str, anchor: str) -> None:
        room = pen.textlength(text, font(size)) / 2 + 3
        x = min(max(place(angle), room), width - room)
        if size + 4 < y < height - size - 4 and width > 2 * room:
            pen.text((x, y), text, INK, font(size), anchor=anchor)

    for angle, word in ((-180, "180"), (-90, "270"), (0, "0"), (90, "90"), (180, "180")):
        _line(pen, (place(angle), low + 2), (place(angle), low + 2 + tick), picture)
        say(angle, low + 4 + tick, f"{word}\u00b0", "mt")
    half = visible_half_angle(solid.outer, solid.radius, solid.n)
    centre = (turn + 180) % 360 - 180
    y = high - tick - 2
    for lap in (-360, 0, 360):
        first, last = max(-180.0, centre + lap - half), min(180.0, centre + lap + half)
        if first < last:
            _line(pen, (place(first), y), (place(last), y), picture)
    _line(pen, (place(centre), y), (place(centre), y + tick), picture)
    say(centre, y - 3, "in view", "ms")
    picture[:] = np.asarray(image)


def _line(
    pen: ImageDraw.ImageDraw, start: tuple[float, float], end: tuple[float, float], picture: Picture
) -> None:
    """A thin line that stays off the border."""
    height, width = picture.shape[:2]
    inside = [(min(max(x, 2), width - 3), min(max(y, 2), height - 3)) for x, y in (start, end)]
    pen.line(inside, fill=INK, width=1)

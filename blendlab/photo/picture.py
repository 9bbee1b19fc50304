"""A picture file -> an upright picture in linear light; broken and unfit files are answered in words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

from blendlab.errors import BlendlabError, OutOfRange
from blendlab.tint.appearance import decode

MOST_BYTES = 30_000_000
MOST_PIXELS = 60_000_000
LEAST_SIDE = 16
LEAST_PATCH = 12
"""Pixels that a side of a marked patch needs."""
KINDS = ("JPEG", "PNG", "WEBP")
_WANTED = 2000
"""Pixels that the longer side of a large JPEG keeps at least: it is decoded at a half, quarter or eighth."""
_PLAIN = {"RGB", "RGBA", "L", "LA", "P", "PA", "1"}
_MILLIONS = MOST_PIXELS // 1_000_000
_UNREADABLE = (UnidentifiedImageError, OSError, SyntaxError, ValueError)


class BadPicture(BlendlabError, ValueError):
    """A file or a patch of it that cannot be used; the sentence says why."""


@dataclass(frozen=True)
class Box:
    """A rectangle on the upright picture, in shares of its width and height.

    left, top      its upper left corner, 0 to 1
    width, height  of the rectangle
    """

    left: float
    top: float
    width: float
    height: float

    def __post_init__(self) -> None:
        for name, start, length in (("width", self.left, self.width), ("height", self.top, self.height)):
            if not 0 <= start < 1:
                raise OutOfRange(f"start of the {name} of a mark", start, 0, 1, "of the picture")
            if not 0 < length <= 1 - start + 1e-9:
                raise OutOfRange(f"{name} of a mark", length, 0, 1 - start, "of the picture")


@dataclass(frozen=True, eq=False)
class Picture:
    """An upright sRGB picture.

    pixels  [height, width, 3], uint8; a large JPEG is read at half its size or less
    size    width and height of the file in pixels, upright
    notes   what was done to it, in words
    """

    pixels: NDArray[np.uint8]
    size: tuple[int, int]
    notes: tuple[str, ...]

    def patch(self, box: Box, least: int = LEAST_PATCH) -> NDArray[np.float64]:
        """Linear light [rows, columns, 3] inside a rectangle of at least so many pixels a side.

        Raises BadPicture when it covers too few pixels.
        """
        height, width = self.pixels.shape[:2]
        left, top = round(box.left * width), round(box.top * height)
        right, bottom = round((box.left + box.width) * width), round((box.top + box.height) * height)
        if min(right - left, bottom - top) < least:
            raise BadPicture(
                f"A mark covers {right - left} x {bottom - top} pixels; each side needs {least}."
            )
        return _LINEAR[self.pixels[top:bottom, left:right]]


_LINEAR: NDArray[np.float64] = decode(np.arange(256) / 255.0)


def open_picture(data: bytes) -> Picture:
    """The picture in a file (JPEG, PNG or WebP), turned upright and brought to sRGB.

    Raises BadPicture when the bytes are no picture, too many or too few, or in a colour space that has no
    meaning here.

    >>> open_picture(b"no picture")
    Traceback (most recent call last):
    ...
    blendlab.photo.picture.BadPicture: This file is no picture that can be read (JPEG, PNG or WebP).
    """
    with _answered():
        found = _opened(data)
        width, height = found.size
        times = max(1, max(width, height) // _WANTED)
        found.draft("RGB", (width // times, height // times))
        upright = ImageOps.exif_transpose(found)
        size = (width, height) if upright.size == found.size else (height, width)
        plain, notes = _to_srgb(upright, found.info.get("icc_profile"))
        return Picture(np.asarray(plain, np.uint8), size, tuple(notes))


def refuse_unfit(data: bytes) -> None:
    """Raise BadPicture where `open_picture` would, by the head of a file: nothing is unpacked."""
    with _answered():
        _opened(data)


def _opened(data: bytes) -> Image.Image:
    """A picture of a size and kind that can be unpacked, not yet unpacked."""
    if not data:
        raise BadPicture("The file is empty.")
    if len(data) > MOST_BYTES:
        raise BadPicture(f"The file has {len(data) / 1e6:.0f} MB; at most {MOST_BYTES / 1e6:.0f} are read.")
    Image.init()
    found = Image.open(BytesIO(data), formats=KINDS)
    _check(found)
    return found


@contextmanager
def _answered() -> Iterator[None]:
    """Whatever is wrong with a file as a BadPicture, in words."""
    try:
        yield
    except BadPicture:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as problem:
        raise BadPicture(f"The picture has too many pixels; at most {_MILLIONS} million fit.") from problem
    except _UNREADABLE as problem:
        cut = "truncated" in str(problem) or "broken" in str(problem)
        what = "The picture file is cut off or damaged; copy it again." if cut else _NO_PICTURE
        raise BadPicture(what) from problem


_NO_PICTURE = "This file is no picture that can be read (JPEG, PNG or WebP)."


def _check(found: Image.Image) -> None:
    width, height = found.size
    if width * height > MOST_PIXELS:
        raise BadPicture(f"The picture has {width} x {height} pixels; at most {_MILLIONS} million fit.")
    if min(width, height) < LEAST_SIDE:
        raise BadPicture(f"The picture has {width} x {height} pixels; each side needs {LEAST_SIDE}.")
    if found.mode in ("CMYK", "YCCK", "LAB"):
        raise BadPicture(f"The picture is made for print ({found.mode}); save it as sRGB first.")
    if found.mode not in _PLAIN:
        raise BadPicture(f"The picture holds no plain screen colours ({found.mode}); save it as sRGB.")


def _to_srgb(upright: Image.Image, profile: bytes | None) -> tuple[Image.Image, list[str]]:
    plain = upright.convert("RGB")
    if not profile:
        return plain, []
    try:
        own = ImageCms.ImageCmsProfile(BytesIO(profile))
        name = ImageCms.getProfileDescription(own).strip()
        if "srgb" in name.lower():
            return plain, []
        turned = ImageCms.profileToProfile(plain, own, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError):
        return plain, ["Its colour profile cannot be read; it is taken as sRGB."]
    return (turned or plain), [f"Brought from its profile ({name}) to sRGB."]

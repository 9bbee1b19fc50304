"""A photo as it is kept: upright, no larger than it must be, nothing in the file but what is seen."""

from __future__ import annotations

from io import BytesIO

from PIL import Image

from blendlab.photo.picture import open_picture

MOST_PX = 2000
"""Pixels of the longer side of a photo that is kept."""
QUALITY = 88


def as_kept(data: bytes, most_px: int = MOST_PX) -> bytes:
    """A photo (JPEG, PNG or WebP) as a JPEG of sRGB without place, time, device or any other note.

    most_px  pixels of its longer side at most

    The same file gives the same bytes. Raises BadPicture.

    >>> picture = BytesIO()
    >>> Image.new("RGB", (3000, 1500)).save(picture, "PNG")
    >>> Image.open(BytesIO(as_kept(picture.getvalue()))).size
    (2000, 1000)
    """
    shown = Image.fromarray(open_picture(data).pixels)
    shown.thumbnail((most_px, most_px), Image.Resampling.LANCZOS)
    kept = BytesIO()
    shown.save(kept, "JPEG", quality=QUALITY)
    return kept.getvalue()

"""A photo that is kept: upright, small enough, with nothing in it but what is seen."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image, PngImagePlugin

from blendlab.photo import MOST_PX, BadPicture, as_kept
from tests.photo.picture_kit import file_of

GPS, ORIENTATION, MAKE = 0x8825, 0x0112, 0x010F


def phone_photo(size=(3000, 1500), orientation=6):
    """A photo as a phone takes it: a red left half, turned by a tag, with place and maker in it."""
    pixels = np.full((size[1], size[0], 3), 40, np.uint8)
    pixels[:, : size[0] // 2] = (200, 30, 30)
    tags = Image.Exif()
    tags[ORIENTATION], tags[MAKE] = orientation, "A phone"
    tags[GPS] = {1: "N", 2: (48.0, 12.0, 30.0), 3: "E", 4: (16.0, 22.0, 1.0)}
    return file_of(pixels, "JPEG", exif=tags.tobytes(), comment=b"kitchen window")


def test_place_time_and_phone_are_gone_and_the_picture_stands_upright():
    data = phone_photo()
    assert Image.open(BytesIO(data)).getexif().get_ifd(GPS)
    kept = Image.open(BytesIO(as_kept(data)))
    assert not kept.getexif()
    assert "exif" not in kept.info
    assert "comment" not in kept.info
    assert kept.format == "JPEG"
    # turned by 90 degrees clockwise: what was left is now above
    assert kept.size == (1000, 2000)
    red, dark = kept.getpixel((500, 400)), kept.getpixel((500, 1600))
    assert red[0] > 180
    assert dark[0] < 60


def test_the_text_of_a_png_goes_too_and_a_small_picture_keeps_its_size():
    note = PngImagePlugin.PngInfo()
    note.add_text("Location", "48.2 16.4")
    kept = as_kept(file_of(np.full((60, 40, 3), 99, np.uint8), pnginfo=note))
    assert b"48.2" not in kept
    assert Image.open(BytesIO(kept)).size == (40, 60)


def test_the_longer_side_is_bounded_and_the_same_file_gives_the_same_bytes():
    data = phone_photo((2500, 2400), orientation=1)
    assert as_kept(data) == as_kept(data)
    assert max(Image.open(BytesIO(as_kept(data))).size) == MOST_PX
    assert max(Image.open(BytesIO(as_kept(data, 300))).size) == 300


@pytest.mark.parametrize(
    ("data", "said"),
    [(b"", "empty"), (b"no picture", "no picture"), (phone_photo((640, 480))[:-900], "cut off or damaged")],
)
def test_a_broken_file_is_answered(data, said):
    with pytest.raises(BadPicture, match=said):
        as_kept(data)

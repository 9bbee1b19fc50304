"""Files that are pictures, and files that are not: each answered in words."""

import struct
import zlib
from io import BytesIO

import numpy as np
import pytest
from picture_kit import box, file_of, scene
from PIL import Image, ImageFile

from blendlab.photo import BadPicture, Marks, measure, middle, open_picture

GREY, RED = np.full(3, 0.18), np.array([0.5, 0.2, 0.15])


def two():
    return scene([GREY, RED])


def grainy():
    return np.random.default_rng(4).integers(0, 255, (120, 240, 3), dtype=np.uint8)


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP"])
def test_every_usual_kind_is_read(kind):
    more = {} if kind == "PNG" else {"quality": 95}
    found = open_picture(file_of(two(), kind, **more))
    assert found.size == (240, 120)
    assert measure(found, Marks({"red": box(1, 2)}, card=box(0, 2))).swatches["red"].linear == pytest.approx(
        RED, rel=0.03
    )


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_a_turned_picture_is_put_upright(orientation):
    """EXIF orientation: 3 upside down, 6 and 8 on their sides."""
    upright = Image.fromarray(two())
    stored = {3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = BytesIO()
    upright.transpose(stored[orientation]).save(out, "PNG", exif=exif)
    found = open_picture(out.getvalue())
    assert np.array_equal(found.pixels, two())


def huge(width, height):
    """The head of a PNG of that size."""

    def chunk(name, body):
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    )


def other_mode(mode):
    out = BytesIO()
    Image.new(mode, (64, 64)).save(out, "JPEG" if mode == "CMYK" else "PNG")
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"%PDF-1.7 not a picture", "no picture"),
        (b"GIF89a" + bytes(200), "no picture"),
        (file_of(grainy())[:4000], "cut off or damaged"),
        (file_of(grainy(), "JPEG")[:3000], "cut off or damaged"),
        (file_of(two()[:8, :8]), "8 x 8 pixels; each side needs 16"),
        (huge(20000, 20000), "at most 60 million"),
        (huge(9000, 9000), "at most 60 million"),
        (other_mode("CMYK"), "made for print"),
        (other_mode("I;16"), "no plain screen colours"),
        (bytes(31_000_000), "at most 30"),
    ],
    ids=[
        "empty", "pdf", "gif", "cut png", "cut jpeg", "tiny", "bomb", "large", "cmyk", "16 bit", "heavy",
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_used_is_answered_in_words(data, words):
    with pytest.raises(BadPicture, match=words):
        open_picture(data)


def test_a_profile_is_brought_to_srgb():
    """A red of a wider space is a redder sRGB: checked on a profile whose red primary is wider."""
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    kept = open_picture(file_of(two(), icc_profile=profile))
    assert np.array_equal(kept.pixels, two())
    odd = open_picture(file_of(two(), icc_profile=b"no profile"))
    assert any("cannot be read" in note for note in odd.notes)


def test_twelve_megapixels_are_decoded_once_at_half_their_size(monkeypatch):
    pixels = np.tile(scene([GREY, RED], side=100), (30, 20, 1))
    data = file_of(pixels, "JPEG", quality=92)
    assert pixels.shape[0] * pixels.shape[1] >= 12_000_000
    decoded, plain = [], ImageFile.ImageFile.load

    def load(image):
        if image.tile:
            decoded.append(image.size)
        return plain(image)

    monkeypatch.setattr(ImageFile.ImageFile, "load", load)
    found = open_picture(data)
    swatches = measure(found, Marks({"red": box(39, 40)}, card=box(0, 40)))
    assert decoded == [(2000, 1500)]
    assert found.pixels.shape == (1500, 2000, 3)
    assert found.size == (4000, 3000)
    assert swatches.swatches["red"].linear == pytest.approx(RED, rel=0.03)


@pytest.mark.parametrize(
    ("side", "orientation", "size", "read"),
    [
        ((4096, 96), 1, (4096, 96), (2048, 48)),
        ((4097, 97), 6, (97, 4097), (49, 2049)),
        ((3999, 90), 1, (3999, 90), (3999, 90)),
    ],
)
def test_the_size_of_the_file_is_told_upright_however_small_it_is_read(side, orientation, size, read):
    exif = Image.Exif()
    exif[0x0112] = orientation
    found = open_picture(file_of(np.full((side[1], side[0], 3), 120, np.uint8), "JPEG", exif=exif))
    assert found.size == size
    assert found.pixels.shape[1::-1] == read


def test_the_middle_of_a_picture_without_a_card_is_an_estimate_and_says_so():
    found = middle(file_of(scene([RED, RED, RED])))
    assert found.sd < 0.02
    assert "No grey card" in found.note
    assert "overexposed" in middle(file_of(scene([np.ones(3)] * 2))).note
    for code, told in ((251, False), (252, True)):  # 0.965 and 0.973 of linear light
        bright = np.full((120, 120, 3), (code, 100, 100), np.uint8)
        assert ("overexposed" in middle(file_of(bright)).note) is told
    assert "very dark" in middle(file_of(scene([np.full(3, 0.005)] * 2))).note
    assert middle(file_of(scene([RED], side=20))).srgb[0] > middle(file_of(scene([RED], side=20))).srgb[2]

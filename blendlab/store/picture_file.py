"""Whether a picture beside a card is whole: size and checksums inside a PNG, without unpacking it."""

from __future__ import annotations

import zlib

SIGNATURE = b"\x89PNG\r\n\x1a\n"
SIZE = slice(16, 24)
"""Where width and height stand, four bytes each."""
MOST_PIXELS = 40_000_000
"""More than any picture of a card has; a small file can unpack to thousands of times that."""
HEAD = 12
"""Bytes of a chunk beside its data: length, name, checksum."""


def is_whole(data: bytes) -> bool:
    """Whether bytes are a PNG that can be unpacked and whose every chunk keeps its checksum, to the last one.

    >>> is_whole(b"no picture")
    False
    """
    width, height = data[SIZE][:4], data[SIZE][4:]
    pixels = int.from_bytes(width, "big") * int.from_bytes(height, "big")
    if not data.startswith(SIGNATURE) or pixels > MOST_PIXELS:
        return False
    at, names = len(SIGNATURE), []
    while at + HEAD <= len(data):
        end = at + HEAD + int.from_bytes(data[at : at + 4], "big")
        chunk = data[at + 4 : end - 4]
        if end > len(data) or zlib.crc32(chunk) != int.from_bytes(data[end - 4 : end], "big"):
            return False
        names.append(chunk[:4])
        at = end
        if names[-1] == b"IEND":
            break
    return names[:1] == [b"IHDR"] and b"IDAT" in names and names[-1] == b"IEND"

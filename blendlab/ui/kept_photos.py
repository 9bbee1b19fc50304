"""Book: photos of kept jars beside each other, so that a change is seen."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from blendlab import photo, store
from blendlab.errors import BadDocument
from blendlab.production import stability
from blendlab.ui import memo, parts, state
from blendlab.ui.words import kept_photos as say

WIDE = 3
"""Photos in a row beneath the first and the last."""
SMALL_PX = 800
_small = memo.Kept[bytes](64)


def page(log: stability.TestLog, names: dict[str, str]) -> None:
    """Photos of every test of a batch; names  test -> what it is called."""
    found = stability.photographed(log)
    if not found:
        return
    parts.heading(say.PHOTOS)
    parts.small(say.LIGHT)
    for test, readings in found.items():
        name = names.get(test, test)
        parts.small(name)
        if len(readings) <= WIDE:
            _row(readings, name, len(readings))
            continue
        _row((readings[0], readings[-1]), name, 2)
        between = readings[1:-1]
        for start in range(0, len(between), WIDE):
            _row(between[start : start + WIDE], name, WIDE)


def _row(readings: Sequence[store.BookEntry], name: str, wide: int) -> None:
    for place, entry in zip(st.columns(wide, gap="xsmall", wrap=False), readings, strict=False):
        with place:
            _photo(entry, name)


def _photo(entry: store.BookEntry, name: str) -> None:
    """One photo with its day and what was read; where it is gone, that instead of it."""
    day, digest = entry.data["on"], entry.data["photo"]
    try:
        path = store.photo_file(state.folder(), digest)
        shown = _small.get_or_make(digest, lambda: photo.as_kept(path.read_bytes(), SMALL_PX))
        st.image(shown, width="stretch", alt=say.PHOTO_ON.format(test=name, day=day))
    except (BadDocument, photo.BadPicture, OSError) as problem:
        parts.alert(str(problem))
    parts.small(say.CAPTION.format(day=day, read=stability.read_words(entry.data)))

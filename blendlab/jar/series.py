"""Several jars or several turns: a turntable, and a row of a line on one ground."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from io import BytesIO

import numpy as np
from PIL import Image

from blendlab.errors import OutOfRange
from blendlab.jar.filled_jar import Layout
from blendlab.jar.painter import GROUNDS, LARGEST, SMALLEST, Picture, paint, vessel
from blendlab.jar.palette import Colours
from blendlab.jar.projection import turntable
from blendlab.jar.vessel import extent

FRAME_MS = 120
GAP = 0.35
"""Room between two jars of a row, as a share of the width of a jar."""

Progress = Callable[[int, int], None]


def turning(
    layout: Layout,
    colours: Colours,
    frames: int = 24,
    px: tuple[int, int] = (420, 540),
    start: float = 0.0,
    progress: Progress | None = None,
    mode: str = "shaded",
) -> bytes:
    """The jar on a turntable as an animated WebP that goes round for ever.

    frames    of one revolution, 120 ms each; the last is not the first again
    progress  called with the frames done and their number

    Raises OutOfRange for fewer than 1 or more than 120 frames.
    """
    if not 1 <= frames <= 120:
        raise OutOfRange("frames", frames, 1, 120, "frames")
    drawn = []
    for done, turn in enumerate(turntable(frames, start), start=1):
        drawn.append(Image.fromarray(paint(layout, colours, "front", turn, mode, px)))
        if progress:
            progress(done, frames)
    held = BytesIO()
    drawn[0].save(
        held, "WEBP", save_all=True, append_images=drawn[1:], duration=FRAME_MS, loop=0, quality=80, method=2
    )
    return held.getvalue()


def row(
    jars: Sequence[tuple[Layout, Colours, float]],
    height: int = 600,
    ground: str = "panel",
    mode: str = "shaded",
    lid: bool = False,
    gap: float = GAP,
) -> Picture:
    """Jars side by side on one ground: one scale for all, one base line, each with its own shadow.

    jars    layout, colours and turn of each
    height  of the picture in pixels

    Raises OutOfRange without a jar, or for a size outside 64 to 6000 pixels.
    """
    if not jars:
        raise OutOfRange("jars in a row", 0, 1, float("inf"), "jars")
    glasses = [vessel(layout, lid) for layout, _, _ in jars]
    spans = [extent(glass) for glass in glasses]
    scale = 0.74 * height / max(high - low for low, high in spans)
    widths = [round(2 * glass.outer * (1 + gap) * scale) for glass in glasses]
    for length in (height, sum(widths)):
        if not SMALLEST <= length <= LARGEST:
            raise OutOfRange("size of the picture", length, SMALLEST, LARGEST, "pixels")
    depth = 4 if ground == "none" else 3
    whole = np.full((height, sum(widths), depth), GROUNDS[ground] if depth == 3 else 0, dtype=np.uint8)
    base, left = 0.875 * height, 0
    for (layout, tones, turn), (low, high), width in zip(jars, spans, widths, strict=True):
        drawn = paint(layout, tones, "front", turn, mode, (width, height), ground, lid=lid, scale=scale)
        shift = round(base - (0.49 * height + (high - low) / 2 * scale))
        there = np.roll(drawn, shift, axis=0)
        whole[:, left : left + width] = there
        left += width
    return whole

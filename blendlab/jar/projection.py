"""From the jar to the picture plane, orthographic; angles in degrees, lengths in mm.

z up from the inside bottom, r from the axis, phi anticlockwise seen from above with 0 towards
the viewer at turn 0; in the picture x grows to the right and v upwards.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import cos, floor, inf, log10, radians, sin

import numpy as np
from numpy.typing import NDArray

from blendlab.errors import OutOfRange


def project(
    phi: float, r: float, z: float, turn: float = 0.0, tilt: float = 0.0
) -> tuple[float, float, bool]:
    """Where a point of the jar stands in the picture, and whether it lies on the viewer's side.

    >>> x, v, near = project(90, 10, 5)
    >>> round(x, 6), v, near
    (10.0, 5.0, False)
    """
    angle, lean = radians(phi - turn), radians(tilt)
    depth = r * cos(angle)
    return r * sin(angle), z * cos(lean) - depth * sin(lean), depth > 1e-9 * max(1.0, r)


def scale_bar(px_per_mm: float, jar_width: float) -> tuple[float, int]:
    """Length of a scale bar in mm and in pixels: largest 1-2-5 step up to 0.4 of the jar.

    >>> scale_bar(6.21, 72)
    (20.0, 124)
    """
    if jar_width <= 0:
        raise OutOfRange("jar width", jar_width, 0, inf, "mm")
    room = 0.4 * jar_width * (1 + 1e-12)
    decade = 10.0 ** floor(log10(room))
    length = max(step * decade for step in (1, 2, 5) if step * decade <= room)
    return length, floor(length * px_per_mm + 0.5)


def turntable(frames: int, start: float = 0.0) -> tuple[float, ...]:
    """Turns of the frames of one revolution; the last is not the first again.

    >>> turntable(4, 10)
    (10.0, 100.0, 190.0, 280.0)
    """
    if frames < 1:
        raise OutOfRange("frames", frames, 1, inf, "frames")
    return tuple(start + 360.0 * frame / frames for frame in range(frames))


def coverage_1d(
    u: NDArray[np.float64] | float,
    footprint: NDArray[np.float64] | float,
    edges: Sequence[float],
    periodic: bool = True,
) -> NDArray[np.float64]:
    """Share of each piece of a 1-D pattern inside a box around `u`: an exact box filter.

    u, footprint  centre and width of the box, any shapes that fit together
    edges         n + 1 rising numbers; a periodic pattern repeats after the last, another one
                  goes on for ever with its first and last piece

    Returns shape (n, ...), 0 or more, sum 1.

    >>> coverage_1d(0.49, 0.04, [0, 0.5, 1]).round(6).tolist()
    [0.75, 0.25]
    """
    u, width = np.broadcast_arrays(np.asarray(u), np.maximum(np.asarray(footprint), 1e-9))
    low, high = u - width / 2, u + width / 2
    if not periodic:
        bounds = [-inf, *edges[1:-1], inf]
        parts = [
            np.clip(np.minimum(high, b) - np.maximum(low, a), 0, None) for a, b in itertools.pairwise(bounds)
        ]
        return np.asarray(np.stack(parts) / width)
    first, period = edges[0], edges[-1] - edges[0]
    laps = []
    for end in (low - first, high - first):
        lap = np.floor(end / period)
        laps.append((lap, end - lap * period + first))
    parts = []
    for a, b in itertools.pairwise(edges[:-1]):
        inside = [lap * (b - a) + np.clip(rest - a, 0, b - a) for lap, rest in laps]
        part = np.asarray(inside[1] - inside[0])
        part /= width
        parts.append(np.clip(part, 0, 1, out=part))
    last = np.ones_like(u, dtype=np.result_type(u, width))
    for part in parts:
        last -= part
    return np.stack([*parts, np.maximum(last, 0)])

"""The top of the filling as a height field: volume, picture and dust all read the same one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, pi

import numpy as np

from blendlab.facts.read import figure
from blendlab.jar.texture import Field, blur, noise
from blendlab.jar.volume import ML, cap_ml

TWIST = 3.6
"""Turn of the flutes along the rope, in radians of their pattern for each width of the rope."""

CELLS = 300
"""Cells across the inside of the jar."""


@dataclass(frozen=True)
class Top:
    """A top that can be looked up by its content.

    kind    flat, dome or star
    radius  inside radius of the jar [mm]
    peak    height above the edge of the fill [mm]
    points  of the tip a star is piped with
    """

    kind: str
    radius: float
    peak: float
    points: int = 7


@dataclass(frozen=True, eq=False)
class Relief:
    """Heights in mm on a square grid over the inside of the jar, rows from the back to the front.

    z      height above the edge of the fill, 0 outside the circle
    light  occlusion: 1 in the open, less in grooves
    cell   width of a cell [mm]
    """

    z: Field
    light: Field
    cell: float


def default_peak(kind: str, radius: float) -> float:
    """Usual height of a top in mm.

    >>> default_peak("flat", 30), default_peak("dome", 30), round(default_peak("star", 20), 1)
    (0.0, 8.0, 12.4)
    """
    if kind == "flat":
        return 0.0
    if kind == "dome":
        return min(figure("jar", "dome_height").value, radius / 3)
    return min(figure("jar", "star_peak").value, figure("jar", "star_peak_over_radius").value * radius)


@lru_cache(maxsize=16)
def relief(top: Top) -> Relief:
    """The height field of a top, drawn once."""
    cell = 2 * top.radius / CELLS
    count = CELLS + 2 * ceil(0.5 / cell)
    axis = ((np.arange(count) - (count - 1) / 2) * cell).astype(np.float32)
    x, y = axis[None, :], axis[:, None]
    r = np.hypot(x, y)
    heights = {"flat": _flat, "dome": _dome, "star": _star}[top.kind](top, x, y, r, cell)
    inside = r <= top.radius
    heights = np.where(inside, heights, 0.0).astype(np.float32)
    return Relief(heights, _occlusion(heights, cell, top.kind), cell)


@lru_cache(maxsize=64)
def volume_ml(top: Top) -> float:
    """Volume above the edge of the fill: a dome is a cap, a star the integral of the ropes that are drawn.

    The marks of a spatula have a mean of 0.

    >>> volume_ml(Top("flat", 30.0, 0.0))
    0.0
    """
    if top.kind == "flat":
        return 0.0
    if top.kind == "dome":
        return cap_ml(top.radius, top.peak)
    drawn = relief(top)
    return float(drawn.z.sum(dtype=float)) * drawn.cell**2 / ML


SEEN_MM = 1e-3
"""A dome lower than this is flat."""


def _scraped(r: Field, radius: float, cell: float) -> Field:
    """Marks of a spatula, longer along the stroke, with a mean of 0; the edge is left smooth."""
    marks = noise(r.shape, cell, ((2.5, 18.0, 4.0, 0.075), (0.6, 2.5, 2.0, 0.010)), seed=11)
    return np.asarray(marks * np.clip((radius - r) / 4.0, 0, 1), dtype=np.float32)


def _flat(top: Top, x: Field, y: Field, r: Field, cell: float) -> Field:
    return _scraped(r, top.radius, cell)


def _dome(top: Top, x: Field, y: Field, r: Field, cell: float) -> Field:
    if top.peak < SEEN_MM:
        return _scraped(r, top.radius, cell)
    ball = (top.radius**2 + top.peak**2) / (2 * top.peak)
    cap = np.sqrt(np.maximum(ball * ball - r * r, 0)) - (ball - top.peak)
    return np.asarray(np.maximum(cap, 0) + _scraped(r, top.radius, cell), dtype=np.float32)


def _star(top: Top, x: Field, y: Field, r: Field, cell: float) -> Field:
    """A rope from a star tip, laid as a rising spiral that closes in a drawn-out peak."""
    turns, points = figure("jar", "star_turns").value, float(top.points)
    radius, peak = top.radius, top.peak
    width = 0.66 * radius / (turns + 0.35)
    angle = np.mod(np.arctan2(x, y) + 0.6, 2 * pi)
    height = np.zeros_like(r)
    for lap in range(ceil(turns) + 1):
        along = (angle + 2 * pi * lap) / (2 * pi * turns)
        rope = _rope(top, r, np.minimum(along, 1.0), width, points, turns)
        height = _union(height, np.where(along <= 1.0, rope, 0.0), 0.35)
    height = _union(height, _nipple(top, x, y, points), 0.6)
    height = blur(height.astype(np.float32), 0.38 / cell)
    height += noise(r.shape, cell, ((1.2, 6.0, 1.0, 0.013),), seed=12) * np.clip(height - 0.5, 0, 1)
    return np.asarray(np.maximum(height, 0) * (peak / height.max()), dtype=np.float32)


def _nipple(top: Top, x: Field, y: Field, points: float) -> Field:
    """Where the tip was drawn off: fluted at its foot, smooth at its point, a little off the middle."""
    reach = 0.36 * top.radius
    x, y = x - 0.03 * top.radius, y + 0.02 * top.radius
    away = np.hypot(x, y) / reach
    flutes = 2 * np.abs(np.cos((points * np.arctan2(x, y) + 6.5 * away) / 2)) - 1.27
    slope = np.clip(1 - away * (1 - 0.13 * flutes * np.clip(away / 0.5, 0, 1)), 0, 1)
    return np.asarray(top.peak * (0.38 * np.sqrt(slope) + 0.62 * slope**1.35), dtype=np.float32)


def _rope(top: Top, r: Field, along: Field, width: float, points: float, turns: float) -> Field:
    begun = np.clip(along / 0.10, 0, 1)
    half = width * (1 - 0.25 * along) * (0.30 + 0.70 * np.sqrt(begun))
    centre = (top.radius - width) * (1 - along) ** 0.93
    across = np.clip((r - centre) / half, -1, 1)
    section = np.sqrt(1 - across * across)
    run = 2 * pi * turns * along * top.radius * (1 - 0.5 * along) / (2 * width)
    # lobes between the teeth of the tip: round on top, with a narrow groove between two of them
    lobes = 2 * np.abs(np.cos((points * np.arcsin(across) + TWIST * run) / 2)) - 1.27
    raised = 0.52 * top.peak * along**1.05
    rope = raised + half * section * (0.30 + 0.84 * begun) + 0.24 * half * lobes * np.sqrt(section) * begun
    return np.asarray(np.where(np.abs(across) < 1, rope, 0.0), dtype=np.float32)


def _union(a: Field, b: Field, soft: float) -> Field:
    """The higher of two fields with a rounded seam of about `soft` mm."""
    return np.asarray((a + b + np.sqrt((a - b) ** 2 + soft * soft) - soft) / 2, dtype=np.float32)


def _occlusion(z: Field, cell: float, kind: str) -> Field:
    if kind == "flat":
        return np.ones_like(z)
    wide = np.maximum(blur(z, 2.4 / cell) - z, -1.5)
    near = np.maximum(blur(z, 0.9 / cell) - z, -1.0)
    return np.asarray(np.clip(1 - 0.095 * wide - 0.12 * near, 0.55, 1.08), dtype=np.float32)

"""The content in front of the camera: gain planes of every tone on the wall and on the top."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from blendlab.jar import surface, texture
from blendlab.jar.scene import Scene
from blendlab.jar.solid import Solid
from blendlab.jar.texture import Field
from blendlab.jar.top import relief
from blendlab.jar.vessel import edge, tilt

SOFTNESS = 0.35
"""Width of the edge between two foams [mm]."""

OUTSIDE = -1e4
"""Height in the picture of what is not there [mm]."""

FINE = {"flat": (1, 3), "dome": (1, 3), "star": (2, 2)}
"""Samples across and along a pixel of the top."""

DEPTH_STEP = {"flat": 0.36, "dome": 0.36, "star": 0.25}
"""Distance of the samples of a top from the front to the back [mm]."""


@dataclass(frozen=True, eq=False)
class Skin:
    """What of the content is seen somewhere: coverage, gains by tone, and the way along a fade.

    alpha  coverage, shape (h, w)
    gains  shape (tones, h, w): coverage of the tone x shading, alpha not multiplied in
    path   place on the way of a fade, shape (h, w), or None: then `gains` has one plane
    """

    alpha: Field
    gains: Field
    path: Field | None = None


def wall_shade(phi: Field, flat: bool) -> Field:
    """Light of a broad source at the left front on the wall, by angle from the viewer in degrees."""
    if flat:
        return np.ones_like(phi)
    facing = np.clip(np.cos(np.radians(phi) + np.float32(0.24)), 0, 1)
    return np.asarray(0.30 + 0.70 * (1 - (1 - facing) ** 1.9), dtype=np.float32)


def wall(solid: Solid, view: Scene, turn: float, flat: bool) -> Skin:
    """The wall of the content from the front, over the whole box of the scene."""
    c, z = np.float32(tilt()[0]), view.z
    alpha = edge(z * c, view.scale)
    alpha *= edge((np.float32(solid.height) - z) * c, view.scale)
    alpha *= edge(view.reach - np.abs(view.x), view.scale)
    shade = wall_shade(view.phi, flat)
    if not flat:
        shade = shade * (1 - np.float32(0.16) * np.exp(-np.maximum(z, 0) / np.float32(1.8)))
    return toned(solid, alpha, shade, view.phi + np.float32(turn), z, 1 / view.scale, flat)


def toned(solid: Solid, alpha: Field, shade: Field, phi: Field, z: Field, pixel: float, flat: bool) -> Skin:
    """The tones of the wall at angles `phi` (1 or rows, columns) and heights `z`, with their foam."""
    per_mm = np.float32(np.degrees(1 / solid.radius))
    soft = np.float32(0 if flat else SOFTNESS)
    dphi = np.hypot(np.abs(np.gradient(phi, axis=1)).astype(np.float32), soft * per_mm)
    around, up = phi, z
    if not flat:
        grain, ds, dz = _foam(solid, phi, z)
        shade, up = shade * grain, z + dz
        if solid.rule.around:
            around = around + ds * per_mm
    if solid.mixes:
        gain = np.broadcast_to(shade, z.shape)[None]
        return Skin(alpha, gain, np.asarray(solid.path(up), dtype=np.float32))
    covered = solid.coverage(around, np.float32(1), up, dphi, np.hypot(np.float32(pixel), soft))
    return Skin(alpha, np.asarray(covered * shade, dtype=np.float32))


def _foam(solid: Solid, phi: Field, z: Field) -> tuple[Field, Field, Field]:
    """Texture and wander at every pixel, bilinear on the unrolled wall."""
    drawn = texture.wall(solid.radius, solid.height)
    fields = np.stack([drawn.shade, drawn.ds, drawn.dz], axis=-1)
    columns = fields.shape[1]
    place = np.mod((phi + 180.0) / 360.0 * columns, columns)
    left = place.astype(np.int32)
    part = (place - left).astype(np.float32)[..., None]
    level = np.clip(z / np.float32(drawn.cell), 0, fields.shape[0] - 1.001)
    below = level.astype(np.int32)
    rest = (level - below)[..., None]
    if len(phi) == 1:
        fields = fields[:, left[0] % columns] * (1 - part) + fields[:, (left[0] + 1) % columns] * part
        width = fields.shape[1]
        index = below * width + np.arange(width, dtype=np.int32)
        flat = fields.reshape(-1, 3)
        found = np.take(flat, index, axis=0)
        above = np.take(flat, index + width, axis=0)
        above -= found
        above *= rest
        found += above
    else:
        a, b = left % columns, (left + 1) % columns
        found = (fields[below, a] * (1 - part) + fields[below, b] * part) * (1 - rest)
        found += (fields[below + 1, a] * (1 - part) + fields[below + 1, b] * part) * rest
    return found[..., 0], found[..., 1], found[..., 2]


def top(solid: Solid, view: Scene, turn: float, dose: float, flat: bool) -> Skin:
    """The top as the camera sees it: per column the first surface from the front to the back."""
    c, s = tilt()
    radius, pixel = solid.top.radius, 1 / view.scale
    across, down = FINE[solid.top.kind]
    highest_v = (solid.height + max(float(relief(solid.top).z.max()), 0.0)) * c + radius * s
    rows = np.flatnonzero((view.v <= highest_v) & (view.v >= solid.height * c - radius * s - 2 * pixel))
    x = (view.x[:, None] + _parts(across) * pixel).reshape(-1).astype(np.float32)
    v = (view.v[rows, None] - _parts(down) * pixel).reshape(-1).astype(np.float32)
    steps = int(np.ceil(2 * radius / DEPTH_STEP[solid.top.kind]))
    depth = np.linspace(radius, -radius, steps).astype(np.float32)
    drawn = surface.seen(solid, x, depth, turn, dose, flat)
    seen = (solid.height + drawn.lift) * np.float32(c) - (depth * np.float32(s))[:, None]
    seen = np.where(drawn.inside, seen, np.float32(OUTSIDE))
    hit, near, weight = _first_hits(seen, np.maximum.accumulate(seen, axis=0), v)
    planes = np.zeros((len(drawn.gains) + 1, len(view.v), len(view.x)), dtype=np.float32)
    planes[0, rows] = _averaged(hit, across, down)
    for index, gains in enumerate(drawn.gains.reshape(len(drawn.gains), -1), start=1):
        found = np.take(gains, near)
        found += (np.take(gains, near + len(x)) - found) * weight
        planes[index, rows] = _averaged(found * hit, across, down)
    return Skin(planes[0], planes[1:] / np.maximum(planes[0], np.float32(1e-6)))


def _parts(count: int) -> Field:
    """Middles of the parts of a pixel, as shares of it around its own middle."""
    return np.asarray((np.arange(count) + 0.5) / count - 0.5, dtype=np.float32)


def _averaged(fine: Field, across: int, down: int) -> Field:
    """Mean over the samples of each pixel."""
    parts = [fine[row::down, column::across] for row in range(down) for column in range(across)]
    return np.asarray(sum(parts[1:], parts[0]) * np.float32(1 / len(parts)))


def _first_hits(seen: Field, highest: Field, v: Field) -> tuple[Field, NDArray[np.int64], Field]:
    """For each row and column: whether a surface is met, the sample before it, and how far beyond.

    `highest` never falls from the front to the back, so the first surface at or above a ray is
    found by one search in all columns together, each column lifted above the one before it.
    """
    depths, columns = seen.shape
    finite = np.maximum(highest, v.min() - 1.0) if len(v) else highest
    lift = np.arange(columns) * (float(finite.max()) - float(finite.min()) + 10.0)
    table = (finite.astype(np.float64) + lift).T.reshape(-1)
    asked = (v[::-1].astype(np.float64)[:, None] + lift).T.reshape(-1)
    first = np.searchsorted(table, asked).reshape(columns, len(v))[:, ::-1].T - np.arange(columns) * depths
    hit = (first < depths).astype(np.float32)
    after = np.clip(first, 1, depths - 1)
    column = np.arange(columns)
    below, above = highest[after - 1, column], seen[after, column]
    smooth = (seen[after - 1, column] >= below - 1e-4) & (below > OUTSIDE)
    weight = np.where(smooth, (v[:, None] - below) / np.maximum(above - below, 1e-5), 1.0)
    return hit, (after - 1) * columns + column, np.clip(weight, 0, 1).astype(np.float32)

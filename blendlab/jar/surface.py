"""The top of the content: its tones, its dusting and its light, seen from any side."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from blendlab.jar import dust as dusting
from blendlab.jar import texture
from blendlab.jar.solid import Solid
from blendlab.jar.texture import Field
from blendlab.jar.top import relief

LIGHT = np.array([-0.5, 0.42, 0.76]) / np.linalg.norm([-0.5, 0.42, 0.76])
"""Towards the lamp: x to the right, towards the viewer, up."""

SOFTNESS = 0.35
"""Width of the edge between two foams [mm]."""

GRAIN = 320
"""Cells across the noise of a top."""


GRAINS = ((0.45, 1.1, 1.0, 0.34), (1.1, 3.2, 1.0, 0.22), (4.0, 16.0, 1.0, 0.22))
"""Unevenness of a dusting as a logarithm of its dose: fine grain and broad patches."""


@dataclass(frozen=True, eq=False)
class Dress:
    """A top as it lies in the jar, whatever side it is seen from; square planes over the inside.

    lift   height above the edge of the fill [mm]
    lean   slopes to the right and to the front at turn 0, shape (2, cells, cells)
    gains  shape (planes, cells, cells): tones, then the same tones under the dusting, not yet lit
    cell   width of a cell [mm]
    """

    lift: Field
    lean: Field
    gains: Field
    cell: float


@dataclass(frozen=True, eq=False)
class Surface:
    """The top on a grid of the picture's columns and of depths from the front to the back.

    lift   height above the edge of the fill, shape (depths, columns)
    gains  shape (planes, depths, columns)
    inside where the grid lies on the top
    """

    lift: Field
    gains: Field
    inside: NDArray[np.bool_]


@lru_cache(maxsize=6)
def dress(solid: Solid, dose: float, flat: bool) -> Dress:
    """The top with its tones and its dusting, made once for all turns."""
    drawn = relief(solid.top)
    gains: Field
    cells = len(drawn.z)
    axis = ((np.arange(cells) - (cells - 1) / 2) * drawn.cell).astype(np.float32)
    x, y = axis[None, :], axis[:, None]
    r = np.hypot(x, y)
    phi = np.degrees(np.arctan2(x, y))
    lift = np.zeros_like(drawn.z) if flat and solid.top.kind == "flat" else drawn.z
    by_y, by_x = np.gradient(lift, drawn.cell)
    if not flat:
        phi = phi + _wander(solid, phi, r, x, y)
    if solid.mixed_above:
        gains = np.ones((1, cells, cells), dtype=np.float32)
    else:
        foot = np.degrees((SOFTNESS + drawn.cell / 2) / np.maximum(r, 0.4))
        gains = solid.top_coverage(phi, r / np.float32(solid.top.radius), foot).astype(np.float32)
    upright = 1 / np.sqrt(1 + by_x**2 + by_y**2)
    if not flat:
        wall = 1 - 0.10 * np.exp(-np.maximum(solid.top.radius - r, 0) / np.float32(1.6))
        gains = gains * (drawn.light * wall)
    if dose > 0:
        veiled = _veil(solid, x, y, upright, dose, flat)[None]
        gains = np.concatenate([gains * (1 - veiled), gains * veiled])
    lean = np.stack([by_x, by_y]).astype(np.float32)
    return Dress(lift, lean, np.asarray(gains, dtype=np.float32), drawn.cell)


def seen(solid: Solid, x: Field, depth: Field, turn: float, dose: float, flat: bool) -> Surface:
    """The top, turned and lit, at the columns `x` and depths `depth` in mm."""
    worn = dress(solid, dose, flat)
    planes = np.concatenate([worn.lift[None], worn.gains * (1 if flat else _lit(worn, turn))])
    packed = np.ascontiguousarray(np.moveaxis(planes, 0, -1), dtype=np.float32)
    angle = np.radians(turn)
    across, ahead = x[None, :], depth[:, None]
    c, s = np.float32(np.cos(angle)), np.float32(np.sin(angle))
    found = bilinear(packed, across * c + ahead * s, ahead * c - across * s, worn.cell)
    inside = across**2 + ahead**2 <= np.float32(solid.top.radius**2)
    return Surface(found[..., 0], np.moveaxis(found[..., 1:], -1, 0), inside)


def _lit(worn: Dress, turn: float) -> Field:
    """Light on the top when the jar has turned under the lamp; a level facet is 1."""
    angle = np.radians(turn)
    to_x = np.float32(LIGHT[0] * np.cos(angle) + LIGHT[1] * np.sin(angle))
    to_y = np.float32(LIGHT[1] * np.cos(angle) - LIGHT[0] * np.sin(angle))
    by_x, by_y = worn.lean
    facing = (np.float32(LIGHT[2]) - by_x * to_x - by_y * to_y) / np.sqrt(1 + by_x**2 + by_y**2)
    shade = 0.50 + 0.50 * np.maximum(facing, 0) / np.float32(LIGHT[2])
    # above a level facet light grows slower: foam scatters inside
    return np.asarray(np.where(shade > 1, 1 + 0.4 * (shade - 1), shade), dtype=np.float32)


def bilinear(packed: Field, x: Field, y: Field, cell: float) -> Field:
    """Planes of shape (cells, cells, planes) at places in mm from their middle."""
    cells = packed.shape[0]
    half, most = np.float32((cells - 1) / 2), np.float32(cells - 1.001)
    column = np.clip(x * np.float32(1 / cell) + half, 0, most)
    row = np.clip(y * np.float32(1 / cell) + half, 0, most)
    i, j = row.astype(np.int32), column.astype(np.int32)
    a, b = (row - i)[..., None], (column - j)[..., None]
    fields = packed.reshape(-1, packed.shape[-1])
    start = i * cells + j
    near = np.take(fields, start, axis=0)
    near += (np.take(fields, start + 1, axis=0) - near) * b
    far = np.take(fields, start + cells, axis=0)
    far += (np.take(fields, start + cells + 1, axis=0) - far) * b
    near += (far - near) * a
    return np.asarray(near)


def _wander(solid: Solid, phi: Field, r: Field, x: Field, y: Field) -> Field:
    """How far the edges of the top wander, in degrees: on their own, but at the wall as it."""
    drawn = texture.wall(solid.radius, solid.height)
    line = drawn.ds[min(int(solid.height / drawn.cell), drawn.ds.shape[0] - 1)]
    place = np.mod((phi + 180.0) / 360.0 * len(line), len(line))
    around = np.interp(place, np.arange(len(line) + 1), np.append(line, line[0]))
    near = np.clip(r / np.float32(solid.top.radius), 0, 1) ** 8
    moved = around * near + _noise(((14.0, 60.0, 1.0, 0.7),), 42, solid.top.radius, x, y) * (1 - near)
    return np.asarray(np.degrees(moved / np.maximum(r, 2.0)), dtype=np.float32)


@lru_cache(maxsize=8)
def _made(bands: tuple[texture.Band, ...], seed: int, cell: float) -> Field:
    return texture.noise((GRAIN, GRAIN), cell, bands, seed)


def _noise(bands: tuple[texture.Band, ...], seed: int, radius: float, x: Field, y: Field) -> Field:
    """Noise over the top at places in mm."""
    cell = radius / 150
    grain = _made(bands, seed, cell)[..., None]
    across, down = np.broadcast_arrays(x, y)
    return np.asarray(bilinear(grain, across, down, cell)[..., 0])


def _veil(solid: Solid, x: Field, y: Field, upright: Field, dose: float, flat: bool) -> Field:
    """Share of the top below lying plates: a fine grain and broad patches, less on steep sides."""
    areal = dusting.usual_cover()
    if flat:
        return np.full_like(upright, dusting.coverage(dose, areal))
    grain = _noise(GRAINS, 41, solid.top.radius, x, y)
    lies = np.clip(upright, 0.2, 1)
    # sieved from above: the rim keeps some of it off the edge, steep sides shed it
    under_rim = 1 - 0.6 * np.exp(-np.maximum(solid.top.radius - np.hypot(x, y), 0) / np.float32(2.4))
    local = under_rim * lies**1.5 * np.exp(grain * lies**2)
    over = np.hypot(x, y) <= solid.top.radius
    local *= np.float32(dose * lies[over].mean() / local[over].mean())
    return np.asarray(1 - np.exp(-areal * local), dtype=np.float32)

"""The jar cut open along its axis: what lies inside, where no other view shows it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from blendlab.jar import surface
from blendlab.jar.planes import Planes, Shot, assemble
from blendlab.jar.solid import Solid
from blendlab.jar.texture import Field, noise
from blendlab.jar.top import relief
from blendlab.jar.vessel import Vessel, edge
from blendlab.jar.views import sheet
from blendlab.tint.appearance import decode


@lru_cache(maxsize=4)
def opened(solid: Solid, vessel: Vessel, shot: Shot) -> Planes:
    """The planes of a cut through the axis; its right side lies 90 degrees anticlockwise of the turn."""
    high = max(vessel.brim, solid.height + solid.top.peak)
    scale = min(0.78 * shot.px[0] / (2 * vessel.outer), 0.80 * shot.px[1] / (high + vessel.base))
    place = sheet(shot.px, scale, 2 * vessel.outer, high + vessel.base, 0.5, shot.code)
    x, z = place.x, place.y - np.float32(vessel.base)
    local = vessel.inside.radius(np.clip(z, 0, vessel.brim))[:, None].astype(np.float32)
    crest = solid.height + _lift(solid, x, shot.turn)
    ends = edge(z, scale)[:, None] * edge(crest[None, :] - z[:, None], scale)
    side = np.where(z[:, None] > solid.height, solid.top.radius, local)
    alpha = (edge(side - np.abs(x)[None, :], scale) * ends).astype(np.float32)
    covered = _tones(solid, x, z, side, shot.turn, scale)
    if not shot.flat:
        covered = covered * _foam(solid, x, z)
    ground = np.float32(decode(shot.code / 255))
    hollow = edge(local - np.abs(x)[None, :], scale) * edge(z, scale)[:, None]
    glassy = _glass(vessel, x, z, local, scale)
    behind = 1 - 0.06 * hollow * edge(vessel.brim - z, scale)[:, None]
    neutral = ground * (behind * (1 - glassy) + np.float32(0.66) * glassy) * (1 - alpha)
    none = np.zeros((0, *alpha.shape), dtype=np.float32)
    if solid.mixes:
        path = np.asarray(solid.path(np.clip(z, 0, solid.height)), dtype=np.float32)
        path = np.broadcast_to(path[:, None], alpha.shape)
        own = (z > solid.height)[:, None] if not solid.mixed_above else np.zeros((len(z), 1), bool)
        tops = none if solid.mixed_above else covered * (alpha * own)
        return assemble(solid, neutral, none, tops, np.clip(path, 0, None), alpha * ~own, place)
    return assemble(solid, neutral, none, covered * alpha, None, None, place)


def _foam(solid: Solid, x: Field, z: Field) -> Field:
    """The cut face of foam: the texture of the wall without its grooves, of mean 1."""
    cell = solid.radius / 220
    rows = np.clip(z / cell, 0, 419).astype(np.int32) % 420
    columns = ((x + solid.radius) / cell).astype(np.int32) % 480
    return _grain(cell)[rows[:, None], columns[None, :]]


@lru_cache(maxsize=2)
def _grain(cell: float) -> Field:
    bumps = noise((420, 480), cell, ((3.0, 20.0, 1.2, 0.10), (0.8, 4.0, 1.1, 0.035)), 51)
    up, along = np.gradient(bumps, cell)
    shade = 1 - 0.14 * np.tanh(up) + 0.08 * np.tanh(along)
    return np.asarray(shade / shade.mean(dtype=float), dtype=np.float32)


def _lift(solid: Solid, x: Field, turn: float) -> Field:
    """Height of the top along the cut."""
    angle = np.radians(turn)
    drawn = relief(solid.top)
    along = x * np.float32(np.cos(angle)), x * np.float32(-np.sin(angle))
    lift = surface.bilinear(drawn.z[..., None], *along, drawn.cell)[..., 0]
    return np.where(np.abs(x) <= solid.top.radius, lift, 0)


def _tones(solid: Solid, x: Field, z: Field, side: Field, turn: float, scale: float) -> Field:
    """Share of each tone on the cut, shape (tones, rows, columns)."""
    pixel = 1 / scale
    r = np.clip(np.abs(x)[None, :] / side, 0, 1)
    phi = (turn + np.where(x > 0, 90.0, -90.0)).astype(np.float32)[None, :]
    level = np.clip(z, 0, solid.height * (1 - 1e-6))[:, None]
    level = np.broadcast_to(level, r.shape)
    dphi = np.degrees(pixel / np.maximum(np.abs(x), pixel))[None, :]
    inside = np.broadcast_to(solid.coverage(phi, r, level, dphi, pixel), (len(solid.shares), *r.shape))
    above = solid.top_coverage(np.broadcast_to(phi, r.shape), r, dphi)
    over = (z > solid.height)[None, :, None]
    return np.where(over, above, inside).astype(np.float32)


def _glass(vessel: Vessel, x: Field, z: Field, local: Field, scale: float) -> Field:
    """Coverage of the wall and the bottom where they are cut."""
    outer = vessel.inside.wall_radius(np.clip(z, 0, vessel.brim))[:, None] + vessel.wall
    whole = edge(outer - np.abs(x)[None, :], scale)
    whole = whole * (edge(z + vessel.base, scale) * edge(vessel.brim - z, scale))[:, None]
    hollow = edge(local - np.abs(x)[None, :], scale) * edge(z, scale)[:, None]
    return np.asarray(np.clip(whole - hollow, 0, 1), dtype=np.float32)

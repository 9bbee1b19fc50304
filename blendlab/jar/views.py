"""The two plain views: the wall rolled out, and the jar from above."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import pi

import numpy as np

from blendlab.jar import content, surface
from blendlab.jar.planes import Planes, Shot, assemble
from blendlab.jar.scene import Codes
from blendlab.jar.solid import Solid
from blendlab.jar.texture import Field
from blendlab.jar.vessel import Vessel, edge
from blendlab.tint.appearance import decode


@dataclass(frozen=True, eq=False)
class Sheet:
    """A box in a picture: its ground, pixels per mm, and the middle of each column and row in mm."""

    canvas: Codes
    shaded: Field
    rows: slice
    columns: slice
    scale: float
    x: Field
    y: Field


def wall_sheet(solid: Solid, px: tuple[int, int], code: int) -> Sheet:
    """Where the rolled-out wall lies: x along the wall from its middle, y up from the bottom."""
    length = 2 * pi * solid.radius
    scale = min(0.90 * px[0] / length, 0.62 * px[1] / solid.height)
    return sheet(px, scale, length, solid.height, 0.48, code)


def sheet(px: tuple[int, int], scale: float, width: float, height: float, middle: float, code: int) -> Sheet:
    """A box of `width` x `height` mm in a picture: x from its middle, y up from its lower edge."""
    x = ((np.arange(px[0]) + 0.5 - px[0] / 2) / scale).astype(np.float32)
    y = ((middle * px[1] - np.arange(px[1]) - 0.5) / scale + height / 2).astype(np.float32)
    spare = max(1.0, 1.5 / scale)
    rows = np.flatnonzero((y > -spare) & (y < height + spare))
    columns = np.flatnonzero(np.abs(x) < width / 2 + spare)
    canvas = np.full((px[1], px[0], 3), code, dtype=np.uint8)
    shaded = np.full((px[1], px[0]), decode(code / 255), dtype=np.float32)
    box = slice(int(rows[0]), int(rows[-1]) + 1), slice(int(columns[0]), int(columns[-1]) + 1)
    return Sheet(canvas, shaded, *box, scale, x[box[1]], y[box[0]])


def unrolled(solid: Solid, shot: Shot) -> Planes:
    """The planes of the wall rolled out; they do not depend on the turn."""
    return rolled(solid, shot.flat, shot.px, shot.code)


@lru_cache(maxsize=6)
def rolled(solid: Solid, flat: bool, px: tuple[int, int], code: int) -> Planes:
    """The planes of the wall rolled out, -180 to 180 degrees, one mm as long as one mm high."""
    place = wall_sheet(solid, px, code)
    rows = slice(1) if solid.straight else slice(None)
    local = solid.profile.wall_radius(np.clip(place.y, 0, solid.height))[rows, None].astype(np.float32)
    side = edge(pi * local - np.abs(place.x), place.scale)
    ends = edge(place.y, place.scale) * edge(solid.height - place.y, place.scale)
    alpha = (side * ends[:, None]).astype(np.float32)
    phi = np.degrees(place.x / local).astype(np.float32)
    z = np.repeat(place.y[:, None], len(place.x), axis=1)
    skin = content.toned(solid, alpha, np.ones((1, 1), np.float32), phi, z, 1 / place.scale, flat)
    neutral = (1 - alpha) * np.float32(decode(code / 255))
    gains = skin.gains * alpha
    none = np.zeros((0, *alpha.shape), dtype=np.float32)
    if skin.path is not None:
        return assemble(solid, neutral, none, none, np.clip(skin.path, 0, None), gains[0], place)
    return assemble(solid, neutral, gains, none, None, None, place)


@lru_cache(maxsize=6)
def above(solid: Solid, vessel: Vessel, shot: Shot) -> Planes:
    """The planes of the view from above; the front of the jar lies at the bottom of the picture."""
    px, code, flat = shot.px, shot.code, shot.flat
    scale = 0.80 * min(px) / (2 * vessel.outer)
    margin = 0.10 * min(px) / scale
    place = sheet(px, scale, 2 * (vessel.outer + margin), 2 * (vessel.outer + margin), 0.5, code)
    depth = (vessel.outer + margin - place.y).astype(np.float32)
    r = np.hypot(place.x[None, :], depth[:, None])
    drawn = surface.seen(solid, place.x, depth, shot.turn, shot.dose, flat)
    alpha = edge(solid.top.radius - r, scale)
    ground = np.float32(decode(code / 255))
    neutral = np.full_like(alpha, ground)
    if not flat:
        neutral = neutral * _round_shadow(vessel, place.x, depth, margin)
    glass = edge(vessel.outer - r, scale) * (1 - alpha)
    ring = np.float32(0.9) if flat else _ring(vessel, place.x, depth, r)
    neutral = (neutral * (1 - glass) + ground * ring * glass) * (1 - alpha)
    none = np.zeros((0, *alpha.shape), dtype=np.float32)
    return assemble(solid, neutral, none, drawn.gains * alpha, None, None, place)


def _round_shadow(vessel: Vessel, x: Field, depth: Field, margin: float) -> Field:
    """Soft shadow on the ground, away from the light, gone before the edge of the picture."""
    away = np.hypot(x[None, :] - 0.10 * margin, depth[:, None] + 0.06 * margin) - vessel.outer
    shade = 0.34 * np.exp(-np.clip(away, 0, None) / (0.22 * margin))
    rest = np.hypot(x[None, :], depth[:, None]) - vessel.outer
    room = np.clip((0.82 * margin - rest) / (0.6 * margin), 0, 1)
    return np.asarray(1 - shade * room, dtype=np.float32)


def _ring(vessel: Vessel, x: Field, depth: Field, r: Field) -> Field:
    """The rim from above: dark at both sides, light where it faces the lamp."""
    within = (r - vessel.mouth[0]) / (vessel.outer - vessel.mouth[0])
    angle = np.arctan2(x[None, :], depth[:, None])
    facing = 0.5 + 0.5 * np.cos(angle - 2.27 + pi)
    lit = 0.86 + (0.30 + 0.75 * facing**3) * np.exp(-(((within - 0.45) / 0.22) ** 2))
    dark = 0.34 * np.exp(-((within / 0.18) ** 2)) + 0.30 * np.exp(-(((within - 1) / 0.16) ** 2))
    return np.asarray(lit - dark, dtype=np.float32)

"""The empty jar in front of the camera: its place in the picture, its glass, its shadow.

Lengths in mm; x to the right from the axis, v upwards in the picture plane. Light is linear.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from blendlab.facts.jars import habit
from blendlab.jar import glass, light
from blendlab.jar.texture import Field, blur

Codes = NDArray[np.uint8]
CORNER = 2.4
"""Rounding of the outer bottom edge [mm]."""


@dataclass(frozen=True)
class Vessel:
    """Sizes of a jar that the picture depends on; `crest` is the height of what stands highest."""

    outer: float
    inner: float
    brim: float
    base: float
    n: float
    crest: float


@dataclass(frozen=True, eq=False)
class Scene:
    """A jar before it is filled.

    scale      pixels per mm
    rows, columns  slices of the picture that the jar covers; all planes have their shape
    x, v       mm of each column and row
    phi        angle seen on the inside wall per column [degrees], turn not added
    depth      mm towards the viewer of the content's wall per column
    canvas     the ground with its shadow, codes of the whole picture
    ground     linear light of ground and shadow behind the jar
    through    factor of what is seen through the empty jar
    outline    coverage of the jar's outline
    base       coverage of the bottom slab below the content
    base_shade factor along the slab
    front      factor of the front wall above the content, and what it adds
    front_add
    shine      reflections that stand still when the jar turns
    """

    scale: float
    rows: slice
    columns: slice
    x: Field
    v: Field
    phi: Field
    depth: Field
    canvas: Codes
    ground: Field
    through: Field
    outline: Field
    base: Field
    base_shade: Field
    front: Field
    front_add: Field
    shine: Field


def tilt() -> tuple[float, float]:
    """Cosine and sine of the camera's tilt."""
    angle = radians(habit("camera_tilt"))
    return cos(angle), sin(angle)


@lru_cache(maxsize=6)
def scene(vessel: Vessel, px: tuple[int, int], ground_code: int) -> Scene:
    """The empty jar in a picture of `px` (width, height) pixels."""
    c, s = tilt()
    low = -vessel.base * c - vessel.outer * s
    high = max(vessel.brim * c + vessel.outer * s, vessel.crest * c)
    scale = min(0.72 * px[0] / (2 * vessel.outer), 0.80 * px[1] / (high - low))
    middle = 0.49 * px[1]
    x_all = ((np.arange(px[0]) + 0.5 - px[0] / 2) / scale).astype(np.float32)
    v_all = ((middle - np.arange(px[1]) - 0.5) / scale + (low + high) / 2).astype(np.float32)
    columns = _span(np.abs(x_all) <= vessel.outer + 1.5)
    rows = _span((v_all >= low - 1.5) & (v_all <= high + 1.5))
    x, v = x_all[columns], v_all[rows]
    lit = light.decode(ground_code / 255)
    shaded = (lit * _shadow(vessel, x_all, v_all, low, scale)).astype(np.float32)
    canvas = np.repeat(light.to_codes(shaded)[:, :, None], 3, axis=2)
    reach = glass.apparent_radius(vessel.outer, vessel.inner, vessel.n)
    limb = np.clip(x, -reach, reach)
    depth = np.sqrt(np.maximum(reach**2 - limb**2, 0)) * (vessel.inner / reach)
    masks = _masks(vessel, x, v, depth, scale)
    front, front_add = _front(vessel, x, v, scale)
    return Scene(
        scale=scale,
        rows=rows,
        columns=columns,
        x=x,
        v=v,
        phi=glass.wall_angle(limb, vessel.outer, vessel.inner, vessel.n).astype(np.float32),
        depth=depth.astype(np.float32),
        canvas=canvas,
        ground=shaded[rows, columns],
        through=_through(vessel, x, v),
        outline=masks[0],
        base=masks[1],
        base_shade=_base_shade(vessel, x, v, depth),
        front=front,
        front_add=front_add,
        shine=_shine(vessel, x, v, masks[0]),
    )


def _span(inside: NDArray[np.bool_]) -> slice:
    places = np.flatnonzero(inside)
    return slice(int(places[0]), int(places[-1]) + 1)


def edge(distance: Field, scale: float) -> Field:
    """Coverage of a pixel whose middle lies `distance` mm inside an edge."""
    return np.asarray(np.clip(distance * np.float32(scale) + np.float32(0.5), 0, 1))


def _bump(value: Field, middle: float, width: float) -> Field:
    return np.asarray(np.exp(-(((value - np.float32(middle)) / np.float32(width)) ** 2)))


def _half_width(x: Field, radius: float) -> Field:
    return np.sqrt(np.maximum(np.float32(radius * radius) - x * x, 0))


def _bottom(vessel: Vessel, x: Field) -> Field:
    """Lowest v of the jar per column, with the rounded outer edge."""
    c, s = tilt()
    over = np.clip(np.abs(x) - (vessel.outer - CORNER), 0, CORNER)
    lifted = CORNER - np.sqrt(CORNER**2 - over**2)
    return np.asarray(-vessel.base * c - _half_width(x, vessel.outer) * s + 0.8 * lifted, dtype=np.float32)


def _masks(vessel: Vessel, x: Field, v: Field, depth: Field, scale: float) -> tuple[Field, Field]:
    c, s = tilt()
    side = edge(vessel.outer - np.abs(x), scale)[None, :]
    bottom = edge(v[:, None] - _bottom(vessel, x)[None, :], scale)
    rim = (vessel.brim * c + _half_width(x, vessel.outer) * s).astype(np.float32)
    outline = side * bottom * edge(rim[None, :] - v[:, None], scale)
    floor = (-depth * s).astype(np.float32)
    base = side * bottom * edge(floor[None, :] - v[:, None], scale)
    return outline.astype(np.float32), base.astype(np.float32)


def _shadow(vessel: Vessel, x: Field, v: Field, low: float, scale: float) -> Field:
    """Factor of the ground: a contact core and a penumbra away from the light, 1 well before the edge."""
    c, s = tilt()
    floor = -vessel.base * c
    height = (floor - v[:, None]) / np.float32(s)

    def pool(shift_x: float, shift_y: float, grow: float, soft: float) -> Field:
        r = np.hypot(x[None, :] - shift_x, height - shift_y) - np.float32(vessel.outer + grow)
        return np.asarray(1 / (1 + np.exp(np.clip(r / np.float32(soft), -30, 30))))

    R = vessel.outer
    core = pool(0.01 * R, 0.0, -0.2, 0.035 * R)
    near = pool(0.06 * R, 0.02 * R, -0.02 * R, 0.09 * R)
    wide = pool(0.22 * R, -0.10 * R, -0.10 * R, 0.15 * R)
    shade = (1 - 0.42 * core) * (1 - 0.26 * near) * (1 - 0.20 * wide)
    inset = [np.minimum(axis - axis.min(), axis.max() - axis) for axis in (x, v)]
    border = np.minimum(inset[0][None, :], inset[1][:, None]) * np.float32(scale)
    room = np.clip((border - 3) / (0.05 * scale * 2 * R), 0, 1)
    room = room * room * (3 - 2 * room)
    quiet = 1 - (1 - shade) * room
    return np.asarray(np.where(1 - quiet < 2e-3, 1, quiet), dtype=np.float32)


def _through(vessel: Vessel, x: Field, v: Field) -> Field:
    """What the two empty walls do to light from behind: thickness at the sides, a little everywhere."""
    wall = (np.abs(x) - vessel.inner) / (vessel.outer - vessel.inner)
    band = np.where(
        wall > 0,
        0.80
        - 0.42 * _bump(wall, 0.02, 0.22)
        + 0.22 * _bump(wall, 0.52, 0.22)
        - 0.44 * _bump(wall, 1.0, 0.16),
        0.955 - 0.10 * np.clip(np.abs(x) / vessel.inner, 0, 1) ** 10,
    )
    return np.broadcast_to(band.astype(np.float32), (len(v), len(x)))


def _front(vessel: Vessel, x: Field, v: Field, scale: float) -> tuple[Field, Field]:
    """The rim: a rounded ring with two dark companions and light along it."""
    c, s = tilt()
    away = (vessel.brim * c - v[:, None]) / np.float32(s)
    r = np.maximum(np.hypot(x[None, :], away), np.float32(1e-3))
    slope = np.sqrt((x[None, :] / r) ** 2 + (away / r / np.float32(s)) ** 2)
    middle, half = (vessel.outer + vessel.inner) / 2, (vessel.outer - vessel.inner) / 2
    offset = (r - np.float32(middle)) / slope
    breadth = half / slope + 0.16
    ring = edge(breadth - np.abs(offset), scale)
    place = offset / breadth
    angle = np.arctan2(x[None, :], away)
    facing = 0.5 + 0.5 * np.cos(angle + np.float32(0.75))
    near = away > 0
    glow = np.where(near, 0.10, 0.05) + 0.20 * facing**3 + 0.07 * (0.5 + 0.5 * np.cos(angle - 2.3)) ** 6
    lit = glow * _bump(place, -0.15, 0.42) * ring
    dark = 1 - ring * (0.10 + 0.26 * _bump(np.abs(place), 0.95, 0.30))
    return dark.astype(np.float32), lit.astype(np.float32)


def _shine(vessel: Vessel, x: Field, v: Field, outline: Field) -> Field:
    """Two quiet soft boxes and the brightening edge of the glass (Fresnel), neutral and additive."""
    c, s = tilt()
    R = vessel.outer
    z = (v[:, None] + _half_width(x, R)[None, :] * np.float32(s)) / np.float32(c)
    total = vessel.brim + vessel.base
    low, high = -vessel.base + 0.13 * total, vessel.brim - 0.075 * total
    plane = np.zeros((len(v), len(x)), dtype=np.float32)
    for place, width, strength in ((-0.745, 0.088, 0.17), (-0.625, 0.022, 0.060), (0.885, 0.030, 0.085)):
        across = _logistic((x - (place - width / 2) * R) / 0.28) * _logistic(
            ((place + width / 2) * R - x) / 0.28
        )
        along = _logistic((z - low) / 1.3) * _logistic((high - z) / 1.3)
        fall = 0.72 + 0.28 * np.clip((z - low) / (high - low), 0, 1)
        plane += np.float32(strength) * across[None, :] * along * fall
    sine = np.clip(np.abs(x) / R, 0, 0.9999)
    reflected = np.array([glass.fresnel(float(a), vessel.n)[2] for a in np.degrees(np.arcsin(sine))])
    rim_light = 0.14 * np.clip(reflected - reflected.min(), 0, 0.6)
    plane += (rim_light[None, :] * _logistic((vessel.brim - z) / 0.4)).astype(np.float32)
    return np.asarray(plane * outline, dtype=np.float32)


def _logistic(value: Field) -> Field:
    return np.asarray(1 / (1 + np.exp(-np.clip(value, -40, 40))), dtype=np.float32)


def _base_shade(vessel: Vessel, x: Field, v: Field, depth: Field) -> Field:
    """Light in the bottom slab: dark under the content and at the foot, a bright line between."""
    _c, s = tilt()
    top = (-depth * s).astype(np.float32)
    bottom = _bottom(vessel, x)
    place = (v[:, None] - bottom[None, :]) / np.maximum(top - bottom, 0.3)[None, :]
    turn = x[None, :] / np.float32(vessel.outer)
    shade = 1 - 0.40 * _bump(place, 0.0, 0.20) - 0.30 * _bump(place, 1.0, 0.22)
    shade += (0.20 + 0.10 * np.cos(3.0 * turn + 0.9)) * _bump(place, 0.40, 0.20)
    shade *= 1 - 0.35 * np.abs(turn) ** 8
    return np.asarray(blur(shade.astype(np.float32), 0.6), dtype=np.float32)

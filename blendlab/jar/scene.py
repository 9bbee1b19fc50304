"""The empty jar in front of the camera: its place in the picture, its glass, its shadow.

Lengths in mm; x to the right from the axis, v upwards in the picture plane. Light is linear.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import cos, radians, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

from blendlab.facts.jars import habit
from blendlab.jar import glass, light
from blendlab.jar.profile import Profile
from blendlab.jar.texture import Field, blur

Codes = NDArray[np.uint8]
CORNER = 2.4
"""Rounding of the outer bottom edge [mm]."""

SPARE = 0.2
"""How far beyond its edge the wall of a jar that is not upright is followed, for soft edges [mm]."""

AWAY = 1e3
"""Height of what is not there [mm]."""


@dataclass(frozen=True)
class Vessel:
    """What of a jar a picture depends on.

    outer   largest outside radius; inside: the profile of its inside
    base    thickness of the bottom; n: refractive index of the wall
    crest   height of what stands highest in the picture
    wetted  whether the content lies on the wall, or dry behind a film of air
    lid     "" for none, "flat" or "domed"; lid_mm: how high it stands above the rim
    """

    outer: float
    inside: Profile
    base: float
    n: float
    crest: float
    wetted: bool = True
    lid: str = ""
    lid_mm: float = 0.0

    @property
    def brim(self) -> float:
        """Height of the rim."""
        return self.inside.height

    @property
    def wall(self) -> float:
        """Thickness of the wall."""
        return self.outer - self.inside.widest

    @property
    def mouth(self) -> tuple[float, float]:
        """Inside and outside radius at the rim."""
        return self.inside.mouth, self.inside.mouth + self.wall

    @property
    def foot(self) -> tuple[float, float]:
        """Inside and outside radius at the bottom."""
        return self.inside.foot, self.inside.foot + self.wall


@dataclass(frozen=True, eq=False)
class Scene:
    """A jar before it is filled.

    scale      pixels per mm
    rows, columns  slices of the picture that the jar covers; all planes have their shape
    x, v       mm of each column and row
    z          height on the front wall that is seen there
    phi        angle seen on the inside wall [degrees], turn not added; one row where the wall is upright
    reach      half width at which the content is seen there
    foot_phi   angle seen on the bottom slab per column
    canvas     the ground with its shadow, codes of the whole picture
    shaded     the same in linear light
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
    z: Field
    phi: Field
    reach: Field
    foot_phi: Field
    canvas: Codes
    shaded: Field
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


def extent(vessel: Vessel) -> tuple[float, float]:
    """Lowest and highest place of a jar in the picture plane [mm]."""
    c, s = tilt()
    low = -vessel.base * c - vessel.foot[1] * s
    rim = (vessel.brim + vessel.lid_mm) * c + (vessel.mouth[1] + 1.5) * s
    return low, max(rim, vessel.crest * c)


def fitting_scale(vessel: Vessel, px: tuple[int, int]) -> float:
    """Pixels per mm at which a jar fits its picture with room for its shadow."""
    low, high = extent(vessel)
    return min(0.72 * px[0] / (2 * vessel.outer), 0.80 * px[1] / (high - low))


@lru_cache(maxsize=8)
def scene(vessel: Vessel, px: tuple[int, int], ground_code: int, scale: float = 0.0) -> Scene:
    """The empty jar in a picture of `px` (width, height) pixels; a scale of 0 makes it fit."""
    low, high = extent(vessel)
    scale = scale or fitting_scale(vessel, px)
    middle = 0.49 * px[1]
    x_all = ((np.arange(px[0]) + 0.5 - px[0] / 2) / scale).astype(np.float32)
    v_all = ((middle - np.arange(px[1]) - 0.5) / scale + (low + high) / 2).astype(np.float32)
    columns = _span(np.abs(x_all) <= vessel.outer + 2.0)
    rows = _span((v_all >= low - 1.5) & (v_all <= high + 1.5))
    x, v = x_all[columns], v_all[rows]
    lit = light.decode(ground_code / 255)
    shaded = (lit * _shadow(vessel, x_all, v_all, scale)).astype(np.float32)
    z, phi, reach = _front_wall(vessel, x, v)
    local = vessel.inside.wall_radius(z).astype(np.float32)
    foot_phi, floor = _foot(vessel, x)
    outline, base = _masks(vessel, x, v, floor, scale)
    front, front_add = _front(vessel, x, v, scale)
    return Scene(
        scale=scale,
        rows=rows,
        columns=columns,
        x=x,
        v=v,
        z=z,
        phi=phi,
        reach=reach,
        foot_phi=foot_phi,
        canvas=np.repeat(light.to_codes(shaded)[:, :, None], 3, axis=2),
        shaded=shaded,
        ground=shaded[rows, columns],
        through=_through(vessel, x, local),
        outline=outline,
        base=base,
        base_shade=_base_shade(vessel, x, v, floor),
        front=front,
        front_add=front_add,
        shine=_shine(vessel, x, v, local, outline),
    )


def _front_wall(vessel: Vessel, x: Field, v: Field) -> tuple[Field, Field, Field]:
    """Height, angle and half width of the content's wall in front, per pixel."""
    c, s = tilt()
    inner = vessel.inside.widest
    if vessel.inside.straight:
        reach = glass.apparent_radius(vessel.outer, inner, vessel.n, vessel.wetted)
        phi, depth = _seen(x, np.float64(reach), np.float64(vessel.outer), np.float64(inner), vessel.n)
        z = (v[:, None] + (depth * s)[None, :]) / c
        return z.astype(np.float32), phi[None, :].astype(np.float32), np.full((1, 1), reach, np.float32)
    heights = np.linspace(-2.0, vessel.brim + 2.0, 480)
    local = vessel.inside.wall_radius(heights)
    reaches = np.minimum(local + vessel.wall, (vessel.n if vessel.wetted else 1.0) * local)
    z = np.full((len(v), len(x)), -AWAY, dtype=np.float32)
    for column, place in enumerate(np.abs(x)):
        there = reaches > place - SPARE
        if there.any():
            depth = np.sqrt(np.maximum(reaches[there] ** 2 - place**2, 0)) * local[there] / reaches[there]
            seen = np.maximum.accumulate(heights[there] * c - depth * s)
            z[:, column] = np.interp(v[::-1], seen, heights[there], left=-AWAY, right=AWAY)[::-1]
    inside = vessel.inside.wall_radius(z)
    reach = np.minimum(inside + vessel.wall, (vessel.n if vessel.wetted else 1.0) * inside)
    phi, _ = _seen(x[None, :], reach, inside + vessel.wall, inside, vessel.n)
    return z, phi.astype(np.float32), reach.astype(np.float32)


def _seen(x: Any, reach: Any, outer: Any, inner: Any, n: float) -> tuple[Any, Any]:
    """Angle on the wall and its depth towards the viewer; beyond the content's edge those of the edge."""
    limb = np.clip(x, -reach, reach)
    depth = np.sqrt(np.maximum(reach**2 - limb**2, 0)) * (inner / reach)
    return glass.wall_angle(limb, outer, inner, n), depth


def _foot(vessel: Vessel, x: Field) -> tuple[Field, Field]:
    """Angle seen on the bottom per column, and the height of its front edge in the picture."""
    inner, outer = vessel.foot
    reach = glass.apparent_radius(outer, inner, vessel.n)
    phi, depth = _seen(x, np.float64(reach), np.float64(outer), np.float64(inner), vessel.n)
    return phi.astype(np.float32), (-depth * tilt()[1]).astype(np.float32)


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
    foot = vessel.foot[1]
    over = np.clip(np.abs(x) - (foot - CORNER), 0, CORNER)
    lifted = CORNER - np.sqrt(CORNER**2 - over**2)
    lowest = -vessel.base * c - _half_width(x, foot) * s + 0.8 * lifted
    if not vessel.inside.straight:
        beside = _silhouette(vessel, x)[0]
        lowest = np.where(np.abs(x) <= foot, np.minimum(lowest, beside), beside)
    return np.asarray(lowest, dtype=np.float32)


def _silhouette(vessel: Vessel, x: Field) -> tuple[Field, Field]:
    """Lowest and highest v of the wall per column of a jar that is not upright."""
    c, s = tilt()
    heights = np.linspace(0.0, vessel.brim, 240)[:, None]
    outer = vessel.inside.wall_radius(heights) + vessel.wall
    half = np.sqrt(np.maximum(outer**2 - x[None, :] ** 2, 0)) * s
    there = outer >= np.abs(x)[None, :]
    low = np.where(there, heights * c - half, AWAY).min(axis=0)
    high = np.where(there, heights * c + half, -AWAY).max(axis=0)
    return low.astype(np.float32), high.astype(np.float32)


def _masks(vessel: Vessel, x: Field, v: Field, floor: Field, scale: float) -> tuple[Field, Field]:
    c, s = tilt()
    mouth, foot = vessel.mouth[1], vessel.foot[1]
    low = _bottom(vessel, x)
    high = (vessel.brim * c + _half_width(x, mouth) * s).astype(np.float32)
    side = edge(vessel.outer - np.abs(x), scale)[None, :]
    under = edge(foot - np.abs(x), scale)[None, :]
    if not vessel.inside.straight:
        beside = _silhouette(vessel, x)[1]
        high = np.where(np.abs(x) <= mouth, np.maximum(high, beside), beside)
    steep = [np.ones_like(x), np.ones_like(x)]
    if not vessel.inside.straight:
        there = high > low
        low, high = (np.interp(x, x[there], each[there]).astype(np.float32) for each in (low, high))
        side = side * there
        steep = [np.hypot(1, np.gradient(each, x)).astype(np.float32) for each in (low, high)]
    bottom = edge((v[:, None] - low[None, :]) / steep[0], scale)
    outline = side * bottom * edge((high[None, :] - v[:, None]) / steep[1], scale)
    base = under * bottom * edge(floor[None, :] - v[:, None], scale)
    return outline.astype(np.float32), base.astype(np.float32)


def _shadow(vessel: Vessel, x: Field, v: Field, scale: float) -> Field:
    """Factor of the ground: a contact core and a penumbra away from the light, 1 well before the edge."""
    c, s = tilt()
    floor = -vessel.base * c
    height = (floor - v[:, None]) / np.float32(s)

    R = vessel.foot[1]

    def pool(shift_x: float, shift_y: float, grow: float, soft: float) -> Field:
        r = np.hypot(x[None, :] - shift_x, height - shift_y) - np.float32(R + grow)
        return np.asarray(1 / (1 + np.exp(np.clip(r / np.float32(soft), -30, 30))))

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


def _through(vessel: Vessel, x: Field, local: Field) -> Field:
    """What the two empty walls do to light from behind: thickness at the sides, a little everywhere."""
    wall = (np.abs(x)[None, :] - local) / np.float32(vessel.wall)
    sides = 0.82 - 0.30 * _bump(wall, 0.02, 0.26) + 0.16 * _bump(wall, 0.52, 0.24)
    sides -= 0.34 * _bump(wall, 1.0, 0.18)
    clear = 0.955 - 0.10 * np.clip(np.abs(x)[None, :] / local, 0, 1) ** 10
    return np.asarray(np.where(wall > 0, sides, clear), dtype=np.float32)


def _front(vessel: Vessel, x: Field, v: Field, scale: float) -> tuple[Field, Field]:
    """The rim: a rounded ring with two dark companions and light along it."""
    c, s = tilt()
    away = (vessel.brim * c - v[:, None]) / np.float32(s)
    r = np.maximum(np.hypot(x[None, :], away), np.float32(1e-3))
    slope = np.sqrt((x[None, :] / r) ** 2 + (away / r / np.float32(s)) ** 2)
    inner, outer = vessel.mouth
    middle, half = (outer + inner) / 2, (outer - inner) / 2
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


def _shine(vessel: Vessel, x: Field, v: Field, local: Field, outline: Field) -> Field:
    """Two quiet soft boxes and the brightening edge of the glass (Fresnel), neutral and additive."""
    c, s = tilt()
    z = (v[:, None] + _half_width(x, vessel.outer)[None, :] * np.float32(s)) / np.float32(c)
    R = local[:1] + vessel.wall if vessel.inside.straight else local + vessel.wall
    across_at = x[None, :] / R
    total = vessel.brim + vessel.base
    low, high = -vessel.base + 0.13 * total, vessel.brim - 0.075 * total
    plane = np.zeros((len(v), len(x)), dtype=np.float32)
    for place, width, strength in ((-0.745, 0.088, 0.17), (-0.625, 0.022, 0.060), (0.885, 0.030, 0.085)):
        soft = np.float32(0.28 / vessel.outer)
        across = _logistic((across_at - (place - width / 2)) / soft)
        across = across * _logistic(((place + width / 2) - across_at) / soft)
        along = _logistic((z - low) / 1.3) * _logistic((high - z) / 1.3)
        fall = 0.72 + 0.28 * np.clip((z - low) / (high - low), 0, 1)
        plane += np.float32(strength) * across * along * fall
    steps = np.linspace(0, 0.9999, 400)
    reflected = np.array([glass.fresnel(float(a), vessel.n)[2] for a in np.degrees(np.arcsin(steps))])
    rim_light = 0.14 * np.clip(reflected - reflected[0], 0, 0.6)
    found = np.interp(np.abs(across_at), steps, rim_light)
    plane += (found * _logistic((vessel.brim - z) / 0.4)).astype(np.float32)
    return np.asarray(plane * outline, dtype=np.float32)


def _logistic(value: Field) -> Field:
    return np.asarray(1 / (1 + np.exp(-np.clip(value, -40, 40))), dtype=np.float32)


def _base_shade(vessel: Vessel, x: Field, v: Field, top: Field) -> Field:
    """Light in the bottom slab: dark under the content and at the foot, a bright line between."""
    bottom = _bottom(vessel, x)
    place = (v[:, None] - bottom[None, :]) / np.maximum(top - bottom, 0.3)[None, :]
    turn = x[None, :] / np.float32(vessel.foot[1])
    shade = 1 - 0.40 * _bump(place, 0.0, 0.20) - 0.30 * _bump(place, 1.0, 0.22)
    shade += (0.20 + 0.10 * np.cos(3.0 * turn + 0.9)) * _bump(place, 0.40, 0.20)
    shade *= 1 - 0.35 * np.clip(np.abs(turn), 0, 1) ** 8
    return np.asarray(blur(shade.astype(np.float32), 0.6), dtype=np.float32)

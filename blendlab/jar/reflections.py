"""Light on and through the empty jar: shadow, walls, rim, reflections, bottom slab; linear factors."""

from __future__ import annotations

import numpy as np

from blendlab.jar import glass
from blendlab.jar.texture import Field, blur
from blendlab.jar.vessel import Vessel, bottom_edge, bump, edge, half_width, logistic, tilt


def shadow(vessel: Vessel, x: Field, v: Field, scale: float) -> Field:
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


def through(vessel: Vessel, x: Field, local: Field) -> Field:
    """What the two empty walls do to light from behind: thickness at the sides, a little everywhere."""
    wall = (np.abs(x)[None, :] - local) / np.float32(vessel.wall)
    sides = 0.82 - 0.30 * bump(wall, 0.02, 0.26) + 0.16 * bump(wall, 0.52, 0.24)
    sides -= 0.34 * bump(wall, 1.0, 0.18)
    clear = 0.955 - 0.10 * np.clip(np.abs(x)[None, :] / local, 0, 1) ** 10
    return np.asarray(np.where(wall > 0, sides, clear), dtype=np.float32)


def rim(vessel: Vessel, x: Field, v: Field, scale: float) -> tuple[Field, Field]:
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
    lit = glow * bump(place, -0.15, 0.42) * ring
    dark = 1 - ring * (0.10 + 0.26 * bump(np.abs(place), 0.95, 0.30))
    return dark.astype(np.float32), lit.astype(np.float32)


def shine(vessel: Vessel, x: Field, v: Field, local: Field, outline: Field) -> Field:
    """Two quiet soft boxes and the brightening edge of the glass (Fresnel), neutral and additive."""
    c, s = tilt()
    z = (v[:, None] + half_width(x, vessel.outer)[None, :] * np.float32(s)) / np.float32(c)
    R = local[:1] + vessel.wall if vessel.inside.straight else local + vessel.wall
    across_at = x[None, :] / R
    total = vessel.brim + vessel.base
    low, high = -vessel.base + 0.13 * total, vessel.brim - 0.075 * total
    plane = np.zeros((len(v), len(x)), dtype=np.float32)
    for place, width, strength in ((-0.745, 0.088, 0.17), (-0.625, 0.022, 0.060), (0.885, 0.030, 0.085)):
        soft = np.float32(0.28 / vessel.outer)
        across = logistic((across_at - (place - width / 2)) / soft)
        across = across * logistic(((place + width / 2) - across_at) / soft)
        along = logistic((z - low) / 1.3) * logistic((high - z) / 1.3)
        fall = 0.72 + 0.28 * np.clip((z - low) / (high - low), 0, 1)
        plane += np.float32(strength) * across * along * fall
    steps = np.linspace(0, 0.9999, 400)
    reflected = np.array([glass.fresnel(float(a), vessel.n)[2] for a in np.degrees(np.arcsin(steps))])
    rim_light = 0.14 * np.clip(reflected - reflected[0], 0, 0.6)
    found = np.interp(np.abs(across_at), steps, rim_light)
    plane += (found * logistic((vessel.brim - z) / 0.4)).astype(np.float32)
    return np.asarray(plane * outline, dtype=np.float32)


def slab(vessel: Vessel, x: Field, v: Field, top: Field) -> Field:
    """Light in the bottom slab: dark under the content and at the foot, a bright line between."""
    bottom = bottom_edge(vessel, x)
    place = (v[:, None] - bottom[None, :]) / np.maximum(top - bottom, 0.3)[None, :]
    turn = x[None, :] / np.float32(vessel.foot[1])
    shade = 1 - 0.40 * bump(place, 0.0, 0.20) - 0.30 * bump(place, 1.0, 0.22)
    shade += (0.20 + 0.10 * np.cos(3.0 * turn + 0.9)) * bump(place, 0.40, 0.20)
    shade *= 1 - 0.35 * np.clip(np.abs(turn), 0, 1) ** 8
    return np.asarray(blur(shade.astype(np.float32), 0.6), dtype=np.float32)

"""The empty jar as a solid in front of the camera: its sizes, its edges in the picture. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np

from blendlab.facts.read import figure
from blendlab.jar.profile import Profile
from blendlab.jar.projection import project
from blendlab.jar.texture import Field

CORNER = 2.4
"""Rounding of the outer bottom edge [mm]."""

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


def tilt() -> tuple[float, float]:
    """Cosine and sine of the camera's tilt."""
    angle = radians(figure("jar", "camera_tilt").value)
    return cos(angle), sin(angle)


def extent(vessel: Vessel) -> tuple[float, float]:
    """Lowest and highest place of a jar in the picture plane [mm]."""
    lean = figure("jar", "camera_tilt").value
    _, low, _ = project(0, vessel.foot[1], -vessel.base, tilt=lean)
    _, rim, _ = project(180, vessel.mouth[1] + 1.5, vessel.brim + vessel.lid_mm, tilt=lean)
    _, crest, _ = project(0, 0, vessel.crest, tilt=lean)
    return low, max(rim, crest)


def fitting_scale(vessel: Vessel, px: tuple[int, int]) -> float:
    """Pixels per mm at which a jar fits its picture with room for its shadow."""
    low, high = extent(vessel)
    return min(0.72 * px[0] / (2 * vessel.outer), 0.80 * px[1] / (high - low))


def edge(distance: Field, scale: float) -> Field:
    """Coverage of a pixel whose middle lies `distance` mm inside an edge."""
    return np.asarray(np.clip(distance * np.float32(scale) + np.float32(0.5), 0, 1))


def bump(value: Field, middle: float, width: float) -> Field:
    """A soft bump of height 1."""
    return np.asarray(np.exp(-(((value - np.float32(middle)) / np.float32(width)) ** 2)))


def half_width(x: Field, radius: float) -> Field:
    """Half chord of a circle per column [mm]."""
    return np.sqrt(np.maximum(np.float32(radius * radius) - x * x, 0))


def logistic(value: Field) -> Field:
    """A soft step from 0 to 1."""
    return np.asarray(1 / (1 + np.exp(-np.clip(value, -40, 40))), dtype=np.float32)


def bottom_edge(vessel: Vessel, x: Field) -> Field:
    """Lowest v of the jar per column, with the rounded outer edge."""
    c, s = tilt()
    foot = vessel.foot[1]
    over = np.clip(np.abs(x) - (foot - CORNER), 0, CORNER)
    lifted = CORNER - np.sqrt(CORNER**2 - over**2)
    lowest = -vessel.base * c - half_width(x, foot) * s + 0.8 * lifted
    if not vessel.inside.straight:
        beside = silhouette(vessel, x)[0]
        lowest = np.where(np.abs(x) <= foot, np.minimum(lowest, beside), beside)
    return np.asarray(lowest, dtype=np.float32)


def silhouette(vessel: Vessel, x: Field) -> tuple[Field, Field]:
    """Lowest and highest v of the wall per column of a jar that is not upright."""
    c, s = tilt()
    heights = np.linspace(0.0, vessel.brim, 240)[:, None]
    outer = vessel.inside.wall_radius(heights) + vessel.wall
    half = np.sqrt(np.maximum(outer**2 - x[None, :] ** 2, 0)) * s
    there = outer >= np.abs(x)[None, :]
    low = np.where(there, heights * c - half, AWAY).min(axis=0)
    high = np.where(there, heights * c + half, -AWAY).max(axis=0)
    return low.astype(np.float32), high.astype(np.float32)

"""A lid in front of the camera: a flat one hides the top, a domed one is clear."""

from __future__ import annotations

import numpy as np

from blendlab.jar.texture import Field
from blendlab.jar.vessel import Vessel, edge, tilt

SKIRT, SHELL = 9.0, 1.2
"""How far a lid reaches down over the rim, and how thick it is [mm]."""

SEEN = 0.14
"""How much of the side of a clear lid is seen."""

GREY = 0.40
"""Linear light of the lid in the open: a satin grey of L* 69."""


def rise(kind: str, inside_mm: float) -> float:
    """Height of a lid above the rim [mm]; 0 without a lid."""
    return inside_mm + SHELL if kind else 0.0


def over(vessel: Vessel, x: Field, v: Field, scale: float) -> tuple[Field, Field]:
    """What a lid leaves of the light behind it, and the light it adds; both of the shape of the picture."""
    across, up = x[None, :], v[:, None]
    covered, lit = _skirt(vessel, across, up, scale)
    if vessel.lid == "domed":
        kept, added = _dome(vessel, across, up, scale)
        return kept * (1 - SEEN * covered), added + SEEN * lit
    kept, added = _disc(vessel, across, up, scale)
    return kept * (1 - covered), added * (1 - covered) + lit


def _ring(across: Field, radius: float) -> Field:
    """Half height in the picture of a level circle per column [mm]."""
    return np.sqrt(np.maximum(np.float32(radius * radius) - across**2, 0)) * np.float32(tilt()[1])


def _around(across: Field, radius: float) -> Field:
    """Light on an upright round side: lit from the left front."""
    phi = np.arcsin(np.clip(across / np.float32(radius), -1, 1))
    facing = np.clip(np.cos(phi + 0.45), 0, 1)
    return 0.46 + 0.58 * facing**1.2 + 0.16 * np.exp(-(((phi + 0.85) / 0.16) ** 2))


def _skirt(vessel: Vessel, across: Field, up: Field, scale: float) -> tuple[Field, Field]:
    """The side of the lid, from below the rim to its upper edge: coverage and light."""
    c = tilt()[0]
    radius = vessel.mouth[1] + 1.0
    domed = vessel.lid == "domed"
    low = (vessel.brim - min(6.0 if domed else SKIRT, 0.3 * vessel.brim)) * c - _ring(across, radius)
    top = vessel.brim + (SHELL if domed else vessel.lid_mm)
    high = top * c - _ring(across, radius)
    side = edge(radius - np.abs(across), scale)
    covered = side * edge(up - low, scale) * edge(high - up, scale)
    near = np.exp(-(((high - up) / 0.5) ** 2)) * 0.16 - np.exp(-(((up - low) / 0.6) ** 2)) * 0.16
    return covered, covered * GREY * (_around(across, radius) + near)


def _disc(vessel: Vessel, across: Field, up: Field, scale: float) -> tuple[Field, Field]:
    """The flat top of a lid, seen a little from above, with a rounded edge."""
    c, s = tilt()
    radius = vessel.mouth[1] + 1.0
    level = (vessel.brim + vessel.lid_mm) * c
    r = np.hypot(across, (up - level) / s)
    slope = np.sqrt((across / np.maximum(r, 1e-3)) ** 2 + ((up - level) / np.maximum(r, 1e-3) / s**2) ** 2)
    covered = edge((radius - r) / np.maximum(slope, 1.0), scale)
    light = 1.06 + 0.05 * np.clip(-across / radius, -1, 1) - 0.10 * np.exp(-(((r - radius + 1.6) / 0.6) ** 2))
    return 1 - covered, covered * GREY * light


def _dome(vessel: Vessel, across: Field, up: Field, scale: float) -> tuple[Field, Field]:
    """A clear dome on the rim: a darker outline, a soft box on the left, nearly nothing between."""
    c, s = tilt()
    radius, height = vessel.mouth[1], vessel.lid_mm
    foot = vessel.brim * c
    # the silhouette of a spheroid under a tilted camera is an ellipse
    tall = np.hypot(height * c, radius * s)
    place = np.hypot(across / radius, np.maximum(up - foot, 0) / tall)
    front = foot - _ring(across, radius)
    inside = edge((1 - place) * min(radius, tall), scale) * edge(up - front, scale)
    limb = np.clip(place, 0, 1)
    kept = 1 - inside * (0.045 + 0.30 * limb**14)
    box = np.exp(-(((across / radius + 0.50) / 0.10) ** 2) - (((up - foot) / tall - 0.50) / 0.20) ** 2)
    small = np.exp(-(((across / radius - 0.58) / 0.035) ** 2) - (((up - foot) / tall - 0.42) / 0.16) ** 2)
    return kept, inside * (0.20 * box + 0.09 * small + 0.05 * limb**10)

"""The empty jar in front of the camera: its place in the picture, its glass, its shadow.

Lengths in mm; x to the right from the axis, v upwards in the picture plane. Light is linear.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from blendlab.jar import glass, light, reflections
from blendlab.jar.texture import Field
from blendlab.jar.vessel import (
    AWAY,
    Vessel,
    bottom_edge,
    edge,
    extent,
    fitting_scale,
    half_width,
    silhouette,
    tilt,
)
from blendlab.tint.appearance import decode

Codes = NDArray[np.uint8]
SPARE = 0.2
"""How far beyond its edge the wall of a jar that is not upright is followed, for soft edges [mm]."""


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
    lit = decode(ground_code / 255)
    shaded = (lit * reflections.shadow(vessel, x_all, v_all, scale)).astype(np.float32)
    z, phi, reach = _front_wall(vessel, x, v)
    local = vessel.inside.wall_radius(z).astype(np.float32)
    foot_phi, floor = _foot(vessel, x)
    outline, base = _masks(vessel, x, v, floor, scale)
    front, front_add = reflections.rim(vessel, x, v, scale)
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
        through=reflections.through(vessel, x, local),
        outline=outline,
        base=base,
        base_shade=reflections.slab(vessel, x, v, floor),
        front=front,
        front_add=front_add,
        shine=reflections.shine(vessel, x, v, local, outline),
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


def _masks(vessel: Vessel, x: Field, v: Field, floor: Field, scale: float) -> tuple[Field, Field]:
    c, s = tilt()
    mouth, foot = vessel.mouth[1], vessel.foot[1]
    low = bottom_edge(vessel, x)
    high = (vessel.brim * c + half_width(x, mouth) * s).astype(np.float32)
    side = edge(vessel.outer - np.abs(x), scale)[None, :]
    under = edge(foot - np.abs(x), scale)[None, :]
    if not vessel.inside.straight:
        beside = silhouette(vessel, x)[1]
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

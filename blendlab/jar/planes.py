"""A picture as a linear form: picture = neutral + sum of gain planes x tone colours."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from blendlab.jar import content, lids, light
from blendlab.jar.content import Skin
from blendlab.jar.palette import PASSAGE, Colours
from blendlab.jar.scene import Codes, Scene, scene
from blendlab.jar.solid import Solid
from blendlab.jar.texture import Field
from blendlab.jar.vessel import Vessel

FINE_PATH = 1024
"""Steps of the colour table of a fade between two tones, as it is looked up."""


class Place(Protocol):
    """A box in a picture, with the picture's ground."""

    @property
    def canvas(self) -> Codes:
        """Codes of the whole picture, without the content."""

    @property
    def shaded(self) -> Field:
        """The same in linear light."""

    @property
    def rows(self) -> slice:
        """Rows of the box."""

    @property
    def columns(self) -> slice:
        """Columns of the box."""

    @property
    def scale(self) -> float:
        """Pixels per mm."""


@dataclass(frozen=True, eq=False)
class Planes:
    """Everything of a picture but its colours.

    gains        shape (1 + wall + top, h, w): the neutral plane, then the tones on the wall, then
                 the tones of the top, then the same under a dusting
    walls, tops  how many planes belong to each
    path, along  place on the way of a fade and its gain, or None
    top_place    place on the way of a fade that the top shows, or None
    canvas       codes of the ground of the whole picture; shaded: its linear light
    rows, columns  where the planes lie in it
    scale        pixels per mm
    """

    gains: Field
    walls: int
    tops: int
    path: NDArray[np.uint16] | None
    along: Field | None
    top_place: float | None
    canvas: Codes
    shaded: Field
    rows: slice
    columns: slice
    scale: float


@dataclass(frozen=True)
class Shot:
    """How a picture is taken.

    turn   degrees; dose: dusting in mg/cm2; flat: no light and no texture
    px     width and height; code: sRGB code of the ground; scale: pixels per mm, 0 = to fit
    """

    turn: float
    dose: float
    flat: bool
    px: tuple[int, int]
    code: int
    scale: float = 0.0


@lru_cache(maxsize=8)
def front(solid: Solid, vessel: Vessel, shot: Shot) -> Planes:
    """The planes of a front view."""
    view = scene(vessel, shot.px, shot.code, shot.scale)
    wall = content.wall(solid, view, shot.turn, shot.flat)
    top = content.top(solid, view, shot.turn, shot.dose, shot.flat)
    neutral, walls, tops, along = _compose(solid, view, wall, top, shot.turn, shot.flat)
    if vessel.lid:
        kept, added = lids.over(vessel, view.x, view.v, view.scale)
        neutral, walls, tops = neutral * kept + added, walls * kept, tops * kept
        along = None if along is None else along * kept
    return assemble(solid, neutral, walls, tops, wall.path, along, view)


def assemble(
    solid: Solid,
    neutral: Field,
    walls: Field,
    tops: Field,
    path: Field | None,
    along: Field | None,
    view: Place,
) -> Planes:
    """The planes of one picture in their order."""
    steps = None if path is None else (path * np.float32(FINE_PATH) + np.float32(0.5)).astype(np.uint16)
    place = float(solid.path(np.float64(solid.height))) if solid.mixed_above else None
    gains = np.concatenate([neutral[None], walls, tops]).astype(np.float32, copy=False)
    return Planes(
        gains,
        len(walls),
        len(tops),
        steps,
        along,
        place,
        view.canvas,
        view.shaded,
        view.rows,
        view.columns,
        view.scale,
    )


def _compose(
    solid: Solid, view: Scene, wall: Skin, top: Skin, turn: float, flat: bool
) -> tuple[Field, Field, Field, Field | None]:
    """Neutral, wall and top planes from the back to the front, and the gain along a fade."""
    over, lens = 1 - wall.alpha, view.base * (1 - wall.alpha)
    ends = over * (1 - lens)
    if flat:
        gains, front = wall.gains, np.ones((1, 1), dtype=np.float32)
        neutral = view.ground * (1 - np.float32(0.10) * view.outline) * (1 - top.alpha) * ends
    else:
        gains, front = wall.gains / _lit_median(view, wall), view.front
        neutral = view.ground * (1 - view.outline * (1 - view.through)) * (1 - top.alpha)
        neutral = (neutral * front + view.front_add) * ends + view.shine
    slab = _slab(solid, view, turn, flat)
    neutral = neutral + lens * slab[0]
    tops = top.gains * (top.alpha * ends * front)
    if wall.path is not None:
        return neutral, slab[1] * lens, tops, (gains * wall.alpha)[0]
    return neutral, gains * wall.alpha + slab[1] * lens, tops, None


def _lit_median(view: Scene, wall: Skin) -> Any:
    """Median of the shading where the wall is fully covered, near the middle and free of reflections."""
    lit = (wall.alpha > 0.999) & (view.shine < 0.004)
    lit &= np.abs(view.x) < 0.8 * view.reach
    chosen = wall.gains.sum(axis=0)[::2, ::2][lit[::2, ::2]]
    return np.float32(np.median(chosen)) if len(chosen) else np.float32(1)


def _slab(solid: Solid, view: Scene, turn: float, flat: bool) -> tuple[Field, Field]:
    """The bottom slab carries what lies on it, paler: half tone, half neutral."""
    count = len(solid.shares)
    if flat:
        return np.full_like(view.ground, 0.40), np.zeros((count, 1, 1), dtype=np.float32)
    step = 12.0
    covered = solid.coverage(view.foot_phi + np.float32(turn), 1.0, np.float32(0.6), step, 1.0)
    tones = np.broadcast_to(covered, (count, len(view.x)))[:, None, :]
    shade = view.base_shade[None]
    return (np.float32(0.27) * view.base_shade), np.asarray(0.46 * shade * tones, dtype=np.float32)


def render(planes: Planes, colours: Colours, snap: bool) -> Field:
    """Linear light of the planes in given colours, shape (3, h, w)."""
    keep = light.snap if snap else np.asarray
    rows = [np.ones((1, 3))]
    if planes.walls:
        rows.append(colours.wall)
    rows.append(_top_colours(planes, colours))
    table = np.concatenate([rows[0], *[keep(row) for row in rows[1:]]]).astype(np.float32)
    height, width = planes.gains.shape[1:]
    picture = (table.T @ planes.gains.reshape(len(table), -1)).reshape(3, height, width)
    if planes.path is not None and planes.along is not None:
        for channel, fine in enumerate(keep(_fine(colours.fade_wall)).astype(np.float32).T):
            picture[channel] += np.take(fine, planes.path, mode="clip") * planes.along
    return picture


def _top_colours(planes: Planes, colours: Colours) -> NDArray[np.float64]:
    if planes.top_place is None:
        return np.concatenate([colours.open, colours.dusted])[: planes.tops]
    steps = np.arange(len(colours.fade_open)) / PASSAGE
    mixed = np.array([[np.interp(planes.top_place, steps, channel) for channel in colours.fade_open.T]])
    upper = colours.dusted[:1] - colours.open[:1] + mixed
    return np.concatenate([mixed, np.clip(upper, 0, 1)])[: planes.tops]


def _fine(table: NDArray[np.float64]) -> NDArray[np.float64]:
    steps = np.arange(len(table)) / PASSAGE
    asked = np.arange((len(table) - 1) // PASSAGE * FINE_PATH + 1) / FINE_PATH
    return np.stack([np.interp(asked, steps, channel) for channel in table.T], axis=1)

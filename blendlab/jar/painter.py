"""A filled jar as a picture: from the front, rolled out, from above."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from blendlab.errors import OutOfRange, UnknownName
from blendlab.jar import light, marks, planes, views
from blendlab.jar.filling import Layout
from blendlab.jar.palette import Colours
from blendlab.jar.planes import Planes
from blendlab.jar.projection import scale_bar
from blendlab.jar.scene import Vessel

Picture = NDArray[np.uint8]
GROUNDS = {"panel": 184, "white": 255}
"""Names of grounds and their sRGB code: the grey behind every picture of a page, and paper."""

MODES = ("shaded", "flat")
SMALLEST, LARGEST = 64, 4000
SEAM = 3
"""Width of the line between two halves of a picture in pixels."""


def paint(
    layout: Layout,
    colours: Colours,
    view: str = "front",
    turn: float = 0.0,
    mode: str = "shaded",
    px: tuple[int, int] = (700, 900),
    ground: str = "panel",
    bar: bool = False,
) -> Picture:
    """The picture of a filled jar, sRGB codes, shape (height, width, 3).

    view    "front", "wall" (rolled out, with marks and the part now in view) or "above"
    turn    degrees: the angle of the wall that faces the viewer
    mode    "shaded" like a photograph, or "flat": every inner pixel is the tone's own code
    px      width and height
    ground  "panel" (every pixel of the border is code 184) or "white"
    bar     a scale bar at the lower right of the front view

    Raises UnknownName, and OutOfRange for a size outside 64 to 4000 pixels.
    """
    for what, name, known in (("view", view, VIEWS), ("mode", mode, MODES), ("ground", ground, GROUNDS)):
        if name not in known:
            raise UnknownName(what, name, known)
    for length in px:
        if not SMALLEST <= length <= LARGEST:
            raise OutOfRange("size of the picture", length, SMALLEST, LARGEST, "pixels")
    flat = mode == "flat"
    form = VIEWS[view](layout, turn % 360.0, flat, (px[0], px[1]), GROUNDS[ground])
    picture = _coded(form, colours, flat)
    if view == "wall":
        marks.angles(picture, views.wall_sheet(layout.solid, px, GROUNDS[ground]), layout.solid, turn)
    if view == "front" and bar:
        marks.bar(picture, *scale_bar(form.scale, layout.jar.outer_mm))
    return picture


def _coded(form: Planes, colours: Colours, flat: bool) -> Picture:
    linear = planes.render(form, colours, flat)
    brightest = linear.max(axis=0)
    if float(brightest.max()) > 1.0:
        linear /= np.maximum(brightest, np.float32(1.0))
    picture = form.canvas.copy()
    target = picture[form.rows, form.columns]
    for channel in range(3):
        target[..., channel] = light.to_codes(linear[channel])
    return picture


def _front(layout: Layout, turn: float, flat: bool, px: tuple[int, int], code: int) -> Planes:
    return planes.front(layout.solid, vessel(layout), turn, layout.dust_mg_per_cm2, flat, px, code)


def _wall(layout: Layout, turn: float, flat: bool, px: tuple[int, int], code: int) -> Planes:
    return views.unrolled(layout.solid, flat, px, code)


def _above(layout: Layout, turn: float, flat: bool, px: tuple[int, int], code: int) -> Planes:
    return views.above(layout.solid, vessel(layout), turn, layout.dust_mg_per_cm2, flat, px, code)


VIEWS: dict[str, Callable[[Layout, float, bool, tuple[int, int], int], Planes]] = {
    "front": _front,
    "wall": _wall,
    "above": _above,
}


def vessel(layout: Layout) -> Vessel:
    """Sizes of the jar that the picture depends on."""
    jar = layout.jar
    crest = max(layout.fill_mm + layout.peak_mm, jar.height_mm)
    solid = layout.solid
    return Vessel(solid.outer, solid.radius, jar.height_mm, jar.base_mm, solid.n, crest)


def halves(left: Picture, right: Picture) -> Picture:
    """One picture of two: the left half of the first, the right half of the second, a seam between.

    The seam has the colour of the ground, so that it is seen on the jar only.

    Raises OutOfRange when the sizes differ.

    >>> grey = np.full((4, 8, 3), 184, dtype=np.uint8)
    >>> bool((halves(grey, grey) == grey).all())
    True
    """
    if left.shape != right.shape:
        raise OutOfRange("width of the second half", right.shape[1], left.shape[1], left.shape[1], "pixels")
    middle = left.shape[1] // 2
    joined = left.copy()
    joined[:, middle:] = right[:, middle:]
    joined[:, middle - SEAM // 2 : middle - SEAM // 2 + SEAM] = left[0, 0]
    return joined

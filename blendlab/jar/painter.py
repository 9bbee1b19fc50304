"""A filled jar as a picture: from the front, rolled out, from above."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from blendlab.errors import OutOfRange, UnknownName
from blendlab.jar import cut, lids, light, marks, planes, views
from blendlab.jar.filled_jar import Layout
from blendlab.jar.palette import Colours
from blendlab.jar.planes import Planes, Shot
from blendlab.jar.projection import scale_bar
from blendlab.jar.scene import scene
from blendlab.jar.solid import Solid
from blendlab.jar.vessel import Vessel
from blendlab.tint.appearance import encode

Picture = NDArray[np.uint8]
GROUNDS = {"panel": 184, "white": 255, "none": 184}
"""Names of grounds and their sRGB code: the grey behind every picture of a page, paper, and nothing."""

MODES = ("shaded", "flat")
SMALLEST, LARGEST = 64, 6000
KEPT = 1_500_000
"""Pixels up to which a picture's planes are kept for the next one; larger ones would fill the memory."""

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
    lid: bool = False,
    dry: bool = False,
    scale: float = 0.0,
) -> Picture:
    """The picture of a filled jar, sRGB codes, shape (height, width, 3), or 4 without a ground.

    view    "front", "wall" (rolled out, with marks and the part now in view), "above", or "cut"
            through the axis
    turn    degrees: the angle of the wall that faces the viewer
    mode    "shaded" like a photograph, or "flat": every inner pixel is the tone's own code
    px      width and height
    ground  "panel" (every pixel of the border is code 184), "white", or "none": transparent
    bar     a scale bar at the lower right
    lid     draw the jar's lid on the front view
    dry     the content shrank from the wall: a film of air between them
    scale   pixels per mm of the front view; 0 = to fit

    Raises UnknownName, and OutOfRange for a size outside 64 to 6000 pixels.
    """
    for what, name, known in (("view", view, VIEWS), ("mode", mode, MODES), ("ground", ground, GROUNDS)):
        if name not in known:
            raise UnknownName(what, name, known)
    for length in px:
        if not SMALLEST <= length <= LARGEST:
            raise OutOfRange("size of the picture", length, SMALLEST, LARGEST, "pixels")
    glass = vessel(layout, lid and view == "front", dry)

    def taken(code: int) -> Planes:
        shot = Shot(turn % 360.0, layout.dust_mg_per_cm2, mode == "flat", (px[0], px[1]), code, scale)
        return VIEWS[view](layout.solid, glass, shot)

    form = taken(GROUNDS[ground])
    if ground == "none":
        picture = _cutout(form, taken(255), colours, mode == "flat")
    else:
        picture = _coded(form, colours, mode == "flat")
    if px[0] * px[1] > KEPT:
        _forget()
    if view == "wall":
        marks.angles(picture, views.wall_sheet(layout.solid, px, GROUNDS[ground]), layout.solid, turn)
    if bar:
        marks.bar(picture, *scale_bar(form.scale, layout.jar.outer_mm))
    return picture


def _light(form: Planes, colours: Colours, flat: bool) -> NDArray[np.float32]:
    """Linear light of the box, no channel over 1: all three shrink together."""
    linear = planes.render(form, colours, flat)
    return light.shaded(linear, 1.0, axis=0) if float(linear.max()) > 1.0 else linear


def _coded(form: Planes, colours: Colours, flat: bool) -> Picture:
    linear = _light(form, colours, flat)
    picture = form.canvas.copy()
    target = picture[form.rows, form.columns]
    for channel in range(3):
        target[..., channel] = light.to_codes(linear[channel])
    return picture


def _cutout(grey: Planes, white: Planes, colours: Colours, flat: bool) -> Picture:
    """The picture without its ground: laid over the panel or over paper it is the opaque one.

    Viewers blend coded values, so the transparency is what two coded pictures leave of the
    difference of their grounds.
    """
    coded = []
    for form in (grey, white):
        whole = np.repeat(form.shaded[None], 3, axis=0)
        whole[:, form.rows, form.columns] = _light(form, colours, flat)
        coded.append(255 * encode(np.clip(whole, 0, 1)))
    on_grey, on_white = coded
    code = GROUNDS["panel"]
    alpha = np.clip(1 - (on_white - on_grey).mean(axis=0) / (255 - code), 0, 1)
    alpha = np.where(alpha > 0.996, 1.0, np.where(alpha < 0.004, 0.0, alpha))
    own = (on_grey - (1 - alpha) * code) / np.maximum(alpha, 1e-6)
    planes_ = np.concatenate([np.clip(own, 0, 255) * (alpha > 0), 255 * alpha[None]])
    return np.ascontiguousarray(np.moveaxis(np.floor(planes_ + 0.5), 0, -1).astype(np.uint8))


def _forget() -> None:
    for kept in (planes.front, scene, views.above, views.rolled, cut.opened):
        kept.cache_clear()


def _wall(solid: Solid, _: Vessel, shot: Shot) -> Planes:
    return views.unrolled(solid, shot)


VIEWS: dict[str, Callable[[Solid, Vessel, Shot], Planes]] = {
    "front": planes.front,
    "wall": _wall,
    "above": views.above,
    "cut": cut.opened,
}


def vessel(layout: Layout, lid: bool = False, dry: bool = False) -> Vessel:
    """What of the jar the picture depends on."""
    jar, solid = layout.jar, layout.solid
    kind = jar.lid if lid else ""
    crest = max(layout.fill_mm + layout.sunk_mm + layout.peak_mm, jar.height_mm)
    rise = lids.rise(kind, jar.lid_inner_mm)
    return Vessel(solid.outer, solid.profile, jar.base_mm, solid.n, crest, not dry, kind, rise)


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

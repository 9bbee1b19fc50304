"""How far the content wets the wall of her jar, from a photo of the open top beside the wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from blendlab.errors import OutOfRange


@dataclass(frozen=True)
class Contact:
    """The fitted contact.

    wall_contact  0 (as the open surface) to 1 (all of it sits on the wall)
    raw           the same before it was kept between 0 and 1
    misfit_pct    how far the photographed walls are from the fitted ones, percent of their light
    reach_pct     how much full contact darkens these tones: below a few percent nothing can be told
    """

    wall_contact: float
    raw: float
    misfit_pct: float
    reach_pct: float


def fit(tones: Sequence[tuple[Any, Any, Any]]) -> Contact:
    """The contact that fits photographed tones best.

    tones  for each: its predicted reflectance (31 bands), then linear sRGB (3) of its open top and
           of its wall, both from one photo in one light

    Only the ratio of wall to top is used, channel by channel, so that the exposure and the colour of
    the light fall out. Least squares of the ratio that Saunderson's correction predicts (1942).

    Raises OutOfRange without a tone, or where a patch has no light.
    """
    from blendlab import tint
    from blendlab.tint.kubelka_munk import behind_wall

    if not tones:
        raise OutOfRange("tones in the photo", 0, 1, float("inf"), "tones")
    pull, seen = [], []
    for R, top, wall in tones:
        top, wall = np.asarray(top, dtype=float), np.asarray(wall, dtype=float)
        if min(top.min(), wall.min()) <= 0:
            raise OutOfRange("light of a patch", float(min(top.min(), wall.min())), 0, 1, "of white")
        dry = np.clip(tint.see(np.asarray(R)).linear, 1e-4, None)
        wet = np.clip(tint.see(behind_wall(R, 1.0)).linear, 1e-4, None)
        pull.append(wet / dry - 1)
        seen.append(wall / top - 1)
    a, b = np.concatenate(pull), np.concatenate(seen)
    raw = float(a @ b / (a @ a))
    value = min(max(raw, 0.0), 1.0)
    misfit = float(np.sqrt(np.mean((b - value * a) ** 2)))
    return Contact(value, raw, 100 * misfit, 100 * float(np.abs(a).mean()))

"""From a spectrum to a colour somebody sees: lamp, observer, eye, screen."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import UnknownName
from blendlab.recipe import EYES
from blendlab.tint import appearance as ap
from blendlab.tint.arrays import Array, frozen
from blendlab.tint.kubelka_munk import reflectance
from blendlab.tint.spectra import spectrum_to_xyz, weights, white_point
from blendlab.tint.vision import through_eye


@dataclass(frozen=True, eq=False)
class Seen:
    """A colour, or many over leading axes.

    xyz        0 to 100 under the lamp
    lab        against the white of the lamp; for another than the usual eye, of what it sees (D65)
    oklch      lightness, chroma, hue in degrees, after adaptation to daylight
    linear     linear sRGB, may lie outside 0 to 1
    srgb       what the screen shows, 0 to 1
    in_gamut   False where the screen shows it duller than it is
    """

    xyz: Array
    lab: Array
    oklch: Array
    linear: Array
    srgb: Array
    in_gamut: Array

    @property
    def hex(self) -> str:
        """Hex code of a single colour."""
        return ap.to_hex(self.srgb)


def see(R: ArrayLike, lamp: str = "D65", observer: int = 2, eye: str = "usual") -> Seen:
    """What a spectrum looks like.

    R         reflectance [..., 31], 0 to 1
    lamp      of `LAMPS`; observer 2 or 10 [degrees]; eye of `EYES`

    A screen lives in daylight: colours under another lamp are adapted to D65 (CAT16), so a perfect
    white is #ffffff under every lamp.

    Raises UnknownName.

    >>> see(np.full(31, 0.5)).hex
    '#bcbcbc'
    """
    if eye not in EYES:
        raise UnknownName("eye", eye, EYES)
    xyz = spectrum_to_xyz(R, lamp, observer)
    lab = ap.xyz_to_lab(xyz, white_point(lamp, observer))
    linear = through_eye(xyz @ _xyz_to_linear(lamp, observer), eye)
    daylight = ap.linear_to_xyz(linear)
    if eye != "usual":
        xyz = 100.0 * daylight
        lab = ap.linear_to_lab(linear)
    srgb, in_gamut = ap.to_screen(linear)
    return Seen(xyz, lab, ap.polar(ap.xyz_to_oklab(daylight)), linear, srgb, in_gamut)


@cache
def _xyz_to_linear(lamp: str, observer: int) -> Array:
    """Matrix [3, 3] from XYZ 0 to 100 under a lamp to linear sRGB, for row vectors."""
    adapted = ap.adaptation(white_point(lamp, observer), ap.SRGB_WHITE)
    return frozen(ap.xyz_to_linear(adapted.T))


@dataclass(frozen=True, eq=False)
class Bulk:
    """Colours of many recipes, [n, 3] each: Lab, Oklab, and sRGB 0 to 1 (clipped)."""

    lab: Array
    oklab: Array
    srgb: Array


def bulk(c: ArrayLike, k: ArrayLike, s: ArrayLike, k0: ArrayLike, s0: ArrayLike, chunk: int = 2000) -> Bulk:
    """Lab, Oklab and sRGB of many recipes at once, in daylight, for searches.

    c     percents of the finished portion [n, pigments]; the rest as in `mix`
    chunk recipes worked on at a time, so that what is between fits the cache

    Screen colours are clipped without a search for less chroma. Percents are not checked.

    >>> bulk([[0.0], [1.0]], np.ones((1, 31)), np.zeros((1, 31)), np.full(31, 0.01), np.ones(31)).lab.shape
    (2, 3)
    """
    doses = np.ascontiguousarray(c, dtype=float)
    k, s = np.asarray(k, dtype=float), np.asarray(s, dtype=float)
    k0, s0 = np.asarray(k0, dtype=float), np.asarray(s0, dtype=float)
    out = Bulk(*(np.empty((len(doses), 3)) for _ in range(3)))
    for start in range(0, len(doses), chunk):
        part = slice(start, start + chunk)
        K = doses[part] @ k
        K += k0
        S = doses[part] @ s
        S += s0
        K /= S
        xyz = reflectance(K) @ weights()
        out.lab[part] = ap.xyz_to_lab(xyz, white_point())
        linear = xyz @ _xyz_to_linear("D65", 2)
        out.oklab[part] = ap.xyz_to_oklab(ap.linear_to_xyz(linear))
        out.srgb[part] = ap.encode(np.clip(linear, 0.0, 1.0))
    return out

"""XYZ to what people name and screens show: Lab, Oklab, sRGB, hex. All vectorised over leading axes."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from blendlab.errors import BadNumber
from blendlab.tint.arrays import Array, frozen, matrix

KNEE = 6.0 / 29.0
"""Where the cube root of Lab becomes a straight line (CIE 15:2004)."""
_JUST_SEEN = 0.02
SRGB_WHITE = frozen(matrix("srgb_to_xyz").sum(axis=1))
"""XYZ 0 to 1 of the white of a screen (D65, 2 degrees)."""


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike) -> Array:
    """CIE L*a*b* [..., 3] of XYZ against a white, both on one scale.

    >>> xyz_to_lab([20.0, 20.0, 20.0], [100.0, 100.0, 100.0]).round(2).tolist()
    [51.84, 0.0, 0.0]
    """
    lab = opponent(cube_root(np.asarray(xyz, dtype=float) / np.asarray(white, dtype=float)))
    lab[..., 0] -= 16.0
    return lab


def cube_root(ratio: Array) -> Array:
    """Cube root of XYZ against white, straight below the knee: the curve of Lab (CIE 15:2004)."""
    return np.where(ratio > KNEE**3, np.cbrt(ratio), ratio / (3.0 * KNEE**2) + 4.0 / 29.0)


def opponent(f: Array) -> Array:
    """L* + 16, a*, b* [..., 3] of the three roots; linear, so steps of the roots give steps of Lab."""
    made = np.empty_like(f)
    made[..., 0] = 116.0 * f[..., 1]
    made[..., 1] = 500.0 * (f[..., 0] - f[..., 1])
    made[..., 2] = 200.0 * (f[..., 1] - f[..., 2])
    return made


def lab_to_xyz(lab: ArrayLike, white: ArrayLike) -> Array:
    """XYZ of L*a*b*, on the scale of the white.

    >>> lab_to_xyz([100.0, 0.0, 0.0], [95.0, 100.0, 108.0]).tolist()
    [95.0, 100.0, 108.0]
    """
    L, a, b = np.moveaxis(np.asarray(lab, dtype=float), -1, 0)
    middle = (L + 16.0) / 116.0
    f = np.stack([middle + a / 500.0, middle, middle - b / 200.0], axis=-1)
    ratio = np.where(f > KNEE, f**3, 3.0 * KNEE**2 * (f - 4.0 / 29.0))
    return np.asarray(ratio * np.asarray(white, dtype=float))


def polar(lab: ArrayLike) -> Array:
    """Lightness, chroma, hue in degrees [0, 360) of Lab or Oklab.

    >>> polar([50.0, 0.0, -10.0]).tolist()
    [50.0, 10.0, 270.0]
    """
    L, a, b = np.moveaxis(np.asarray(lab, dtype=float), -1, 0)
    return np.stack([L, np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360.0], axis=-1)


def xyz_to_oklab(xyz: ArrayLike) -> Array:
    """Oklab of XYZ 0 to 1 under D65.

    Source: B. Ottosson 2020, A perceptual color space for image processing.

    >>> xyz_to_oklab([0.95047, 1.0, 1.08883]).round(3).tolist()
    [1.0, -0.0, -0.0]
    """
    lms = np.cbrt(np.asarray(xyz, dtype=float) @ matrix("oklab_xyz_to_lms").T)
    return np.asarray(lms @ matrix("oklab_lms_to_lab").T)


def oklab_to_xyz(oklab: ArrayLike) -> Array:
    """XYZ 0 to 1 under D65 of Oklab."""
    lms = np.asarray(oklab, dtype=float) @ _inverse("oklab_lms_to_lab").T
    return np.asarray(lms**3 @ _inverse("oklab_xyz_to_lms").T)


@cache
def _inverse(name: str) -> Array:
    return frozen(np.linalg.inv(matrix(name)))


def xyz_to_linear(xyz: ArrayLike) -> Array:
    """Linear sRGB of XYZ 0 to 1 under D65; outside 0 to 1 when the screen cannot show it."""
    return np.asarray(np.asarray(xyz, dtype=float) @ _inverse("srgb_to_xyz").T)


def linear_to_xyz(linear: ArrayLike) -> Array:
    """XYZ 0 to 1 under D65 of linear sRGB."""
    return np.asarray(np.asarray(linear, dtype=float) @ matrix("srgb_to_xyz").T)


def linear_to_lab(linear: ArrayLike) -> Array:
    """Lab [..., 3] of linear sRGB against the white of the screen.

    >>> (linear_to_lab([1.0, 1.0, 1.0]).round(6) + 0.0).tolist()
    [100.0, 0.0, 0.0]
    """
    return xyz_to_lab(linear_to_xyz(linear), SRGB_WHITE)


def lab_to_linear(lab: ArrayLike) -> Array:
    """Linear sRGB of Lab [..., 3] against the white of the screen; inverse of `linear_to_lab`."""
    return xyz_to_linear(lab_to_xyz(lab, SRGB_WHITE))


def encode(linear: ArrayLike) -> Array:
    """SRGB value of a linear one.

    Source: IEC 61966-2-1.

    >>> float(encode(0.18).round(4))
    0.4614
    """
    value = np.asarray(linear, dtype=float)
    root = np.maximum(value, 0.0031308) ** (1.0 / 2.4)
    return np.where(value <= 0.0031308, 12.92 * value, 1.055 * root - 0.055)


def decode(srgb: ArrayLike) -> Array:
    """Linear value of an sRGB one.

    >>> float(decode(0.5).round(4))
    0.214
    """
    value = np.asarray(srgb, dtype=float)
    return np.where(value <= 0.04045, value / 12.92, ((np.maximum(value, 0.04045) + 0.055) / 1.055) ** 2.4)


def adaptation(white: ArrayLike, target: ArrayLike) -> Array:
    """Matrix [3, 3] that carries XYZ seen under one white to the other (CAT16, full adaptation).

    Source: Li et al. 2017, Comprehensive color solutions: CAM16, CAT16, and CAM16-UCS.

    >>> (adaptation([0.5, 1.0, 2.0], [1.0, 1.0, 1.0]) @ [0.5, 1.0, 2.0]).round(6).tolist()
    [1.0, 1.0, 1.0]
    """
    cones = matrix("cat16")
    gain = (cones @ np.asarray(target, dtype=float)) / (cones @ np.asarray(white, dtype=float))
    return np.asarray(np.linalg.solve(cones, gain[:, None] * cones))


def to_screen(linear: ArrayLike) -> tuple[Array, Array]:
    """SRGB 0 to 1 and whether each colour fits the screen [..., bool].

    A colour that does not fit keeps its Oklab lightness and hue and loses chroma until clipping
    changes it by no more than 0.02 in Oklab (CSS Color Module Level 4, local minimum of clipping).

    >>> srgb, fits = to_screen([[0.2, 0.2, 0.2], [-0.2, 0.5, 0.5]])
    >>> fits.tolist()
    [True, False]
    """
    value = np.asarray(linear, dtype=float)
    fits = np.all((value >= -1e-6) & (value <= 1.0 + 1e-6), axis=-1)
    shown = np.clip(value, 0.0, 1.0)
    if not fits.all():
        shown[~fits] = _less_chroma(value[~fits])
    return encode(shown), fits


def _less_chroma(linear: Array) -> Array:
    full = xyz_to_oklab(linear_to_xyz(linear))
    low, high = np.zeros(len(linear)), np.ones(len(linear))
    for _ in range(20):
        part = (low + high) / 2.0
        paler = full * np.stack([np.ones_like(part), part, part], axis=-1)
        clipped = np.clip(xyz_to_linear(oklab_to_xyz(paler)), 0.0, 1.0)
        near = np.linalg.norm(xyz_to_oklab(linear_to_xyz(clipped)) - paler, axis=-1) <= _JUST_SEEN
        low, high = np.where(near, part, low), np.where(near, high, part)
    paler = full * np.stack([np.ones_like(low), low, low], axis=-1)
    return np.clip(xyz_to_linear(oklab_to_xyz(paler)), 0.0, 1.0)


def codes(srgb: ArrayLike) -> NDArray[np.uint8]:
    """Nearest codes 0 to 255 of sRGB; halves up, what lies outside 0 to 1 is clipped.

    >>> codes([0.0, 0.5, 1.2]).tolist()
    [0, 128, 255]
    """
    shown = np.clip(np.asarray(srgb, dtype=float), 0.0, 1.0)
    return np.asarray(np.floor(shown * 255.0 + 0.5), dtype=np.uint8)


def to_hex(srgb: ArrayLike) -> str:
    """Hex code of one sRGB colour 0 to 1.

    >>> to_hex([1.0, 0.5, 0.0])
    '#ff8000'
    """
    return "#" + codes(srgb).tobytes().hex()


def from_hex(code: str) -> Array:
    """SRGB 0 to 1 of a hex code of three or six digits.

    Raises BadNumber.

    >>> from_hex("#f00").tolist()
    [1.0, 0.0, 0.0]
    """
    digits = code.strip().removeprefix("#")
    if len(digits) == 3:
        digits = "".join(2 * digit for digit in digits)
    try:
        if len(digits) != 6:
            raise ValueError
        return np.array([int(digits[at : at + 2], 16) / 255.0 for at in (0, 2, 4)])
    except ValueError:
        raise BadNumber(code, "hexadecimal digits") from None


def contrast_ratio(a: ArrayLike, b: ArrayLike) -> float:
    """Contrast of two sRGB colours, 1 to 21, for text on a ground.

    Source: WCAG 2.2, relative luminance and contrast ratio.

    >>> round(contrast_ratio([0, 0, 0], [1, 1, 1]), 2)
    21.0
    """
    luminance = sorted(float(decode(colour) @ [0.2126, 0.7152, 0.0722]) for colour in (a, b))
    return (luminance[1] + 0.05) / (luminance[0] + 0.05)

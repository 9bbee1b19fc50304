"""A colour without a spectrum -> the smoothest spectrum of that colour, and a pigment as an estimate."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import BlendlabError, OutOfRange
from blendlab.facts.read import figure
from blendlab.shelf import BANDS, Base, Pigment
from blendlab.tint.appearance import decode, from_hex, linear_to_xyz
from blendlab.tint.arrays import Array
from blendlab.tint.kubelka_munk import k_over_s, reflectance
from blendlab.tint.spectra import weights

_STEPS, _NEAR, _FAR = 60, 1e-9, 30.0
_CAPS = {"white": "white_cap", "filler": "white_cap", "lake": "lake_cap", "absorbing": "pigment_cap"}


class NoSuchSpectrum(BlendlabError, ValueError):
    """No pigment in this base can have that colour."""


def below(xyz: ArrayLike, ceiling: ArrayLike, lamp: str = "D65", observer: int = 2) -> Array:
    """The smoothest reflectance [31] of a colour that lies below another one in every band.

    xyz      wanted colour, 0 to 100, under that lamp and for that observer
    ceiling  reflectance [31] that no band may exceed: a white surface, or the undyed base

    The ratio to the ceiling is a logistic curve of least total slope that meets the three
    tristimulus values exactly (the idea of least-slope recovery: Burns 2017, arXiv 1710.05732).

    Raises NoSuchSpectrum when the colour is not darker than the ceiling, or too vivid to exist.

    >>> from blendlab.tint.spectra import spectrum_to_xyz
    >>> R = below([40.0, 42.0, 30.0], np.full(31, 0.99))
    >>> spectrum_to_xyz(R).round(6).tolist()
    [40.0, 42.0, 30.0]
    """
    wanted, top = np.asarray(xyz, dtype=float), np.asarray(ceiling, dtype=float)
    W = (weights(lamp, observer) * top[:, None]).T
    share = wanted[1] / W[1].sum()
    if not 0 < share < 1:
        raise NoSuchSpectrum("This colour is not darker than the undyed base; no pigment makes it.")
    smooth = _slope()
    z, force = np.full(BANDS, np.log(share / (1 - share))), np.zeros(3)
    for _ in range(_STEPS):
        t = 1 / (1 + np.exp(-z))
        first, second = t * (1 - t), t * (1 - t) * (1 - 2 * t)
        miss = W @ t - wanted
        pull = force @ W
        if np.abs(miss).max() < _NEAR and np.abs(smooth @ z + first * pull).max() < 1e-6:
            return np.asarray(top * t)
        step = _newton(smooth + np.diag(second * pull), W * first, -(smooth @ z + first * pull), -miss)
        scale = min(1.0, 2.0 / max(float(np.abs(step[:BANDS]).max()), 1e-12))
        z = np.clip(z + scale * step[:BANDS], -_FAR, _FAR)
        force = force + scale * step[BANDS:]
    raise NoSuchSpectrum(
        "No smooth spectrum in this base has that colour; it is too vivid for a pigment in foam."
    )


def _slope() -> Array:
    difference = np.diff(np.eye(BANDS), axis=0)
    return np.asarray(2 * difference.T @ difference)


def _newton(curvature: Array, rows: Array, slope: Array, miss: Array) -> Array:
    """Step of the unknowns and of the three multipliers."""
    system = np.block([[curvature, rows.T], [rows, np.zeros((3, 3))]])
    return np.asarray(np.linalg.lstsq(system, np.concatenate([slope, miss]), rcond=None)[0])


def pigment_from_hex(
    item_id: str, name: str, group: str, ci: tuple[str, ...], code: str, pct: float, base: Base
) -> Pigment:
    """A pigment as an estimate, from the screen colour of one swatch of it in the white base.

    code  "#rrggbb" of the swatch; pct percent of the pigment in that swatch

    Its cap is that of its kind. Raises NoSuchSpectrum, UnknownName, OutOfRange.

    >>> from blendlab.facts.palette import bases
    >>> ci = ("77019", "77491")
    >>> made = pigment_from_hex("mine", "Mine", "pearl-absorbing", ci, "#d9b48f", 1.0, bases()[0])
    >>> made.known
    'estimate'
    """
    if pct <= 0:
        raise OutOfRange("percent of the swatch", pct, 0.0001, 100, "%")
    k0, s0 = np.asarray(base.k0), np.asarray(base.s0)
    R = below(100 * linear_to_xyz(decode(from_hex(code))), reflectance(k0 / s0))
    mica = "pearl" in group or group == "interference"
    s = np.full(BANDS, figure("tint", "mica_scattering").value if mica else 0.0)
    k = np.maximum((k_over_s(R) * (s0 + pct * s) - k0) / pct, 0.0)
    return Pigment(
        id=item_id,
        name=name,
        group=group,
        ci=ci,
        k=tuple(float(value) for value in k),
        s=tuple(float(value) for value in s),
        strength_sd=figure("tint", "picture_sd").value,
        known="estimate",
        basis=f"screen colour {code} of one swatch at {pct:g} % in {base.name}, without a grey card",
        cap_pct=figure("tint", _CAPS.get(group, "mica_cap")).value,
    )

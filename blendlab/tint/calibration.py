"""Swatches in her own base to the k and s of a pigment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import OutOfRange
from blendlab.facts.tint import constant
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.figures import Array
from blendlab.tint.mixing import k_over_s, mix
from blendlab.tint.spectra import WAVELENGTHS
from blendlab.tint.uncertainty import lab_of

_DARKEST, _PALEST = 0.003, 0.999
_REACHES = 1.0
"""From this percent on a ladder shows what the pigment scatters."""

Swatch = tuple[float, ArrayLike]
"""Percent of the finished portion, and reflectance [31] of the open surface."""


@dataclass(frozen=True, eq=False)
class Calibrated:
    """A pigment as its swatches show it.

    k, s       per percent of the finished portion, on a base whose scattering is 1 [31]
    sd         standard deviation of the logarithm of its strength
    residuals  CIEDE2000 of each swatch in its own fit; empty when nothing can be checked:
               one swatch of an unknown shape always fits
    """

    k: Array
    s: Array
    sd: float
    residuals: tuple[float, ...]


def calibrate(
    base_R: ArrayLike, swatches: Sequence[Swatch], shape: tuple[ArrayLike, ArrayLike] | None = None
) -> Calibrated:
    """K and s of a pigment from swatches of it in the base.

    base_R    reflectance [31] of the base alone
    swatches  percent and reflectance of each swatch
    shape     k and s [31] of its kind; then one strength alone is fitted

    A ladder that reaches 1 % also gives a flat s; below that s cannot be told from k and is 0.
    Residuals above 1.5 point to bad weighing or dispersion, above 3 the swatches are no ladder.

    Raises OutOfRange for no swatch, or a percent that is not above 0 and up to 100.
    """
    if not swatches:
        raise OutOfRange("number of swatches", 0, 1, float("inf"), "swatches")
    c = np.array([pct for pct, _ in swatches], dtype=float)
    if c.min() <= 0 or c.max() > 100:
        wrong = float(c.min() if c.min() <= 0 else c.max())
        raise OutOfRange("percent of a swatch", wrong, 0, 100, "% of the finished portion")
    q0 = _ratio(base_R)
    q = np.stack([_ratio(R) for _, R in swatches])
    if shape is not None:
        k, s = _one_strength(c, q, q0, shape)
    elif len(c) > 1 and c.max() >= _REACHES:
        k, s = _with_flat_scattering(c, q, q0)
    else:
        k, s = _absorption_only(c, q, q0), np.zeros(WAVELENGTHS.size)
    checkable = shape is not None or len(c) > 1
    residuals = tuple(_residuals(c, q0, k, s, swatches)) if checkable else ()
    return Calibrated(k, s, _spread_of_strength(c, q, q0, k, s), residuals)


def _ratio(R: ArrayLike) -> Array:
    return k_over_s(np.clip(np.asarray(R, dtype=float), _DARKEST, _PALEST))


def _absorption_only(c: Array, q: Array, q0: Array) -> Array:
    """Least squares of relative errors on K/S with the base subtracted."""
    weight = 1.0 / q**2
    above = (weight * c[:, None] * (q - q0)).sum(axis=0)
    return np.asarray(np.maximum(above / (weight * c[:, None] ** 2).sum(axis=0), 0.0))


def _with_flat_scattering(c: Array, q: Array, q0: Array) -> tuple[Array, Array]:
    """K of each band and one s for all, none below 0: c k - c q s = q - q0, rows divided by q."""
    from scipy.optimize import nnls

    bands = q0.size
    rows = [
        np.hstack([np.diag(pct / each), np.full((bands, 1), -pct)]) for pct, each in zip(c, q, strict=True)
    ]
    wanted = np.concatenate([(each - q0) / each for each in q])
    found = nnls(np.vstack(rows), wanted)[0]
    return found[:bands], np.full(bands, found[bands])


def _one_strength(c: Array, q: Array, q0: Array, shape: tuple[ArrayLike, ArrayLike]) -> tuple[Array, Array]:
    """The shape of its kind times one factor: c t (k - q s) = q - q0, rows divided by q."""
    k, s = (np.asarray(one, dtype=float) for one in shape)
    factor = max(_factor(c[:, None] * (k - q * s) / q, (q - q0) / q), 0.0)
    return k * factor, s * factor


def _factor(slope: Array, wanted: Array) -> float:
    """Least squares of wanted = t slope over all bands and swatches."""
    return float((slope * wanted).sum() / max(float((slope**2).sum()), 1e-300))


def _residuals(c: Array, q0: Array, k: Array, s: Array, swatches: Sequence[Swatch]) -> list[float]:
    R = mix(c[:, None], k[None], s[None], q0, np.ones_like(q0))[2]
    measured = np.array([np.asarray(each, dtype=float) for _, each in swatches])
    return [float(one) for one in delta_e_2000(lab_of(R), lab_of(measured))]


def _spread_of_strength(c: Array, q: Array, q0: Array, k: Array, s: Array) -> float:
    """From the factors the swatches ask for one by one; never below what a lot differs by."""
    least = constant("lot_sd" if len(c) == 1 else "ladder_sd")
    factors = [
        float(_factor(pct * (k - each * s) / each, (each - q0) / each))
        for pct, each in zip(c, q, strict=True)
    ]
    if len(factors) < 2 or min(factors) <= 0:
        return least
    return max(least, float(np.std(np.log(factors), ddof=1)))

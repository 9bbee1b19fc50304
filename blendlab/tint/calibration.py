"""Swatches in her own base to the k and s of a pigment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.tint.arrays import Array
from blendlab.tint.difference import delta_e_2000
from blendlab.tint.kubelka_munk import measured_k_over_s, mix
from blendlab.tint.spectra import WAVELENGTHS, lab_of

_REACHES = figure("tint", "scattering_from").value
_TESTED = 3
"""From this many swatches on one is kept out as a test."""
_PRIOR, _DEGREES = 4.0, 3.0
"""Weight of the usual scatter in swatches; independent errors of one smooth spectrum (its Lab)."""
_STEP, _MOST_DOUBT = 0.1, 1.5
WAYS = {
    "single": "One swatch gives the hue and the strength at its percent. It cannot be checked: no residual, "
    "no standard error, nothing about what the pigment scatters.",
    "repeated": "Swatches of one percent show how far weighing scatters, nothing of other percents.",
    "shape": "The spectrum of its kind is kept and one strength is fitted. A residual tells whether this "
    "pigment is of that kind; a hue of its own is not learned.",
    "ladder": "A ladder gives hue and strength and checks both. "
    f"Below {_REACHES:g} % scattering cannot be told from absorption.",
    "scattering": f"A ladder that reaches {_REACHES:g} % gives hue, strength and one flat scattering, "
    "and checks them.",
}
"""Way of fitting -> what it can and cannot tell."""

Swatch = tuple[float, ArrayLike]
"""Percent of the finished portion, and reflectance [31] of the open surface."""


@dataclass(frozen=True, eq=False)
class Calibrated:
    """A pigment as its swatches show it.

    k, s       per percent of the finished portion, on a base whose scattering is 1 [31]
    sd         standard deviation of the logarithm of its strength in the next jar
    residuals  CIEDE2000 of each swatch in its own fit; empty when nothing can be checked:
               one swatch of an unknown shape always fits
    se         standard error of the logarithm of the strength; None when nothing can be checked
    kept_out   CIEDE2000 of one swatch predicted from the others alone, where there are three
    way        of `WAYS`: what was fitted
    """

    k: Array
    s: Array
    sd: float
    residuals: tuple[float, ...]
    se: float | None
    kept_out: float | None
    way: str

    @property
    def tells(self) -> str:
        """What this way of fitting can and cannot tell, in words."""
        return WAYS[self.way]


def calibrate(
    base_R: ArrayLike,
    swatches: Sequence[Swatch],
    shape: tuple[ArrayLike, ArrayLike] | None = None,
    errors: Sequence[float] = (),
) -> Calibrated:
    """K and s of a pigment from swatches of it in the base.

    base_R    reflectance [31] of the base alone
    swatches  percent and reflectance of each swatch
    shape     k and s [31] of its kind; then one strength alone is fitted
    errors    CIEDE2000 that the way of measuring adds to each swatch; none = an instrument

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
    measured = np.array([np.asarray(each, dtype=float) for _, each in swatches])
    q0, q = measured_k_over_s(base_R), measured_k_over_s(measured)
    k, s, way = _fit(c, q, q0, shape)
    checkable = shape is not None or len(c) > 1
    apart = _apart(c, q0, k, s, measured)
    sd, se = _doubt(c, q, q0, k, s, shape is not None)
    added = _added_doubt(c, q0, k, s, errors)
    return Calibrated(
        k,
        s,
        float(np.hypot(sd, added)),
        tuple(map(float, apart)) if checkable else (),
        float(np.hypot(se, added)) if checkable else None,
        _kept_out(c, q, q0, measured, shape) if len(c) >= _TESTED else None,
        way,
    )


def _fit(
    c: Array, q: Array, q0: Array, shape: tuple[ArrayLike, ArrayLike] | None
) -> tuple[Array, Array, str]:
    if shape is not None:
        return *_one_strength(c, q, q0, shape), "shape"
    if len(set(c)) > 1 and c.max() >= _REACHES:
        return *_with_flat_scattering(c, q, q0), "scattering"
    way = "ladder" if len(set(c)) > 1 else ("repeated" if len(c) > 1 else "single")
    return _absorption_only(c, q, q0), np.zeros(WAVELENGTHS.size), way


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
    k, s = (np.asarray(part, dtype=float) for part in shape)
    factor = max(_factor(c[:, None] * (k - q * s) / q, (q - q0) / q), 0.0)
    return k * factor, s * factor


def _factor(slope: Array, wanted: Array) -> float:
    """Least squares of wanted = t slope over all bands and swatches."""
    return float((slope * wanted).sum() / max(float((slope**2).sum()), 1e-300))


def _apart(c: Array, q0: Array, k: Array, s: Array, measured: Array) -> Array:
    """CIEDE2000 of each swatch from what the fit makes of it."""
    R = mix(c[:, None], k[None], s[None], q0, np.ones_like(q0))[2]
    return delta_e_2000(lab_of(R), lab_of(measured))


def _kept_out(
    c: Array, q: Array, q0: Array, measured: Array, shape: tuple[ArrayLike, ArrayLike] | None
) -> float:
    """The middle swatch of the ladder predicted from the others."""
    middle = int(np.argsort(c, kind="stable")[len(c) // 2])
    rest = np.delete(np.arange(len(c)), middle)
    k, s, _ = _fit(c[rest], q[rest], q0, shape)
    return float(_apart(c[middle : middle + 1], q0, k, s, measured[middle : middle + 1])[0])


def _doubt(c: Array, q: Array, q0: Array, k: Array, s: Array, known_shape: bool) -> tuple[float, float]:
    """Standard deviation of the strength in the next jar, and standard error of the fitted strength.

    The strengths the swatches ask for one by one are pooled with what her own ladders usually scatter by.
    """
    n = len(c)
    usual = figure("tint", "ladder_sd").value
    if n == 1:
        if not known_shape:
            return figure("tint", "lot_sd").value, figure("tint", "lot_sd").value
        slope, missed = c[:, None] * (k - q * s) / q, (q - q0) / q - c[:, None] * (k - q * s) / q
        se = float(
            np.sqrt((missed**2).mean() * missed.size / _DEGREES / max(float((slope**2).sum()), 1e-300))
        )
        se = float(np.hypot(se, usual))
        return max(figure("tint", "lot_sd").value, float(np.hypot(se, usual))), se
    asked = np.log(
        [
            max(float(_factor(pct * (k - each * s) / each, (each - q0) / each)), 1e-3)
            for pct, each in zip(c, q, strict=True)
        ]
    )
    pooled = np.sqrt((_PRIOR * usual**2 + ((asked - asked.mean()) ** 2).sum()) / (_PRIOR + n - 1))
    return max(usual, float(pooled * np.sqrt(1 + 1 / n))), float(pooled / np.sqrt(n))


def _added_doubt(c: Array, q0: Array, k: Array, s: Array, errors: Sequence[float]) -> float:
    """Doubt in the logarithm of the strength from a way of measuring that adds an error in CIEDE2000."""
    if not any(errors):
        return 0.0
    ones = np.ones_like(q0)
    labs = [lab_of(mix(factor * c[:, None], k[None], s[None], q0, ones)[2]) for factor in (1.0, 1.0 + _STEP)]
    slope = delta_e_2000(labs[0], labs[1]) / np.log1p(_STEP)
    each = np.asarray(errors, dtype=float) / np.maximum(slope, 1e-6)
    return float(min(1.0 / np.sqrt((1.0 / np.maximum(each, 1e-6) ** 2).mean()), _MOST_DOUBT))

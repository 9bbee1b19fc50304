"""Reflectance spectra to XYZ: the grid, five lamps, two observers."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts.read import number, table
from blendlab.recipe import LAMPS, OBSERVERS
from blendlab.tint.appearance import xyz_to_lab
from blendlab.tint.arrays import Array, frozen

WAVELENGTHS = frozen(np.arange(400.0, 701.0, 10.0))
"""The 31 bands [nm]."""


@cache
def weights(lamp: str = "D65", observer: int = 2) -> Array:
    """Weights [31, 3] that turn a reflectance spectrum into XYZ; Y of the perfect white is 100.

    Raises UnknownName for a lamp or an observer that is not in the tables.
    Source: ASTM E2022 weights of the CIE standard observers and illuminants, tails folded.

    >>> weights("A", 10).shape
    (31, 3)
    """
    return frozen(_rows(lamp, observer)[:-1])


@cache
def white_point(lamp: str = "D65", observer: int = 2) -> Array:
    """XYZ of the perfect white under a lamp, Y = 100.

    >>> white_point("D65").round(2).tolist()
    [95.05, 100.0, 108.88]
    """
    return frozen(_rows(lamp, observer)[-1])


def _rows(lamp: str, observer: int) -> Array:
    if lamp not in LAMPS:
        raise UnknownName("lamp", lamp, LAMPS)
    if observer not in OBSERVERS:
        raise UnknownName("observer in degrees", str(observer), [str(degrees) for degrees in OBSERVERS])
    wanted = (str(observer), lamp)
    rows = [row for row in table("tint/weights_10nm") if (row["observer_deg"], row["lamp"]) == wanted]
    return np.array([[number(row, column) for column in ("WX", "WY", "WZ")] for row in rows])


def spectrum_to_xyz(R: ArrayLike, lamp: str = "D65", observer: int = 2) -> Array:
    """XYZ [..., 3] of reflectance [..., 31] under a lamp, 0 to 100.

    >>> spectrum_to_xyz(np.full(31, 0.5)).round(1).tolist()
    [47.5, 50.0, 54.4]
    """
    return np.asarray(R, dtype=float) @ weights(lamp, observer)


def lab_of(R: ArrayLike, lamp: str = "D65", observer: int = 2) -> Array:
    """Lab [..., 3] of reflectance [..., 31] against the white of a lamp; D65 and 2 degrees unless told.

    >>> (lab_of(np.ones(31)).round(3) + 0.0).tolist()
    [100.0, 0.0, 0.0]
    """
    return xyz_to_lab(spectrum_to_xyz(R, lamp, observer), white_point(lamp, observer))


def chromaticity(xyz: ArrayLike) -> Array:
    """Chromaticity xy [..., 2] of XYZ [..., 3]."""
    each = np.asarray(xyz, dtype=float)
    return np.asarray(each[..., :2] / each.sum(axis=-1, keepdims=True))


def on_grid(R: ArrayLike, wavelengths: ArrayLike) -> Array:
    """Reflectance [..., 31] on the grid from a spectrum given at rising wavelengths [nm].

    Between given points it is linear, beyond them the end value holds.

    Raises OutOfRange when the number of values does not fit the wavelengths.

    >>> round(float(on_grid([0.2, 0.6], [400, 700])[15]), 3)
    0.4
    """
    values, given = np.asarray(R, dtype=float), np.asarray(wavelengths, dtype=float)
    if values.shape[-1] != given.size:
        raise OutOfRange("length of the spectrum", values.shape[-1], given.size, given.size, "values")
    flat = [np.interp(WAVELENGTHS, given, spectrum) for spectrum in values.reshape(-1, given.size)]
    return np.reshape(flat, (*values.shape[:-1], WAVELENGTHS.size))

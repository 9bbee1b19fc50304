"""Foam: seeded noise, grooves and pockets on the unrolled wall, and the edges that wander in it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

Field = NDArray[Any]
"""A plane of single precision, shape (rows, columns) or with a leading axis of tones."""

Band = tuple[float, float, float, float]
"""Shortest and longest wavelength [mm], stretch along the rows, standard deviation."""

PITCH = 11.0
"""Height between two laps of the rope the jar was filled with [mm]."""

_COLUMNS, _MOST_ROWS = 900, 1500
"""Cells round a wall, and at most up it: a narrow, tall jar has wider cells."""


def noise(shape: tuple[int, ...], cell: float, bands: tuple[Band, ...], seed: int) -> Field:
    """Periodic noise of mean 0: a sum of bands of wavelengths, from one seed."""
    rng = np.random.default_rng(seed)
    rows, columns = shape
    fy = np.fft.fftfreq(rows, cell)[:, None].astype(np.float32)
    fx = np.fft.rfftfreq(columns, cell)[None, :].astype(np.float32)
    total = np.zeros(shape, dtype=np.float32)
    for short, long, stretch, sd in bands:
        white = rng.standard_normal(shape, dtype=np.float32)
        f = np.hypot(fx * np.float32(stretch), fy)
        window = np.where((f > 1 / long) & (f < 1 / short), 1 / np.maximum(f, 1e-6), 0).astype(np.float32)
        field = np.fft.irfft2(np.fft.rfft2(white) * window, s=shape).astype(np.float32)
        total += field * np.float32(sd / max(float(field.std()), 1e-9))
    return total


def blur(field: Field, sigma: float, wrap: bool = False) -> Field:
    """Gaussian blur with a standard deviation of `sigma` cells; zeros or the field itself go on outside."""
    pad = 0 if wrap else ceil(3 * sigma)
    wide = np.pad(field, pad)
    fy = np.fft.fftfreq(wide.shape[0])[:, None]
    fx = np.fft.rfftfreq(wide.shape[1])[None, :]
    pass_ = np.exp(-2 * (pi * sigma) ** 2 * (fx * fx + fy * fy))
    soft = np.fft.irfft2(np.fft.rfft2(wide) * pass_, s=wide.shape).astype(np.float32)
    return soft[pad : pad + field.shape[0], pad : pad + field.shape[1]]


@dataclass(frozen=True, eq=False)
class Wall:
    """The unrolled wall: rows from the bottom up, columns from -180 degrees anticlockwise.

    shade   factor of mean 1
    ds, dz  how far edges wander along and up the wall [mm], mean 0
    cell    width of a cell [mm]
    """

    shade: Field
    ds: Field
    dz: Field
    cell: float


@lru_cache(maxsize=8)
def wall(radius: float, height: float) -> Wall:
    """Foam against the wall of a jar, drawn once for its inside; turns with the content."""
    around = 2 * pi * radius
    columns = round(around / max(around / _COLUMNS, height / _MOST_ROWS))
    cell = around / columns
    rows = ceil(height / cell) + 2
    shape = (rows, columns)
    bumps = noise(shape, cell, ((4.0, 26.0, 1.7, 0.13), (1.0, 5.0, 1.5, 0.032), (0.45, 1.0, 1.1, 0.006)), 21)
    groove = _grooves(shape, cell)
    pocket = _pockets(shape, cell, groove)
    relief = bumps - 0.42 * groove - 0.25 * pocket
    up, along = np.gradient(relief, cell)
    shade = 1 - 0.17 * np.tanh(1.1 * up) + 0.08 * np.tanh(1.1 * along)
    shade -= 0.035 * pocket + 0.032 * groove
    shade /= shade.mean(dtype=float)
    wander = ((9.0, 70.0, 1.0, 0.36), (3.5, 9.0, 1.0, 0.03))
    return Wall(
        shade.astype(np.float32), noise(shape, cell, wander, 22), noise(shape, cell, wander, 23), cell
    )


def _grooves(shape: tuple[int, int], cell: float) -> Field:
    """Seams between the laps of a rope: a rising line that fades in and out, 0..1."""
    rows, columns = shape
    z = np.arange(rows, dtype=np.float32)[:, None] * np.float32(cell)
    rise = np.arange(columns, dtype=np.float32)[None, :] * np.float32(PITCH / columns)
    wobble = noise(shape, cell, ((12.0, 80.0, 2.0, 0.9),), 24)
    away = np.mod(z - rise + wobble + PITCH / 2, PITCH) - PITCH / 2
    strength = np.clip(0.35 + 0.55 * noise(shape, cell, ((18.0, 90.0, 3.0, 1.0),), 25), 0, 1)
    profile = np.exp(-((away / 0.5) ** 2)) + 0.35 * np.exp(-((away / 2.2) ** 2))
    return np.asarray(profile * strength, dtype=np.float32)


def _pockets(shape: tuple[int, int], cell: float, groove: Field) -> Field:
    """A few lens-shaped air pockets against the wall, rather along the grooves, 0..1."""
    field = noise(shape, cell, ((1.6, 8.0, 2.4, 1.0),), 26) + 0.5 * groove
    level = np.quantile(field, 0.987)
    return blur(np.clip((field - level) / 0.25, 0, 1).astype(np.float32), 0.12 / cell, wrap=True)

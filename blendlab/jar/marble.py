"""A marbled solid: one field folded by shears, cut at levels so that the wall shows the shares."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from functools import lru_cache
from math import pi
from typing import Any

import numpy as np

from blendlab.jar.texture import Field

FOLDS = 5
TRIES = 8
POINTS = 12000
AROUND = 900
"""Columns of the rolled-out wall on which the field is kept."""

WIDTH = 0.55
"""Wavelength of the unfolded stripes, as a share of the diameter."""


@lru_cache(maxsize=64)
def _folds(seed: int) -> tuple[Any, ...]:
    """Directions, shear directions and phases of the folds, and the direction of the stripes."""
    rng = np.random.default_rng(seed)
    along = rng.standard_normal((FOLDS, 3))
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    across = np.cross(along, rng.standard_normal((FOLDS, 3)))
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    stripes = rng.standard_normal(3)
    return along, across, rng.uniform(0, 2 * pi, FOLDS), stripes / np.linalg.norm(stripes)


def field(x: Any, y: Any, z: Any, diameter: float, seed: int) -> Field:
    """The field at points in mm, -1 to 1; every fold is a shear, so that it keeps volume."""
    along, across, phases, stripes = _folds(seed)
    kind = np.result_type(x, y, z, np.float32)
    p = [np.asarray(one, dtype=kind) for one in (x, y, z)]
    for k in range(FOLDS):
        wave = 2 * pi / (0.75 * diameter * 0.8**k)
        place = sum(kind.type(wave * a) * one for a, one in zip(along[k], p, strict=True))
        push = np.sin(place + kind.type(phases[k]), dtype=kind) * kind.type(0.20 * diameter * 0.86**k)
        p = [one + kind.type(b) * push for one, b in zip(p, across[k], strict=True)]
    place = sum(kind.type(2 * pi / (WIDTH * diameter) * n) * one for n, one in zip(stripes, p, strict=True))
    return np.asarray(np.sin(place), dtype=kind)


@lru_cache(maxsize=8)
def _wall(radius: float, height: float, seed: int) -> Field:
    """The field on the rolled-out wall: rows from the bottom up, columns from -180 degrees."""
    phi = (np.arange(AROUND, dtype=np.float32) * np.float32(2 * pi / AROUND) - np.float32(pi))[None, :]
    z = np.linspace(0, height, max(2, round(height * AROUND / (2 * pi * radius))), dtype=np.float32)
    x, y = np.float32(radius) * np.sin(phi), np.float32(radius) * np.cos(phi)
    return field(x, y, z[:, None], 2 * radius, seed)


def on_wall(phi: Any, z: Any, radius: float, height: float, seed: int) -> Field:
    """The field on the wall, bilinear on a grid that is worked out once; degrees and mm."""
    grid = _wall(radius, height, seed)
    rows = len(grid)
    column = np.mod((phi + 180.0) * (AROUND / 360.0), AROUND)
    row = np.clip(z * ((rows - 1) / height), 0, rows - 1.001)
    left, below = column.astype(np.int32), row.astype(np.int32)
    a, b = column - left, row - below
    left, next_ = left % AROUND, (left + 1) % AROUND
    flat = grid.reshape(-1)
    start = below * AROUND
    low = np.take(flat, start + left) * (1 - a) + np.take(flat, start + next_) * a
    high = np.take(flat, start + AROUND + left) * (1 - a) + np.take(flat, start + AROUND + next_) * a
    return np.asarray(low * (1 - b) + high * b)


def slope(diameter: float) -> float:
    """Usual steepness of the field, per mm."""
    return 2 * pi / (WIDTH * diameter)


@lru_cache(maxsize=64)
def cut(
    shares: tuple[float, ...], radius: float, height: float, seed: int
) -> tuple[int, tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """The pattern whose inside is nearest to its wall, and the levels between tones on wall and top.

    Returns the pattern's own seed, the rising levels that part the tones, last tone lowest, on the
    wall and on the top, and the share of each tone inside. One jar is a small sample: on the wall
    the shares are exact, inside they are off by about a point.
    """
    rng = np.random.default_rng(seed)
    phi, z = rng.uniform(0, 2 * pi, POINTS), rng.uniform(0, height, POINTS)
    r = radius * np.sqrt(rng.uniform(0, 1, POINTS))
    steps = np.cumsum(shares[::-1])[:-1].clip(0, 1)
    found = []
    for number in range(TRIES):
        own = 100 * seed + number
        levels = _levels(own, radius, height, steps)
        inside = np.sort(field(r * np.sin(phi), r * np.cos(phi), z, 2 * radius, own))
        held = np.searchsorted(inside, levels) / POINTS
        found.append((float(np.abs(held - steps).max(initial=0)), own, levels, held))
    _, own, levels, held = min(found, key=lambda one: one[0])
    top = field(r * np.sin(phi), r * np.cos(phi), np.full(POINTS, height), 2 * radius, own)
    inside = np.diff([0.0, *held, 1.0])[::-1]
    return own, levels, tuple(np.quantile(top, steps).tolist()), tuple(inside.tolist())


def _levels(seed: int, radius: float, height: float, steps: Any) -> tuple[float, ...]:
    """Quantiles of the field over the whole wall."""
    phi = (np.arange(240) + 0.5) * (2 * pi / 240)
    z = ((np.arange(80) + 0.5) * (height / 80))[:, None]
    wall = field(radius * np.sin(phi), radius * np.cos(phi), z, 2 * radius, seed)
    return tuple(np.quantile(wall, steps).tolist())


def coverage(value: Field, levels: Sequence[float], foot: Any) -> Field:
    """Share of each tone where the field has a value, first tone highest; shape (tones, ...)."""
    over = [np.ones_like(value)]
    over += [np.clip(0.5 + (value - level) / np.maximum(foot, 1e-6), 0, 1) for level in levels]
    over.append(np.zeros_like(value))
    return np.stack([low - high for low, high in itertools.pairwise(over)][::-1])

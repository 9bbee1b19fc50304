"""Eyes: usual, and with a colour vision deficiency."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts.read import number, table
from blendlab.recipe import EYES
from blendlab.tint.arrays import Array, frozen


@cache
def _steps(eye: str) -> Array:
    rows = [row for row in table("tint/vision") if row["kind"] == eye]
    flat = [[number(row, column) for column in ("c1", "c2", "c3")] for row in rows]
    return frozen(np.array(flat).reshape(11, 3, 3))


def eye_matrix(eye: str, severity: float = 1.0) -> Array:
    """Matrix [3, 3] on linear sRGB: what an eye makes of a colour.

    severity  0 (usual) to 1 (cones missing); linear between the printed steps of 0.1

    Raises UnknownName, OutOfRange. For tritan eyes the model is an approximation.
    Source: Machado, Oliveira, Fernandes 2009.

    >>> eye_matrix("deutan")[0].round(3).tolist()
    [0.367, 0.861, -0.228]
    """
    if eye not in EYES:
        raise UnknownName("eye", eye, EYES)
    if not 0 <= severity <= 1:
        raise OutOfRange("severity", severity, 0, 1, "of the full deficiency")
    if eye == "usual":
        return np.eye(3)
    steps = _steps(eye)
    below = min(int(severity * 10.0 + 1e-9), 9)
    part = severity * 10.0 - below
    return np.asarray((1.0 - part) * steps[below] + part * steps[below + 1])


def through_eye(linear: ArrayLike, eye: str) -> Array:
    """Linear sRGB [..., 3] as an eye sees it."""
    value = np.asarray(linear, dtype=float)
    return value if eye == "usual" else np.asarray(value @ eye_matrix(eye).T)

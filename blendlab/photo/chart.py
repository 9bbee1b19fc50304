"""A chart of 24 patches in the picture -> a correction of its colours, hue and all."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from functools import cache

import numpy as np
from numpy.typing import NDArray

from blendlab.facts.read import figure, number, table
from blendlab.photo.picture import BadPicture, Box, Picture
from blendlab.tint.appearance import lab_to_linear, linear_to_lab
from blendlab.tint.difference import delta_e_2000

Array = NDArray[np.float64]
Correction = Callable[[Array], Array]
ROWS, COLUMNS = 4, 6
_INNER = 0.4
"""Share of each patch that is read, in its middle."""
_LEAST = 3
"""Pixels that a side of what is read needs."""


@cache
def reference() -> Array:
    """Lab [24, 3] of the patches in daylight, row by row.

    >>> reference().shape
    (24, 3)
    """
    return np.array([[number(row, key) for key in ("L", "a", "b")] for row in table("tint/chart24")])


def correction(picture: Picture, box: Box) -> tuple[Correction, float]:
    """What turns linear light of this picture into that of daylight, and CIEDE2000 it leaves on average.

    box  the whole chart, edge to edge; it may lie on its side or upside down

    Root polynomials of the first degree, so that exposure does not matter (Finlayson, Mackiewicz,
    Hurlbert 2015). Raises BadPicture when what is marked is no such chart.
    """
    wanted = lab_to_linear(reference())
    tried = [_fit(seen, wanted) for seen in _turned(picture, box)]
    best, left = min(tried, key=lambda fit: fit[1])
    if left > figure("tint", "chart_wrong").value:
        raise BadPicture(
            f"The mark of the chart does not look like 24 patches in {ROWS} rows of {COLUMNS} "
            f"(Delta E {left:.0f} left); mark it from edge to edge."
        )
    return best, left


def _turned(picture: Picture, box: Box) -> list[Array]:
    """Patches [24, 3] for the four ways the chart may lie."""
    upright, lying = _grid(picture, box, ROWS, COLUMNS), _grid(picture, box, COLUMNS, ROWS)
    ways = [upright, upright[::-1, ::-1], np.rot90(lying), np.rot90(lying, 3)]
    return [way.reshape(-1, 3) for way in ways]


def _grid(picture: Picture, box: Box, rows: int, columns: int) -> Array:
    high, wide = box.height / rows, box.width / columns
    edge = (1 - _INNER) / 2
    return np.array(
        [
            [
                picture.patch(
                    Box(
                        box.left + (column + edge) * wide,
                        box.top + (row + edge) * high,
                        _INNER * wide,
                        _INNER * high,
                    ),
                    _LEAST,
                ).mean(axis=(0, 1))
                for column in range(columns)
            ]
            for row in range(rows)
        ]
    )


def _fit(seen: Array, wanted: Array) -> tuple[Correction, float]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour import colour_correction

    def correct(linear: Array) -> Array:
        return np.asarray(colour_correction(linear, seen, wanted, method="Finlayson 2015", degree=1))

    labs = linear_to_lab(np.clip(correct(seen), 0, None))
    return correct, float(delta_e_2000(labs, reference()).mean())

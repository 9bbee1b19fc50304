"""The colours of a jar: linear sRGB of every tone, on the open surface and behind the wall."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from blendlab import shelf
from blendlab.facts.read import figure
from blendlab.jar import light
from blendlab.jar.arrangements import RULES, PassageRule
from blendlab.recipe import Design
from blendlab.tint.appearance import decode
from blendlab.tint.kubelka_munk import mix
from blendlab.tint.seen_colour import see

Array = NDArray[np.float64]
PASSAGE = 32
"""Steps of the colour table between two tones of a fade."""


@dataclass(frozen=True, eq=False)
class Colours:
    """Linear sRGB 0..1, one row a tone in the order of the design.

    open, wall  shape (tones, 3): the open surface, and behind the wetted wall
    dusted      shape (tones, 3): the open surface where plates of the dusting lie
    fade_open, fade_wall
                shape (32 (tones - 1) + 1, 3): the way from the lowest to the highest tone of a
                fade, mixed in K and S; shape (0, 3) for other arrangements
    """

    open: Array
    wall: Array
    dusted: Array
    fade_open: Array
    fade_wall: Array


def plain(
    srgb: Any,
    wall: Any = None,
    powder_srgb: tuple[float, float, float] | None = None,
    fade_open: Any = None,
    fade_wall: Any = None,
) -> Colours:
    """Colours from coded sRGB 0..1 that is already known.

    srgb, wall  shape (tones, 3); without `wall` the tones look alike behind it
    fade_*      coded sRGB along a fade, shape (32 (tones - 1) + 1, 3)

    >>> plain([[1.0, 1.0, 1.0]]).open.tolist()
    [[1.0, 1.0, 1.0]]
    """
    surface = decode(srgb)
    behind = surface if wall is None else decode(wall)
    none = np.zeros((0, 3))
    return Colours(
        surface,
        behind,
        veil(surface, powder_srgb),
        none if fade_open is None else decode(fade_open),
        none if fade_wall is None else decode(fade_wall),
    )


def veil(surface: Array, powder_srgb: tuple[float, float, float] | None) -> Array:
    """Colour of a tone below lying plates: the powder's own, or only lighter when that is unknown."""
    opacity = figure("jar", "veil_opacity").value
    if powder_srgb is None:
        return light.shaded(surface, figure("jar", "veil_lift").value)
    return np.asarray(opacity * decode(powder_srgb) + (1 - opacity) * surface)


def colours(
    design: Design,
    tints: Mapping[str, Any],
    densities: Mapping[str, float],
    lamp: str = "D65",
    observer: int = 2,
    eye: str = "usual",
    dust: shelf.Pigment | None = None,
) -> Colours:
    """The colours of a design under a lamp, for an observer and an eye.

    tints  tone id -> Tint with K, S, R and R_wall, 31 bands each
    densities  tone id -> g/ml as the jar was filled; a tone that is absent holds nothing of it
    dust   pigment of the dusting on the top, if there is one

    Tones of a fade are mixed by mass in K and S, never as colours; its geometry speaks volume, so a
    slice that is half and half by volume is by mass more of the denser tone.
    """
    ordered = [tints[tone.id] for tone in design.tones]
    surface = _linear([tint.R for tint in ordered], lamp, observer, eye)
    wall = _linear([tint.R_wall for tint in ordered], lamp, observer, eye)
    fade_open = fade_wall = np.zeros((0, 3))
    if isinstance(RULES[design.arrangement.kind], PassageRule):
        by_mass = [densities.get(tone.id, 1.0) for tone in design.tones]
        R, R_wall = fade_table(ordered[::-1], by_mass[::-1])
        fade_open, fade_wall = (_linear(each, lamp, observer, eye) for each in (R, R_wall))
    powder = dust.powder_srgb if dust else None
    return Colours(surface, wall, veil(surface, powder), fade_open, fade_wall)


def _linear(R: Any, lamp: str, observer: int, eye: str) -> Array:
    return decode(see(np.asarray(R), lamp, observer, eye).srgb)


def passage_weights(count: int) -> Array:
    """Volume fractions of `count` tones along a fade, shape (32 (count - 1) + 1, count), lowest first.

    Even steps of the smooth step crowd where one of the tones is nearly pure: there a trace of
    a strong pigment changes the colour most.
    """
    steps = np.arange(PASSAGE + 1) / PASSAGE
    upper = steps * steps * (3 - 2 * steps)
    weights = np.zeros((PASSAGE * max(count - 1, 0) + 1, count))
    weights[0, 0] = 1.0
    for pair in range(count - 1):
        rows = slice(PASSAGE * pair, PASSAGE * (pair + 1) + 1)
        weights[rows, pair], weights[rows, pair + 1] = 1 - upper, upper
    return weights


def fade_table(rising: list[Any], densities: Sequence[float]) -> tuple[Array, Array]:
    """Reflectance along a fade, open and behind the wall, each (32 (tones - 1) + 1, bands).

    densities  of the tones in their order, any unit
    """
    weights = passage_weights(len(rising)) * np.asarray(densities)
    weights = weights / weights.sum(axis=1, keepdims=True)
    K, S = (np.stack([np.asarray(getattr(tone, name)) for tone in rising]) for name in ("K", "S"))
    R = mixed(weights, K, S)
    ratio = np.stack([np.asarray(tone.R_wall) / np.asarray(tone.R) for tone in rising])
    return R, R * (weights @ ratio)


def mixed(fractions: Any, K: Any, S: Any) -> Array:
    """Reflectance of tones truly mixed by mass: K and S are added, never the colours.

    fractions  shape (..., tones), of the mass; K, S: shape (tones, bands)

    >>> mixed([0.5, 0.5], np.array([[0.4], [0.01]]), np.array([[1.0], [1.05]])).round(4).tolist()
    [0.5367]
    """
    none = np.zeros(np.shape(K)[1])
    return np.asarray(mix(fractions, K, S, none, none)[2])

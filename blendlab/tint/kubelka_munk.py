"""Pigment percents to absorption K, scattering S and reflectance R of a whipped base.

Two-constant law of Kubelka and Munk 1931; the layer hides what is behind it unless `finite` is asked.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.tint.arrays import Array


def mix(c: ArrayLike, k: ArrayLike, s: ArrayLike, k0: ArrayLike, s0: ArrayLike) -> tuple[Array, Array, Array]:
    """K, S and R [..., 31] of pigments in a base.

    c       percents of the finished portion [..., n]
    k, s    absorption and scattering per percent [n, 31] on a base whose scattering is 1
    k0, s0  the base itself [31]

    The base counts as unchanged whatever the percents (a finding above 3 % says so).
    Raises OutOfRange for a negative percent.

    >>> K, S, R = mix([1.0], np.ones((1, 31)), np.zeros((1, 31)), np.zeros(31), np.ones(31))
    >>> round(float(R[0]), 4)
    0.2679
    """
    doses = np.asarray(c, dtype=float)
    if doses.size and doses.min() < 0:
        raise OutOfRange("pigment", float(doses.min()), 0, 100, "% of the finished portion")
    K = doses @ np.asarray(k, dtype=float) + k0
    S = doses @ np.asarray(s, dtype=float) + s0
    return K, S, reflectance(K / S)


def reflectance(q: ArrayLike) -> Array:
    """Reflectance 0 to 1 of a hiding layer from q = K/S, without loss of digits at any q.

    >>> float(reflectance(0.5).round(6))
    0.381966
    """
    ratio = np.asarray(q, dtype=float)
    return np.asarray(1.0 / (1.0 + ratio + np.sqrt(ratio * (ratio + 2.0))))


def reflectance_slope(R: ArrayLike) -> Array:
    """Change of a hiding layer's reflectance R with q = K/S; no steeper than at q = 5e-9.

    >>> q, h = 0.5, 1e-6
    >>> steep = float((reflectance(q + h) - reflectance(q - h)) / (2 * h))
    >>> abs(float(reflectance_slope(reflectance(q))) - steep) < 1e-9
    True
    """
    square = np.square(np.asarray(R, dtype=float))
    return np.asarray(square / np.minimum(0.5 * square - 0.5, -1e-4))


def k_over_s(R: ArrayLike) -> Array:
    """K/S of a hiding layer of reflectance R.

    Raises OutOfRange for a reflectance of 0 or less, or above 1.

    >>> float(k_over_s(0.5))
    0.25
    """
    values = np.asarray(R, dtype=float)
    outside = values[~((values > 0) & (values <= 1))]
    if outside.size:
        raise OutOfRange("reflectance", float(outside.flat[0]), 0, 1, "of the light")
    return np.asarray((1.0 - values) ** 2 / (2.0 * values))


def measured_k_over_s(R: ArrayLike) -> Array:
    """K/S of a measured reflectance, which noise may carry to 0 or beyond 1.

    It is held within 0.003 to 0.999: beyond, K/S says more of the instrument than of the layer.
    Source: common practice.

    >>> measured_k_over_s([0.5, 1.2]).round(7).tolist()
    [0.25, 5e-07]
    """
    return k_over_s(np.clip(np.asarray(R, dtype=float), 0.003, 0.999))


def finite(K: ArrayLike, S: ArrayLike, thickness: ArrayLike, backing: ArrayLike) -> Array:
    """Reflectance of a layer that may not hide its backing.

    K, S       absorption and scattering per length; either may be 0
    thickness  in the same length
    backing    reflectance of what lies behind

    Source: Kubelka 1948, hyperbolic solution, written so that nothing overflows.

    >>> float(finite(0.1, 1, 1, 0.8).round(6))
    0.712347
    """
    absorbed, scattered = np.asarray(K, dtype=float), np.asarray(S, dtype=float)
    depth, behind = np.asarray(thickness, dtype=float), np.asarray(backing, dtype=float)
    root = np.sqrt(absorbed * (absorbed + 2.0 * scattered))
    reach = np.where(root > 0, np.tanh(root * depth) / np.where(root > 0, root, 1.0), depth)
    total = absorbed + scattered
    above = reach * (scattered - behind * total) + behind
    return np.asarray(above / (reach * (total - behind * scattered) + 1.0))


def through_surface(R: ArrayLike, k1: float, k2: float, specular: float = 0.0) -> Array:
    """Reflectance measured through a smooth surface, from the reflectance below it.

    k1, k2    outer and inner reflection of the surface, 0 to 1
    specular  share of the mirror reflection that the instrument includes, 0 to 1

    Source: Saunderson 1942.

    >>> float(through_surface(0.5, 0.04, 0.6, 1).round(6))
    0.314286
    """
    below = np.asarray(R, dtype=float)
    return np.asarray(specular * k1 + (1.0 - k1) * (1.0 - k2) * below / (1.0 - k2 * below))


def below_surface(R: ArrayLike, k1: float, k2: float, specular: float = 0.0) -> Array:
    """Inverse of `through_surface`.

    >>> float(below_surface(through_surface(0.5, 0.04, 0.6, 1), 0.04, 0.6, 1).round(6))
    0.5
    """
    inside = np.asarray(R, dtype=float) - specular * k1
    return np.asarray(inside / ((1.0 - k1) * (1.0 - k2) + k2 * inside))


def behind_wall(R: ArrayLike, wall_contact: float | None) -> Array:
    """Reflectance seen through the wall of a jar, mirror reflections left to the picture.

    wall_contact  share of the wall that the content wets, 0 to 1: 0 = as the open surface,
                  1 = all of it sits on the glass; None = unknown, drawn as 0

    >>> float(behind_wall(0.5, 1.0).round(3)), float(behind_wall(0.5, None))
    (0.274, 0.5)
    """
    dry = np.asarray(R, dtype=float)
    if not wall_contact:
        return dry
    if not 0 <= wall_contact <= 1:
        raise OutOfRange("wall contact", wall_contact, 0, 1, "of the wall")
    wet = through_surface(dry, figure("tint", "wall_k1").value, figure("tint", "wall_k2").value)
    return np.asarray((1.0 - wall_contact) * dry + wall_contact * wet)


def foam_factor(overrun_pct: float, reference_pct: float, power: float | None = None) -> float:
    """Factor on the scattering of the base when it is whipped to another overrun.

    A trend and no measurement: more air between the same walls scatters more per gram.
    `foam_range` tells how far it can be off.
    Source: law of Vera, Saint-Jalmes, Durian 2001, bubbles of one size.

    >>> round(foam_factor(150, 100), 2), foam_factor(80, 80)
    (1.2, 1.0)
    """
    if min(overrun_pct, reference_pct) < 0:
        raise OutOfRange("overrun", min(overrun_pct, reference_pct), 0, float("inf"), "%")
    wet, dry = figure("tint", "foam_wet").value, figure("tint", "foam_dry").value

    def path(overrun: float) -> float:
        return wet + dry / (1.0 + overrun / 100.0)

    exponent = figure("tint", "foam_power").value if power is None else power
    return float((path(reference_pct) / path(overrun_pct)) ** exponent)


def foam_range(overrun_pct: float, reference_pct: float) -> tuple[float, float, float]:
    """Smallest, likely and largest foam factor, in that order.

    >>> [round(factor, 2) for factor in foam_range(150, 100)]
    [1.1, 1.2, 1.45]
    """
    powers = figure("tint", "foam_power").range
    factors = [foam_factor(overrun_pct, reference_pct, power) for power in powers]
    return min(factors), factors[1], max(factors)


def fit_foam(
    unwhipped_R: ArrayLike, whipped_R: ArrayLike, overrun_pct: float, unwhipped_pct: float = 0.0
) -> tuple[float, float]:
    """Exponent on the foam law and its standard error, from one coloured base before and after whipping.

    unwhipped_R, whipped_R      reflectance [31]; the unwhipped layer must hide what is behind it
    overrun_pct, unwhipped_pct  overrun of the two

    Raises OutOfRange when the two were whipped alike.

    >>> q = np.linspace(0.1, 0.5, 31)
    >>> fitted = fit_foam(reflectance(q), reflectance(q / foam_factor(100, 0, 1.3)), 100)
    >>> round(fitted[0], 6)
    1.3
    """
    if overrun_pct <= unwhipped_pct + 5:
        raise OutOfRange("overrun of the whipped swatch", overrun_pct, unwhipped_pct + 5, float("inf"), "%")
    law = np.log(foam_factor(overrun_pct, unwhipped_pct, 1.0))
    unwhipped, whipped = measured_k_over_s(unwhipped_R), measured_k_over_s(whipped_R)
    asked = np.log(unwhipped / whipped) / law
    weight = np.sqrt(whipped)
    middle = float(np.average(asked, weights=weight))
    scatter = float(np.sqrt(np.average((asked - middle) ** 2, weights=weight)))
    return max(middle, 0.0), scatter

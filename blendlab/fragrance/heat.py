"""Flash points of blends and the heat gate. Estimates of a blend are hints for storing and shipping it.

The measured value of the blend's own data sheet decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, inf, log10

import numpy as np

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.fragrance.volatility import molar_mass
from blendlab.shelf import Oil

ZERO_C = 273.15
_INDEX_A, _INDEX_B, _INDEX_C = -6.1188, 2414.0, 230.56
"""log10 I = A + B / (T + C), T in C; Wickey and Chittenden 1963, from memory."""


def flash_by_index(
    flash_c: Sequence[float], mass_shares: Sequence[float], densities: Sequence[float]
) -> float:
    """Flash point of a blend by an index that adds up by volume, C (Wickey and Chittenden 1963).

    >>> round(flash_by_index([47, 71, 100], [0.5, 0.3, 0.2], [0.845, 0.885, 1.05]), 3)
    54.362
    """
    if not flash_c or min(flash_c) <= -_INDEX_C:
        raise OutOfRange("Flash point", min(flash_c, default=0.0), -230, 400, "C")
    volumes = np.asarray(mass_shares, float) / np.asarray(densities, float)
    index = 10.0 ** (_INDEX_A + _INDEX_B / (np.asarray(flash_c, float) + _INDEX_C))
    blend = float(volumes @ index / volumes.sum())
    return _INDEX_B / (log10(blend) - _INDEX_A) - _INDEX_C


def flash_by_vapour(
    flash_k: Sequence[float], mole_shares: Sequence[float], b_k: float | Sequence[float]
) -> float:
    """Flash point of an ideal blend, K: sum x_i P_i(T) / P_i(T_f,i) = 1 with P ~ exp(-B / T).

    Le Chatelier's rule with Raoult's law (Vidal et al. 2006).

    >>> round(flash_by_vapour([320.15, 370.15], [0.4, 0.6], 5500), 4)
    335.3539
    """
    b = list(b_k) if isinstance(b_k, Sequence) else [b_k] * len(flash_k)
    low, high = min(flash_k), max(flash_k) + 400.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        total = sum(
            x * exp(each / own - each / middle) for x, own, each in zip(mole_shares, flash_k, b, strict=True)
        )
        low, high = (middle, high) if total < 1.0 else (low, middle)
    return 0.5 * (low + high)


def flash_of_blend(oils: Sequence[Oil], mass_shares: Sequence[float]) -> tuple[float, float] | None:
    """Flash point of some oils mixed, C: lowest and highest of the estimates that can be made.

    mass_shares  fractions of the scent, aligned with oils

    By volume where every density is known, by vapour where the make-up of every oil is; None when
    neither can be made, and for a single oil.

    >>> from blendlab.facts.library import oil
    >>> [round(celsius) for celsius in flash_of_blend([oil("EO02"), oil("EO01")], [0.5, 0.5])]
    [54, 54]
    """
    flashes = [oil.flash_c for oil in oils if oil.flash_c is not None]
    if len(flashes) < len(oils) or len(oils) < 2:
        return None
    densities = [oil.density_g_ml for oil in oils if oil.density_g_ml is not None]
    molar = [mass for oil in oils if (mass := molar_mass(oil)) is not None]
    found = [flash_by_index(flashes, mass_shares, densities)] if len(densities) == len(oils) else []
    if len(molar) == len(oils):
        moles = [share / mass for share, mass in zip(mass_shares, molar, strict=True)]
        kelvin = [celsius + ZERO_C for celsius in flashes]
        parts = [mole / sum(moles) for mole in moles]
        found.append(flash_by_vapour(kelvin, parts, figure("fragrance", "flash.vapour_b_k").value) - ZERO_C)
    return (min(found), max(found)) if found else None


def flash_gate(flash_c: Sequence[float | None], mass_shares: Sequence[float]) -> float | None:
    """Flash point that a gate uses: the lowest of the oils in the blend that tell theirs, C.

    An ideal blend does not flash below its lowest member.

    >>> flash_gate([47, 71, None], [0.0, 0.9, 0.1])
    71
    """
    told = [celsius for celsius, share in zip(flash_c, mass_shares, strict=True) if share > 0]
    return min((celsius for celsius in told if celsius is not None), default=None)


def gate_c(flash_c: Sequence[float], cap_c: float, margin_k: float) -> float:
    """Highest temperature of the product when fragrance goes in: the cap, or lowest flash point - margin.

    >>> gate_c([71, 47], 45, 10)
    37
    """
    return min(cap_c, min(flash_c, default=inf) - margin_k)


def may_add(product_c: float, gate: float) -> bool:
    """Whether the product is cool enough for the scent.

    >>> may_add(43, 37), may_add(37, 37)
    (False, True)
    """
    return product_c <= gate

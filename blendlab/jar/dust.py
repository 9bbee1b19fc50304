"""A mica dusted on a top: how much of it is covered, and how grainy that looks."""

from __future__ import annotations

from math import exp, inf, log, pi, sqrt

from blendlab.errors import OutOfRange
from blendlab.facts.read import figure


def areal_cover(thickness_um: float, density: float, lie_factor: float) -> float:
    """Area that a mass of plates covers, in cm2 per mg: 1/(thickness x density), whatever their width.

    >>> round(areal_cover(0.5, 3.0, 0.2), 4)
    1.3333
    """
    return lie_factor * 10.0 / (thickness_um * density)


def usual_cover() -> float:
    """Area that the usual plates cover as they lie on a top, in cm2 per mg."""
    return areal_cover(
        figure("jar", "flake_thickness").value,
        figure("jar", "flake_density").value,
        figure("jar", "lie_factor").value,
    )


def lying(dose: float) -> tuple[float, float]:
    """Covered share of a top under a dose of the usual plates in mg/cm2, and plates on a square millimetre.

    >>> share, plates = lying(0.35)
    >>> round(share, 3), round(plates)
    (0.373, 660)
    """
    share = coverage(dose, usual_cover())
    return share, grain(share, figure("jar", "flake_diameter").value, 1.0)[0]


def coverage(dose: float, areal: float) -> float:
    """Covered share of a top under plates that fall at random: 1 - exp(-a dose), 0 to below 1.

    dose   mg/cm2
    areal  cm2 per mg, of `areal_cover`

    >>> round(coverage(0.35, 4 / 3), 3)
    0.373
    """
    if dose < 0:
        raise OutOfRange("dust", dose, 0, inf, "mg/cm2")
    return 1.0 - exp(-areal * dose)


def grain(share: float, flake_um: float, pixel_mm: float) -> tuple[float, float]:
    """Plates on one pixel, and the standard deviation of its covered share (Poisson, first order).

    >>> round(grain(0.373, 30, 0.16)[0], 1)
    16.9
    """
    rate = -log(1.0 - share)
    plate = pi * (flake_um / 1000) ** 2 / 4
    pixel = pixel_mm * pixel_mm
    return rate * pixel / plate, (1.0 - share) * sqrt(rate * plate / pixel)

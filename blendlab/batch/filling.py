"""From jars to grams and back, and how a batch is shared out among tones, layers and stripes."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, Decimal
from math import acos, atan, ceil, degrees, inf, pi, sin
from typing import NamedTuple

from blendlab import units
from blendlab.errors import OutOfRange
from blendlab.facts.read import figure
from blendlab.jar.volume import ML, fill_ml


def _decimal(value: float) -> Decimal:
    return Decimal(repr(float(value)))


def brimful_ml(inner_mm: float, height_mm: float) -> float:
    """Volume of a straight round jar up to its rim.

    >>> round(brimful_ml(67.5, 37), 3)
    132.403
    """
    return fill_ml(inner_mm / 2, height_mm)


def corner_loss_ml(radius_mm: float, corner_mm: float) -> float:
    """What a quarter-round corner takes from a square one.

    >>> round(corner_loss_ml(33.75, 4), 6)
    0.708851
    """
    return fill_ml(radius_mm, corner_mm) - fill_ml(radius_mm, corner_mm, corner_mm)


class Net(NamedTuple):
    """What a jar holds: ml of filling, net grams, net ounces."""

    fill_ml: float
    net_g: float
    net_oz: float


def net(inner_mm: float, height_mm: float, headspace_mm: float, density: float) -> Net:
    """Filling of a straight jar below its headspace.

    >>> [round(one, 2) for one in net(67.5, 37, 4, 0.62)]
    [118.09, 73.22, 2.58]
    """
    if headspace_mm > height_mm:
        raise OutOfRange("Headspace", headspace_mm, 0, height_mm, "mm")
    volume = fill_ml(inner_mm / 2, height_mm - headspace_mm)
    return Net(volume, volume * density, units.convert(volume * density, "g", "oz"))


def batch_for_jars(jars: int, net_g: float, overfill: float, retained_g: float, loss: float) -> float:
    """Batch that fills some jars: (N g (1 + o) + R) / (1 - L), in decimal arithmetic.

    overfill, loss  shares, 0 to below 1; retained_g  kept back of the batch

    >>> batch_for_jars(24, 147, 0.01, 30, 0.04)
    3743.0
    """
    if not 0 <= loss < 1:
        raise OutOfRange("Loss", loss, 0, 1, "of the batch")
    asked = jars * _decimal(net_g) * (1 + _decimal(overfill)) + _decimal(retained_g)
    return float(asked / (1 - _decimal(loss)))


def jars_from_batch(
    batch_g: float, net_g: float, overfill: float, retained_g: float, loss: float
) -> tuple[int, float]:
    """Whole jars that a batch fills, and the grams left for a short last one (a tester).

    >>> jars_from_batch(5000, 147, 0.01, 30, 0.04)[0]
    32
    """
    if net_g <= 0:
        raise OutOfRange("Net weight", net_g, 0, inf, "g")
    each = _decimal(net_g) * (1 + _decimal(overfill))
    there = max(Decimal(0), _decimal(batch_g) * (1 - _decimal(loss)) - _decimal(retained_g))
    count = (there / each).quantize(Decimal(1), ROUND_FLOOR)
    return int(count), float(there - count * each)


def portions(batch_g: float, weights: Sequence[float], step_g: float) -> tuple[float, ...]:
    """A batch in portions of given weights, on one scale; ties go to the first listed.

    >>> portions(1234, [1, 1, 1], 1)
    (412.0, 411.0, 411.0)
    """
    parts = [_decimal(one) for one in weights]
    whole = sum(parts, Decimal(0))
    if whole <= 0 or min(parts) < 0:
        raise OutOfRange("Weights of the portions", float(whole), 0, inf, "")
    exact = [float(_decimal(batch_g) * one / whole) for one in parts]
    return units.round_lines(exact, [step_g] * len(exact), total=batch_g)


def layers(
    inner_mm: float, fill_mm: float, shares: Sequence[float], densities: Sequence[float]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Heights [mm] and grams of horizontal layers: equal heights are not equal grams.

    >>> heights, grams = layers(67.5, 33, [0.5, 0.3, 0.2], [0.62, 0.60, 0.75])
    >>> round(sum(grams), 4)
    75.5773
    """
    heights = tuple(share * fill_mm for share in shares)
    grams = tuple(fill_ml(inner_mm / 2, height) * own for height, own in zip(heights, densities, strict=True))
    return heights, grams


def chord_shares(offset_over_radius: float) -> tuple[float, float]:
    """Share of the mass and share of the wall beyond a straight cut: the inverse of a cut.

    >>> mass, wall = chord_shares(0.5)
    >>> round(mass, 6), round(wall, 6)
    (0.195501, 0.333333)
    """
    if not -1 <= offset_over_radius <= 1:
        raise OutOfRange("Offset of the cut", offset_over_radius, -1, 1, "radii")
    angle = 2 * acos(offset_over_radius)
    return (angle - sin(angle)) / (2 * pi), angle / (2 * pi)


class Helix(NamedTuple):
    """A stripe that winds up the wall: turns, its height on the wall [mm], its climb [degrees]."""

    turns: float
    stripe_mm: float
    angle_deg: float


def helix(fill_mm: float, pitch_mm: float, inner_mm: float, share: float) -> Helix:
    """Stripe of one tone in a helix.

    >>> round(helix(60, 20, 68.5, 0.5).angle_deg, 3)
    5.31
    """
    return Helix(fill_mm / pitch_mm, pitch_mm * share, degrees(atan(pitch_mm / (pi * inner_mm))))


def rope_mm(volume_ml: float, nozzle_mm: float) -> float:
    """Length of the rope that comes out of a round nozzle.

    >>> round(rope_mm(118.1, 16), 1)
    587.4
    """
    return 4 * volume_ml * ML / (pi * nozzle_mm**2)


def bags(volume_ml: float) -> int:
    """Piping bags for a portion, each filled as usual.

    >>> bags(1000)
    3
    """
    return ceil(volume_ml / figure("batch", "bag").value)


def mixer_holds(whipped_ml: float, bowl_ml: float) -> bool:
    """Whether a whipped batch fits into the bowl with the usual room above it.

    >>> mixer_holds(3000, 4000), mixer_holds(3500, 4000)
    (True, False)
    """
    return whipped_ml <= figure("batch", "mixer_fill").value * bowl_ml

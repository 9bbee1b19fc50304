"""From jars to grams and back, and how a batch is shared out among tones and bags."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, Decimal
from math import ceil, inf

from blendlab import units
from blendlab.errors import OutOfRange
from blendlab.facts.read import figure


def _decimal(value: float) -> Decimal:
    return Decimal(repr(float(value)))


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
    parts = [_decimal(weight) for weight in weights]
    whole = sum(parts, Decimal(0))
    if whole <= 0 or min(parts) < 0:
        raise OutOfRange("Weights of the portions", float(whole), 0, inf, "")
    exact = [float(_decimal(batch_g) * part / whole) for part in parts]
    return units.round_lines(exact, [step_g] * len(exact), total=batch_g)


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

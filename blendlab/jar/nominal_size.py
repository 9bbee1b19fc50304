"""How far the name of a jar is from what it holds."""

from __future__ import annotations

from typing import NamedTuple

from blendlab.jar.filled_jar import Layout
from blendlab.units import TO_GRAMS, TO_ML


class Named(NamedTuple):
    """A jar's name beside its net weight.

    ounces   fluid ounces of the name: a volume of water, not a weight
    net_oz   net weight in ounces of weight, short_pct: how much less than the name it is
    density  g/ml that the net weight was reckoned at
    overfilled_g  net weight with the overfill on top
    """

    ml: float
    ounces: float
    net_g: float
    net_oz: float
    short_pct: float
    density: float
    overfilled_g: float


def named(layout: Layout, overfill_pct: float = 0.0) -> Named:
    """The name of the jar against its net weight at the layout's density.

    A "4 oz" jar is 4 fluid ounces; whipped soap weighs about 0.6 g/ml, so it holds about 2.6 ounces.
    """
    nominal = layout.jar.nominal_ml
    ounces, net_oz = nominal / TO_ML["fl oz"], layout.net_g / TO_GRAMS["oz"]
    return Named(
        nominal,
        ounces,
        layout.net_g,
        net_oz,
        100 * (1 - net_oz / ounces),
        layout.density_g_ml,
        layout.net_g * (1 + overfill_pct / 100),
    )

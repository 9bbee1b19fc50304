"""The net weight on a label, how large its figures are, and whether a lot keeps it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal
from math import inf, pi
from statistics import fmean, stdev
from typing import NamedTuple

from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts.read import figure, number, table
from blendlab.units import TO_MM, convert, floored

SQ_IN = TO_MM["in"] ** 2
"""Square millimetres in a square inch."""


def known_market(market: str, markets: Sequence[str]) -> None:
    """Raise UnknownName for a market that is not in the list."""
    if market not in markets:
        raise UnknownName("market", market, markets)


class UsWeight(NamedTuple):
    """A US net weight: ounces with one decimal and whole grams, neither rounded up."""

    oz: float
    g: int


def us_net_weight(lightest_g: float) -> UsWeight:
    """Net weight for a US label from the lightest credible jar; the grams follow the ounces.

    >>> us_net_weight(73.2)
    UsWeight(oz=2.5, g=70)
    """
    if lightest_g < 0:
        raise OutOfRange("Net weight", lightest_g, 0, inf, "g")
    ounces = floored(convert(lightest_g, "g", "oz"), 1)
    return UsWeight(ounces, int(floored(convert(ounces, "oz", "g"), 0)))


def metric_net_weight(lightest_g: float) -> int:
    """Whole grams for an EU, GB or Canadian label, not rounded up.

    >>> metric_net_weight(73.9)
    73
    """
    return int(floored(lightest_g, 0))


def lightest(net_g: Sequence[float]) -> float | None:
    """Lowest credible fill from weighed jars: their mean less two standard deviations, at most the least.

    None with too few jars: one jar says nothing about the next.

    >>> lightest([73.0, 74.0])
    >>> round(lightest([73.0, 74.0, 75.0]), 1)
    72.0
    """
    if len(net_g) < figure("batch", "jars_weighed").value:
        return None
    return min(fmean(net_g) - 2 * stdev(net_g), min(net_g))


def tolerable_error(nominal_g: float) -> float:
    """Tolerable negative error of the average system [g]; percents are rounded up to 0.1 g.

    Directive 76/211/EEC, Annex I 2.4.

    >>> tolerable_error(75), tolerable_error(145)
    (4.5, 6.6)
    """
    row = _band("batch/tne", "from_g", nominal_g)
    if row[0] == "g":
        return row[1]
    exact = Decimal(repr(nominal_g)) * Decimal(repr(row[1])) / 100
    return float(exact.quantize(Decimal("0.1"), ROUND_CEILING))


def _band(name: str, column: str, value: float) -> tuple[str, float]:
    rows = [(number(row, column), row["kind"], number(row, "value")) for row in table(name)]
    least, most = rows[0][0], figure("batch", "average_most").value
    if not least <= value <= most:
        raise OutOfRange("Nominal weight", value, least, most, "g")
    below = [row for row in rows if row[0] < value] or rows[:1]
    return below[-1][1], below[-1][2]


def maximum_variation(label_g: float) -> tuple[float, str] | None:
    """Most that one US jar may be short [g], and the source of the row; None above the table.

    >>> maximum_variation(70), maximum_variation(1000)
    ((5.4, 'NIST Handbook 133, recalled, not re-read'), None)
    """
    for row in table("batch/mav"):
        if label_g < number(row, "below_g"):
            value = number(row, "value")
            return (value if row["kind"] == "g" else label_g * value / 100), row["source"]
    return None


class AverageCheck(NamedTuple):
    """A sample against the three rules of the average system."""

    mean_g: float
    tne_g: float
    below_tne: int
    below_2tne: int
    keeps: bool


def average_check(nominal_g: float, net_g: Sequence[float]) -> AverageCheck:
    """Mean at least nominal; at most 1 in 40 short by more than the tolerable error; none by twice it.

    >>> average_check(145, [146.2, 138.2, 147, 148, 149]).keeps
    False
    """
    if not net_g:
        raise OutOfRange("Weighed jars", 0, 1, inf, "jars")
    error = tolerable_error(nominal_g)
    mean = fmean(net_g)
    short = sum(round(nominal_g - error - jar_g, 9) > 0 for jar_g in net_g)
    far = sum(round(nominal_g - 2 * error - jar_g, 9) > 0 for jar_g in net_g)
    few = short <= len(net_g) / figure("batch", "short_one_in").value
    keeps = round(mean - nominal_g, 9) >= 0 and few and far == 0
    return AverageCheck(mean, error, short, far, keeps)


class Panel(NamedTuple):
    """Principal display panel of a round jar [square inches] and its least type size [inch]."""

    area_sq_in: float
    type_in: float


def us_panel(diameter_mm: float, label_height_mm: float) -> Panel:
    """Panel of a round jar: 40 % of height x circumference (21 CFR 701.10), and the type for it.

    >>> round(us_panel(71, 50).area_sq_in, 3), us_panel(71, 50).type_in
    (6.915, 0.125)
    """
    area = figure("batch", "panel_share").value * pi * diameter_mm * label_height_mm / SQ_IN
    return Panel(area, convert(figure_height("US", area), "mm", "in"))


def figure_height(market: str, size: float) -> float:
    """Least height of the figures of the net weight [mm].

    size  nominal grams for EU and GB, square inches of the panel for US

    >>> figure_height("EU", 73), figure_height("US", 6.9)
    (3.0, 3.175)
    """
    rows = [row for row in table("batch/figure_heights") if row["market"] == market]
    if not rows:
        raise UnknownName("market", market, ("EU", "GB", "US"))
    for row in rows:
        if size <= number(row, "up_to"):
            return number(row, "mm")
    raise OutOfRange("Size", size, 0, number(rows[-1], "up_to"), "g or square inches")

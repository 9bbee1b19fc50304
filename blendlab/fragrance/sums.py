"""Rules that sum several materials: phototoxic oils, bergapten, rose ketones and other groups.

A sum is rounded to 1e-9 before it is compared, so that 0.004 + 0.006 does not lie above 0.01.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

DIGITS = 9


@dataclass(frozen=True)
class Sum:
    """A sum in the finished product and whether it keeps its limit; None = the rule does not apply."""

    value: float | None
    keeps: bool


def exact(value: float) -> float:
    """A percent as it is compared, rounded to nine decimals.

    >>> exact(0.004 + 0.006) > 0.01
    False
    """
    return round(value, DIGITS)


def phototoxic(use_pct: Mapping[str, float], limits_pct: Mapping[str, float], rinse: str) -> Sum:
    """Sum over phototoxic oils of use / limit x 100; at most 100 on skin that meets the sun.

    Rinsed off: exempt. IFRA guidance on citrus and other furocoumarin-containing oils.

    >>> phototoxic({"bergamot": 0.2, "lemon": 0.5}, {"bergamot": 0.4, "lemon": 2.0}, "leave_on").value
    75.0
    """
    if rinse != "leave_on":
        return Sum(None, True)
    total = sum(100.0 * use / limits_pct[name] for name, use in use_pct.items() if use > 0)
    return Sum(exact(total), exact(total) <= 100.0)


def bergapten(
    use_pct: Mapping[str, float], content_pct: Mapping[str, float], limit_pct: float, rinse: str
) -> Sum:
    """Bergapten from all oils, percent of the finished product; the limit is for leave-on.

    CIR final reports 2016: 15 ppm.

    >>> bergapten({"A": 0.5}, {"A": 0.2}, 0.0015, "leave_on")
    Sum(value=0.001, keeps=True)
    """
    total = exact(sum(use * content_pct[name] / 100.0 for name, use in use_pct.items()))
    return Sum(total, rinse != "leave_on" or keeps(total, limit_pct))


def group(in_product_pct: Iterable[float], limit_pct: float) -> Sum:
    """A group that law or a Standard counts together: rose ketones, isoeugenols, octynoates.

    >>> group([0.004, 0.009, 0.008], 0.02)
    Sum(value=0.021, keeps=False)
    """
    total = exact(sum(in_product_pct))
    return Sum(total, keeps(total, limit_pct))


def keeps(in_product_pct: float | None, limit_pct: float) -> bool:
    """Whether a percent keeps a limit; equality does, an unknown percent does not.

    >>> keeps(0.4, 0.5), keeps(None, 0.5)
    (True, False)
    """
    return in_product_pct is not None and exact(in_product_pct) <= limit_pct


def above(in_product_pct: float, threshold_pct: float) -> bool:
    """Whether a name must be declared: the rule says exceeds, so equality is not above.

    >>> above(0.01, 0.01), above(0.0101, 0.01)
    (False, True)
    """
    return exact(in_product_pct) > threshold_pct

"""A percent against a limit or a threshold: both sides rounded to 1e-9, so that 0.004 + 0.006 is 0.01."""

from __future__ import annotations

DIGITS = 9


def exact(value: float) -> float:
    """A percent as it is compared, rounded to nine decimals.

    >>> exact(0.004 + 0.006) > 0.01
    False
    """
    return round(value, DIGITS)


def keeps(in_product_pct: float, limit_pct: float) -> bool:
    """Whether a percent keeps a limit; equality does.

    >>> keeps(0.5, 0.5), keeps(0.51, 0.5)
    (True, False)
    """
    return exact(in_product_pct) <= exact(limit_pct)


def above(in_product_pct: float, threshold_pct: float) -> bool:
    """Whether a name must be declared: the rule says exceeds, so equality is not above.

    >>> above(0.01, 0.01), above(0.0101, 0.01)
    (False, True)
    """
    return not keeps(in_product_pct, threshold_pct)

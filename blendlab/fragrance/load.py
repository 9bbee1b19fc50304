"""Highest loads from shares and limits: by sheet (A), by sum of used fractions (B), by substance (C).

A  p <= min L_i / s_i                       each oil within its own sheet; necessary, not sufficient
B  p <= 1 / sum(s_i / L_i)                  always sufficient for limits per substance
C  p <= 100 (Lim_k - b_k) / sum(s_i c_ik)   substance by substance, as far as contents are known

Shares here are fractions of the scent (sum 1); limits and loads percent of the finished product;
contents percent of the oil. Derivation: an oil's sheet limit is at most 100 Lim_k / c_ik, so B keeps
every substance below its limit; two oils that share a substance break A.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

FULL = 100.0
"""No load is higher than the whole product, percent."""


@dataclass(frozen=True)
class Most:
    """A highest load, percent of the finished product, and what governs it; None = no figure."""

    pct: float | None
    governing: str = ""


def min_rule(shares: Mapping[str, float], limits_pct: Mapping[str, float | None]) -> Most:
    """Route A: every oil within its own sheet. Shown, never used for sale.

    >>> min_rule({"A": 0.6, "B": 0.4}, {"A": 5, "B": 1})
    Most(pct=2.5, governing='B')
    """
    lowest, governing = FULL, ""
    for name in (name for name, share in shares.items() if share > 0):
        limit = limits_pct.get(name)
        if limit is None:
            return Most(None, name)
        if limit / shares[name] < lowest:
            lowest, governing = limit / shares[name], name
    return Most(lowest, governing)


def fraction_rule(
    shares: Mapping[str, float], limits_pct: Mapping[str, float | None], used: float = 0.0
) -> Most:
    """Route B: the used fractions of all sheets stay within 1.

    used  fraction already used by the fragrance of the base

    >>> round(fraction_rule({"A": 0.6, "B": 0.4}, {"A": 5, "B": 1}).pct, 6)
    1.923077
    """
    parts: dict[str, float] = {}
    for name in (name for name, share in shares.items() if share > 0):
        limit = limits_pct.get(name)
        if limit is None:
            return Most(None, name)
        parts[name] = shares[name] / limit if limit > 0 else inf
    governing = max(parts, key=lambda name: parts[name], default="")
    total = sum(parts.values())
    left = max(0.0, 1.0 - used)
    return Most(min(FULL, left / total) if total else (FULL if left else 0.0), governing)


def content(shares: Mapping[str, float], contents_pct: Mapping[str, float | None]) -> float | None:
    """Percent of a substance in the scent; None as soon as one oil in it cannot say.

    >>> round(content({"A": 0.2, "B": 0.8}, {"A": 80, "B": 0}), 9)
    16.0
    """
    total = 0.0
    for name in (name for name, share in shares.items() if share > 0):
        inside = contents_pct.get(name)
        if inside is None:
            return None
        total += shares[name] * inside
    return total


def in_product(load_pct: float, in_scent_pct: float, base_pct: float = 0.0) -> float:
    """Percent of a substance in the finished product, with what the base brings.

    >>> round(in_product(1.5, 8.0, 0.02), 9)
    0.14
    """
    return load_pct * in_scent_pct / 100.0 + base_pct


def substance_rule(in_scent_pct: float, limit_pct: float, base_pct: float = 0.0) -> float:
    """Route C for one substance (or one sum): highest load, never below 0.

    >>> round(substance_rule(4.0, 0.05, 0.02), 9)
    0.75
    """
    left = limit_pct - base_pct
    if left < 0 or (left <= 0 and in_scent_pct > 0):
        return 0.0
    return min(FULL, 100.0 * left / in_scent_pct) if in_scent_pct > 0 else FULL

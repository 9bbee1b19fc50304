"""Small arithmetic of amounts: bases of a percent, grams, drops, dilutions, density, cost.

Percents of fragrance are always of the finished product unless a name says otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from blendlab.errors import OutOfRange


def pct_of_final(parts_per_100_base: float, other_parts: float = 0.0) -> float:
    """Parts of fragrance per 100 parts of base as percent of the finished product.

    >>> round(pct_of_final(3.0), 6)
    2.912621
    """
    return 100.0 * parts_per_100_base / (100.0 + other_parts + parts_per_100_base)


def parts_of_base(pct: float, other_parts: float = 0.0) -> float:
    """Percent of the finished product as parts per 100 parts of base.

    Raises OutOfRange at 100 % and above.

    >>> round(parts_of_base(1.5, other_parts=6.25), 6)
    1.61802
    """
    if not 0 <= pct < 100:
        raise OutOfRange("Load", pct, 0, 100, "% of the finished product")
    return pct * (100.0 + other_parts) / (100.0 - pct)


def grams(batch_g: float, load_pct: float, shares: Mapping[str, float]) -> dict[str, float]:
    """Grams of each oil; shares are fractions.

    >>> grams(1000, 1.5, {"A": 0.6, "B": 0.4})
    {'A': 9.0, 'B': 6.0}
    """
    return {name: batch_g * load_pct / 100.0 * share for name, share in shares.items()}


def fragrance_of_final(
    base_g: float, own_pct: float, added_g: float, batch_g: float
) -> tuple[float, float, float]:
    """Added, own and total fragrance, percent of the finished product, when the base has its own.

    >>> [round(figure, 6) for figure in fragrance_of_final(950, 0.2, 15, 1000)]
    [1.5, 0.19, 1.69]
    """
    added = 100.0 * added_g / batch_g
    own = base_g * own_pct / batch_g
    return added, own, added + own


def drops(grams_of_oil: float, density_g_ml: float, per_ml: float) -> float:
    """Drops in some grams of oil. For display only: 20 to 40 drops make a millilitre.

    >>> drops(1.8, 0.9, 20)
    40.0
    """
    return grams_of_oil / density_g_ml * per_ml


def dilution(pure_g: float, dilution_pct: float) -> tuple[float, float]:
    """Grams of a dilution to weigh for some pure oil, and the grams of carrier that come along.

    >>> [round(figure, 6) for figure in dilution(0.12, 10)]
    [1.2, 1.08]
    """
    if not 0 < dilution_pct <= 100:
        raise OutOfRange("Dilution", dilution_pct, 0, 100, "% of pure oil")
    weigh = 100.0 * pure_g / dilution_pct
    return weigh, weigh - pure_g


def diluted_limit(pure_limit_pct: float, dilution_pct: float) -> float:
    """Sheet limit of a dilution: it grows as the oil gets thinner, up to 100 %.

    >>> diluted_limit(0.02, 10)
    0.2
    """
    if not 0 < dilution_pct <= 100:
        raise OutOfRange("Dilution", dilution_pct, 0, 100, "% of pure oil")
    return min(100.0, pure_limit_pct * 100.0 / dilution_pct)


def density(mass_shares: Sequence[float], densities: Sequence[float]) -> float:
    """Density of a blend whose volumes add up, g/ml.

    >>> round(density([0.25, 0.75], [1.06, 0.96]), 6)
    0.983188
    """
    return sum(mass_shares) / sum(w / rho for w, rho in zip(mass_shares, densities, strict=True))


def cost(
    shares: Mapping[str, float],
    price_per_g: Mapping[str, float],
    product_g: float,
    load_pct: float,
    loss_pct: float = 0.0,
) -> tuple[float, float]:
    """Price of the scent per gram, and what it costs in some grams of product, losses included.

    >>> [round(figure, 6) for figure in cost({"A": 1.0}, {"A": 0.15}, 240, 1.5, loss_pct=4)]
    [0.15, 0.5625]
    """
    if not 0 <= loss_pct < 100:
        raise OutOfRange("Loss", loss_pct, 0, 100, "%")
    each = sum(share * price_per_g[name] for name, share in shares.items() if share > 0)
    return each, each * product_g * load_pct / 100.0 / (1.0 - loss_pct / 100.0)

"""The starter palette and the starter bases as items of a shelf: estimates until she measures."""

from __future__ import annotations

from functools import cache
from math import log
from typing import TYPE_CHECKING

from blendlab.errors import OutOfRange, UnknownName
from blendlab.facts.read import Row, figure, maybe_number, number, table
from blendlab.shelf import BANDS, Base, Pigment

if TYPE_CHECKING:
    from collections.abc import Sequence

_BANDS = tuple(f"V{wavelength}" for wavelength in range(400, 701, 10))
_NORMAL_90 = 1.2815515594
"""Position of the 90 % point of the normal distribution in standard deviations."""
PEARLS = ("pearl", "interference", "pearl-absorbing")
"""Groups that count as micas."""


@cache
def strength_sd() -> float:
    """Standard deviation of the natural logarithm of a starter strength.

    80 of 100 strengths then lie within a factor 2.5 of the starter value, up or down.

    >>> round(strength_sd(), 3)
    0.715
    """
    return log(figure("tint", "strength_factor").value) / _NORMAL_90


@cache
def pigments() -> tuple[Pigment, ...]:
    """The starter pigments, each an estimate, in the order of the table.

    >>> [pigment.id for pigment in pigments()][:2], pigments()[0].known
    (['titanium_dioxide', 'zinc_oxide'], 'estimate')
    """
    facts = {row["id"]: row for row in table("tint/pigment_facts")}
    rows = table("tint/starter_pigments")
    absorption = [row for row in rows if row["quantity"] == "K"]
    scattering = {row["id"]: row for row in rows if row["quantity"] == "S"}
    return tuple(_pigment(row, scattering[row["id"]], facts[row["id"]]) for row in absorption)


def _pigment(k: Row, s: Row, facts: Row) -> Pigment:
    powder = tuple(maybe_number(facts, column) for column in ("powder_r", "powder_g", "powder_b"))
    red, green, blue = powder
    known = red is not None and green is not None and blue is not None
    return Pigment(
        id=k["id"],
        name=k["name"],
        group=k["group"],
        ci=tuple(facts["ci"].split(";")),
        k=_spectrum(k),
        s=_spectrum(s),
        strength_sd=strength_sd(),
        known="estimate",
        basis=k["source"],
        cap_pct=number(facts, "cap_pct"),
        sheen=facts["sheen"],
        caution=k["caution"],
        powder_srgb=(red, green, blue) if known else None,  # type: ignore[arg-type]
        density_g_ml=maybe_number(facts, "density_g_ml"),
    )


def _spectrum(row: Row) -> tuple[float, ...]:
    return tuple(number(row, band) for band in _BANDS)


def composite(item_id: str, name: str, parts: Sequence[tuple[Pigment, float]]) -> Pigment:
    """A pigment made of others, such as a mica dyed with a lake or an oxide.

    parts  pigments with their shares by mass; the shares are scaled to add up to 1

    K, S and strength spread are mass-weighted sums, the CI numbers the union in the order of the
    parts. The cap is that of micas when one is in it, else the lowest cap of a part at its share.

    Raises OutOfRange for no parts or a share of 0 or less.

    >>> composite("sea", "sea mica", [(starter("mica_white"), 0.9), (starter("blue1_lake"), 0.1)]).ci
    ('77019', '77891', '42090')
    """
    lowest = min((share for _, share in parts), default=0.0)
    if lowest <= 0:
        raise OutOfRange("share of a part", lowest, 0, float("inf"), "of the mass")
    total = sum(share for _, share in parts)
    each = [part for part, _ in parts]
    shares = [share / total for _, share in parts]
    micas = [part for part in each if part.group in PEARLS]
    lowest_cap = min(part.cap_pct / share for part, share in zip(each, shares, strict=True))
    return Pigment(
        id=item_id,
        name=name,
        group="pearl-absorbing" if micas else each[0].group,
        ci=tuple(dict.fromkeys(ci for part in each for ci in part.ci)),
        k=_weighted([part.k for part in each], shares),
        s=_weighted([part.s for part in each], shares),
        strength_sd=max(part.strength_sd for part in each),
        known="measured" if all(part.known == "measured" for part in each) else "estimate",
        basis="sum of its parts: " + ", ".join(part.name for part in each),
        cap_pct=figure("tint", "mica_cap").value if micas else min(lowest_cap, 100.0),
        composite_of=dict(zip([part.id for part in each], shares, strict=True)),
        sheen=next((part.sheen for part in micas if part.sheen), ""),
        caution="; ".join(dict.fromkeys(part.caution for part in each if part.caution)),
        density_g_ml=_density(each, shares),
    )


def _weighted(spectra: Sequence[Sequence[float]], shares: Sequence[float]) -> tuple[float, ...]:
    return tuple(
        sum(share * each[band] for each, share in zip(spectra, shares, strict=True)) for band in range(BANDS)
    )


def _density(parts: Sequence[Pigment], shares: Sequence[float]) -> float | None:
    volume = 0.0
    for part, share in zip(parts, shares, strict=True):
        if part.density_g_ml is None:
            return None
        volume += share / part.density_g_ml
    return 1.0 / volume


@cache
def bases() -> tuple[Base, ...]:
    """One starter base for each product kind the studio makes, each an estimate.

    >>> [base.product for base in bases()]
    ['whipped_soap', 'sugar_scrub', 'oil_sugar_scrub', 'body_butter']
    """
    spectra = {row["product"]: row for row in table("tint/bases")}
    return tuple(_base(row, spectra[row["product"]]) for row in table("tint/base_facts"))


def _base(facts: Row, spectrum: Row) -> Base:
    actives = dict(active.split("=") for active in facts["actives"].split(";"))
    return Base(
        id=facts["id"],
        name=facts["name"],
        product=facts["product"],
        k0=_spectrum(spectrum),
        s0=(1.0,) * BANDS,
        known="estimate",
        basis=spectrum["source"],
        ref_overrun_pct=number(facts, "ref_overrun_pct"),
        density_mix_g_ml=number(facts, "density_mix_g_ml"),
        pH=maybe_number(facts, "ph"),
        anhydrous=facts["anhydrous"] == "yes",
        actives={name: float(pct) for name, pct in actives.items()},
        own_fragrance_pct=0.0,
    )


def starter(pigment_id: str) -> Pigment:
    """One starter pigment by its id.

    Raises UnknownName.

    >>> starter("carmine").ci
    ('75470',)
    """
    known = {pigment.id: pigment for pigment in pigments()}
    if pigment_id not in known:
        raise UnknownName("starter pigment", pigment_id, known)
    return known[pigment_id]

"""How a scent leaves a film, and what an opened jar smells of first. Orders of magnitude only.

A film loses each substance in step with its mole fraction: dn_i/dt = -a_i x_i with a_i = k_i P_i / (R T),
k_i = k_0 (M_0 / M_i)^(1/3). With dq = dt / (sum n + N_m) this has the exact solution
n_i = n_i0 exp(-a_i q), t(q) = sum n_i0 (1 - exp(-a_i q)) / a_i + N_m q.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from blendlab.facts.read import figure, maybe_number, table
from blendlab.shelf import Oil

R = 8.314462618
"""Molar gas constant, J/(mol K); exact by definition (CODATA 2018)."""

Floats = NDArray[np.float64]
HALF_PCT = 50.0
NOTES = ("top", "middle", "base")


@dataclass(frozen=True)
class Substance:
    """A substance with molar mass g/mol, vapour pressure Pa at 25 C and its note by that pressure."""

    name: str
    cas: str
    molar_mass: float
    pressure_pa: float
    note: str


@cache
def substances() -> Mapping[str, Substance]:
    """Substances whose vapour pressure is known, by CAS."""
    found = {}
    for row in table("fragrance/constituents"):
        mass, pressure = maybe_number(row, "molar_mass_g_mol"), maybe_number(row, "vapour_pressure_25C_Pa")
        if mass and pressure:
            found[row["cas"]] = Substance(row["name"], row["cas"], mass, pressure, row["note_class_by_vp"])
    return found


def molar_mass(oil: Oil) -> float | None:
    """Mean molar mass of what is known of an oil, g/mol; None when that is less than half of it.

    >>> from blendlab.facts.library import oil
    >>> round(molar_mass(oil("EO02")), 1)
    136.3
    """
    held = {cas: part.typical for cas, part in oil.constituents.items() if cas in substances()}
    known = [(pct, substances()[cas]) for cas, pct in held.items()]
    grams = sum(pct for pct, _ in known)
    moles = sum(pct / substance.molar_mass for pct, substance in known)
    return grams / moles if grams >= HALF_PCT else None


def warmed(pressure_pa: Floats, at_c: float) -> Floats:
    """Vapour pressure at another temperature than 25 C: it doubles with every 10 K (rule of thumb).

    >>> float(warmed(np.array([100.0]), 35.0)[0])
    200.0
    """
    return np.asarray(pressure_pa * 2.0 ** ((at_c - 25.0) / figure("fragrance", "vapour.doubling_k").value))


def rates(pressure_pa: Floats, transfer_m_s: Floats, kelvin: float) -> Floats:
    """Molar loss of a pure film, mol/(m2 s), one a substance."""
    return np.asarray(transfer_m_s * pressure_pa / (R * kelvin))


def transfer(molar_mass: Floats) -> Floats:
    """Mass transfer through still air, m/s, scaled by the cube root of the molar mass."""
    scale = (
        figure("fragrance", "film.transfer_m_s").value,
        figure("fragrance", "film.transfer_molar_mass").value,
    )
    return np.asarray(scale[0] * (scale[1] / molar_mass) ** (1 / 3))


def dry_out_s(n0: Sequence[float], a: Sequence[float]) -> float:
    """Seconds until a neat film is gone: sum n_i0 / a_i.

    >>> round(dry_out_s([0.03], [5e-6]))
    6000
    """
    return float(np.sum(np.asarray(n0, float) / np.asarray(a, float)))


def remaining(n0: Floats, a: Floats, matrix_mol: float, hours: float) -> Floats:
    """Share of each substance that is left in the film after some hours.

    n0          mol/m2 at the start, shape (n,)
    a           mol/(m2 s), shape (n,)
    matrix_mol  mol/m2 of what does not leave; 0 for a neat film

    >>> remaining(np.array([0.03]), np.array([5e-6]), 0.0, 3000 / 3600).round(6).tolist()
    [0.5]
    """
    from scipy.optimize import brentq

    seconds = 3600.0 * hours
    if matrix_mol <= 0 and seconds >= dry_out_s(list(n0), list(a)):
        return np.zeros_like(n0)

    def late(q: float) -> float:
        return float(np.sum(n0 * -np.expm1(-a * q) / a) + matrix_mol * q - seconds)

    high = 1.0 / float(a.max())
    while late(high) < 0:
        high *= 2.0
    return np.asarray(np.exp(-a * brentq(late, 0.0, high, xtol=1e-12 * high, rtol=1e-13)))


def film(
    mass_shares: Floats, molar_mass: Floats, mg_per_cm2: float, load: float, matrix_molar_mass: float
) -> tuple[Floats, float]:
    """Moles per m2 of each substance and of the matrix in a film.

    load  fraction of fragrance in the film; 1 for a neat film
    """
    grams = mg_per_cm2 * 10.0
    matrix = (1.0 - load) * grams / matrix_molar_mass if load < 1 else 0.0
    return np.asarray(load * grams * mass_shares / molar_mass), matrix


@dataclass(frozen=True)
class Whiff:
    """Shares of the vapour over an opened jar.

    shares     substance -> share of the vapour, greatest first, sum 1
    notes      top, middle, base -> share of the vapour
    known_pct  percent of the scent whose vapour pressure is known; the rest is not in the picture
    """

    shares: Mapping[str, float]
    notes: Mapping[str, float]
    known_pct: float


def headspace(oils: Sequence[Oil], shares: Sequence[float]) -> Whiff:
    """What the opened jar smells of first: x_i P_i of every known substance, ideal mixture.

    shares  fractions of the scent, sum 1

    >>> from blendlab.facts.library import oil
    >>> next(iter(headspace([oil("EO02")], [1.0]).shares))
    'd-limonene'
    """
    mass = _masses(oils, shares)
    vapour = {
        cas: pct / substances()[cas].molar_mass * substances()[cas].pressure_pa for cas, pct in mass.items()
    }
    total = sum(vapour.values())
    ordered = sorted(vapour, key=lambda cas: -vapour[cas])
    notes = {
        note: sum(vapour[cas] / total for cas in ordered if substances()[cas].note == note) for note in NOTES
    }
    return Whiff({substances()[cas].name: vapour[cas] / total for cas in ordered}, notes, sum(mass.values()))


def _masses(oils: Sequence[Oil], shares: Sequence[float]) -> dict[str, float]:
    """Typical percent of the scent of every substance whose vapour pressure is known."""
    mass: dict[str, float] = {}
    for oil, share in zip(oils, shares, strict=True):
        for cas, part in oil.constituents.items():
            if cas in substances() and share * part.typical > 0:
                mass[cas] = mass.get(cas, 0.0) + share * part.typical
    return mass


@dataclass(frozen=True)
class Fade:
    """What is left of a scent on the skin over time.

    hours      shape (t,)
    left       share of the known scent left, shape (t,)
    notes      top, middle, base as shares of what is left, shape (t, 3)
    known_pct  percent of the scent in the model
    """

    hours: tuple[float, ...]
    left: Floats
    notes: Floats
    known_pct: float


def fade(oils: Sequence[Oil], shares: Sequence[float], load_pct: float, hours: Sequence[float]) -> Fade:
    """How a scent fades from a butter film on skin of 32 C. For products that stay on the skin.

    >>> from blendlab.facts.library import oil
    >>> left = fade([oil("EO01")], [1.0], 1.0, [0.0, 1.0, 8.0]).left
    >>> [round(float(share), 1) for share in left]
    [1.0, 0.2, 0.0]
    """
    mass = _masses(oils, shares)
    if not mass:
        return Fade(tuple(hours), np.zeros(len(hours)), np.zeros((len(hours), 3)), 0.0)
    inside = [substances()[cas] for cas in mass]
    grams = np.array(list(mass.values()))
    molar = np.array([substance.molar_mass for substance in inside])
    skin_c = figure("fragrance", "film.skin_c").value
    pressures = np.array([substance.pressure_pa for substance in inside])
    a = rates(warmed(pressures, skin_c), transfer(molar), skin_c + 273.15)
    parts = grams / grams.sum()
    n0, matrix = film(
        parts,
        molar,
        figure("fragrance", "film.mg_per_cm2").value,
        load_pct / 100.0,
        figure("fragrance", "film.matrix_molar_mass").value,
    )
    lefts = np.array([parts * remaining(n0, a, matrix, hour) for hour in hours])
    classes = [substance.note for substance in inside]
    notes = np.array([[note == word for note in classes] for word in NOTES], float)
    left = lefts.sum(axis=1)
    shown = (lefts @ notes.T) / np.where(left > 0, left, 1.0)[:, None]
    return Fade(tuple(hours), left, shown, float(grams.sum()))

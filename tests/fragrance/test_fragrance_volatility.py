"""How a scent leaves a film, against an integration of the equation itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from blendlab.facts.library import oil
from blendlab.facts.read import figure
from blendlab.fragrance.heat import flash_by_index, flash_by_vapour, flash_of_blend
from blendlab.fragrance.notes import Balance, balance, vanillin
from blendlab.fragrance.volatility import (
    dry_out_s,
    fade,
    headspace,
    molar_mass,
    remaining,
    substances,
    transfer,
)
from tests.fragrance.kit import oil as bare_oil

EUGENOL, LIMONENE, LINALOOL = "97-53-0", "5989-27-5", "78-70-6"


@pytest.mark.parametrize("matrix", [0.0, 0.02, 0.5])
def test_exact_solution_agrees_with_integration(matrix):
    # second route: the differential equation by LSODA
    n0 = np.array([4e-3, 3e-3, 2e-3, 1e-3])
    a = np.array([5e-4, 4e-5, 6e-6, 4e-7])
    seconds = 0.4 * dry_out_s(list(n0), list(a)) if matrix == 0 else 3600.0
    path = solve_ivp(
        lambda _, n: -a * n / (n.sum() + matrix), (0, seconds), n0, method="LSODA", rtol=1e-10, atol=1e-16
    )
    assert remaining(n0, a, matrix, seconds / 3600) == pytest.approx(path.y[:, -1] / n0, abs=1e-6)


def test_a_neat_film_ends():
    n0, a = np.array([0.03]), np.array([5e-6])
    assert remaining(n0, a, 0.0, 2.0)[0] == 0.0
    assert remaining(n0, a, 0.0, 0.0)[0] == pytest.approx(1.0)


def test_a_dilute_film_is_first_order():
    # limit of the model: half-life ln 2 x N / a
    n0, a = np.array([1e-9]), np.array([2e-6])
    half_h = np.log(2) * 0.05 / 2e-6 / 3600
    assert remaining(n0, a, 0.05, half_h)[0] == pytest.approx(0.5, abs=1e-6)


def test_fade_keeps_the_order_of_notes():
    found = fade([oil("EO02"), oil("EO01"), oil("FO11")], [0.4, 0.4, 0.2], 1.0, [0.0, 0.5, 8.0])
    assert found.left[0] == pytest.approx(1)
    assert (np.diff(found.left) < 0).all()
    assert (np.diff(found.notes[:, 2]) > 0).all()
    assert found.notes[0, 0] > found.notes[1, 0]
    assert 0 < found.known_pct < 100


def test_fade_of_an_unknown_scent_is_empty():
    found = fade([bare_oil("Bare")], [1.0], 1.0, [0.0, 1.0])
    assert found.known_pct == 0
    assert (found.left == 0).all()


def test_headspace_puts_the_volatile_first():
    found = headspace([oil("EO02"), oil("FO11")], [0.5, 0.5])
    assert next(iter(found.shares)) == "d-limonene"
    assert sum(found.shares.values()) == pytest.approx(1)
    assert found.notes["top"] > 0.9
    assert found.known_pct < 100


def test_note_classes_follow_the_vapour_pressure():
    # convention: top from 13 Pa (0.1 mmHg) at 25 C, base below 0.5 Pa
    for known in substances().values():
        wanted = "top" if known.pressure_pa >= 13 else "base" if known.pressure_pa < 0.5 else "middle"
        assert known.note == wanted, known.name


def test_flash_of_equal_oils_is_theirs():
    assert flash_by_index([60, 60], [0.3, 0.7], [0.9, 1.1]) == pytest.approx(60)
    assert flash_by_vapour([330, 330], [0.3, 0.7], 5500) == pytest.approx(330)


def test_flash_lies_between_its_parts():
    for share in (0.1, 0.5, 0.9):
        assert 47 < flash_by_index([47, 100], [share, 1 - share], [0.85, 1.0]) < 100
        assert 320 < flash_by_vapour([320, 370], [share, 1 - share], [5000, 6000]) < 370


def test_balance_adds_up_and_keeps_unknown():
    found = balance({"a": 0.5, "b": 0.5}, {"a": (0.2, 0.3, 0.5), "b": None})
    assert found.top + found.middle + found.base + found.unknown == pytest.approx(1)
    assert found.unknown == 0.5


@pytest.mark.parametrize(
    ("pct", "band"),
    [
        (0.0, "<0.01"),
        (0.00999, "<0.01"),
        (0.01, "0.01-0.05"),
        (0.05, "0.05-0.1"),
        (0.3, "0.1-0.3"),
        (0.301, ">0.3"),
    ],
)
def test_vanillin_bands(pct, band):
    assert vanillin(100.0, pct, 0.0).band == band


def test_flash_points_of_a_blend_by_both_routes():
    lemon = bare_oil("Lemon", None, {LIMONENE: 100.0}, flash_c=50.0, density_g_ml=0.84)
    clove = bare_oil("Clove", None, {EUGENOL: 100.0}, flash_c=104.0, density_g_ml=1.06)
    found = flash_of_blend([lemon, clove], [0.5, 0.5])
    # molar masses 136.24 and 164.20 g/mol: 0.5465 of the moles are limonene
    by_vapour = flash_by_vapour([323.15, 377.15], [0.5465, 0.4535], 5500) - 273.15
    by_volume = flash_by_index([50, 104], [0.5, 0.5], [0.84, 1.06])
    assert found == (
        pytest.approx(min(by_vapour, by_volume), abs=0.01),
        pytest.approx(max(by_vapour, by_volume), abs=0.01),
    )
    assert flash_of_blend([replace(lemon, density_g_ml=None), clove], [0.5, 0.5]) == pytest.approx(
        (by_vapour,) * 2, abs=0.01
    )
    unknown = [replace(each, constituents={}) for each in (lemon, clove)]
    assert flash_of_blend(unknown, [0.5, 0.5]) == pytest.approx((by_volume,) * 2)
    assert flash_of_blend([replace(each, density_g_ml=None) for each in unknown], [0.5, 0.5]) is None
    assert flash_of_blend([replace(lemon, flash_c=None), clove], [0.5, 0.5]) is None
    assert flash_of_blend([lemon], [1.0]) is None


def test_heavier_substances_leave_by_the_cube_root_of_their_mass():
    at, mass = (
        figure("fragrance", "film.transfer_m_s").value,
        figure("fragrance", "film.transfer_molar_mass").value,
    )
    assert transfer(np.array([mass, 8 * mass])) == pytest.approx([at, at / 2])


def test_molar_masses_are_means_by_moles():
    # 136.24 and 154.25 g/mol, half and half by mass: 100 / (50 / 136.24 + 50 / 154.25)
    half = bare_oil("Half", None, {LIMONENE: 40.0, LINALOOL: 40.0})
    assert molar_mass(half) == pytest.approx(144.69, abs=0.01)
    assert molar_mass(bare_oil("Dim", None, {LIMONENE: 49.0})) is None
    assert molar_mass(bare_oil("Told", None, {LIMONENE: 50.0})) == pytest.approx(136.24, abs=0.02)


def test_an_empty_scent_has_no_unknown_notes():
    assert balance({}, {}) == Balance(0.0, 0.0, 0.0, 0.0)
    assert balance({"a": 1.0}, {"a": None}).unknown == 1.0


def test_unknown_notes_are_weighed_by_strength_as_the_known_are():
    found = balance({"a": 0.5, "b": 0.5}, {"a": (1.0, 0.0, 0.0), "b": None}, {"b": 3.0})
    assert (found.top, found.unknown) == (0.25, 0.75)


def test_a_butter_film_fades_by_the_equation_at_its_own_load():
    # 20 g of film on a square metre, 1 % of it limonene at twice^0.7 its pressure of 25 C; the rest stays
    thin = {
        key: figure("fragrance", f"film.{key}").value for key in ("mg_per_cm2", "matrix_molar_mass", "skin_c")
    }
    limonene = substances()[LIMONENE]
    grams, kelvin = 10 * thin["mg_per_cm2"], thin["skin_c"] + 273.15
    pressure = limonene.pressure_pa * 2 ** ((thin["skin_c"] - 25) / 10)
    a = transfer(np.array([limonene.molar_mass])) * pressure / (8.314462618 * kelvin)
    for load in (1.0, 5.0):
        n0, matrix = (
            load / 100 * grams / limonene.molar_mass,
            (1 - load / 100) * grams / thin["matrix_molar_mass"],
        )
        path = solve_ivp(
            lambda _, n, matrix=matrix: -a * n / (n.sum() + matrix),
            (0, 360),
            [n0],
            method="LSODA",
            rtol=1e-10,
            atol=1e-16,
        )
        found = fade([bare_oil("Orange", None, {LIMONENE: 90.0})], [1.0], load, [0.1])
        assert found.left == pytest.approx([path.y[0, -1] / n0], abs=1e-6)
    assert fade([bare_oil("Bare")], [1.0], 1.0, [0.0, 1.0]).notes.shape == (2, 3)


def test_the_vapour_over_a_jar_is_shared_by_moles_times_pressure():
    """Raoult for an ideal mixture: x P of each over the sum of all, worked out here in mol and Pa."""
    inside = {LIMONENE: 30.0, LINALOOL: 50.0, EUGENOL: 10.0}
    found = headspace([bare_oil("Mix", None, inside), bare_oil("Absent", None, {LINALOOL: 90.0})], [1.0, 0.0])
    known = {cas: substances()[cas] for cas in inside}
    over = {cas: pct / known[cas].molar_mass * known[cas].pressure_pa for cas, pct in inside.items()}
    whole = sum(over.values())
    assert found.shares == {known[cas].name: pytest.approx(over[cas] / whole) for cas in inside}
    assert list(found.shares.values()) == sorted(found.shares.values(), reverse=True)
    assert [known[cas].note for cas in inside] == ["top", "middle", "middle"]
    assert found.notes == {
        "top": pytest.approx(over[LIMONENE] / whole),
        "middle": pytest.approx((over[LINALOOL] + over[EUGENOL]) / whole),
        "base": 0.0,
    }
    assert found.known_pct == pytest.approx(90.0)
    nothing = headspace([bare_oil("Mix", None, inside)], [0.0])
    assert (nothing.shares, nothing.known_pct) == ({}, 0.0)
    assert set(nothing.notes.values()) == {0.0}

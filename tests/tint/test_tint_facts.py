"""The colour tables against what they were derived from."""

import numpy as np
import pytest

from blendlab.facts.derive import bases as derive_bases
from blendlab.facts.derive import vision as derive_vision
from blendlab.facts.derive import weights as derive_weights
from blendlab.facts.palette import bases, composite, pigments, starter, strength_sd
from blendlab.facts.read import parse, table
from blendlab.tint import see
from blendlab.tint.arrays import matrix
from blendlab.tint.law import additives

NUMBERS = {
    "tint/weights_10nm": (derive_weights, ("WX", "WY", "WZ")),
    "tint/vision": (derive_vision, ("c1", "c2", "c3")),
    "tint/bases": (derive_bases, tuple(f"V{wavelength}" for wavelength in range(400, 701, 10))),
}


@pytest.mark.parametrize("name", NUMBERS)
def test_a_derived_table_is_derived_again(name, colour):
    """Second route: colour-science for weights and vision, the script for bases."""
    script, columns = NUMBERS[name]
    again = parse(f"{name}.csv", "\n".join(script.rows()))
    for derived, kept in zip(again, table(name), strict=True):
        assert derived.key == kept.key
        assert {**derived, **dict.fromkeys(columns)} == {**kept, **dict.fromkeys(columns)}
        assert [float(derived[column]) for column in columns] == pytest.approx(
            [float(kept[column]) for column in columns], abs=2e-6
        )


def test_weights_add_up_to_the_white_point():
    """Folding keeps all light: the bands of one lamp and observer sum to its white point."""
    rows = table("tint/weights_10nm")
    for start in range(0, len(rows), 32):
        group = np.array(
            [[float(row[key]) for key in ("WX", "WY", "WZ")] for row in rows[start : start + 32]]
        )
        assert group[:31].sum(axis=0) == pytest.approx(group[31], abs=3e-5)


def test_matrices_agree_with_colour_science(colour):
    assert matrix("srgb_to_xyz") == pytest.approx(colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ, abs=2e-4)
    assert matrix("cat16") == pytest.approx(
        colour.adaptation.CHROMATIC_ADAPTATION_TRANSFORMS["CAT16"], abs=1e-6
    )


def test_every_starter_pigment_has_facts_and_colour_lists():
    for pigment in pigments():
        assert pigment.known == "estimate"
        assert pigment.strength_sd == strength_sd()
        assert pigment.cap_pct > 0
        assert pigment.ci
        assert all(ci in additives() for ci in pigment.ci), pigment.id


def test_micas_end_at_two_percent():
    micas = [pigment for pigment in pigments() if "mica" in pigment.id]
    assert len(micas) >= 6
    assert all(mica.cap_pct == 2 and mica.sheen and mica.powder_srgb for mica in micas)


def test_strength_lies_within_a_factor_of_2_5_in_80_of_100_cases():
    draws = np.exp(np.random.default_rng(3).normal(0, strength_sd(), 40_000))
    assert np.mean((draws < 2.5) & (draws > 1 / 2.5)) == pytest.approx(0.8, abs=0.01)


def test_bases_are_white_and_butters_are_yellower():
    """b* of butters between 4 and 15: common practice."""
    seen = {base.product: see(np.array(_white(base))).lab for base in bases()}
    assert seen["whipped_soap"] == pytest.approx([96.2, -0.3, 0.7], abs=0.1)
    assert all(lab[0] > 90 for lab in seen.values())
    assert all(4 <= seen[product][2] <= 15 for product in ("body_butter", "oil_sugar_scrub"))


def _white(base):
    from blendlab.tint.kubelka_munk import reflectance

    return reflectance(np.array(base.k0) / np.array(base.s0))


def test_a_composite_is_the_sum_of_its_parts():
    white, lake = starter("mica_white"), starter("blue1_lake")
    sea = composite("sea", "Sea mica", [(white, 9), (lake, 1)])
    assert sea.k == pytest.approx(0.9 * np.array(white.k) + 0.1 * np.array(lake.k))
    assert sea.s == pytest.approx(0.9 * np.array(white.s) + 0.1 * np.array(lake.s))
    assert sea.ci == ("77019", "77891", "42090")
    assert sea.composite_of == {"mica_white": 0.9, "blue1_lake": 0.1}
    assert sea.cap_pct == 2
    assert sea.density_g_ml == pytest.approx(1 / (0.9 / 2.9 + 0.1 / 1.9))


def test_a_composite_of_nothing_is_refused():
    from blendlab.errors import OutOfRange

    with pytest.raises(OutOfRange):
        composite("x", "x", [])
    with pytest.raises(OutOfRange):
        composite("x", "x", [(starter("carmine"), 0)])

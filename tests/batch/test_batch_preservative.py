"""Preservative: mass balances solved a second way, limits as printed, acids, gates."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blendlab.batch import ledger
from blendlab.batch.cooking import cook
from blendlab.batch.plan import plan
from blendlab.batch.preservative import blend_cap, gate, top_up_fixed, top_up_open, top_up_range
from blendlab.errors import OutOfRange
from blendlab.facts.preservatives import active_limits
from blendlab.recipe import Batch, Ref
from blendlab.shelf import Component, Ingredient, Shelf, resolve
from tests.batch import plans_to_try as tries

PCT = st.floats(0.05, 2.0)


@given(st.floats(50, 5000), PCT, st.floats(0, 2000), PCT, st.sampled_from([10.0, 50.0, 100.0]))
def test_open_and_fixed_agree_with_a_linear_solver(base, held, added, wanted, strength):
    """Unknowns: top-up and final mass; two equations, mass and preservative (numpy.linalg.solve)."""
    made = top_up_open(base, held, added, wanted, strength)
    grams, final = np.linalg.solve([[1, -1], [strength, -wanted]], [-(base + added), -held * base])
    if grams >= 0:
        assert made.topup_g == pytest.approx(grams, rel=1e-9, abs=1e-9)
        assert made.final_g == pytest.approx(final)
        back = top_up_fixed(made.final_g, held, added, wanted, strength)
        assert back.base_g == pytest.approx(base)
        assert back.topup_g == pytest.approx(made.topup_g, abs=1e-6)
    else:
        assert made.topup_g == pytest.approx(0, abs=1e-9)
        assert made.final_pct >= wanted * (1 - 1e-9)


def test_preserved_additions_need_less():
    plain, preserved = (top_up_open(1000, 1.0, 100, 1.0, additions_pct=pct) for pct in (0.0, 1.0))
    assert plain.topup_g > 1.0
    assert preserved.topup_g == 0


def test_a_wish_above_the_strength_is_refused():
    with pytest.raises(OutOfRange):
        top_up_open(1000, 1.0, 100, 12.0, strength_pct=10.0)
    with pytest.raises(OutOfRange):
        top_up_fixed(1000, 15.0, 100, 1.0, strength_pct=10.0)


def test_caps_without_a_limit_are_endless_and_broken_ones_negative():
    assert blend_cap({"a": 100}, {}) == inf
    assert blend_cap({"a": 50}, {"a": 1.0}, {"a": 1.2}) == pytest.approx(-0.4)


def test_a_range_stays_low_enough():
    assert top_up_range(1000, 0.9, 1.0, 90, 1.0, 1.2).within


# Reg. (EC) 1223/2009 Annex V, consolidated text: entries 1, 4, 29, 34, 57
@pytest.mark.parametrize(
    ("active", "rinse", "stays"),
    [
        ("benzoic acid", 2.5, 0.5),
        ("sorbic acid", 0.6, 0.6),
        ("phenoxyethanol", 1.0, 1.0),
        ("benzyl alcohol", 1.0, 1.0),
        ("methylisothiazolinone", 0.0015, 0.0),
    ],
)
def test_limits_follow_how_long_a_product_stays(active, rinse, stays):
    assert active_limits("whipped_soap")[active].pct == rinse
    assert active_limits("body_butter")[active].pct == stays


def _salts() -> Ingredient:
    parts = (
        Component(inci="Sodium Benzoate", cas="532-32-1", low_pct=60, high_pct=60),
        Component(inci="Potassium Sorbate", cas="24634-61-5", low_pct=40, high_pct=40),
    )
    return Ingredient(id="salts", name="Salts", function="preservative", components=parts, high_pct=1.5)


def test_salts_count_as_their_acids():
    counted = ledger.of_ingredient(_salts())
    # 122.12/144.11 and 112.13/150.22 are ratios of molar masses
    assert counted["benzoic acid"] == pytest.approx(60 * 122.12 / 144.11)
    assert counted["sorbic acid"] == pytest.approx(40 * 112.13 / 150.22)


def _with(item: Ingredient, held=(1.0, 1.0), **base):
    changed = {"preservative": Ref(kind="ingredient", id=item.id), "preservative_pct": held, "actives": {}}
    made = replace(tries.shelf().today("base", "cooked"), **{**changed, **base})
    return tries.design(base=made.ref), Shelf((*tries.shelf().items, item, made))


def test_sorbate_caps_a_salt_blend_before_benzoate():
    # sorbic 0.6 % / (0.40 x 0.7464) = 2.01 % of the blend; benzoic 2.5 % / (0.60 x 0.8474) = 4.92 %
    item = replace(_salts(), high_pct=None)
    made = plan(resolve(*_with(item, pH=5.0)), tries.LOW_JAR)
    assert made.preservative.most_pct == pytest.approx(0.6 / (0.40 * 112.13 / 150.22), rel=1e-6)


@pytest.mark.parametrize(("pH", "told"), [(4.9, False), (6.5, True)])
def test_acids_are_weak_where_they_are_split(pH, told):
    made = plan(resolve(*_with(_salts(), pH=pH)), tries.LOW_JAR)
    assert any(finding.id.startswith("acid-") for finding in made.findings) is told


def test_a_cationic_preservative_stops_in_an_anionic_base():
    item = replace(_salts(), charge="cationic")
    made = plan(resolve(*_with(item, pH=5.0)), tries.LOW_JAR)
    assert any(finding.id == "charge-salts" and finding.level == "stop" for finding in made.findings)


def test_a_limited_active_in_the_scent_lowers_the_cap():
    parts = (Component(inci="Benzyl Alcohol", cas="100-51-6", low_pct=100, high_pct=100),)
    item = Ingredient(id="ba", name="Alcohol", function="preservative", components=parts)
    design, shelf = _with(item)
    oil = shelf.today("oil", "lavender")
    with_it = replace(oil, declaration=replace(oil.declaration, rows={"100-51-6": _declared(20.0)}))
    rest = tuple(item for item in shelf.items if item is not oil)
    plain, more = (
        plan(resolve(design, Shelf((*rest, lavender))), tries.LOW_JAR) for lavender in (oil, with_it)
    )
    # 20 % of an oil that is 60 % of a load of 1.2 %: 0.144 % of the product
    gone = plain.preservative.most_pct - more.preservative.most_pct
    assert gone == pytest.approx(0.144, abs=1e-6)


def _declared(pct: float):
    from blendlab.shelf import Declared

    return Declared(pct=pct)


def test_law_goes_before_sheet_before_wish():
    item = tries.shelf().today("ingredient", "preservative-a")
    for high, wanted, reached in ((None, 3.0, 1.0 / 0.9), (1.05, 3.0, 1.05), (1.05, 1.0, 1.0)):
        design, shelf = _with(replace(item, high_pct=high), actives={})
        asked = replace(design, batch=Batch(jars=24, preservative_pct=wanted))
        made = plan(resolve(asked, shelf), tries.LOW_JAR)
        assert made.preservative.low_pct == pytest.approx(reached, rel=0.01)
        assert made.preservative.high_pct <= reached * 1.01
        short = any(finding.id == "preservative-short" for finding in made.findings)
        assert short is (wanted > reached)


def test_gates():
    assert gate(None).below_c == 40
    assert gate(70, "Keeper").source == "sheet of Keeper"


def test_a_gate_names_whose_sheet_it_comes_from():
    """No lot is named here: no sheet of a lot can have said it."""
    item = tries.shelf().today("ingredient", "preservative-a")
    for own, of_base, said in (
        (45.0, 50.0, f"sheet of {item.name}"),
        (None, 50.0, "sheet of {base}"),
        (None, None, "common practice"),
    ):
        design, shelf = _with(replace(item, add_below_c=own), add_below_c=of_base)
        resolved = resolve(design, shelf)
        made = plan(resolved, tries.LOW_JAR)
        assert made.preservative.gate.source == said.format(base=resolved.base.name)


def test_less_than_the_sheet_asks_for_is_a_stop_with_the_percent_that_mends_it():
    """A base that holds 0.4 % is not enough only because nobody asked for more."""
    item = tries.shelf().today("ingredient", "preservative-a")
    made = plan(resolve(tries.design(), tries.shelf((0.4, 0.4))), tries.LOW_JAR)
    (short,) = (finding for finding in made.findings if finding.id == "preservative-short")
    assert short.level == "stop"
    assert short.act == {"batch.preservative_pct": item.low_pct}
    enough = tries.design(batch=Batch(jars=24, preservative_pct=item.low_pct))
    mended = plan(resolve(enough, tries.shelf((0.4, 0.4))), tries.LOW_JAR)
    assert "preservative-short" not in {finding.id for finding in mended.findings}


def test_the_gate_of_a_cooked_base_names_the_preservative_in_it():
    base = tries.shelf().today("base", "cooked")
    kept = tries.shelf().today("ingredient", "preservative-a")
    step = next(step for step in cook(base, tries.shelf(), 1500).steps if step.id == "preservative-gate")
    assert (step.below_c, step.source) == (kept.add_below_c, f"sheet of {kept.name}")

"""What follows from a changed formula of a base: recomputed, cleared, told, and a stop until she confirms."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.assess import assess
from blendlab.batch.base_formula import with_formula
from blendlab.facts.ingredients import ingredients
from blendlab.recipe import Ref
from blendlab.shelf import Base, BaseLine, Stirred, lines_of
from tests.batch import plans_to_try as tries

SHELF = tries.shelf()
BASE: Base = SHELF.today("base", "cooked")
LINES = lines_of(BASE, SHELF)
KNOWN = {item.id: item for item in ingredients()}
WATER = next(item for item in ingredients() if item.function == "water")


def moved(**pcts: float) -> list[Stirred]:
    """The lines with other percents; water makes up for them."""
    changed = {name.replace("_", "-"): pct for name, pct in pcts.items()}
    gone = sum(pct - changed[item.id] for item, pct in LINES if item.id in changed)
    return [
        Stirred(item, changed.get(item.id, pct + (gone if item.id == WATER.id else 0.0)))
        for item, pct in LINES
    ]


def test_the_same_lines_change_nothing():
    assert with_formula(BASE, LINES) is BASE


def test_less_preservative_in_the_formula_is_less_in_the_base():
    """0.4 % of a blend of 90 % phenoxyethanol and 10 % ethylhexylglycerin."""
    made = with_formula(BASE, moved(preservative_a=0.4))
    assert made.preservative_pct == (0.4, 0.4)
    assert made.preservative == Ref(kind="ingredient", id="preservative-a")
    assert made.actives["phenoxyethanol"] == pytest.approx(0.36)
    assert made.actives["ethylhexylglycerin"] == pytest.approx(0.04)
    assert (made.pH, made.density_whipped_g_ml) == (None, None)
    grams_a_ml = 100 / sum(pct / item.density_g_ml for item, pct in moved(preservative_a=0.4))
    assert made.density_mix_g_ml == pytest.approx(grams_a_ml, abs=1e-4)
    assert made.contents["122-99-6"] == pytest.approx(0.36)
    assert "preservative 1 % to 0.4 %" in made.unconfirmed
    assert f"pH {BASE.pH:g} cleared: measure the new one" in made.unconfirmed


def test_a_density_that_reads_the_same_has_not_moved():
    close = replace(
        BASE, density_mix_g_ml=with_formula(BASE, moved(preservative_a=0.4)).density_mix_g_ml + 1e-5
    )
    assert not [
        told for told in with_formula(close, moved(preservative_a=0.4)).unconfirmed if "density" in told
    ]


def test_without_a_preservative_none_is_known_and_of_two_no_percent():
    none = with_formula(BASE, moved(preservative_a=0.0))
    assert (none.preservative, none.preservative_pct) == (None, None)
    assert "phenoxyethanol" not in none.actives
    other = replace(KNOWN["preservative-a"], id="preservative-b", name="Preservative B")
    two = with_formula(BASE, [*moved(preservative_a=0.5), Stirred(other, 0.5)])
    assert (two.preservative, two.preservative_pct) == (None, None)
    alone = with_formula(BASE, [*moved(preservative_a=0.0), Stirred(other, 1.0)])
    assert alone.preservative.id == other.id
    assert f"preservative 1 % to 1 %, now {other.name}" in alone.unconfirmed


def test_a_surfactant_without_active_matter_brings_none():
    """26 % of a powder of 85 %, in a formula of the base; of a powder of 0 % nothing is declared."""
    (powder,) = (item for item, _ in LINES if item.id == "isethionate-powder")
    name = max(powder.components, key=lambda part: part.high_pct).inci.lower()
    for active, declared in ((85.0, {name: 26 * 0.85}), (0.0, {})):
        lines = [Stirred(replace(item, active_pct=active), pct) if item is powder else Stirred(item, pct)
                 for item, pct in LINES if item is powder or item.function == "water"]  # fmt: skip
        assert with_formula(BASE, lines).actives == pytest.approx(declared)


def test_a_formula_without_water_is_anhydrous():
    oil = next(item for item in ingredients() if item.water_pct == 0 and item.function == "oil")
    assert with_formula(BASE, [Stirred(oil, 100.0)]).anhydrous
    assert not with_formula(BASE, moved(preservative_a=0.4)).anhydrous


def test_of_a_formula_that_was_taken_away_nothing_is_known():
    gone = with_formula(replace(BASE, own_fragrance_pct=0.0), [])
    assert not gone.anhydrous
    assert (gone.own_fragrance_pct, gone.preservative_pct, gone.actives) == (None, None, {})
    assert "fragrance of its own not known any more" in gone.unconfirmed
    assert "its formula is gone: what it is made of is not known" in gone.unconfirmed


def test_water_that_goes_or_comes_is_told():
    oil = next(item for item in ingredients() if item.water_pct == 0 and item.function == "oil")
    dry = with_formula(BASE, [Stirred(oil, 100.0)])
    assert "it holds no water now" in dry.unconfirmed
    assert "it may hold water now" in with_formula(replace(dry, unconfirmed=()), LINES).unconfirmed


def test_a_second_change_does_not_hide_what_the_first_moved():
    """The pH is cleared by the first; the second moves the preservative again before she confirms."""
    first = with_formula(replace(BASE, pH=6.2), moved(preservative_a=0.4))
    second = with_formula(first, moved(preservative_a=0.5))
    assert second.unconfirmed[: len(first.unconfirmed)] == first.unconfirmed
    assert "pH 6.2 cleared: measure the new one" in second.unconfirmed
    assert "preservative 0.4 % to 0.5 %" in second.unconfirmed


def test_what_cannot_be_reckoned_is_told():
    blind = replace(WATER, density_g_ml=None)
    measured = replace(BASE, known="measured", density_whipped_g_ml=0.6)
    made = with_formula(
        measured,
        [Stirred(blind if item.id == WATER.id else item, pct) for item, pct in moved(preservative_a=0.4)],
    )
    assert made.density_mix_g_ml is None
    told = " ".join(made.unconfirmed)
    for part in ("density of the mix not known", "weighed cup of 0.6 g/ml cleared", "make a new swatch"):
        assert part in told


def test_a_design_has_a_stop_until_she_confirms():
    made = with_formula(BASE, moved(preservative_a=0.9))
    items = tuple(item for item in SHELF.items if item.id != "cooked")

    def stops(base: Base) -> set[str]:
        shelf = replace(SHELF, items=(*items, base))
        judged = assess(tries.design(base=base.ref), shelf, date(2026, 3, 7))
        return {finding.id for finding in judged.findings if finding.level == "stop"}

    assert "base-unconfirmed" in stops(made)
    assert "base-unconfirmed" not in stops(replace(made, unconfirmed=()))


def test_the_lines_are_those_that_were_given():
    made = with_formula(BASE, moved(preservative_a=0.4))
    assert sum(line.pct for line in made.lines) == pytest.approx(100)
    assert BaseLine(ingredient=Ref(kind="ingredient", id="preservative-a"), pct=0.4) in made.lines


def test_a_first_formula_takes_nothing_that_was_measured_and_speaks_in_names():
    new = replace(BASE, lines=(), pH=5.6, preservative=None, preservative_pct=None, own_fragrance_pct=None)
    made = with_formula(replace(new, density_whipped_g_ml=0.6, known="measured"), LINES)
    assert (made.pH, made.density_whipped_g_ml) == (5.6, 0.6)
    said = "; ".join(made.unconfirmed)
    for word in ("cleared", "make a new swatch", "preservative-a", "not known"):
        assert word not in said
    assert f"preservative 1 %, now {KNOWN['preservative-a'].name}" in made.unconfirmed


def test_the_fragrance_of_a_formula_is_none_only_where_every_line_says_so():
    blind = replace(BASE, lines=(), own_fragrance_pct=None)
    water = [Stirred(WATER, 100.0)]
    assert with_formula(blind, water).own_fragrance_pct == 0
    part = WATER.components[0]
    for change in (
        {"components": ()},
        {"function": "oil"},
        {"components": (replace(part, inci="Parfum"),)},
        {"components": (replace(part, high_pct=60.0),)},
        {"components": (replace(part, inci="Limonene"),)},
        {"components": (replace(part, inci="Lavandula Angustifolia Oil"),)},
    ):
        smells = Stirred(replace(WATER, id="smells", **change), 1.0)
        assert with_formula(blind, [Stirred(WATER, 99.0), smells]).own_fragrance_pct is None
        told = with_formula(with_formula(blind, water), [Stirred(WATER, 99.0), smells])
        assert told.own_fragrance_pct is None
        assert "fragrance of its own not known any more" in told.unconfirmed
    assert with_formula(replace(blind, own_fragrance_pct=0.5), water).own_fragrance_pct == 0.5

"""The tables of limits, labels and oils: what must hold for every row."""

from __future__ import annotations

import csv
import re
from datetime import date
from pathlib import Path

import pytest

from blendlab.errors import BadFacts
from blendlab.facts import allergens, law, library, limits, products, standards
from blendlab.facts.derive import sheets as derived
from blendlab.facts.limits import split
from blendlab.facts.read import parse, table
from blendlab.fragrance.registry_numbers import check_digit
from tests.fragrance.kit import TODAY

ROOT = Path(__file__).parents[2]
TABLES = sorted(f"fragrance/{path.stem}" for path in (ROOT / "blendlab/facts/fragrance").glob("*.csv"))
CAS = re.compile(r"^\d{2,7}-\d\d-\d$")


@pytest.mark.parametrize("name", TABLES)
def test_every_number_has_its_check_digit(name):
    # rule of the Chemical Abstracts Service: digits from the right times 1, 2, 3 ..., modulo 10
    for row in table(name):
        for column in ("cas", "cas_number", "cas_numbers"):
            for cas in split(row.get(column, "")):
                assert CAS.match(cas), (name, cas)
                assert check_digit(cas) == int(cas[-1]), (name, cas)


def reference(name):
    """Rows of a table that only tests hold against the facts."""
    with (ROOT / "tests" / "reference" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_oil_name_and_known_allergen_is_in_the_list():
    rows = reference("known_allergens")
    for row in rows:
        assert set(split(row["expected_eu_label_names"])) <= set(allergens.by_name()), row["oil"]
    assert {oil.label_name for oil in library.oils()} - {""} <= set(allergens.by_name())


def test_library_oils_hold_the_allergens_they_are_known_for():
    for row in reference("known_allergens"):
        inside = library.oil(row["oil_id"]).constituents
        held = {allergens.by_cas()[cas].name for cas in inside if cas in allergens.by_cas()}
        assert set(split(row["expected_eu_label_names"])) <= held, row["oil"]


def test_list_has_the_counts_of_the_regulation():
    # Reg. (EU) 2023/1545: 81 names in force, 24 of them from the list of 2003
    assert len(allergens.allergens()) == 81
    assert sum(allergen.old for allergen in allergens.allergens()) == 24


def test_no_number_belongs_to_two_substances_of_the_list():
    seen: dict[str, str] = {}
    for allergen in allergens.allergens():
        for cas in () if allergen.natural else allergen.cas:
            assert seen.setdefault(cas, allergen.name) == allergen.name, cas


def test_nerol_is_not_geraniol():
    assert "106-25-2" not in allergens.by_cas()


def test_restricted_standards_are_counted_in_the_index():
    # IFRA index up to the 51st Amendment: 263 Standards, 177 of a type with a restriction
    assert len(table("fragrance/ifra_index")) == 263
    assert len(standards.restricted()) == 177


@pytest.mark.parametrize("category", products.categories())
def test_linalool_and_limonene_never_have_a_limit(category):
    rows = (*standards.standards(category), *law.laws(frozenset({"rinse_off", "leave_on", "lip"}), TODAY))
    for cas in ("78-70-6", "126-90-9", "126-91-0", "5989-27-5", "5989-54-8", "138-86-3", "7705-14-8"):
        assert not [limit.name for limit in rows if cas in limit.cas]


@pytest.mark.parametrize("category", products.categories())
def test_every_restricted_standard_is_a_limit_a_question_or_free_for_the_category(category):
    rows = standards.standards(category)
    free = {
        cas
        for row in table("fragrance/ifra_limits")
        if limits.ENGINE_USE[row["engine_use"]].act == "nothing"
        for cas in split(row["cas_numbers"])
    }
    known = {cas for limit in rows for cas in limit.cas} | free
    for row in table("fragrance/ifra_index"):
        if {"R", "P"} & set(row["standard_type"].split("-")):
            assert set(split(row["cas_numbers"])) <= known, row["material"]


@pytest.mark.parametrize(
    ("material", "category", "pct"),
    [
        # IFRA Standards, 49th Amendment, as printed
        ("Methyl eugenol", "5A", 0.0020),
        ("Methyl eugenol", "9", 0.00087),
        ("Estragole", "9", 0.050),
        ("Cinnamyl alcohol", "5A", 0.32),
        ("Cinnamyl alcohol", "9", 0.76),
        ("Citral", "5A", 0.15),
        ("Rose ketones", "9", 0.084),
    ],
)
def test_printed_standards(material, category, pct):
    assert [limit.pct for limit in standards.standards(category) if limit.name == material] == [pct]


@pytest.mark.parametrize(
    ("name", "scope", "day", "pct"),
    [
        # Reg. (EC) 1223/2009, Annex III entries 102, 73, 324; Reg. (EU) 2026/78
        ("Methyl eugenol", "rinse_off", TODAY, 0.001),
        ("Methyl eugenol", "leave_on", TODAY, 0.0002),
        ("Isoeugenol", "rinse_off", TODAY, 0.02),
        ("Methyl salicylate", "lip", TODAY, 0.03),
        ("Hexyl salicylate", "leave_on", date(2026, 5, 1), 0.3),
        ("Hexyl salicylate", "rinse_off", date(2026, 5, 1), 0.5),
    ],
)
def test_figures_of_law(name, scope, day, pct):
    found = [limit.pct for limit in law.laws(frozenset({scope}), day) if limit.name == name]
    assert found == [pct]


def test_a_law_does_not_bind_before_its_day():
    before = law.laws(frozenset({"rinse_off"}), date(2026, 4, 30))
    assert "Hexyl salicylate" not in {limit.name for limit in before}


def test_unverified_rows_are_the_rows_marked_so():
    marked = {
        (row["material"], row["category"])
        for row in table("fragrance/ifra_limits")
        if row["engine_use"] == "apply_unverified"
    }
    listed = {
        (row["material"], row["scope_or_category"])
        for row in reference("unverified_limits")
        if row["engine_use"] == "apply_unverified"
    }
    assert marked == listed


def test_an_unknown_word_of_engine_use_is_refused():
    (row,) = parse("t.csv", "engine_use*,unit,source,source_kind,checked_on\nmaybe,%,x,derived,2026-11-25\n")
    with pytest.raises(BadFacts, match=r"t\.csv, line 2: .*maybe"):
        limits.use_of(row)


def test_every_word_of_engine_use_is_defined():
    for name in ("ifra_limits", "law_limits"):
        for row in table(f"fragrance/{name}"):
            assert row["engine_use"] in limits.ENGINE_USE


def test_lists_follow_market_and_day():
    # Reg. (EU) 2023/1545: 2026-07-31 is the last day of the old list; Canada: 2026-04-12 and 2026-08-01
    assert allergens.list_for("EU", date(2026, 7, 31)) == "old"
    assert allergens.list_for("EU", date(2026, 8, 1)) == "new"
    assert [allergens.list_for("CA", date(2026, month, 12)) for month in (3, 4, 8)] == ["none", "old", "new"]
    assert allergens.list_for("GB", TODAY) == "old"
    assert allergens.list_for("US", TODAY) == "pending"


def test_contents_of_library_oils_are_in_order():
    for oil in library.oils():
        assert oil.sheet is None
        for part in oil.constituents.values():
            assert 0 <= part.low <= part.typical <= part.high <= 100
        assert sum(part.typical for part in oil.constituents.values()) <= 100 + 1e-9
        assert sum(oil.notes) == pytest.approx(1)


def test_invented_sheets_follow_from_their_contents():
    # floats of the table's own maker lie one step below where the exact quotient ends on the step
    for row in reference("invented_sheets"):
        for category in products.categories():
            again = float(derived.limit(row["oil_id"], category))
            assert again - 0.0101 < float(row[f"cat_{category}"]) <= again, (row["oil"], category)


def test_demo_sheets_are_derived_again():
    again = parse("demo_sheets.csv", "\n".join(derived.rows()))
    assert [dict(row) for row in table(derived.DEMO)] == [dict(row) for row in again]


def test_demo_sheets_keep_every_listed_limit_of_their_oil():
    # second route: an oil used at its own sheet figure keeps every listed Standard
    for oil in library.demo_oils():
        for category, pct in oil.sheet.limits.items() if oil.sheet else ():
            for standard in standards.standards(category):
                held = sum(part.high for cas, part in oil.constituents.items() if cas in standard.cas)
                if standard.pct and held and not standard.photo:
                    assert pct * held / 100 <= standard.pct + 1e-9, (oil.name, category, standard.name)


def test_one_demo_oil_has_no_sheet_and_the_rest_outlive_the_season():
    oils = library.demo_oils()
    assert [oil.name for oil in oils if oil.sheet is None] == ["Green stem accord"]
    for oil in oils:
        assert oil.expiry >= date(2027, 1, 1)
        assert oil.received <= TODAY
        assert oil.sheet is None or (oil.sheet.amendment == 51 and oil.sheet.issued <= oil.received)


def test_every_scope_word_is_in_the_list_of_scopes():
    for row in table("fragrance/law_limits"):
        assert products.scopes_in(row, "applies_to")
    for kind in products.products().values():
        assert kind.category in products.categories()


def test_a_scope_that_is_none_is_refused_with_its_line():
    head = "product*,scopes,unit,source,source_kind,checked_on\n"
    row = parse("t.csv", head + "soap,rinse_off moon,word,x,practice,2026-11-25\n")[0]
    with pytest.raises(BadFacts, match=r"t\.csv, line 2: scopes has moon"):
        products.scopes_in(row, "scopes")

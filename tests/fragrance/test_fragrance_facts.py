"""The tables of limits, labels and oils: what must hold for every row."""

from __future__ import annotations

import re
from datetime import date

import pytest

from blendlab.errors import BadFacts
from blendlab.facts import labels, library, limits
from blendlab.facts.derive import sheets as derived
from blendlab.facts.limits import split
from blendlab.facts.read import parse, table
from blendlab.fragrance.entry import check_digit
from tests.fragrance.kit import TODAY

TABLES = [
    "allergens", "allergens_cas", "cas_aliases", "categories", "children", "constituents", "demo_sheets",
    "figures", "ifra_index", "ifra_limits", "invented_sheets", "known_allergens", "law_limits", "markets",
    "nesil", "nesil_factors", "oil_constituents", "oils", "plant_parts", "products", "scopes", "unverified",
]  # fmt: skip
CAS = re.compile(r"^\d{2,7}-\d\d-\d$")


@pytest.mark.parametrize("name", TABLES)
def test_every_number_has_its_check_digit(name):
    # rule of the Chemical Abstracts Service: digits from the right times 1, 2, 3 ..., modulo 10
    for row in table(f"fragrance/{name}.csv"):
        for column in ("cas", "cas_number", "cas_numbers"):
            for cas in split(row.get(column, "")):
                assert CAS.match(cas), (name, cas)
                assert check_digit(cas) == int(cas[-1]), (name, cas)


@pytest.mark.parametrize("name", ["constituents", "oil_constituents"])
def test_every_label_name_is_in_the_list(name):
    known = set(labels.by_name()) | {"Hydroxyisohexyl 3-Cyclohexene Carboxaldehyde"}
    used = {row["eu_label_name"] for row in table(f"fragrance/{name}.csv")} - {""}
    assert used
    assert used <= known


def test_every_oil_name_and_known_allergen_is_in_the_list():
    rows = table("fragrance/known_allergens.csv")
    for row in rows:
        assert set(split(row["expected_eu_label_names"])) <= set(labels.by_name()), row["oil"]
    assert {one.label_name for one in library.oils()} - {""} <= set(labels.by_name())


def test_library_oils_hold_the_allergens_they_are_known_for():
    for row in table("fragrance/known_allergens.csv"):
        inside = library.oil(row["oil_id"]).constituents
        held = {labels.by_cas()[cas].name for cas in inside if cas in labels.by_cas()}
        assert set(split(row["expected_eu_label_names"])) <= held, row["oil"]


def test_list_has_the_counts_of_the_regulation():
    # Reg. (EU) 2023/1545: 81 names in force, 24 of them from the list of 2003
    assert len(labels.allergens()) == 81
    assert sum(one.old for one in labels.allergens()) == 24


def test_no_number_belongs_to_two_substances_of_the_list():
    seen: dict[str, str] = {}
    for one in labels.allergens():
        for cas in () if one.natural else one.cas:
            assert seen.setdefault(cas, one.name) == one.name, cas


def test_nerol_is_not_geraniol():
    assert "106-25-2" not in labels.by_cas()


def test_restricted_standards_are_counted_in_the_index():
    # IFRA index up to the 51st Amendment: 263 Standards, 177 of a type with a restriction
    assert len(table("fragrance/ifra_index.csv")) == 263
    assert len(limits.restricted()) == 177


@pytest.mark.parametrize("category", limits.categories())
def test_linalool_and_limonene_never_have_a_limit(category):
    rows = (*limits.standards(category), *limits.laws(frozenset({"rinse_off", "leave_on", "lip"}), TODAY))
    for cas in ("78-70-6", "126-90-9", "126-91-0", "5989-27-5", "5989-54-8", "138-86-3", "7705-14-8"):
        assert not [one.name for one in rows if cas in one.cas]


@pytest.mark.parametrize("category", limits.categories())
def test_every_restricted_standard_is_a_limit_a_question_or_free_for_the_category(category):
    rows = limits.standards(category)
    free = {
        cas
        for row in table("fragrance/ifra_limits.csv")
        if limits.ENGINE_USE[row["engine_use"]].act == "nothing"
        for cas in split(row["cas_numbers"])
    }
    known = {cas for one in rows for cas in one.cas} | free
    for row in table("fragrance/ifra_index.csv"):
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
    assert [one.pct for one in limits.standards(category) if one.name == material] == [pct]


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
    found = [one.pct for one in limits.laws(frozenset({scope}), day) if one.name == name]
    assert found == [pct]


def test_a_law_does_not_bind_before_its_day():
    before = limits.laws(frozenset({"rinse_off"}), date(2026, 4, 30))
    assert "Hexyl salicylate" not in {one.name for one in before}


def test_unverified_rows_are_the_rows_marked_so():
    marked = {
        (row["material"], row["category"])
        for row in table("fragrance/ifra_limits.csv")
        if row["engine_use"] == "apply_unverified"
    }
    listed = {
        (row["material"], row["scope_or_category"])
        for row in table("fragrance/unverified.csv")
        if row["engine_use"] == "apply_unverified"
    }
    assert marked == listed


def test_an_unknown_word_of_engine_use_is_refused():
    row = parse("t", "engine_use,unit,source,source_kind,checked_on\nmaybe,%,x,derived,2026-11-25\n")[0]
    with pytest.raises(BadFacts, match="maybe"):
        limits.use_of(row, "t")


def test_every_word_of_engine_use_is_defined():
    for name in ("ifra_limits", "law_limits"):
        for row in table(f"fragrance/{name}.csv"):
            assert row["engine_use"] in limits.ENGINE_USE


def test_lists_follow_market_and_day():
    # Reg. (EU) 2023/1545: 2026-07-31 is the last day of the old list; Canada: 2026-04-12 and 2026-08-01
    assert labels.list_for("EU", date(2026, 7, 31)) == "old"
    assert labels.list_for("EU", date(2026, 8, 1)) == "new"
    assert [labels.list_for("CA", date(2026, month, 12)) for month in (3, 4, 8)] == ["none", "old", "new"]
    assert labels.list_for("GB", TODAY) == "old"
    assert labels.list_for("US", TODAY) == "pending"


def test_contents_of_library_oils_are_in_order():
    for one in library.oils():
        assert one.sheet is None
        for part in one.constituents.values():
            assert 0 <= part.low <= part.typical <= part.high <= 100
        assert sum(part.typical for part in one.constituents.values()) <= 100 + 1e-9
        assert sum(one.notes) == pytest.approx(1)


def test_invented_sheets_follow_from_their_contents():
    # floats of the table's own maker lie one step below where the exact quotient ends on the step
    for row in table("fragrance/invented_sheets.csv"):
        for category in limits.categories():
            again = float(derived.limit(row["oil_id"], category))
            assert again - 0.0101 < float(row[f"cat_{category}"]) <= again, (row["oil"], category)


def test_demo_sheets_are_derived_again():
    assert [dict(row) for row in table(derived.DEMO)] == derived.derived()


def test_demo_sheets_keep_every_listed_limit_of_their_oil():
    # second route: an oil used at its own sheet figure keeps every listed Standard
    for one in library.demo_oils():
        for category, pct in one.sheet.limits.items() if one.sheet else ():
            for standard in limits.standards(category):
                held = sum(part.high for cas, part in one.constituents.items() if cas in standard.cas)
                if standard.pct and held and not standard.photo:
                    assert pct * held / 100 <= standard.pct + 1e-9, (one.name, category, standard.name)


def test_one_demo_oil_has_no_sheet_and_the_rest_outlive_the_season():
    oils = library.demo_oils()
    assert [one.name for one in oils if one.sheet is None] == ["Green stem accord"]
    for one in oils:
        assert one.expiry >= date(2027, 1, 1)
        assert one.received <= TODAY
        assert one.sheet is None or (one.sheet.amendment == 51 and one.sheet.issued <= one.received)


def test_every_scope_word_is_in_the_list_of_scopes():
    words = {row["word"] for row in table("fragrance/scopes.csv")}
    for row in table("fragrance/law_limits.csv"):
        assert set(row["applies_to"].split()) <= words
    for one in limits.products().values():
        assert one.scopes <= words
        assert one.category in limits.categories()

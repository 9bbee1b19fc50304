"""What makers type and paste: every line answered, the usual mistakes caught."""

from __future__ import annotations

import pytest

from blendlab.errors import UnknownName
from blendlab.fragrance import check
from blendlab.fragrance.entry import read_declaration, read_limits
from blendlab.fragrance.percent_conversions import pct_of_final
from blendlab.fragrance.registry_numbers import BadCas, read_cas
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet


@pytest.mark.parametrize(
    "text",
    ["78-70-6", " 78-70-6 ", "78\u201370\u20136", "78 - 70 - 6", "78\u221270\u22126", "78\u201170\u20116"],
)
def test_numbers_with_any_dash(text):
    assert read_cas(text) == "78-70-6"


@pytest.mark.parametrize(
    "text", ["78-70-5", "106-24-11", "", "linalool", "1-23-4", "78/70/6", "12345678-70-6"]
)
def test_wrong_numbers_are_refused(text):
    with pytest.raises(BadCas):
        read_cas(text)


@pytest.mark.parametrize(
    ("line", "key", "value"),
    [
        ("5A 4.60", "5A", 4.6),
        ("5a\t4,60 %", "5A", 4.6),
        ("Category 9: 35,63%", "9", 35.63),
        ("Cat. 11B; 0.5", "11B", 0.5),
        ("12 no restriction", "12", 100.0),
        ("12 > 100", "12", 100.0),
        ("10A = 100 %", "10A", 100.0),
        ("1 N/A", "1", None),
        ("1 -", "1", None),
        ("7 B 2.5", "7B", 2.5),
        ("9 0", "9", 0.0),
    ],
)
def test_limits_understood(line, key, value):
    found = read_limits(line).lines[0]
    assert found.understood, found.problem
    assert (found.key, found.value) == (key, value)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("9", "not 0"),
        ("9A 3.2", "48th"),
        ("11 3.2", "48th"),
        ("13 3.2", "not a category"),
        ("5A 130", "ppm"),
        ("5A four", "not a number"),
        ("5A -4", "between"),
        ("Supplier", "No category"),
        ("5A 4.6 ppm", "not a number"),
    ],
)
def test_limits_with_a_problem(line, told):
    found = read_limits(line).lines[0]
    assert not found.understood
    assert told in found.problem


def test_a_category_given_twice_is_told():
    assert [line.understood for line in read_limits("9 3\n9 4").lines] == [True, False]


def test_blank_lines_keep_their_numbers():
    assert [line.number for line in read_limits("\n9 3\n\n5A 4\n").lines] == [2, 4]


@pytest.mark.parametrize(
    ("line", "unit", "key", "value", "below"),
    [
        ("Linalool 78-70-6 12,5", "%", "78-70-6", 12.5, False),
        ("78-70-6\t12.5 %", "%", "78-70-6", 12.5, False),
        ("Linalool; 125000", "ppm", "78-70-6", 12.5, False),
        ("Linalool <0.1", "%", "78-70-6", 0.1, True),
        ("Coumarin 91\u201364\u20135 <10 ppm", "ppm", "91-64-5", 0.001, True),
        ("Benzyl Alcohol 0", "%", "100-51-6", 0.0, False),
        ("Citral -", "%", "5392-40-5", None, False),
        ("Coumarin n.d.", "%", "91-64-5", None, False),
        ("Coumarin", "%", "91-64-5", None, False),
        ("methyl eugenol 0.02", "%", "93-15-2", 0.02, False),
    ],
)  # fmt: skip
def test_declarations_understood(line, unit, key, value, below):
    found = read_declaration(line, unit).lines[0]
    assert found.understood, found.problem
    assert (found.key, found.below) == (key, below)
    assert found.value == (None if value is None else pytest.approx(value))


def test_no_figure_is_told_and_stays_unknown():
    assert "unknown" in read_declaration("Coumarin -").lines[0].note


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("Linalool 250", "ppm"),
        ("Linalool 1250 ppm", "ppm"),
        ("Moonlight 0.2", "add its CAS"),
        ("Linalool 78-70-5 3", "last digit"),
        ("Geraniol 106-24-11 3", "not a CAS"),
        ("Citronellol 106-24-1 3", "that is Geraniol"),
        ("Linalool three", "not a name"),
    ],
)
def test_declarations_with_a_problem(line, told):
    found = read_declaration(line).lines[0]
    assert not found.understood
    assert told in found.problem


def test_a_name_without_a_figure_keeps_a_declaration_open():
    read = read_declaration("Linalool 3\nCitral -")
    assert read.silent == ("5392-40-5",)
    assert not read.declaration("new81", None, complete=True).complete
    assert not read_declaration("").declaration("new81", None, complete=True).complete
    assert read_declaration("Linalool 3").declaration("new81", None, complete=True).complete


def test_an_unknown_unit_is_refused():
    with pytest.raises(UnknownName):
        read_declaration("Linalool 3", "mg/kg")


def test_every_line_is_answered():
    text = "Substance CAS %\nLinalool 3\n\nCitral 0.2\nLinalool 4\nx"
    assert [(line.number, line.understood) for line in read_declaration(text).lines] == [
        (1, False), (2, True), (4, True), (5, False), (6, False),
    ]  # fmt: skip


def ceiling(alone, product="whipped_soap"):
    return check(*scent(1.0, (alone, 100)), base(), product, "EU", TODAY)


def test_percent_of_base_is_not_percent_of_the_jar():
    assert pct_of_final(3.0) == pytest.approx(2.9126, abs=1e-4)


def test_a_sheet_of_another_category_is_not_borrowed():
    assert ceiling(oil("A", sheet(c5A=4.0))).ceiling_pct is None


def test_a_sheet_of_the_48th_amendment_stops():
    assert ceiling(oil("A", sheet(48, c9=4.0))).ceiling_pct is None


def test_below_counts_as_the_figure():
    from blendlab.fragrance.contents import high_pct

    assert high_pct(oil("A", declaration=declared(n138_86_3=0.1)), {"138-86-3"}) == 0.1


def test_a_blend_sold_for_hands_is_another_product():
    both = oil("A", sheet(c5A=4.0, c5C=1.0))
    assert ceiling(both, "body_butter").ceiling_pct == 4.0
    assert ceiling(both, "hand_cream").ceiling_pct == 1.0


def test_an_oil_limit_is_not_a_substance_limit():
    """Citral 0.15 % of the product and an oil with 3 % citral: the oil may reach 5 %."""
    made = ceiling(oil("A", sheet(c5A=5.0), {"5392-40-5": 3.0}), "body_butter")
    assert made.ceiling_pct == pytest.approx(5.0)
    assert made.routes.c.pct == pytest.approx(5.0)

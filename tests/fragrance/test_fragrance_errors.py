"""Errors that users make with scents: each gets a clear answer, none passes silently."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab.errors import BlendlabError
from blendlab.facts.products import categories, products
from blendlab.facts.standards import standards
from blendlab.fragrance import check, declare, read_cas, read_declaration, read_limits, since
from blendlab.fragrance.oil_table import read_oils
from blendlab.fragrance.percent_conversions import parts_of_base, pct_of_final
from blendlab.recipe import Scent
from blendlab.units import read_number
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet


def told(made) -> str:
    return " ".join(f"{finding.level}: {finding.text} {finding.fix}" for finding in made.findings)


def judged(*parts, load=1.0, kind="whipped_soap", **more):
    made, oils = scent(load, *parts)
    return check(Scent(load_pct=load, oils=made.oils, **more), oils, base(), kind, "EU", TODAY)


def refused(make) -> str:
    with pytest.raises(BlendlabError) as problem:
        make()
    return str(problem.value)


def percent_of_base() -> str:
    """3 parts to 100 of base are 2.913 % of the jar, and 3 % of the jar are 3.093 parts."""
    return f"{pct_of_final(3.0):.3f} {parts_of_base(3.0):.3f}"


def other_category() -> str:
    return judged((oil("A", sheet(c5A=4.0)), 100)).reason


def ppm_as_percent() -> str:
    return " ".join(read_declaration("Linalool 12500").problems)


def ppm_marked() -> str:
    return " ".join(read_declaration("Linalool 12500 ppm").problems)


def oil_limit_as_substance_limit() -> str:
    return " ".join(read_limits("Citral 0.15").problems)


def drops() -> str:
    return refused(lambda: read_number("12 drops", "g", 0, 100))


def old_sheet() -> str:
    return told(judged((oil("A", sheet(48, c9=4.0)), 100)))


def old_categories() -> str:
    return " ".join(read_limits("9A 4.0\n11 2").problems)


def lot_mix_up() -> str:
    old, new = oil("A", sheet(c9=4.0), lot="L-1"), oil("A", sheet(c9=4.0), lot="L-2")
    return since({"a": old}, {"a": new}, TODAY, TODAY, "whipped_soap", ["EU"])[0].text


def two_names() -> str:
    pair = [oil(name, sheet(c9=40.0), lot="L-7", supplier="S") for name in ("Lavender", "Lavande")]
    return told(judged(*((same, 50) for same in pair)))


def shares_of_99() -> str:
    return refused(lambda: judged((oil("A", sheet(c9=4.0)), 99)))


def decimal_comma() -> str:
    return str(read_limits("9 4,60").limits["9"])


def two_faces() -> str:
    return refused(lambda: read_number("1,234", "g", 0, 5000))


def empty_cell() -> str:
    return " ".join(read_limits("9").problems)


def empty_cell_of_a_table() -> str:
    made = read_oils("Name;9;Amendment;Linalool;Citral\nA;4;51;3;", "%", "new81", True, {})
    row = made.rows[0]
    return f"{row.oil.declaration.complete} {'5392-40-5' in row.oil.declaration.rows} {'; '.join(row.notes)}"


def en_dash() -> str:
    return read_cas("106\u201324\u20131")


def wrong_digit() -> str:
    return refused(lambda: read_cas("106-24-11"))


def below() -> str:
    line = read_declaration("Limonene <0.1").lines[0]
    return f"{line.value} {line.below} {line.note}"


def also_hand_cream() -> str:
    made = judged((oil("A", sheet(c5A=4.0, c5C=1.0)), 100), kind="body_butter", also_kinds=("hand_cream",))
    return f"{made.ceiling_pct}"


def also_without_a_figure() -> str:
    return judged((oil("A", sheet(c5A=4.0)), 100), kind="body_butter", also_kinds=("hand_cream",)).reason


ERRORS = [
    (percent_of_base, "2.913 3.093"),
    (other_category, "without a sheet for this use"),
    (ppm_as_percent, "Is it in ppm?"),
    (ppm_marked, "This line is in ppm, the table is read in %."),
    (oil_limit_as_substance_limit, "No category at the start of the line."),
    (drops, '"12 drops" is not a number in g'),
    (old_sheet, "48th Amendment; its old categories cannot be mapped."),
    (old_categories, "belongs to the 48th Amendment or older"),
    (lot_mix_up, "A: lot L-2 in place of lot L-1."),
    (two_names, "Two oils are lot L-7 of S: the same oil under two names?"),
    (shares_of_99, "Shares add up to 99.0 % of the scent; they must add up to 100 %."),
    (decimal_comma, "4.6"),
    (two_faces, "can be 1.234 or 1234"),
    (empty_cell, "An empty cell is not 0."),
    (empty_cell_of_a_table, "False False no figure for Citral: the declaration stays open"),
    (en_dash, "106-24-1"),
    (wrong_digit, "is not a CAS number"),
    (below, "0.1 True counted as 0.1 %"),
    (also_hand_cream, "1.0"),
    (also_without_a_figure, "without a sheet for this use"),
]


@pytest.mark.parametrize(("error", "answer"), ERRORS, ids=[error.__name__ for error, _ in ERRORS])
def test_every_error_is_answered(error, answer):
    assert answer in error()


@pytest.mark.parametrize("kind", sorted(products()))
@pytest.mark.parametrize("name", ["linalool", "limonene"])
def test_no_concentration_limit_for_linalool_or_limonene_is_ever_shown(kind, name):
    # IFRA Standards and Annex III speak of peroxides of the raw material for both, never of a percent
    inside = {"linalool": "78-70-6", "limonene": "5989-27-5"}[name]
    full = {f"c{category}": 100.0 for category in categories()}
    rich = oil("Rich", sheet(**full), {inside: 95.0}, declaration=declared())
    made, oils = scent(5.0, (rich, 100))
    found = check(made, oils, base(), kind, "EU", TODAY)
    assert not [row.name for row in found.rows if name in row.name.lower() and row.kind != "house"]
    assert found.ceiling_pct == 100.0 or found.governing.lower() != name
    assert not [
        each for category in categories() for each in standards(category) if inside in each.cas and each.pct
    ]


def test_an_oil_nobody_knows_is_never_fine():
    made, oils = scent(0.1, (oil("Bare"), 100))
    found = check(made, oils, base(), "whipped_soap", "EU", TODAY)
    names = declare(made, oils, "whipped_soap", "EU", date(2026, 11, 25))
    assert found.ceiling_pct is None
    assert names.unknown[0].oil == "Bare"
    assert {finding.level for finding in (*found.findings, *names.findings)} >= {"stop"}

"""Oils on the shelf: tables pasted in one go, dilutions, age, and what has to be judged again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.library import demo_oils
from blendlab.fragrance import ahead, check, diluted, since
from blendlab.fragrance.contents import high_pct, in_base
from blendlab.fragrance.freshness import aged, quick, unmeasured
from blendlab.fragrance.oil_table import read_oils
from blendlab.shelf import Constituent
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

HEAD = (
    "Name\tKind\tAmendment\tSheet issued\t9\tCategory 5A\tLinalool\tLimonene (5989\u201327\u20135)"
    "\tFlash point\tLot"
)


def read(text, unit="%", complete=False, taken=None, update=False):
    return read_oils(text, unit, "new81", complete, taken or {}, update)


# --- a table --------------------------------------------------------------------------------------


def test_thirty_oils_in_one_paste():
    rows = [
        f"Oil {k}\tfragrance oil\t51\t2026-02-01\t{k},5\tN/A\t{k}.25\t<0,1\t{60 + k}\tL-{k:03d}"
        for k in range(1, 31)
    ]
    made = read("\n".join([HEAD, *rows]))
    assert not made.problems
    assert len(made.oils) == 30
    last = made.oils[-1]
    assert last.sheet.limits == {"9": 30.5}
    assert last.declaration.rows["78-70-6"].pct == 30.25
    assert (last.declaration.rows["5989-27-5"].pct, last.declaration.rows["5989-27-5"].below) == (0.1, True)
    assert (last.flash_c, last.lot, last.sheet.issued) == (90.0, "L-030", date(2026, 2, 1))
    assert "not for this use" in " ".join(made.rows[-1].notes)


def test_ppm_is_read_as_ppm():
    made = read("Name;Linalool\nA;12500", "ppm")
    assert made.oils[0].declaration.rows["78-70-6"].pct == pytest.approx(1.25)
    assert "Is it in ppm?" in read("Name;Linalool\nA;12500").rows[0].problems[0]


def test_an_empty_cell_is_unknown_and_leaves_the_declaration_open():
    made = read("Name;Linalool;Coumarin\nA;3;", complete=True).oils[0]
    assert high_pct(made, {"91-64-5"}) is None
    assert not made.declaration.complete
    assert read("Name;Linalool;Coumarin\nA;3;0", complete=True).oils[0].declaration.complete


def test_quoted_commas_in_a_comma_file_and_a_row_with_too_many_cells():
    made = read('Name,9,Amendment\nA,"4,6",51\nB,4,6,51')
    assert made.oils[0].sheet.limits == {"9": 4.6}
    assert "4 cells under 3 columns" in made.rows[1].problems[0]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no line with the names"),
        ("9;Linalool\n4;3", 'No column is called "Name"'),
        ("Name;9A\nA;3", "48th Amendment or older"),
        ("Name;Lot;Lot\nA;1;2", "stands there twice"),
        ("Name;78-70-5\nA;3", "last digit must be 6"),
        ("Name;Citronellol 106-24-1\nA;3", "that is Geraniol"),
        ("Name;9", "no row below"),
    ],
)
def test_a_table_that_cannot_be_read_says_why(text, told):
    assert told in " ".join(read(text).problems)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (";4;51;", "The name is empty."),
        ("A;4;;", "without the amendment"),
        ("A;lots;51;", "is not a number"),
        ("A;130;51;", "must lie between 0 and 100 %"),
        ("A;4;51;1.3.2027", "is no date like"),
        ("Lavender;4;51;", "is on the shelf already"),
    ],
)
def test_a_row_that_cannot_be_read_says_why_and_is_left_out(row, told):
    made = read(f"Name;9;Amendment;Use by\n{row}\nB;4;51;2027-03-01", taken={"lavender": "lavender"})
    assert told in " ".join(made.rows[0].problems)
    assert [understood.name for understood in made.oils] == ["B"]


def test_a_row_may_take_the_place_of_an_oil_of_the_same_name():
    made = read("Name;9;Amendment\nLavender;4;51", taken={"lavender": "lavender-2"}, update=True)
    assert made.oils[0].id == "lavender-2"


def test_two_rows_of_one_name_are_told():
    made = read("Name;9;Amendment\nA;4;51\na;5;51")
    assert "stands in row 2 already" in made.rows[1].problems[0]


def test_declared_vanillin_is_the_vanillin_of_the_oil():
    assert (
        read("Name;Vanillin;Linalool\nA;3,5;1", complete=True).oils[0].declaration.rows["121-33-5"].pct == 3.5
    )


# --- a dilution -----------------------------------------------------------------------------------


def test_a_dilution_holds_a_part_and_its_sheet_allows_the_inverse():
    pure = replace(
        oil("Rose", sheet(c9=2.0, c5A=40.0), {"106-24-1": 20.0}), declaration=declared(n106_24_1=20.0)
    )
    thin = diluted(pure, 10, "carrier", "rose-10", "Rose 10 %", {})
    assert thin.sheet.limits == {"9": 20.0, "5A": 100.0}
    assert high_pct(thin, {"106-24-1"}) == pytest.approx(2.0)
    assert (thin.dilution_of, thin.dilution_pct) == (pure.ref, 10)
    # ten times the dilution brings the same: both use the same part of the sheet
    of_pure = check(*scent(1.0, (pure, 100)), base(), "whipped_soap", "EU", TODAY)
    of_thin = check(*scent(10.0, (thin, 100)), base(), "whipped_soap", "EU", TODAY)
    used = [next(row.used_share for row in made.rows if row.kind == "sheets") for made in (of_pure, of_thin)]
    assert used[0] == pytest.approx(used[1])


def test_what_the_carrier_holds_is_added_and_unknown_keeps_the_declaration_open():
    pure = replace(oil("Rose", sheet(c9=2.0)), declaration=declared())
    thin = diluted(pure, 20, "orange waste", "r", "r", {"5989-27-5": 50.0})
    assert thin.declaration.rows["5989-27-5"].pct == pytest.approx(40.0)
    assert diluted(pure, 20, "?", "r", "r", None).declaration.complete is False
    assert diluted(pure, 20, "?", "r", "r", {}).declaration.complete is True


@pytest.mark.parametrize("pct", [0, 100, -1])
def test_a_dilution_is_thinner_than_the_oil_and_not_nothing(pct):
    with pytest.raises(OutOfRange):
        diluted(demo_oils()[0], pct, "c", "i", "n", {})


# --- age and peroxides ----------------------------------------------------------------------------


def limonene(**more):
    inside = {"5989-27-5": Constituent(name="limonene", low=80, typical=90, high=95)}
    return replace(oil("Orange", sheet(c9=50.0)), constituents=inside, **more)


@pytest.mark.parametrize(
    ("more", "level", "text"),
    [
        ({"peroxide_mmol_l": 24.0, "peroxide_on": date(2026, 10, 1)}, "stop", "24 mmol/l"),
        ({"peroxide_mmol_l": 20.0, "peroxide_on": date(2026, 10, 1)}, "stop", "20 mmol/l"),
        ({"peroxide_mmol_l": 4.0, "peroxide_on": date(2025, 1, 1)}, "caution", "is of 2025-01-01"),
        ({"peroxide_mmol_l": 4.0}, "caution", "has no date"),
        ({"opened": date(2025, 6, 1), "peroxide_mmol_l": 4.0, "peroxide_on": TODAY}, "caution", "was opened"),
    ],
)
def test_an_oil_that_oxidises_is_watched(more, level, text):
    # Annex III entry 88 of Reg. (EC) 1223/2009: limonene below 20 mmol/l of peroxides
    found = list(aged("Orange", limonene(**more), TODAY))
    assert [(finding.level, text in finding.text) for finding in found] == [(level, True)]


def test_a_fresh_measured_oil_has_nothing_to_say():
    fresh = limonene(peroxide_mmol_l=4.0, peroxide_on=date(2026, 10, 1), opened=date(2026, 10, 1))
    assert not list(aged("Orange", fresh, TODAY))
    assert not list(unmeasured({"Orange": fresh}))


def test_an_unmeasured_quick_oil_is_a_caution_and_a_slow_one_a_note():
    slow = oil("Linalool oil", sheet(c9=50.0), {"78-70-6": 40.0})
    found = list(unmeasured({"Orange": limonene(), "Slow": slow}))
    assert [(finding.level, finding.text.split(" on file for ")[1].split(";")[0]) for finding in found] == [
        ("caution", "Orange"),
        ("note", "Slow"),
    ]
    assert quick(limonene())
    assert not quick(slow)


# --- judged again ---------------------------------------------------------------------------------


def test_reasons_to_judge_again():
    old = oil("A", sheet(50, c9=4.0), lot="L-1", expiry=date(2026, 10, 1))
    new = replace(old, lot="L-2", sheet=sheet(51, c9=3.0), declaration=declared())
    told = [
        reason.text
        for reason in since({"a": old}, {"a": new}, date(2026, 4, 1), TODAY, "body_butter", ["EU"])
    ]
    for word in (
        "lot L-2 in place of lot L-1",
        "a sheet of the 51st amendment",
        "another declaration",
        "Lot L-1 of A ends on 2026-10-01",
        "placed from 2026-08-01",
        "From 2026-05-01 the law has another figure for Hexyl salicylate",
    ):
        assert any(word in text for text in told), (word, told)
    assert since({"a": old}, {"a": old}, TODAY, TODAY, "body_butter", ["EU"]) == ()


def test_days_ahead():
    ending = oil("A", sheet(c9=4.0), lot="L", expiry=date(2027, 3, 1))
    told = [reason.text for reason in ahead({"a": ending}, TODAY, date(2028, 12, 31), "whipped_soap", ["EU"])]
    assert told[0] == "Lot L of A ends on 2027-03-01."
    assert "EU: names on the label of a jar sold until 2028-07-31 follow another list." in told


# --- the base -------------------------------------------------------------------------------------


def test_the_preservative_of_the_base_counts_in():
    preserved = base(actives={"benzyl alcohol": 0.8, "phenoxyethanol": 0.7})
    assert in_base(preserved)["100-51-6"] == 0.8
    made = check(*scent(1.0, (oil("A", sheet(c9=40.0)), 100)), preserved, "whipped_soap", "EU", TODAY)
    assert "Benzyl alcohol" in made.unchecked
    assert in_base(base(actives={"benzyl alcohol": 0.8}, contents={"100-51-6": 0.9}))["100-51-6"] == 0.9

"""Oils as they are typed: a sheet, a declaration, a new lot, a dilution, a table."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.facts import library
from blendlab.forms.dilutions import add_dilution
from blendlab.forms.oil_tables import put_table, read_table
from blendlab.forms.oil_texts import in_order, typed_of
from blendlab.forms.oils import add_oil, preview
from blendlab.shelf import Declared

LINALOOL, LIMONENE = "78-70-6", "5989-27-5"
SHEET = {
    "name": "Quiet garden", "supplier": "Reed & Co", "amendment": "51", "issued": "2026-01-15",
    "document": "S-9", "limits": "9 8,5\n5A: 3.2 %", "declared": f"{LINALOOL} 12,5\n{LIMONENE} <0.01",
    "unit": "%", "complete": True, "flash": "71", "density": "0,89", "vanillin": "0", "price": "80",
    "received": "2026-02-01", "top": "20", "middle": "50", "base": "30",
}  # fmt: skip


def test_an_oil_is_what_its_sheet_says(folder, shelf):
    made, answers, told = add_oil(folder, shelf, SHEET)
    assert answers == []
    assert told == ["Declared allergens, line 2: counted as 0.01 %."]
    assert (made.sheet.amendment, made.sheet.issued, made.sheet.limits) == (
        51,
        date(2026, 1, 15),
        {"9": 8.5, "5A": 3.2},
    )
    assert made.declaration.rows == {LINALOOL: Declared(pct=12.5), LIMONENE: Declared(pct=0.01, below=True)}
    assert made.declaration.complete
    assert (made.flash_c, made.density_g_ml, made.vanillin_pct, made.price_per_g) == (71, 0.89, 0, 0.08)
    assert made.notes == (0.2, 0.5, 0.3)
    assert made.received == date(2026, 2, 1)
    assert store.read_shelf(folder).today("oil", "quiet-garden") == made


def test_a_figure_of_three_decimals_comes_back_as_it_was_typed(folder, shelf):
    typed = {**SHEET, "price": "12.3450", "peroxide": "1.2340", "measured": "2026-02-01"}
    made, answers, _ = add_oil(folder, shelf, typed)
    assert answers == []
    again, answers, _ = add_oil(folder, store.read_shelf(folder), typed_of(made))
    assert answers == []
    assert (again.price_per_g, again.peroxide_mmol_l) == pytest.approx((0.012345, 1.234))


def test_ppm_is_a_ten_thousandth_of_a_percent(folder, shelf):
    made, _, _ = add_oil(folder, shelf, {**SHEET, "declared": f"{LINALOOL} 1250", "unit": "ppm"})
    assert made.declaration.rows[LINALOOL].pct == pytest.approx(0.125)


def test_an_oil_without_its_papers_says_what_that_means(folder, shelf):
    made, answers, told = add_oil(folder, shelf, {"name": "Found in a drawer"})
    assert answers == []
    assert (made.sheet, made.declaration, made.notes, made.flash_c) == (None, None, None, None)
    assert told == [
        "Without its sheet it counts as a stop for sale.",
        "Without its declaration the names on the label stay open.",
    ]


@pytest.mark.parametrize(
    ("change", "answer"),
    [
        ({"name": ""}, "A name is missing."),
        ({"name": "lavender"}, '"lavender" is on the shelf already'),
        ({"amendment": ""}, "The amendment of the sheet is missing; it stands on the sheet."),
        ({"amendment": "new"}, "Amendment of its sheet: "),
        ({"limits": "No. 77"}, "Highest percent by category: Line 1: "),
        ({"unit": ""}, "Say whether the declared figures are percent or ppm of the oil."),
        ({"declared": "linalool, much"}, "Declared allergens: Line 1: "),
        ({"base": "90"}, "The notes add up to 160 %; they must make 100 %."),
        ({"flash": "hot"}, "Flash point: "),
        ({"cas": "78-70-7"}, "CAS: "),
        ({"opened": "soon"}, "Opened: "),
    ],
)
def test_what_cannot_be_read_is_answered_and_nothing_is_kept(folder, shelf, change, answer):
    made, answers, _ = add_oil(folder, shelf, {**SHEET, **change})
    assert made is None
    assert len(answers) == 1
    assert answers[0].startswith(answer)
    assert [oil.id for oil in store.read_shelf(folder).of("oil")] == ["lavender"]


def test_the_library_gives_what_no_form_asks_for(folder, shelf):
    like = next(oil for oil in library.oils() if oil.constituents)
    made, answers, _ = add_oil(folder, shelf, {"name": "Mine", "library": like.library_id})
    assert answers == []
    assert (made.constituents, made.library_id, made.cas) == (like.constituents, like.library_id, like.cas)
    assert made.notes == like.notes
    assert made.sheet is None


def test_a_new_lot_is_a_new_revision_and_keeps_what_is_not_typed(folder, shelf):
    add_oil(folder, shelf, SHEET)
    shelf = store.read_shelf(folder)
    old = shelf.today("oil", "quiet-garden")
    store.save_item(folder, replace(old, inci="QUIET OIL"), store.open_item(folder, "oil", old.id).digest)
    shelf = store.read_shelf(folder)
    typed = {**typed_of(shelf.today("oil", old.id)), "lot": "L-2", "received": "2026-06-01"}
    made, answers, _ = add_oil(folder, shelf, typed)
    assert answers == []
    assert (made.id, made.lot, made.inci, made.received) == (old.id, "L-2", "QUIET OIL", date(2026, 6, 1))
    assert (made.sheet, made.declaration, made.flash_c, made.notes) == (
        old.sheet,
        old.declaration,
        71,
        old.notes,
    )
    assert made.rev != old.rev
    made, answers, _ = add_oil(folder, shelf, {**typed, "name": ""})
    assert (made, answers) == (None, ["A name is missing."])


def test_an_oil_typed_again_from_its_form_is_the_same(folder, shelf):
    """Every oil of the shelf, through the text of the form and back: nothing is lost on the way."""
    add_oil(folder, shelf, SHEET)
    add_oil(folder, store.read_shelf(folder), {"name": "Bare"})
    shelf = store.read_shelf(folder)
    for oil in shelf.of("oil"):
        made, answers, _ = add_oil(folder, shelf, typed_of(oil))
        assert answers == []
        assert made.sheet == oil.sheet
        assert made.declaration == oil.declaration
        assert (made.vanillin_pct, made.flash_c, made.cas) == (oil.vanillin_pct, oil.flash_c, oil.cas)


def test_limits_stand_in_the_order_of_the_categories():
    assert list(in_order({"9": 1, "1": 2, "5A": 3})) == ["1", "5A", "9"]


def test_every_pasted_line_is_shown_with_what_was_read():
    lines = preview({"limits": "9 8,5\n1 N/A\nNo. 77", "declared": f"{LINALOOL} 12,5\nnothing", "unit": "%"})
    assert [(line.what, bool(line.problem)) for line in lines] == [
        ("limit", False), ("limit", False), ("limit", True), ("declared", False), ("declared", True),
    ]  # fmt: skip
    assert lines[0].read == "category 9: up to 8.5 % of the jar"
    assert lines[1].read.startswith("category 1; ")
    assert lines[3].read.startswith(f"{LINALOOL}: 12.5 % of the oil")
    assert [line.what for line in preview({"limits": "9 8,5", "declared": f"{LINALOOL} 1"})] == ["limit"]


# --- dilutions ----------------------------------------------------------------------------------------


def test_a_dilution_holds_its_part_of_everything(folder, shelf):
    """10 % of an oil of 12.5 % linalool holds 1.25 %; its sheet allows ten times as much, at most 100 %."""
    pure, _, _ = add_oil(folder, shelf, SHEET)
    typed = {"pct": "10", "carrier": "light oil", "holds": "nothing"}
    made, answers, _ = add_dilution(folder, store.read_shelf(folder), pure, typed)
    assert answers == []
    assert made.name == "Quiet garden, 10 % in light oil"
    assert made.declaration.rows[LINALOOL].pct == pytest.approx(1.25)
    assert made.sheet.limits == {"9": 85.0, "5A": 32.0}
    assert (made.dilution_of, made.dilution_pct) == (pure.ref, 10)


def test_a_carrier_brings_what_it_holds(folder, shelf):
    pure, _, _ = add_oil(folder, shelf, SHEET)
    typed = {
        "pct": "10",
        "carrier": "scented oil",
        "holds": "listed",
        "declared": f"{LINALOOL} 1",
        "unit": "%",
    }
    made, _, _ = add_dilution(folder, store.read_shelf(folder), pure, typed)
    assert made.declaration.rows[LINALOOL].pct == pytest.approx(1.25 + 0.9)
    typed = {"pct": "20", "carrier": "some oil", "holds": "unknown"}
    made, _, _ = add_dilution(folder, store.read_shelf(folder), pure, typed)
    assert not made.declaration.complete


@pytest.mark.parametrize(
    ("typed", "count"),
    [
        ({}, 3),
        ({"pct": "100", "carrier": "oil", "holds": "nothing"}, 1),
        ({"pct": "10", "carrier": "oil", "holds": "listed", "declared": "linalool, much"}, 2),
    ],
)
def test_a_dilution_that_is_not_whole_is_answered(folder, shelf, typed, count):
    made, answers, _ = add_dilution(folder, shelf, shelf.today("oil", "lavender"), typed)
    assert made is None
    assert len(answers) == count


# --- many oils ----------------------------------------------------------------------------------------


def test_an_oil_that_cannot_be_put_does_not_hide_the_others(folder, shelf):
    table = read_table(shelf, "Name,CAS\nRose,\nFern,\n", "%", "new81", False, False, "EUR")
    assert [oil.name for oil in table.oils] == ["Rose", "Fern"]
    store.save_item(folder, table.oils[0], None)
    done, wrong = put_table(folder, shelf, table)
    assert done == 1
    assert wrong[0].startswith("Rose: ")
    assert {oil.name for oil in store.read_shelf(folder).of("oil")} >= {"Rose", "Fern"}

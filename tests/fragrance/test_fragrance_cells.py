"""Cells of a table of oils and findings of a scent, each at its edges."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from blendlab.facts import library
from blendlab.facts.read import figure
from blendlab.fragrance import findings, freshness, volatility
from blendlab.fragrance.check import check
from blendlab.fragrance.closest import closest
from blendlab.fragrance.entry import figure_cell, limit_cell, read_declaration
from blendlab.fragrance.oil_table import read_oils
from blendlab.fragrance.result import Head
from tests.fragrance.kit import TODAY, base, oil, scent, sheet

NEAR = pytest.approx
SOAP = ("whipped_soap", "EU", TODAY)


def read(head: str, row: str, taken=None, update: bool = False):
    return read_oils(f"Name;{head}\n{row}", "%", "new81", False, taken or {}, update)


# --- cells ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("head", "low", "high", "past"),
    [
        ("Flash point", -50, 400, 1), ("Density", 0.5, 2, 0.1), ("Vanillin", 0, 100, 0.5),
        ("Ethyl vanillin", 0, 100, 0.5), ("Price per g", 0, 10_000, 0.5), ("Peroxide value", 0, 10_000, 0.5),
        ("Price per kg", 0, 10_000_000, 0.5),
    ],
)  # fmt: skip
def test_a_figure_of_an_oil_lies_within_its_bounds(head, low, high, past):
    for value, fine in ((low, True), (high, True), (low - past, False), (high + past, False)):
        assert bool(read(head, f"A;{value}").oils) is fine


@pytest.mark.parametrize(("amendment", "fine"), [(0, False), (1, True), (51, True), (99, True), (100, False)])
def test_an_amendment_is_a_number_from_1_to_99(amendment, fine):
    assert bool(read("9;Amendment", f"A;4;{amendment}").oils) is fine


@pytest.mark.parametrize(
    ("notes", "told"),
    [
        ((20, 30, 50), (0.2, 0.3, 0.5)),
        ((20, 30, 50.5), (20 / 100.5, 30 / 100.5, 50.5 / 100.5)),
        ((20, 30, 49.5), (20 / 99.5, 30 / 99.5, 49.5 / 99.5)),
        ((20, 30, 50.51), None),
        ((20, 30, 49.49), None),
        ((100.4, 0, 0), None),
        ((-0.4, 50, 50.4), None),
        ((100, "", ""), (1.0, 0.0, 0.0)),
        (("", 60, 40), (0.0, 0.6, 0.4)),
    ],
)
def test_notes_make_a_hundred_to_half_a_percent(notes, told):
    made = read("Top;Middle;Base", "A;" + ";".join(map(str, notes)))
    if told is None:
        assert not made.oils
    else:
        assert made.oils[0].notes == NEAR(told)
    assert read("Top;Middle;Base", "A;;;").oils[0].notes is None


def test_a_price_per_kilogram_is_a_thousandth_per_gram():
    assert read("Price per kg", "A;250").oils[0].price_per_g == NEAR(0.25)
    both = read("Price per kg;Price per g", "A;250;0.3").oils[0]
    assert both.price_per_g == NEAR(0.3)
    assert read("Price per kg", "A;").oils[0].price_per_g is None


def test_oils_get_an_id_that_is_free():
    taken = {"other": "rose", "another": "rose-2"}
    assert read("Lot", "Rose;1", taken).oils[0].id == "rose-3"
    assert read("Lot", "Fern;1", taken).oils[0].id == "fern"
    assert not read("Lot", "Other;1", taken).oils
    assert read("Lot", "Other;1", taken, update=True).oils[0].id == "rose"
    twice = read_oils("Name;Lot\nA;1\na;2\nA;3", "%", "new81", False, {})
    assert [len(row.problems) for row in twice.rows] == [0, 1, 1]
    assert "row 2 already" in twice.rows[2].problems[0]


@pytest.mark.parametrize(
    ("cell", "value"),
    [("0", 0.0), ("100", 100.0), ("0.05", 0.05), ("100.1", None), ("-0.1", None), ("x", None)],
)
def test_a_percent_lies_between_nothing_and_all(cell, value):
    got, problem = figure_cell(cell)
    assert got == value
    assert bool(problem) is (value is None)


@pytest.mark.parametrize(
    ("cell", "value", "note"),
    [("N/A", None, "not for this use"), ("-", None, "not for this use"), ("4,5 %", 4.5, ""),
     ("no restriction", 100.0, "no restr"), (">100", 100.0, "no restr"), (">=100", 100.0, "no restr")],
)  # fmt: skip
def test_a_cell_beside_a_category(cell, value, note):
    made = limit_cell(3, "raw", "9", cell)
    assert (made.value, made.number, made.key, made.problem) == (value, 3, "9", "")
    assert made.note.startswith(note)


def test_a_declaration_in_ppm_and_percent():
    ppm = read_declaration("Linalool 12500\nCoumarin 1000000\nCitral <500", "ppm")
    assert [line.value for line in ppm.lines] == [NEAR(1.25), NEAR(100), NEAR(0.05)]
    assert [line.below for line in ppm.lines] == [False, False, True]
    assert read_declaration("Coumarin 1000001", "ppm").problems
    assert read_declaration("Coumarin 5 %", "ppm").problems
    assert read_declaration("Coumarin 5 ppm").problems
    assert [line.number for line in read_declaration("\nLinalool 1\n\nCoumarin 2").lines] == [2, 4]


# --- findings ------------------------------------------------------------------------------------------


def told(load: float, *parts, of=None, kind=SOAP):
    made = check(*scent(load, *parts), of or base(), *kind)
    return {finding.id: finding for finding in made.findings}


def test_a_load_is_near_its_ceiling_from_its_share_on():
    a = oil("A", sheet(c9=1.0), flash_c=60.0)
    near = figure("fragrance", "near.share").value
    assert "load.near" not in told(near - 0.001, (a, 100))
    assert "load.near" in told(near, (a, 100))
    assert "load.near" in told(1.0, (a, 100))
    over = told(1.01, (a, 100))["load.over"]
    assert over.act == {"scent.load_pct": 1.0}


def test_a_load_above_what_is_usual_is_told():
    a = oil("A", sheet(c9=50.0))
    usual = check(*scent(0.1, (a, 100)), base(), *SOAP).usual_pct
    assert "load.usual" not in told(usual, (a, 100))
    assert told(usual + 0.01, (a, 100))["load.usual"].act == {"scent.load_pct": usual}


def test_the_scent_of_a_base_counts_from_the_first_trace():
    a = oil("A", sheet(c9=4.0))
    perfumed = base(own_fragrance_pct=0.5, own_sheet=sheet(c9=2.0))
    text = told(2.0, (a, 100), of=perfumed)["base.own"].text
    assert "up to 2.49 % of the jar" in text  # 98 parts of 0.5 % and 2 of scent
    assert told(1.0, (a, 100), of=base(own_fragrance_pct=0.5))["base.sheet"].level == "stop"
    assert told(1.0, (a, 100), of=base(own_fragrance_pct=None))["base.unknown"].level == "caution"
    assert not {key for key in told(1.0, (a, 100)) if key.startswith("base")}


@pytest.mark.parametrize(
    ("first", "second", "level", "dim"),
    [(60.0, 70.0, "note", ""), (60.0, None, "caution", "B"), (None, None, "caution", "A, B")],
)
def test_flash_points_set_the_gate(first, second, level, dim):
    a, b = oil("A", sheet(c9=4.0), flash_c=first), oil("B", sheet(c9=4.0), flash_c=second)
    heat = told(1.0, (a, 50), (b, 50))["heat"]
    assert heat.level == level
    assert ("No flash point known" in heat.text) is bool(dim)
    assert f"for {dim}." in heat.text or not dim
    assert len(heat.heats) == (1 if first is None else 2)


def test_what_is_left_without_an_oil_is_told_below_what_is_usual():
    assert findings._relaxed("A", None, 1.0) == ""
    assert findings._relaxed("A", 1.01, 1.0).endswith("room for any usual load.")
    assert findings._relaxed("A", 1.0, 1.0).endswith("could be 1.00 %.")
    assert findings._relaxed("A", 5.0, None).endswith("could be 5.00 %.")


def test_a_lot_is_soon_over_from_its_days_on():
    days = int(figure("fragrance", "lot.soon_days").value)
    for ahead, said in ((days, True), (days + 1, False), (0, True), (-1, False)):
        lot = oil("A", expiry=TODAY + timedelta(days=ahead))
        assert any(found.id == "soon.a" for found in freshness.aged("A", lot, TODAY)) is said


def test_an_open_bottle_is_old_after_its_months():
    most = figure("fragrance", "open.months_other").value
    days = most * 365.25 / 12
    for age, said in ((int(days), False), (int(days) + 1, True)):
        opened = oil("A", opened=TODAY - timedelta(days=age))
        assert any(found.id == "old.a" for found in freshness.aged("A", opened, TODAY)) is said
    came = oil("A", received=TODAY - timedelta(days=int(days) + 1))
    assert "came on" in next(iter(freshness.aged("A", came, TODAY))).text
    both = replace(came, opened=TODAY)
    assert not list(freshness.aged("A", both, TODAY))
    assert freshness.months(date(2026, 1, 1), date(2026, 1, 31)) == NEAR(30 / (365.25 / 12))


# --- the closest blend ---------------------------------------------------------------------------------


def test_scaling_keeps_shares_and_lowers_the_load_to_the_ceiling():
    """0.5 / 4 + 0.5 / 1 = 0.625 a percent of load: 1.6 % at most."""
    a, b = oil("A", sheet(c9=4.0)), oil("B", sheet(c9=1.0))
    found = closest(*scent(3.0, (a, 50), (b, 50)), base(), *SOAP)
    assert not found.fits
    scaled = next(proposal for proposal in found.proposals if proposal.way == "scale")
    assert scaled.scent.load_pct == 1.6
    assert (scaled.changes, scaled.largest_pct) == ((), 0.0)
    assert scaled.grams == {"A": NEAR(8.0), "B": NEAR(8.0)}
    for proposal in found.proposals:
        made = check(proposal.scent, [a, b], base(), *SOAP)
        assert made.ceiling_pct >= proposal.scent.load_pct - 1e-9
        moved = [change.pct for change in proposal.changes]
        assert proposal.largest_pct == max(moved, default=0.0)
        assert moved == sorted(moved, reverse=True)
    assert closest(*scent(1.6, (a, 50), (b, 50)), base(), *SOAP).fits
    assert not closest(*scent(1.61, (a, 50), (b, 50)), base(), *SOAP).fits


def test_nothing_is_proposed_where_nothing_can_be_sold():
    a = oil("A", sheet(c9=4.0))
    full = base(own_fragrance_pct=2.0, own_sheet=sheet(c9=2.0))
    assert closest(*scent(1.0, (a, 100)), full, *SOAP).proposals == ()
    almost = base(own_fragrance_pct=1.0, own_sheet=sheet(c9=2.0))
    (scaled, *_) = closest(*scent(3.0, (a, 100)), almost, *SOAP).proposals
    assert scaled.scent.load_pct == 2.0
    out = closest(*scent(1.0, (a, 50), (oil("None"), 50)), base(), *SOAP)
    assert set(out.left_out) == {"None"}


def test_rows_are_counted_by_what_was_read():
    a = oil("A", sheet(c9=4.0), {"97-53-0": 5.0, "91-64-5": 3.0, "5392-40-5": 4.0})
    for market in ("EU", "US"):
        made = check(*scent(1.0, (a, 100)), base(), "whipped_soap", market, TODAY)
        listed = [row for row in made.rows if row.kind in ("standard", "sum") and row.limit_pct is not None]
        assert listed
        assert made.counts.checked == sum(row.verified for row in listed)
        assert made.counts.unverified == sum(not row.verified for row in listed)
        assert made.counts.law == sum(row.kind == "law" for row in made.rows)


def test_a_row_that_is_over_is_said_in_its_own_words():
    def said(kind: str, used: float, limit: float | None) -> str:
        return findings._row_text(Head.of("Thing", kind, used, limit, True, "", "", "9", False))

    assert said("sheets", 2.0, 1.239) == (
        "Over the sheets: 2.00 % of the jar, all sheets together allow 1.23 %."
    )
    assert said("sum", 120.4, 100.0) == "Over a listed limit: Thing 120 % of their sum, 100 % listed."
    assert said("law", 0.01, 0.0) == "Thing may not be used at all; the scent brings 0.0100 % of the jar."
    assert said("standard", 0.5, 0.4) == "Over a listed limit: Thing 0.5000 % of the jar, 0.4000 % listed."
    # one that is hardly over is not told as the limit itself
    assert said("sheets", 1.2004, 1.2001).startswith("Over the sheets: 1.2004 % of the jar, all sheets")
    assert said("sheets", 1.2004, 1.2001).endswith("allow 1.2001 %.")
    assert said("sum", 100.3, 100.0).endswith("Thing 100.3 % of their sum, 100.0 % listed.")
    assert said("standard", 0.40002, 0.4).endswith("0.40002 % of the jar, 0.40000 % listed.")


def test_notes_may_be_nothing_and_all():
    for notes in ("0;0;100", "0;100;0", "100;0;0"):
        assert read("Top;Middle;Base", f"A;{notes}").oils[0].notes == tuple(
            int(part) / 100 for part in notes.split(";")
        )


def test_what_a_jar_smells_of_first_is_a_whole():
    a = library.oil("EO01")
    whiff = volatility.headspace([a], [1.0])
    assert sum(whiff.shares.values()) == NEAR(1)
    assert sum(whiff.notes.values()) == NEAR(1)
    for note, share in whiff.notes.items():
        named = {each.name: each.note for each in volatility.substances().values()}
        assert share == NEAR(sum(part for name, part in whiff.shares.items() if named[name] == note))

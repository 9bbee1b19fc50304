"""Sheets, rows, blends, labels and volatility on both sides of their edges, figures by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from math import inf

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.allergens import by_name
from blendlab.facts.limits import ENGINE_USE, Limit
from blendlab.fragrance import blend, heat, labels, review_dates, rounding, sheets, solver, volatility
from blendlab.fragrance.constraints import Constraint, photo_row
from blendlab.fragrance.headroom import rows as head_rows
from blendlab.fragrance.result import Head
from blendlab.fragrance.solver_rows import ROOM, laid, notes_of
from blendlab.fragrance.space import space
from blendlab.recipe import OilShare, Scent
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

NEAR = pytest.approx
BLOCK = Limit("Thing", "standard", ("1-1",), 0.5, ENGINE_USE["block"], "", "a list", "2026-01-01")


def blended(*parts, load: float = 1.0, of=None, **more):
    wish, oils = scent(load, *parts)
    return blend.lay_out(replace(wish, **more), oils, of or base(), "whipped_soap", TODAY)


# --- sheets --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "months", "ends"),
    [
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2023, 1, 31), 1, date(2023, 2, 28)),
        (date(2023, 11, 30), 1, date(2023, 12, 30)),
        (date(2023, 12, 1), 0, date(2023, 12, 1)),
        (date(2023, 12, 31), 12, date(2024, 12, 31)),
        (date(2023, 10, 31), 13, date(2024, 11, 30)),
        (date(2023, 6, 30), 9, date(2024, 3, 30)),
    ],
)
def test_months_later_ends_with_the_month(day, months, ends):
    assert sheets.compliance_dates(day, months, months) == (sheets.Compliance(ends, ends))


@pytest.mark.parametrize(
    ("number", "word"),
    [(1, "1st"), (2, "2nd"), (3, "3rd"), (4, "4th"), (10, "10th"), (11, "11th"), (12, "12th"), (13, "13th"),
     (20, "20th"), (21, "21st"), (22, "22nd"), (43, "43rd"), (50, "50th"), (111, "111th"), (101, "101st")],
)  # fmt: skip
def test_amendments_are_counted_in_words(number, word):
    assert sheets.ordinal(number) == word


@pytest.mark.parametrize(("value", "state"), [(19.9, "use"), (20, "stop"), (20.1, "stop"), (None, "caution")])
def test_a_peroxide_value_lies_below_its_limit(value, state):
    assert sheets.peroxide_state(value, 20) == state


@pytest.mark.parametrize(
    ("amendment", "received", "state"),
    [
        (51, None, "use"),
        (52, None, "use"),
        (50, sheets.due(), "caution"),
        (50, date.fromordinal(sheets.due().toordinal() + 1), "stop"),
        (50, None, "stop"),
        (49, sheets.due(), "caution"),
        (48, sheets.due(), "stop"),
        (None, sheets.due(), "stop"),
    ],
)
def test_a_sheet_by_its_amendment(amendment, received, state):
    assert sheets.amendment_state(amendment, received, 51) == state


def test_a_lot_counts_on_its_last_day():
    lot = oil("Lot", sheet(c9=4.0), expiry=TODAY)
    assert sheets.sheet_state(lot, TODAY, "9").limit_pct == 4.0
    assert sheets.sheet_state(lot, date(2026, 11, 26), "9").word == "lot ended"
    assert sheets.sheet_state(lot, TODAY, "5A").word == "not for this use"
    assert sheets.sheet_state(lot, TODAY).state == "use"


# --- rows ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("used", "limit", "share", "free", "over"),
    [(0.2, 0.5, 0.4, 0.6, False), (0.5, 0.5, 1.0, 0.0, False), (0.6, 0.5, 1.2, -0.2, True),
     (0.0, 0.0, 0.0, 1.0, False), (0.1, 0.0, inf, -inf, True), (0.1, None, None, None, False),
     (0.3, 0.6, 0.5, 0.5, False)],
)  # fmt: skip
def test_a_row_says_how_much_is_used_and_free(used, limit, share, free, over):
    head = Head.of("row", "standard", used, limit, True, "", "", "9", False)
    assert (head.used_share, head.free_share) == (
        share if share is None else NEAR(share), free if free is None else NEAR(free)
    )  # fmt: skip
    assert head.over is over


def test_a_constraint_adds_what_is_known():
    """0.6 x 10 + 0.4 x 5 = 8 % of the scent; 2 % of it and 0.1 of the base are 0.26; (0.5 - 0.1) / 8 %."""
    row = Constraint("row", "standard", (10.0, 5.0), 0.1, 0.5, BLOCK)
    assert row.in_scent([0.6, 0.4]) == NEAR(8.0)
    assert row.used([0.6, 0.4], 2.0) == NEAR(0.26)
    assert row.most([0.6, 0.4]) == NEAR(5.0)
    assert row.limiting
    assert replace(row, contents_pct=(10.0, None)).in_scent([0.6, 0.4]) == NEAR(6.0)
    free = replace(row, pct=None)
    assert (free.limiting, free.most([0.6, 0.4])) == (False, 100.0)


def test_phototoxic_uses_are_summed_by_their_limits():
    """0.2 of 0.4 % and 0.3 of 1 %: 50 + 30; the base brings 0.1 of 0.4 %: 25."""
    rules = [replace(BLOCK, name="first", cas=("1-1",), pct=0.4), replace(BLOCK, cas=("2-2",), pct=1.0),
             replace(BLOCK, cas=("3-3",), pct=None)]  # fmt: skip
    oils = [oil("A", inside={"1-1": 50.0}), oil("B", inside={"2-2": 60.0})]
    row = photo_row(oils, {"1-1": 0.1, "9-9": 1.0}, rules)
    assert row.base_pct == NEAR(25)
    assert row.contents_pct == (NEAR(100 * 50 / 0.4), NEAR(100 * 60))
    assert row.used([0.4, 0.5], 1.0) == NEAR(25 + 50 + 30)
    assert (row.pct, row.kind) == (100.0, "sum")


def test_rows_of_a_scent_carry_the_day_of_their_sheet():
    dated, silent = oil("Dated", sheet(c9=4.0)), oil("Silent", replace(sheet(c9=5.0), issued=None))
    found = {row.name: row for row in head_rows(blended((dated, 60), (silent, 40)), "EU")}
    assert (found["Dated"].checked_on, found["Silent"].checked_on) == ("2026-01-01", "")
    assert (found["Dated"].used_pct, found["Silent"].used_pct) == (NEAR(0.6), NEAR(0.4))
    assert found["All sheets together"].limit_pct == NEAR(1 / (0.6 / 4 + 0.4 / 5))
    free = oil("Free", sheet(c9=100.0))
    assert "Free" not in {row.name for row in head_rows(blended((free, 100)), "EU")}


# --- blends --------------------------------------------------------------------------------------------


def test_the_same_lot_twice_is_one_share():
    a, b = oil("A", sheet(c9=4.0)), oil("B", sheet(c9=2.0))
    made = blended((a, 30), (b, 50), (a, 20))
    assert made.by_name() == {"A": NEAR(0.5), "B": NEAR(0.5)}
    assert made.grams(2.0) == [NEAR(1.0), NEAR(1.0)]
    assert made.route_a() == (NEAR(4.0), "B")
    assert made.route_b() == (NEAR(1 / (0.5 / 4 + 0.5 / 2)), "B")
    assert made.without(1).by_name() == {"A": NEAR(1.0), "B": 0.0}
    twins = blended((a, 50), (replace(a, id="other"), 50))
    assert twins.names == ("A", "A (2)")


@pytest.mark.parametrize(
    ("last", "fine"), [(50.0049, True), (50.0051, False), (49.9951, True), (49.9949, False)]
)
def test_shares_make_a_hundred_to_five_thousandths(last, fine):
    a, b = oil("A", sheet(c9=4.0)), oil("B", sheet(c9=2.0))
    if fine:
        assert len(blended((a, 50), (b, last)).oils) == 2
    else:
        with pytest.raises(blend.SharesOff):
            blended((a, 50), (b, last))


def test_shares_and_oils_are_as_many():
    a = oil("A", sheet(c9=4.0))
    with pytest.raises(OutOfRange):
        blend.lay_out(Scent(load_pct=1.0, oils=(OilShare(oil=a.ref, share_pct=100),)), [], base(),
                      "whipped_soap", TODAY)  # fmt: skip
    whole = blended((a, 100), (oil("B", sheet(c9=2.0)), 0))
    assert whole.shares == (1.0,)


def test_what_the_base_uses_of_its_own_sheet():
    """0.5 % of a sheet of 2 % is a quarter; three quarters of 4 % are left."""
    a = oil("A", sheet(c9=4.0))
    perfumed = base(own_fragrance_pct=0.5, own_sheet=sheet(c9=2.0))
    made = blended((a, 100), of=perfumed)
    assert made.used == NEAR(0.25)
    assert made.most() == (NEAR(3.0), "All sheets together")
    assert blended((a, 100), of=base(own_fragrance_pct=0.5)).most() == (None, blend.BASE)
    assert blended((a, 100), of=base(own_fragrance_pct=None)).used == 0.0
    assert blended((a, 100), of=base(own_fragrance_pct=0.5, own_sheet=sheet(c9=0.0))).used is None


def test_rows_of_a_search():
    a, b, none = oil("A", sheet(c9=4.0)), oil("B", sheet(c9=2.0)), oil("None")
    half = laid(blended((a, 50), (b, 30), (none, 20), load=2.0), {"a": 0.5}).space
    assert (half.low.tolist(), half.low_names) == ([NEAR(0.01), 0.0, 0.0], {0: "At least 0.5 % A"})
    made = laid(blended((a, 50), (b, 30), (none, 20), load=2.0), {"a": 25.0, "b": 0.0})
    where = made.space
    assert where.rows[0].tolist() == [0.25, 0.5, 0.0]
    assert where.most[0] == 1.0
    assert where.high.tolist() == [2.0, 2.0, 0.0]
    assert where.low.tolist() == [NEAR(0.5), 0.0, 0.0]
    assert where.low_names == {0: "At least 25 % A"}
    assert made.tight(1.0).most[0] == NEAR(0.9995)
    assert NEAR(0.9995) == ROOM
    perfumed = base(own_fragrance_pct=0.5, own_sheet=sheet(c9=2.0))
    assert laid(blended((a, 100), of=perfumed), {}).space.most[0] == NEAR(0.75)
    full = base(own_fragrance_pct=3.0, own_sheet=sheet(c9=2.0))
    assert laid(blended((a, 100), of=full), {}).space.most[0] == 0.0


def test_pulls_of_oils_away_from_a_wish():
    a = oil("A", notes=(0.5, 0.3, 0.2))
    made = blended((a, 60), (oil("B"), 40))
    pulls = notes_of(made, {"a": 2.0}, [0.2, 0.3, 0.5])
    assert pulls.tolist() == [NEAR([0.6, 0.0, -0.6]), NEAR([-0.2, -0.3, -0.5])]


# --- solver and rounding -------------------------------------------------------------------------------


def test_the_shortest_way_into_a_space():
    """Onto x + y = 2 the nearest point is (1, 1); what holds already stays; what cannot hold is no blend."""
    assert solver._least_distance(np.array([[1.0, 1.0]]), np.array([2.0])) == NEAR([1.0, 1.0])
    assert solver._least_distance(np.array([[1.0, 1.0]]), np.array([0.0])).tolist() == [0.0, 0.0]
    both = np.array([[1.0, 0.0], [0.0, 1.0]])
    assert solver._least_distance(both, np.array([3.0, -1.0])) == NEAR([3.0, 0.0])
    with pytest.raises(solver.NoBlend):
        solver._least_distance(np.array([[1.0, 0.0], [-1.0, 0.0]]), np.array([1.0, 1.0]))
    with pytest.raises(solver.NoBlend):
        solver._least_distance(np.array([[0.0, 0.0]]), np.array([1.0]))
    assert solver._least_distance(np.array([[0.0, 0.0]]), np.array([-1.0])).tolist() == [0.0, 0.0]


def test_a_load_comes_down_to_the_tightest_row():
    where = space(2.0, 2, {"a": ([1.0, 0.0], 0.3), "b": ([0.5, 0.5], 0.8)}, high={1: 0.9})
    assert solver.scale_down(where, [0.5, 0.5]) == NEAR(0.6)
    assert solver.scale_down(where, [0.1, 1.9]) == NEAR(2.0 * 0.9 / 1.9)
    assert solver.scale_down(where, [0.2, 0.2]) == NEAR(0.4)
    assert solver.scale_down(where, [0.0, 0.5]) == NEAR(0.5)
    held = space(2.0, 2, {}, low={0: 0.5})
    assert solver.scale_down(held, [0.5, 1.5]) == NEAR(2.0)
    assert solver.scale_down(held, [0.49, 1.51]) == 0.0
    assert solver.highest_total(where) == NEAR(1.2)
    assert solver.highest_total(space(1.0, 1, {})) == inf


def test_grams_of_restricted_oils_go_down_and_others_to_the_nearest():
    shares, strains = [Decimal("33.33"), Decimal("66.67")], np.array([1.0, 0.0])
    grams = rounding.weighed(Decimal("1.5"), shares, strains, 1000.0, 0.1)
    assert list(map(float, grams)) == [4.9, 10.0]
    where = space(1.5, 2, {"a": ([1.0, 0.0], 0.5)})
    assert rounding.strain(where).tolist() == [2.0, 0.0]
    assert rounding.holds(where, [Decimal("5.0"), Decimal("10.0")], 1000.0)
    assert not rounding.holds(where, [Decimal("5.01"), Decimal("10.0")], 1000.0)
    assert rounding.rounded(where, np.zeros(2), 1000, 0.1) is None
    low = space(2.0, 2, {}, low={0: 0.5})
    assert list(map(float, rounding.least_shares(low))) == [25.0, 0.0]


# --- days, labels, vapour ------------------------------------------------------------------------------


def test_reasons_to_judge_again_count_from_the_day_after():
    end = date(2026, 10, 1)
    lot = {"a": oil("A", lot="7", expiry=end)}

    def said(since: date, on: date) -> bool:
        found = review_dates.since(lot, {}, since, on, "whipped_soap", [])
        return any("Lot 7" in reason.text for reason in found)

    assert said(date(2026, 9, 30), end)
    assert not said(end, date(2026, 12, 1))
    assert not said(date(2026, 9, 1), date(2026, 9, 30))
    two = {**lot, "b": oil("B", lot="8", expiry=date(2026, 9, 15))}
    dated = review_dates.since(two, {}, date(2026, 9, 1), end, "whipped_soap", [])
    assert [reason.on for reason in dated] == sorted(reason.on for reason in dated)
    soon = review_dates.ahead(two, date(2026, 9, 14), end, "whipped_soap", [])
    assert [reason.on for reason in soon if "Lot" in reason.text] == [date(2026, 9, 15), end]
    assert not [
        r for r in review_dates.ahead(lot, end, date(2027, 1, 1), "whipped_soap", []) if "Lot" in r.text
    ]


@pytest.mark.parametrize("pct", [0.5, 40.0])
def test_what_an_oil_holds_of_a_name(pct):
    name = by_name()["Linalool"]
    cas = min(name.cas)
    assert labels.held_pct(oil("Inside", inside={cas: pct}), name) == NEAR(pct)
    assert labels.held_pct(oil("Silent"), name) is None
    whole = declared(**{f"n{cas.replace('-', '_')}": pct})
    assert labels.held_pct(oil("Said", declaration=whole), name) == NEAR(pct)
    assert labels.held_pct(oil("None", declaration=declared(n1_1=1.0)), name) == 0.0


@pytest.mark.parametrize(("rinse", "most"), [("rinse_off", 0.01), ("leave_on", 0.001)])
def test_a_name_drops_out_at_its_threshold(rinse, most):
    """Reg. (EC) 1223/2009 Annex III: above 0.01 % rinsed off, 0.001 % left on; 5 % of the scent."""
    name = by_name()["Linalool"]
    parts = [(oil("A", inside={min(name.cas): 10.0}), 0.5), (oil("B", declaration=declared(n1_1=1.0)), 0.5)]
    told = labels._name(name, parts, 0.0, 1.0, rinse)
    assert (told.pct, told.threshold_pct, told.drops_at_pct) == (NEAR(0.05), most, NEAR(most * 20))
    held = labels._name(name, parts, most / 2, 1.0, rinse)
    assert (held.pct, held.drops_at_pct) == (NEAR(0.05 + most / 2), NEAR(most * 10))
    assert labels._name(name, parts, most * 1.01, 1.0, rinse).drops_at_pct is None
    assert labels._name(name, parts, most, 1.0, rinse).drops_at_pct == NEAR(0.0, abs=1e-9)
    assert labels._name(name, [], 0.0, 1.0, rinse).drops_at_pct is None


def test_vapour_doubles_with_ten_degrees():
    assert volatility.warmed(np.array([80.0]), 25.0).tolist() == [80.0]
    assert volatility.warmed(np.array([80.0]), 15.0).tolist() == [40.0]
    assert volatility.warmed(np.array([80.0]), 45.0).tolist() == [320.0]


def test_a_film_of_two_substances_by_its_exact_solution():
    """t(q) = sum n (1 - exp(-a q)) / a + N q: the hours of a chosen q, and back."""
    n0, a, matrix = np.array([0.02, 0.01]), np.array([5e-6, 1e-6]), 0.1
    for q in (1e3, 1e5, 4e6):
        hours = float(np.sum(n0 * (1 - np.exp(-a * q)) / a) + matrix * q) / 3600
        assert volatility.remaining(n0, a, matrix, hours) == NEAR(np.exp(-a * q), rel=1e-6)
    neat = float(np.sum(n0 / a)) / 3600
    assert volatility.remaining(n0, a, 0.0, neat).tolist() == [0.0, 0.0]
    assert volatility.remaining(n0, a, 0.0, 0.99 * neat).max() > 0
    assert volatility.remaining(n0, a, matrix, 0.0).tolist() == NEAR([1.0, 1.0])


def test_moles_of_a_film():
    """5 mg/cm2 are 50 g/m2: at 2 % of scent 1 g in parts of 60 and 40 %, 49 g of matrix."""
    moles, matrix = volatility.film(np.array([0.6, 0.4]), np.array([150.0, 200.0]), 5.0, 0.02, 350.0)
    assert moles == NEAR([0.6 / 150, 0.4 / 200])
    assert matrix == NEAR(49 / 350)
    assert volatility.film(np.array([1.0]), np.array([100.0]), 5.0, 1.0, 350.0)[1] == 0.0
    assert volatility.rates(np.array([100.0]), np.array([0.002]), 300.0) == NEAR([0.2 / (8.314462618 * 300)])


def test_flash_points_at_their_edges():
    assert heat.flash_gate([50.0, 40.0, None], [0.5, 0.0, 0.5]) == 50.0
    assert heat.flash_gate([50.0, 40.0], [0.5, 0.5]) == 40.0
    assert heat.flash_gate([None], [1.0]) is None
    assert heat.gate_c([], 45, 10) == 45
    assert heat.gate_c([54.9], 45, 10) == NEAR(44.9)
    assert (heat.may_add(44.9, 44.9), heat.may_add(45.0, 44.9)) == (True, False)
    for wrong in ([], [-230.56], [50.0, -231.0]):
        with pytest.raises(OutOfRange):
            heat.flash_by_index(wrong, [1.0] * len(wrong), [1.0] * len(wrong))
    a, b = oil("A", flash_c=50.0, density_g_ml=0.9), oil("B", flash_c=70.0, density_g_ml=0.9)
    low, high = heat.flash_of_blend([a, b], [0.5, 0.5])
    index = [10 ** (-6.1188 + 2414 / (celsius + 230.56)) for celsius in (50, 70)]
    assert low == high == NEAR(2414 / (np.log10(sum(index) / 2) + 6.1188) - 230.56)
    assert heat.flash_of_blend([a], [1.0]) is None
    assert heat.flash_of_blend([a, replace(b, flash_c=None)], [0.5, 0.5]) is None
    assert heat.flash_of_blend([a, replace(b, density_g_ml=None)], [0.5, 0.5]) is None

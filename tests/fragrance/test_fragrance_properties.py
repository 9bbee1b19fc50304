"""Properties of the routes over random blends."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blendlab.facts.standards import standards
from blendlab.fragrance import check, declare
from blendlab.fragrance.load import fraction_rule, min_rule, substance_rule
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

SUBSTANCES = {"citral": "5392-40-5", "citronellal": "106-23-0", "cinnamyl alcohol": "104-54-1",
              "estragole": "140-67-0", "p-ethylbenzaldehyde": "4748-78-1"}  # fmt: skip
LIMITS = {
    cas: next(limit.pct for limit in standards("5A") if cas in limit.cas) for cas in SUBSTANCES.values()
}


def complete_oils(rng: random.Random, count: int):
    """Oils with known contents and a sheet worked out from them: min over substances of limit / content."""
    made = []
    for position in range(count):
        inside = {cas: round(rng.uniform(0.01, 4), 3) for cas in LIMITS if rng.random() < 0.6}
        limit = min((100 * LIMITS[cas] / pct for cas, pct in inside.items()), default=100.0)
        made.append(oil(f"Oil {position}", sheet(c5A=min(100.0, limit)), inside))
    return made


def shares_of(rng: random.Random, count: int) -> list[float]:
    raw = [rng.random() + 0.05 for _ in range(count)]
    return [100 * part / sum(raw) for part in raw]


def test_the_check_itself_keeps_every_listed_limit_at_its_ceiling():
    rng = random.Random(7)
    for _ in range(60):
        oils = complete_oils(rng, 4)
        parts = list(zip(oils, shares_of(rng, 4), strict=True))
        ceiling = check(*scent(0.1, *parts), base(), "body_butter", "EU", TODAY).ceiling_pct
        at_ceiling = check(*scent(ceiling, *parts), base(), "body_butter", "EU", TODAY)
        assert not [row.name for row in at_ceiling.rows if row.over and row.binds]
        assert not [finding for finding in at_ceiling.findings if finding.id == "load.over"]


positive = st.floats(0.01, 100, allow_nan=False)
blends = st.lists(st.tuples(positive, st.floats(0.001, 100)), min_size=1, max_size=8)


@given(blends)
def test_b_never_exceeds_a(parts):
    whole = sum(share for share, _ in parts)
    shares = {str(at): share / whole for at, (share, _) in enumerate(parts)}
    limits = {str(at): limit for at, (_, limit) in enumerate(parts)}
    assert fraction_rule(shares, limits).pct <= min_rule(shares, limits).pct * (1 + 1e-12)


@given(blends, st.integers(0, 7))
def test_halving_a_limit_never_raises_a_load(parts, which):
    whole = sum(share for share, _ in parts)
    shares = {str(at): share / whole for at, (share, _) in enumerate(parts)}
    limits = {str(at): limit for at, (_, limit) in enumerate(parts)}
    halved = {**limits, str(which % len(parts)): limits[str(which % len(parts))] / 2}
    for rule in (min_rule, fraction_rule):
        assert rule(shares, halved).pct <= rule(shares, limits).pct


@given(st.floats(0.001, 100), st.floats(1e-6, 10), st.floats(0, 10))
def test_substance_rule_meets_its_limit_exactly(inside, limit, brought):
    load = substance_rule(inside, limit, brought)
    assert 0 <= load <= 100
    if brought <= limit:
        assert load * inside / 100 + brought <= limit * (1 + 1e-9) + 1e-15


@pytest.fixture(scope="module")
def blend():
    rng = random.Random(3)
    return complete_oils(rng, 5), shares_of(rng, 5)


def test_an_unused_oil_changes_nothing(blend):
    oils, shares = blend
    parts = list(zip(oils, shares, strict=True))
    plain = check(*scent(1.0, *parts), base(), "body_butter", "EU", TODAY)
    more = check(*scent(1.0, *parts, (oil("Unused"), 0.0)), base(), "body_butter", "EU", TODAY)
    assert more == plain


def test_order_of_oils_changes_nothing(blend):
    oils, shares = blend
    parts = list(zip(oils, shares, strict=True))
    made = check(*scent(1.0, *parts), base(), "body_butter", "EU", TODAY)
    other = check(*scent(1.0, *parts[::-1]), base(), "body_butter", "EU", TODAY)
    assert other.ceiling_pct == pytest.approx(made.ceiling_pct, rel=1e-12)
    assert {row.name: round(row.used_pct, 9) for row in made.rows} == {
        row.name: round(row.used_pct, 9) for row in other.rows
    }
    assert {w.oil: round(w.ceiling_pct, 9) for w in made.without} == {
        w.oil: round(w.ceiling_pct, 9) for w in other.without
    }


@settings(max_examples=40)
@given(st.floats(0.01, 20), st.floats(0.01, 20))
def test_names_only_grow_with_the_load(first, second):
    low, high = sorted((first, second))
    from blendlab.facts.library import demo_oils

    oils = demo_oils()[:5]
    parts = [(each, 20) for each in oils]
    few = declare(*scent(low, *parts), "whipped_soap", "EU", TODAY)
    many = declare(*scent(high, *parts), "whipped_soap", "EU", TODAY)
    assert {each.name for each in few.names} <= {each.name for each in many.names}


def test_no_mark_on_an_oil_lifts_a_limit():
    """An analysis, a declaration or a tick of completeness never raises the ceiling of the sheets."""
    inside = {"5392-40-5": 3.0}
    plain = oil("A", sheet(c5A=2.0), inside)
    marked = oil(
        "A",
        sheet(c5A=2.0),
        inside,
        analysed=True,
        declaration=declared(n5392_40_5=0.1),
        plant_part="peel_distilled",
    )
    ceilings = [
        check(*scent(1.0, (alone, 100)), base(), "body_butter", "EU", TODAY).ceiling_pct
        for alone in (plain, marked)
    ]
    assert ceilings == [2.0, 2.0]


def test_an_oil_that_is_not_in_it_needs_no_sheet():
    for rule in (min_rule, fraction_rule):
        assert rule({"A": 1.0, "B": 0.0}, {"A": 2.0}).pct == 2.0
        assert rule({"A": 1.0, "B": 0.1}, {"A": 2.0}).governing == "B"

"""The closest blend with wishes: second routes, conflicts, rounding, and what a ceiling of hers costs."""

from __future__ import annotations

import itertools
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from scipy.optimize import linprog

from blendlab.facts.allergens import by_name
from blendlab.facts.library import demo_oils
from blendlab.facts.library import oils as library
from blendlab.fragrance import check, closest, declare
from blendlab.fragrance.blend import lay_out
from blendlab.fragrance.conflict import demands, irreducible
from blendlab.fragrance.rounding import holds, rounded, strain
from blendlab.fragrance.solver import nearest_few, nearest_notes
from blendlab.fragrance.solver_rows import laid
from blendlab.fragrance.space import space
from blendlab.recipe import Caps, OilShare, Scent
from blendlab.shelf import Declaration, Declared
from tests.fragrance.kit import TODAY, base, declared, oil, scent, sheet

WHITE = base(product="body_butter")
BUTTER = ("body_butter", "EU", TODAY)


def trio(**more):
    full, known = sheet(c5A=100.0), {"vanillin_pct": 0.0}
    said = declared(n106_24_1=4.0)
    parts = [
        oil("Top", full, {"106-24-1": 4.0}, notes=(1.0, 0, 0), price_per_g=0.1, declaration=said, **known),
        oil("Heart", full, notes=(0, 1.0, 0), price_per_g=0.2, declaration=declared(), **known),
        oil("Ground", sheet(c5A=4.0), notes=(0, 0, 1.0), price_per_g=0.6, vanillin_pct=8.0,
            declaration=declared(n121_33_5=8.0)),
    ]  # fmt: skip
    shares = tuple(
        OilShare(oil=part.ref, share_pct=pct) for part, pct in zip(parts, (40, 30, 30), strict=True)
    )
    return Scent(load_pct=1.0, oils=shares, **more), parts


def found(wish, oils, **more):
    return closest(wish, oils, WHITE, *BUTTER, **more)


def judged(proposal, oils):
    by_id = {known.id: known for known in oils}
    return check(proposal.scent, [by_id[share.oil.id] for share in proposal.scent.oils], WHITE, *BUTTER)


@pytest.mark.parametrize("by", ["weight", "odour"])
def test_wished_notes_are_met_where_nothing_forbids_them(by):
    wish, oils = trio(wish=(0.5, 0.3, 0.2), wish_by=by, strengths={"ground": 4.0})
    proposal = next(each for each in found(wish, oils).proposals if each.way == "notes")
    got = (proposal.notes.top, proposal.notes.middle, proposal.notes.base)
    assert got == pytest.approx((0.5, 0.3, 0.2), abs=2e-4)
    assert proposal.scent.load_pct == 1.0
    check_ = judged(proposal, oils)
    weighed = check_.odour if by == "odour" else check_.notes
    assert (weighed.top, weighed.middle, weighed.base) == pytest.approx((0.5, 0.3, 0.2), abs=2e-4)


@pytest.mark.parametrize(("top", "alone"), [(0.4, True), (0.4047, True), (0.4053, False), (0.3947, False)])
def test_a_blend_within_half_a_point_of_its_wish_is_left_alone(top, alone):
    """Its notes are 40, 30 and 30 %."""
    wish, oils = trio(wish=(top, 0.3, 0.7 - top))
    assert found(wish, oils).fits is alone


@pytest.mark.parametrize("seed", range(6))
def test_nearest_notes_agree_with_every_corner(seed):
    # second route: the optimum of a linear programme lies on a corner; all corners are listed
    rng = np.random.default_rng(seed)
    n, total = 4, 1.0
    inside = rng.dirichlet(np.ones(n))
    rows = {f"r{k}": (list(c := rng.uniform(0, 1, n)), float(c @ inside) * 1.02) for k in range(3)}
    where = space(total, n, rows)
    notes, target = rng.dirichlet(np.ones(3), n), rng.dirichlet(np.ones(3))
    best = nearest_notes(where, notes, target).objective
    d = 3
    A = np.vstack([where.rows, -np.eye(n), notes.T - target[:, None], -(notes.T - target[:, None])])
    miss = np.vstack([np.zeros((len(rows) + n, d)), -np.eye(d), -np.eye(d)])
    A, b = np.hstack([A, miss]), np.concatenate([where.most, np.zeros(n + 2 * d)])
    whole = np.concatenate([np.ones(n), np.zeros(d)])
    corners = []
    for active in itertools.combinations(range(len(A)), n + d - 1):
        system = np.vstack([A[list(active)], whole])
        if abs(np.linalg.det(system)) > 1e-9:
            x = np.linalg.solve(system, np.append(b[list(active)], total))
            if np.all(A @ x <= b + 1e-9):
                corners.append(x[n:].sum())
    assert best == pytest.approx(min(corners), abs=1e-8)


def test_ceilings_of_hers_are_kept_by_every_proposal():
    caps = Caps(contents={"Geraniol": 0.008}, vanillin_pct=0.015, cost=0.25)
    wish, oils = trio(caps=caps)
    answer = found(wish, oils)
    assert answer.proposals
    for proposal in answer.proposals:
        rows = {row.name: row for row in judged(proposal, oils).rows if row.kind == "house"}
        assert len(rows) == 3
        assert not [name for name, row in rows.items() if row.over]
        grams = {
            share.oil.id: proposal.scent.load_pct * share.share_pct / 100 for share in proposal.scent.oils
        }
        assert grams["top"] * 0.04 <= 0.008 + 1e-9
        assert grams["ground"] * 0.08 <= 0.015 + 1e-9
        assert 0.1 * grams["top"] + 0.2 * grams["heart"] + 0.6 * grams["ground"] <= 0.25 + 1e-9


def test_staying_below_naming_keeps_the_name_off_the_label():
    wish, oils = trio(caps=Caps(unnamed=("Geraniol",)))
    before = declare(wish, oils, "body_butter", "EU", TODAY)
    assert "Geraniol" in [name.name for name in before.names]
    for proposal in found(wish, oils).proposals:
        inside = [next(each for each in oils if each.id == share.oil.id) for share in proposal.scent.oils]
        after = declare(proposal.scent, inside, "body_butter", "EU", TODAY)
        assert "Geraniol" not in [each.name for each in after.names]


def test_an_oil_that_cannot_say_is_not_used_to_stay_below_a_name():
    silent = oil("Silent", sheet(c5A=100.0), notes=(0.0, 1.0, 0.0))
    clear = oil("Clear", sheet(c5A=100.0), declaration=declared())
    made, oils = scent(1.0, (silent, 50), (clear, 50))
    wish = replace(made, caps=Caps(unnamed=("Geraniol",)))
    assert not found(wish, oils).fits
    for proposal in found(wish, oils).proposals:
        grams = {
            share.oil.id: proposal.scent.load_pct * share.share_pct / 100 for share in proposal.scent.oils
        }
        assert grams["silent"] <= by_name()["Geraniol"].leave_on + 1e-9


def test_least_shares_are_kept():
    wish, oils = trio(wish=(0.7, 0.3, 0.0), caps=Caps(least={"ground": 12.0}))
    for proposal in found(wish, oils).proposals:
        share = next(each.share_pct for each in proposal.scent.oils if each.oil.id == "ground")
        assert share >= 12.0 - 0.011


def test_what_a_ceiling_of_hers_costs_is_confirmed_by_solving_again():
    wish, oils = trio(caps=Caps(contents={"Geraniol": 0.008}))
    few = next(each for each in found(wish, oils).proposals if each.way == "few")
    cost = few.relaxed[0]
    assert (cost.name, cost.what) == ("Your ceiling for Geraniol", "largest change")
    wider = replace(wish, caps=Caps(contents={"Geraniol": cost.tried}))
    again = next(each for each in found(wider, oils).proposals if each.way == "few")
    assert again.largest_pct == pytest.approx(cost.after, abs=0.1)
    assert cost.after < cost.before == pytest.approx(few.largest_pct, abs=0.1)


def test_a_limit_of_law_or_of_a_sheet_is_never_offered_for_relaxing():
    rose = next(known for known in library() if known.library_id == "EO20")
    tight = replace(rose, sheet=sheet(c5A=1.0), declaration=declared())
    plain = oil("Plain", sheet(c5A=100.0), declaration=declared())
    made, oils = scent(2.0, (tight, 60), (plain, 40))
    wish = replace(made, caps=Caps(contents={"Geraniol": 0.3}, least={tight.id: 50.0}))
    answer = found(wish, oils)
    own = {row.name for row in lay_out(wish, oils, WHITE, "body_butter", TODAY).house}
    assert {each.name for proposal in answer.proposals for each in proposal.relaxed} <= own
    assert set(answer.needs or {}) <= own | {"At least 50 % Rose otto"}
    limits = laid(lay_out(wish, oils, WHITE, "body_butter", TODAY), {})
    name = next(name for name in limits.space.names if name not in limits.own)
    assert limits.loosened(name, 99.0, 1.0).most == pytest.approx(limits.tight(1.0).most)


# --- conflicts ------------------------------------------------------------------------------------


def feasible(asked, keep) -> bool:
    """Second route: whether some rows alone leave a point (the interior point code of HiGHS)."""
    factors, most = asked.factors[keep], asked.most[keep]
    answer = linprog(
        np.zeros(factors.shape[1]), A_ub=factors, b_ub=most, bounds=(0, None), method="highs-ipm"
    )
    return answer.status == 0


@pytest.mark.parametrize("seed", range(10))
def test_a_conflict_cannot_hold_and_any_row_less_can(seed):
    rng = np.random.default_rng(seed)
    n = 5
    rows = {f"r{k}": (list(rng.uniform(0.1, 1, n)), float(rng.uniform(0.2, 1.4))) for k in range(12)}
    where = space(2.0, n, rows, low={0: 0.4, 1: 0.2}, high={2: 0.0})
    asked = demands(where)
    names = irreducible(where)
    if not names:
        assert feasible(asked, list(range(len(asked.names))))
        return
    keep = [asked.names.index(name) for name in names]
    assert not feasible(asked, keep)
    for row in keep:
        assert feasible(asked, [other for other in keep if other != row])


def test_a_conflict_is_told_in_the_words_of_its_rows():
    wish, oils = trio(caps=Caps(vanillin_pct=0.01, least={"ground": 40.0}))
    answer = found(wish, oils)
    assert set(answer.conflict) == {"Your ceiling for vanillin", "At least 40 % Ground", "the load"}
    # 40 % of 1 % load holds 8 % vanillin: 0.032 % of the product
    assert answer.needs["Your ceiling for vanillin"] == pytest.approx(0.032, rel=1e-6)


def test_no_conflict_where_a_blend_fits():
    wish, oils = trio(wish=(0.5, 0.3, 0.2))
    assert found(wish, oils).conflict == ()


# --- rounding -------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize(("batch", "step"), [(500.0, 0.01), (137.0, 0.1), (2400.0, 1.0)])
def test_rounded_blends_keep_every_row_in_decimals_and_restricted_oils_never_rise(seed, batch, step):
    rng = np.random.default_rng(seed)
    n, load = 8, 1.5
    inside = rng.dirichlet(np.ones(n)) * load
    rows = {}
    for k in range(25):
        c = rng.uniform(0, 0.05, n) * (rng.random(n) < 0.5)
        c[0] = 0.0
        rows[f"r{k}"] = (list(c), float(c @ inside) * rng.uniform(1.0, 1.2) + 1e-9)
    where = space(load, n, rows)
    answer = nearest_few(replace(where, most=where.most * (1 - 5e-4)), rng.dirichlet(np.ones(n)) * load)
    made = rounded(where, answer.grams, batch, step)
    assert made is not None
    assert sum(Decimal(repr(share)) for share in made.shares_pct) == 100
    grams = [Decimal(repr(gram)) for gram in made.grams]
    assert holds(where, grams, batch)
    restricted = strain(where) > 0
    for found_g, share, weighed, bound in zip(
        answer.grams, made.shares_pct, made.grams, restricted, strict=True
    ):
        typed = batch * made.load_pct * share / 10_000
        assert round(weighed / step, 6) == round(weighed / step)
        if bound:
            assert weighed <= typed + 1e-9
            assert weighed <= batch * float(found_g) / 100 + 1e-6  # a microgram of solver dust
        else:
            assert abs(weighed - typed) <= step / 2 + 1e-9


def test_grams_of_a_scaled_blend_are_those_of_its_shares():
    wish, oils = trio(caps=Caps(vanillin_pct=0.01))
    scaled = next(
        proposal
        for proposal in found(wish, oils, batch_g=2000.0, step_g=0.01).proposals
        if proposal.way == "scale"
    )
    for share, part in zip(scaled.scent.oils, oils, strict=True):
        exact = 2000 * scaled.scent.load_pct * share.share_pct / 10_000
        assert exact - 0.01 < scaled.grams[part.name] <= exact + 0.005


def test_shares_that_need_not_move_stay_to_the_hundredth():
    wish, oils = trio(caps=Caps(contents={"Geraniol": 0.008}))
    few = next(proposal for proposal in found(wish, oils).proposals if proposal.way == "few")
    assert {change.oil for change in few.changes} < {"Top", "Heart", "Ground"}


def test_a_proposal_on_a_coarse_scale_is_still_within_every_limit():
    oils = [known for known in demo_oils() if known.id in ("lavender", "petitgrain", "fresh-citrus-accord")]
    shares = tuple(
        OilShare(oil=part.ref, share_pct=pct) for part, pct in zip(oils, (30, 30, 40), strict=True)
    )
    answer = found(Scent(load_pct=14.0, oils=shares), oils, batch_g=240.0, step_g=0.1)
    assert answer.proposals
    for proposal in answer.proposals:
        whole = sum(proposal.grams.values())
        weighed = Scent(
            load_pct=100 * whole / 240.0,
            oils=tuple(
                OilShare(oil=each.ref, share_pct=100 * proposal.grams[each.name] / whole) for each in oils
            ),
        )
        made = check(weighed, oils, WHITE, *BUTTER)
        assert made.load_pct <= made.ceiling_pct * (1 + 1e-9)


def test_vanillin_unknown_is_counted_as_all_that_is_not_known():
    dim = oil("Dim", sheet(c5A=100.0), {"106-24-1": 60.0}, notes=(0, 1, 0), declaration=Declaration(
        names="new81", issued=None, rows={"106-24-1": Declared(pct=60.0)}, complete=True))  # fmt: skip
    clear = oil("Clear", sheet(c5A=100.0), vanillin_pct=0.0, declaration=declared())
    made, oils = scent(1.0, (dim, 50), (clear, 50))
    answer = found(replace(made, caps=Caps(vanillin_pct=0.1)), oils)
    for proposal in answer.proposals:
        grams = {
            share.oil.id: proposal.scent.load_pct * share.share_pct / 100 for share in proposal.scent.oils
        }
        assert grams["dim"] * 0.4 <= 0.1 + 1e-9


def test_an_oil_without_a_price_is_not_used_to_stay_below_a_cost():
    priced = oil("Priced", sheet(c5A=100.0), price_per_g=0.1)
    made, oils = scent(1.0, (priced, 60), (oil("Unpriced", sheet(c5A=100.0)), 40))
    answer = found(replace(made, caps=Caps(cost=0.3)), oils)
    assert answer.proposals
    for proposal in answer.proposals:
        shares = {share.oil.id: share.share_pct for share in proposal.scent.oils}
        assert shares["unpriced"] * proposal.scent.load_pct <= 0.3


def test_nothing_is_rounded_out_of_nothing():
    assert rounded(space(1.0, 2, {}), np.zeros(2), 500, 0.01) is None


def test_what_a_ceiling_costs_the_notes_is_told_as_a_distance():
    wish, oils = trio(wish=(0.5, 0.3, 0.2), caps=Caps(vanillin_pct=0.008))
    proposal = next(each for each in found(wish, oils).proposals if each.way == "notes")
    (cost,) = proposal.relaxed
    # 0.008 % of vanillin are 10 % of Ground where 20 % are wished, and 11 % with a tenth more
    assert (cost.name, cost.what) == ("Your ceiling for vanillin", "distance to the wished notes")
    assert (cost.before, cost.after) == (pytest.approx(10.0, abs=0.02), pytest.approx(9.0, abs=0.02))

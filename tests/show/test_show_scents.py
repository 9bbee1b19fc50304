"""A scent on the bench: its load three ways, a proposal taken, notes, smell, what has changed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from blendlab.assess import assess
from blendlab.facts.demo import demo_shelf
from blendlab.recipe import OilShare, Ref, Scent
from blendlab.shelf import Shelf
from blendlab.show import scents

DAY = date(2026, 3, 7)


def shelf_with(**change) -> Shelf:
    """The demo shelf, every oil changed."""
    return Shelf(
        tuple(replace(item, **change) if item.kind == "oil" else item for item in demo_shelf().items)
    )


def judged(assessed, shelf=None, **change):
    scent = replace(assessed.design.scent, **change)
    unpinned = tuple(replace(share, oil=replace(share.oil, rev="")) for share in scent.oils)
    return assess(replace(assessed.design, scent=replace(scent, oils=unpinned)), shelf or demo_shelf(), DAY)


# --- the load -----------------------------------------------------------------------------------------


def test_a_load_is_said_of_the_product_and_to_the_rest(lagoon):
    """p % of all is 100 p / (100 - p) g to 100 g of everything else."""
    made = scents.load(judged(lagoon, load_pct=2.0))
    assert (made.pct, made.parts) == (2.0, pytest.approx(200 / 98))
    assert scents.pct_from("parts", 200 / 98, lagoon) == pytest.approx(2.0)
    assert scents.pct_from("pct", 1.3, lagoon) == 1.3
    made = scents.load(lagoon)
    assert made.jar_g == pytest.approx(lagoon.plan.net_g * made.grams / made.batch_g)
    assert made.jar_g < made.grams / lagoon.plan.jars  # what is lost in the bowl is in no jar


def test_a_jar_of_scent_costs_its_grams(lagoon):
    """Every oil at 0.10 a gram: a tenth of the grams of scent that the jar's part of the batch asks for."""
    priced = judged(lagoon, shelf_with(price_per_g=0.10))
    made = scents.load(priced)
    assert made.price == pytest.approx(0.10 * made.pct / 100 * made.batch_g / priced.plan.jars, rel=1e-6)
    assert scents.load(judged(lagoon, shelf_with(price_per_g=None))).price is None


def test_drops_are_told_only_where_every_density_is_known(lagoon):
    made = scents.load(judged(lagoon, shelf_with(density_g_ml=0.9)))
    fewest, most = made.drops
    assert 0 < fewest < most
    assert scents.load(judged(lagoon, shelf_with(density_g_ml=None))).drops is None
    assert scents.load(judged(lagoon, oils=())).drops is None


def test_nothing_is_worked_out_without_a_jar_and_a_base(bare):
    made = scents.load(bare)
    assert (made.grams, made.batch_g, made.jar_g, made.price) == (0, 0, 0, None)
    assert scents.pct_from("grams", 10, bare) == bare.design.scent.load_pct
    assert scents.oils(bare) == []
    assert scents.closest(bare, "EU") is None
    assert scents.as_checked(bare, "EU", bare.design.scent) is None
    assert scents.smell(bare, "rinse_off") is None


# --- a proposal ---------------------------------------------------------------------------------------


def test_a_proposal_keeps_within_its_own_check(line):
    """Asked for more than the ceiling: each proposal keeps to the ceiling that its own check gives it."""
    (rose,) = (assessed for assessed in line if assessed.ceiling_pct not in (None, 100.0))
    much = judged(rose, load_pct=min(99.0, rose.ceiling_pct + 10))
    market = next(iter(much.scents))
    found = scents.closest(much, market)
    assert not found.fits
    assert found.proposals
    for proposal in found.proposals:
        told = scents.as_checked(much, market, proposal.scent)
        assert proposal.scent.load_pct <= told.ceiling_pct + 1e-9
    assert scents.closest(judged(rose, oils=(_share("gone", 100),)), market) is None


def test_a_proposal_is_taken_by_share_and_load():
    mine = Scent(load_pct=2, oils=(_share("a", 60), _share("b", 40)))
    proposed = Scent(load_pct=1, oils=(_share("a", 100),))
    assert scents.taken(mine, proposed) == {
        "scent.oils.0.share_pct": 100, "scent.oils.1.share_pct": 0, "scent.load_pct": 1,
    }  # fmt: skip


def test_loads_of_tones_follow_a_proposal_in_proportion():
    """The most scented tone had 4 %, the proposal is 1 %: everything becomes a quarter."""
    mine = Scent(load_pct=2, oils=(_share("a", 100),), tone_loads={"deep": 4.0, "pale": 1.0})
    made = scents.taken(mine, Scent(load_pct=1, oils=(_share("a", 100),)))
    assert made["scent.load_pct"] == 0.5
    assert made["scent.tone_loads.deep"] == 1.0
    assert made["scent.tone_loads.pale"] == 0.25
    none = scents.taken(Scent(load_pct=0), Scent(load_pct=1))
    assert none == {"scent.load_pct": 1}


def _share(item: str, pct: float) -> OilShare:
    return OilShare(oil=Ref(kind="oil", id=item), share_pct=pct)


# --- notes and smell ----------------------------------------------------------------------------------


def test_notes_are_those_of_the_oils(lagoon):
    assert sum(scents.present_notes(lagoon)) == pytest.approx(1)
    low = judged(lagoon, shelf_with(notes=(0.0, 0.25, 0.75)))
    assert scents.present_notes(low) == pytest.approx([0, 0.25, 0.75])
    assert scents.present_notes(judged(lagoon, shelf_with(notes=None))) == [0.3, 0.4, 0.3]
    assert scents.present_notes(judged(lagoon, oils=())) == [0.3, 0.4, 0.3]


def test_an_oil_is_named_by_its_strongest_note():
    oil = demo_shelf().today("oil", "lavender")
    assert scents.note_word(replace(oil, notes=(0.2, 0.5, 0.3))) == "middle"
    assert scents.note_word(replace(oil, notes=(0.2, 0.2, 0.6))) == "base"
    assert scents.note_word(replace(oil, notes=None)) == "?"


def test_the_opened_jar_smells_of_few_substances_and_fades_only_on_the_skin(lagoon):
    rinsed = scents.smell(lagoon, "rinse_off")
    assert 0 < len(rinsed.first) <= scents.SHOWN_SUBSTANCES
    assert list(rinsed.first.values()) == sorted(rinsed.first.values(), reverse=True)
    assert sum(rinsed.first.values()) <= 1 + 1e-9
    assert list(rinsed.fades) == []
    worn = scents.smell(lagoon, "leave_on")
    assert [hour for hour, _, _ in worn.fades] == list(scents.HOURS)
    left = [share for _, share, _ in worn.fades]
    assert left == sorted(left, reverse=True)
    assert left[0] == pytest.approx(1)
    assert list(scents.smell(judged(lagoon, load_pct=0.0), "leave_on").fades) == []
    assert scents.smell(judged(lagoon, oils=()), "leave_on") is None
    assert scents.smell(judged(lagoon, shelf_with(constituents={})), "leave_on") is None


# --- what has changed ---------------------------------------------------------------------------------


def test_a_new_lot_of_an_oil_asks_to_judge_again(lagoon):
    saved = DAY - timedelta(days=1)
    before = scents.changed(lagoon, demo_shelf(), saved)
    newer = scents.changed(lagoon, shelf_with(lot="L-NEW"), saved)
    assert len(newer) > len(before)

"""The whole design judged once: it never raises, and it finds what is unwise."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from blendlab.assess import assess, bench_findings, judgement
from blendlab.assess.scent_checks import check_scents, sums_up, with_additions
from blendlab.facts import demo
from blendlab.recipe import Addition, Batch, Design, Scent
from blendlab.shelf import Component, Ingredient, Shelf, resolve
from blendlab.tint import predict, see
from tests.valid_designs import SHELF, designs

DAY = date(2026, 11, 26)
UNHURRIED = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow, HealthCheck.data_too_large]}


def judged_in_full(design: Design) -> None:
    assessed = assess(design, SHELF, DAY)
    for finding in assessed.findings:
        assert finding.text
        assert "nan" not in finding.text.split()
    if assessed.plan is not None:
        assert assessed.plan.batch_g >= 0


@given(designs())
@settings(max_examples=75, **UNHURRIED)
def test_no_valid_design_raises(design):
    judged_in_full(design)


@pytest.mark.slow
@given(designs())
@settings(max_examples=10_000, **UNHURRIED)
def test_ten_thousand_valid_designs_raise_nothing(design):
    judged_in_full(design)


def shares(design: Design, *pcts: float, **batch: object) -> Design:
    tones = tuple(replace(tone, share_pct=pct) for tone, pct in zip(design.tones, pcts, strict=True))
    return replace(design, tones=tones, batch=replace(design.batch, **batch))


@pytest.fixture
def lagoon() -> Design:
    return demo.demo_designs(demo.demo_shelf())[0]


def told(design: Design) -> dict[str, str]:
    return {finding.id: finding.level for finding in assess(design, SHELF, DAY).findings}


def test_two_shares_of_nothing_are_a_stop_with_a_way_out(lagoon):
    empty = shares(lagoon, 0, 0)
    assessed = assess(empty, SHELF, DAY)
    (found,) = (finding for finding in assessed.findings if finding.id == "tone-sum")
    assert found.level == "stop"
    assert found.act == {"tones.0.share_pct": 50.0, "tones.1.share_pct": 50.0}
    assert assessed.plan.lines == ()
    assert len(assessed.tones) == 2


def test_one_share_of_nothing_is_said(lagoon):
    found = told(shares(lagoon, 100, 0))
    assert found[f"tone-empty.{lagoon.tones[1].id}"] == "caution"


def test_of_two_tones_of_one_name_every_finding_says_which(lagoon):
    """The design keeps its names; what is judged of it tells them apart, and so does every sentence."""
    empty = shares(lagoon, 100, 0)
    alike = replace(empty, tones=tuple(replace(tone, name="White") for tone in empty.tones))
    assessed = assess(alike, SHELF, DAY)
    assert [judged.tone.name for judged in assessed.tones] == ["White", "White 2"]
    (found,) = (finding for finding in assessed.findings if finding.id.startswith("tone-empty"))
    assert found.text.startswith("White 2 has no share of the jar")
    assert {tone.name for tone in assessed.design.tones} == {"White"}


@pytest.mark.parametrize(("pct", "jars"), [(0.02, 24), (0.05, 6), (0.001, 1)])
def test_a_tone_too_small_to_weigh_is_a_stop(lagoon, pct, jars):
    small = shares(lagoon, 100 - pct, pct, jars=jars)
    assert told(small)[f"tone-nothing-{lagoon.tones[1].id}"] == "stop"


def test_a_single_tone_of_nothing_is_a_stop(lagoon):
    single = replace(lagoon, tones=(replace(lagoon.tones[0], share_pct=0.0),), batch=Batch(jars=6))
    assert told(single)["tone-sum"] == "stop"


def test_a_trace_too_small_to_be_anything_is_no_line(lagoon):
    """Found by trying 10,000 random designs: rounding had put a gram on a line of 1e-311 %."""
    sugar = next(item for item in SHELF.of("ingredient") if item.function == "sugar")
    traced = Batch(jars=6, additions=(Addition(ingredient=sugar.ref, pct=2.2e-311),))
    plan = assess(replace(lagoon, batch=traced), SHELF, DAY).plan
    assert f"addition:{sugar.id}" not in {line.id for line in plan.lines}
    assert plan.smallest_g < 1e6


def test_a_scent_of_no_share_brings_no_vanillin_and_has_no_ceiling(lagoon):
    oils = tuple(replace(share, share_pct=0.0) for share in lagoon.scent.oils)
    assessed = assess(replace(lagoon, scent=replace(lagoon.scent, oils=oils)), SHELF, DAY)
    assert (assessed.vanillin_pct, assessed.ceiling_pct) == (0.0, None)


def test_what_a_later_version_wrote_of_a_thing_is_a_stop_and_not_silence(lagoon):
    oil = resolve(lagoon, SHELF).oils[0].oil
    later = replace(oil, format=9)
    shelf = Shelf((*(item for item in SHELF.items if item.ref.key != oil.ref.key), later))
    used = replace(lagoon.scent, oils=(replace(lagoon.scent.oils[0], oil=later.ref), *lagoon.scent.oils[1:]))
    found = assess(replace(lagoon, scent=used), shelf, DAY).findings
    assert [finding.text for finding in found if finding.id.startswith("later:")] == [
        f"{oil.name} was written by a newer version (format 9); "
        "what this one does not know of it is not checked."
    ]
    assert not [name for name in told(lagoon) if name.startswith("later:")]


def test_vanillin_is_the_most_of_all_markets_and_unknown_where_one_market_cannot_say(lagoon):
    made = assess(replace(lagoon, markets=("EU", "US")), SHELF, DAY)

    def of(eu, us):
        scents = {
            market: replace(check, vanillin=replace(check.vanillin, pct=pct))
            for (market, check), pct in zip(made.scents.items(), (eu, us), strict=True)
        }
        return replace(made, scents=scents).vanillin_pct

    assert (of(0.1, 0.2), of(0.2, 0.1)) == (0.2, 0.2)
    assert of(0.1, None) is None


def test_doses_are_weighed_on_the_finest_scale_by_the_grams_of_the_sheet(lagoon):
    made = assess(lagoon, SHELF, DAY)
    weighing = made.dose_weighing
    assert weighing.portion_g == {portion.tone: portion.grams for portion in made.plan.portions}
    assert weighing.step_g == min(scale.step_g for scale in made.resolved.scales)
    bare = replace(made, resolved=replace(made.resolved, scales=()))
    assert bare.dose_weighing.step_g == 0.01


def test_an_oil_of_no_share_does_not_make_a_jar_smell_of_food(lagoon):
    """The word of an oil counts beside a star top: what is not in the scent is not smelt."""
    (first, *rest) = lagoon.scent.oils
    oil = replace(resolve(lagoon, SHELF).oils[0].oil, name="Strawberry cake")
    shelf = Shelf((*(item for item in SHELF.items if item.ref.key != oil.ref.key), oil))
    starred = replace(lagoon, top=replace(lagoon.top, kind="star"))
    for pct, smelt in ((first.share_pct, True), (0.0, False)):
        oils = (replace(first, oil=oil.ref, share_pct=pct), *rest)
        assessed = assess(replace(starred, scent=replace(lagoon.scent, oils=oils)), shelf, DAY)
        assert ("in an oil" in assessed.food_signs) is smelt


def test_every_tone_is_shown_under_the_lamp_and_for_the_eye_of_the_view(lagoon):
    view = replace(lagoon.view, lamp="A", observer_deg=10, eye="deutan")
    for judged in assess(replace(lagoon, view=view), SHELF, DAY).tones:
        for shown, R in (
            (judged.seen, judged.tint.R),
            (judged.weak, judged.spread.weak.R),
            (judged.strong, judged.spread.strong.R),
            (judged.wall, judged.tint.R_wall),
        ):
            assert shown.hex == see(R, "A", 10, "deutan").hex


def test_shares_may_miss_a_hundred_by_dust_and_are_evened_out_by_the_button(lagoon):
    first, second = 50.0, 50.004
    assert "tone-sum" not in told(shares(lagoon, first, second))
    (found,) = (
        finding for finding in assess(shares(lagoon, 30, 60), SHELF, DAY).findings if finding.id == "tone-sum"
    )
    assert found.level == "caution"
    assert found.act == {"tones.0.share_pct": 33.33, "tones.1.share_pct": 66.67}
    assert "tone-sum" in told(shares(lagoon, 50, 50.006))


def test_loads_by_tone_are_a_stop_for_a_sheet_that_shares_one_scent_out(lagoon):
    ids = [tone.id for tone in lagoon.tones]
    for loads, stopped in (({ids[0]: 1.0, ids[1]: 0.5}, True), (dict.fromkeys(ids, 1.0), False)):
        scented = replace(lagoon, scent=replace(lagoon.scent, tone_loads=loads))
        assert (told(scented).get("scent-by-tone") == "stop") is stopped


def test_without_base_or_jar_nothing_is_drawn_but_it_is_said(lagoon):
    for kind in ("base", "jar"):
        gone = replace(getattr(lagoon, kind), id="gone", rev="0")
        assessed = assess(replace(lagoon, **{kind: gone}), SHELF, DAY)
        assert (assessed.resolved, assessed.tones, assessed.plan) == (None, (), None)
        assert f"missing:{gone.key}" in [finding.id for finding in assessed.findings]
        assert assessed.dose_weighing.portion_g == {}


def tone_shares(lagoon: Design, *pcts: float) -> list:
    """What the bench says of tones of these shares."""
    tones = tuple(replace(lagoon.tones[0], id=f"tone{at}", share_pct=pct) for at, pct in enumerate(pcts))
    found = bench_findings.of_bench(replace(lagoon, tones=tones), SHELF)
    return [finding for finding in found if finding.id.startswith("tone-")]


def test_shares_are_parts_of_any_sum_above_nothing(lagoon):
    (even,) = tone_shares(lagoon, 0.5, 0.5)
    assert (even.level, even.act) == ("caution", {"tones.0.share_pct": 50.0, "tones.1.share_pct": 50.0})
    (empty,) = tone_shares(lagoon, 0, 0, 0)
    assert empty.level == "stop"
    assert empty.act == {f"tones.{at}.share_pct": 33.33 for at in range(3)}
    (thirds,) = tone_shares(lagoon, 20, 20, 20)
    assert thirds.act == {f"tones.{at}.share_pct": 33.33 for at in range(3)}
    assert [finding.id for finding in tone_shares(lagoon, 99.5, 0.5)] == []
    assert [finding.id for finding in tone_shares(lagoon, 100, 0)] == ["tone-empty.tone1"]


@pytest.mark.parametrize(("last", "adds_up"), [(50.0048, True), (50.0052, False), (49.9952, True),
                                               (49.9948, False)])  # fmt: skip
def test_a_scent_may_miss_a_hundred_by_dust_only(lagoon, last, adds_up):
    (first, *_) = lagoon.scent.oils
    scent = Scent(oils=(replace(first, share_pct=50.0), replace(first, share_pct=last)))
    assert sums_up(scent) is adds_up
    told = list(bench_findings.of_bench(replace(lagoon, scent=scent), SHELF))
    assert ("scent-sum" in [finding.id for finding in told]) is not adds_up


def test_a_scent_without_oils_has_nothing_to_add_up(lagoon):
    assert sums_up(Scent())
    assert not sums_up(Scent(oils=(replace(lagoon.scent.oils[0], share_pct=60.0),)))


def test_additions_bring_their_highest_bounds_beside_the_base(lagoon):
    """2 % of 40 % at most and 0.5 % of 10 % beside 0.3 % of the base: 0.3 + 0.8 + 0.05 = 1.15 %."""
    resolved = resolve(lagoon, SHELF)
    plain = replace(resolved, base=replace(resolved.base, contents={"11-1": 0.3}))
    parts = (
        Component(inci="Acid", cas="11-1", low_pct=20, high_pct=40),
        Component(inci="Water", low_pct=60, high_pct=80),
    )
    weaker = replace(parts[0], low_pct=1, high_pct=10)
    other = Component(inci="Balm", cas="22-2", low_pct=90, high_pct=100)
    first = Ingredient(id="first", name="First", function="other", components=parts)
    second = replace(first, id="second", components=(weaker, other))
    full = with_additions(replace(plain, additions=((first, 2.0), (second, 0.5))))
    assert full.contents == {"11-1": pytest.approx(1.15), "22-2": pytest.approx(0.5)}
    assert with_additions(replace(plain, additions=())) is plain.base


def test_portions_are_told_apart_only_where_their_scent_differs(lagoon):
    ids = [tone.id for tone in lagoon.tones]
    resolved = resolve(lagoon, SHELF)
    assert check_scents(resolved, DAY).portions == {}
    loads = {ids[0]: 0.4, ids[1]: 1.2}
    scented = replace(lagoon, scent=replace(lagoon.scent, tone_loads=loads))
    made = check_scents(resolve(scented, SHELF), DAY)
    for market in lagoon.markets:
        by_tone = made.portions[market]
        assert {tone: check.load_pct for tone, check in by_tone.items()} == loads
        assert made.scents[market] is by_tone[ids[1]]


def test_findings_are_counted_by_level(lagoon):
    made = assess(shares(lagoon, 0, 0), SHELF, DAY)
    levels = [finding.level for finding in made.findings]
    assert levels.count("stop") >= 1
    assert [made.count(level) for level in ("stop", "caution", "note")] == [
        levels.count("stop"), levels.count("caution"), levels.count("note")
    ]  # fmt: skip


def test_a_jar_without_scent_does_not_brown(lagoon):
    bare = replace(lagoon, scent=Scent(), weeks=26)
    made = assess(bare, SHELF, DAY)
    plain = predict(made.resolved, vanillin_pct=0.0)
    assert all(np.allclose(judged.tint.R, plain[judged.tone.id].R) for judged in made.tones)


def test_a_buyer_sees_the_tones_by_daylight(lagoon):
    made = assess(replace(lagoon, view=replace(lagoon.view, lamp="A")), SHELF, DAY)
    seen = judgement._resembles(made.resolved, made.tones)
    assert seen.labs == tuple(tuple(see(judged.tint.R).lab.tolist()) for judged in made.tones)
    assert (seen.names, seen.top) == ((lagoon.name,), lagoon.top.kind)


def test_a_base_of_another_product_is_a_stop(lagoon):
    assert "base-kind" not in told(lagoon)
    butter = replace(lagoon, product="body_butter")
    found = {finding.id: finding for finding in bench_findings.of_bench(butter, SHELF)}
    assert found["base-kind"].level == "stop"
    assert found["base-kind"].text.endswith("is a base for whipped soap; this is body butter.")
    gone = replace(butter, base=replace(lagoon.base, id="gone", rev="0"))
    assert "base-kind" not in {finding.id for finding in bench_findings.of_bench(gone, SHELF)}


def test_a_scent_is_evened_out_to_a_hundred_where_there_is_anything(lagoon):
    first = lagoon.scent.oils[0]

    def act(*pcts: float) -> dict | None:
        scent = Scent(oils=tuple(replace(first, share_pct=pct) for pct in pcts))
        found = bench_findings.of_bench(replace(lagoon, scent=scent), SHELF)
        return next(finding.act for finding in found if finding.id == "scent-sum")

    assert act(30, 90) == {"scent.oils.0.share_pct": 25.0, "scent.oils.1.share_pct": 75.0}
    assert act(0, 0) is None

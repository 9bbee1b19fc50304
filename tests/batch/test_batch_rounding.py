"""Every step from percents to rounded grams on a batch small enough to be worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from blendlab.batch import rounding, sheet_lines
from blendlab.batch.dusting import dusting, pigment_grams, pigment_pct
from blendlab.batch.line_wishes import Draft, draft
from blendlab.batch.rounding import Settled
from blendlab.errors import OutOfRange, UnknownName
from blendlab.recipe import Addition, Batch, Dilution, Dust, Ref, Scent, Top
from blendlab.shelf import Scale, resolve
from tests.batch import plans_to_try as tries
from tests.batch.test_batch_accounts import shelf_with

NEAR = pytest.approx
GLYCERIN = Ref(kind="ingredient", id="glycerin")
BASE, KEPT, LAVENDER, PETITGRAIN, BLUE, YELLOW = range(6)
"""Where the lines of the design of two tones stand."""


def drafted(held=(1.0, 1.0), ceiling: float | None = None, **change) -> Draft:
    return draft(resolve(tries.design(**change), tries.shelf(held)), ceiling)


def through(*stocks: tuple[str, str, float], **more) -> Batch:
    made = (Dilution(of=Ref(kind=kind, id=id), pct=pct, carrier=GLYCERIN) for kind, id, pct in stocks)
    return Batch(jars=24, dilutions=tuple(made), **more)


def made(of: Draft, **change) -> Settled:
    """A batch of 1000 g: 600 g with 2 g of blue, 400 g with 0.1 g of yellow, 10 g of scent in all."""
    plain = Settled(
        exact=(985.9, 2.0, 6.0, 4.0, 2.0, 0.1),
        grams=(985.9, 2.0, 6.0, 4.0, 2.0, 0.1),
        scales=tuple(replace(tries.SCALES[2], step_g=step) for step in (1.0, 0.1, 0.01, 0.01, 0.01, 0.01)),
        takes=(592.0, 395.9),
        scents=(6.0, 4.0),
        tones=(600.0, 400.0),
        target=rounding.target_of(of),
        short=False,
    )
    return replace(plain, **change)


# --- what is in the tones ------------------------------------------------------------------------------


def test_the_load_of_a_tone_is_its_part_of_the_pure_oils():
    assert rounding.loads(drafted(), made(drafted())) == (NEAR(1.0), NEAR(1.0))
    weak = drafted(batch=through(("oil", "lavender", 50.0)))
    # 3 g of lavender and 4 g of petitgrain in 10 g that are weighed
    assert rounding.loads(weak, made(weak)) == (NEAR(0.7), NEAR(0.7))
    apart = made(drafted(), scents=(9.0, 1.0), tones=(600.0, 0.0))
    assert rounding.loads(drafted(), apart) == (NEAR(1.5), 0.0)
    none = made(drafted(), grams=(990.0, 2.0, 0.0, 0.0, 2.0, 0.1))
    assert rounding.loads(drafted(), none) == (0.0, 0.0)


def test_the_preservative_of_a_tone_is_its_part_of_the_bowl():
    """0.8 % of 985.9 g and 2 g neat, in 987.9 g of the bowl: 592 g of it in 600 g."""
    of = drafted((0.8, 0.9))
    low, high = ((985.9 * pct / 100 + 2) / 987.9 for pct in (0.8, 0.9))
    assert rounding.preservatives(of, made(of), 0.8) == (
        NEAR(100 * low * 592 / 600), NEAR(100 * low * 395.9 / 400)
    )  # fmt: skip
    assert rounding.preservative_range(of, made(of)) == (NEAR(100 * low * 592 / 600),
                                                          NEAR(100 * high * 395.9 / 400))  # fmt: skip
    empty = made(of, takes=(987.9, 0.0), tones=(1000.0, 0.0))
    assert rounding.preservatives(of, empty, 0.8) == (NEAR(100 * low * 0.9879), 0.0)
    assert rounding.preservative_range(of, empty)[0] == NEAR(100 * low * 0.9879)
    assert rounding.preservatives(of, made(of, takes=(0.0, 0.0)), 0.8) == (0.0, 0.0)
    assert rounding.preservatives(replace(of, wish=None), made(of), 0.8) == (0.0, 0.0)


def test_a_weak_stock_of_preservative_counts_with_its_part():
    of = drafted((0.8, 0.8), batch=through(("ingredient", "preservative-a", 20.0)))
    assert of.wish.strength == 20.0
    held = (985.9 * 0.8 + 2 * 20) / 987.9
    assert rounding.preservatives(of, made(of), 0.8)[0] == NEAR(held * 592 / 600)


def test_actives_of_a_tone_add_base_and_top_up():
    """90 % of the blend is phenoxyethanol: of 1 % in the base and of 2 g neat."""
    of = drafted((1.0, 1.0))
    told = {(active.name, active.tone): active for active in rounding.actives(of, made(of))}
    deep = told["Phenoxyethanol", "Deep"]
    grams = (985.9 * max(0.9, of.base.actives.get("Phenoxyethanol", 0.0)) + 2 * 90) / 100
    assert deep.pct == NEAR(100 * grams / 987.9 * 592 / 600)
    assert deep.limit_pct == 1.0  # Annex V entry 29
    gone = rounding.actives(of, made(of, tones=(1000.0, 0.0)))
    assert {active.tone for active in gone} == {"Deep"}
    assert rounding.actives(of, made(of, takes=(0.0, 0.0))) == ()


# --- before rounding -----------------------------------------------------------------------------------


def test_grams_before_rounding_are_percents_of_batch_and_portion():
    """1000 g, 60 and 40 %: 0.3 % blue of 600 g, 0.02 % yellow of 400 g, 1.2 % scent as 60 and 40."""
    grams = rounding.exact_grams(drafted(), 1000.0)
    assert grams[LAVENDER:] == [NEAR(7.2), NEAR(4.8), NEAR(1.8), NEAR(0.08)]
    assert sum(grams) == NEAR(1000)
    # the bowl holds 1 % after the top-up over what scent and colour dilute in the deep tone
    bowl = 1000 - 7.2 - 4.8 - 1.8 - 0.08
    assert grams[BASE] + grams[KEPT] == NEAR(bowl)
    thick, thin = 1 - 0.012 - 0.0002, 1 - 0.012 - 0.003
    target = rounding.target_of(drafted())
    assert target == NEAR(min(1.0, drafted().wish.most * thin / thick))
    assert (grams[BASE] * 1.0 + grams[KEPT] * 100) / bowl * thin == NEAR(target)
    stocks = drafted(batch=through(("oil", "lavender", 50.0), ("pigment", "iron_oxide_yellow", 10.0)))
    weighed = rounding.exact_grams(stocks, 1000.0)
    assert weighed[LAVENDER:] == [NEAR(14.4), NEAR(4.8), NEAR(1.8), NEAR(0.8)]
    assert sum(weighed) == NEAR(1000)


def test_additions_go_into_the_bowl():
    stirred = (Addition(ingredient=Ref(kind="ingredient", id="light-oil"), pct=5.0),)
    of = drafted(batch=Batch(jars=24, additions=stirred), scent=Scent())
    grams = rounding.exact_grams(of, 1000.0)
    assert [want.what for want in of.wants] == ["base", "addition", "preservative", "pigment", "pigment"]
    assert grams[1] == NEAR(50)
    assert grams[0] + grams[1] + grams[2] == NEAR(1000 - 1.8 - 0.08)


def test_what_leaves_no_room():
    of = drafted()
    assert rounding.room(of) is None
    full = replace(of, wants=tuple(replace(want, pct=99.0) if want.tone == 1 else want for want in of.wants))
    assert rounding.room(full) == (1,)
    assert rounding.room(replace(full, weights=(1.0, 0.0))) is None
    held = replace(of.wish, held=of.wish.held._replace(low=100.0))
    assert rounding.room(replace(of, wish=held)) == (-1,)


# --- rounding ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("grams", "weights", "step", "parts"),
    [
        (10.0, (2, 1), 1.0, (7.0, 3.0)),
        (10.03, (2, 1), 0.1, (6.73, 3.3)),
        (10.03, (1, 2), 0.1, (3.3, 6.73)),
        (0.0, (2, 1), 1.0, (0.0, 0.0)),
        (0.5, (1,), 1.0, (0.5,)),
        (5.0, (0, 0), 1.0, (0.0, 0.0)),
        (5.0, (0.3, 0.1), 1.0, (4.0, 1.0)),
    ],
)
def test_what_a_step_cannot_show_stays_in_the_largest_part(grams, weights, step, parts):
    assert rounding._split(grams, weights, step) == parts


def test_a_settled_batch_is_shared_out_by_weight():
    of = drafted()
    done = rounding.settle(of, 1800.0)
    assert abs(done.batch_g - 1800) <= max(scale.step_g for scale in done.scales)
    assert done.batch_g == NEAR(sum(done.tones))
    assert sum(done.takes) == NEAR(done.grams[BASE] + done.grams[KEPT])
    assert sum(done.scents) == NEAR(done.grams[LAVENDER] + done.grams[PETITGRAIN])
    for at, pigment in ((0, BLUE), (1, YELLOW)):
        assert done.tones[at] == NEAR(done.takes[at] + done.scents[at] + done.grams[pigment])
        assert done.scents[at] == NEAR(of.weights[at] * sum(done.scents), abs=0.011)
        assert done.tones[at] == NEAR(of.weights[at] * 1800, abs=1.1)
    assert done.exact == tuple(rounding.exact_grams(of, 1800.0))


def test_without_scales_grams_are_whole():
    done = rounding.settle(replace(drafted(), scales=()), 1800.0)
    assert all(scale.name == "no scale" for scale in done.scales)
    assert all(grams == round(grams) for grams in done.grams)


@pytest.mark.parametrize(
    ("grams", "move"),
    [(1.79, None), (1.8, None), (1.801, (BLUE, -1, False)), (0.0, None)],
)
def test_a_pigment_above_its_cap_goes_down_a_step(grams, move):
    of = drafted()
    capped = tuple(replace(want, cap_pct=0.3) if want.tone == 0 else want for want in of.wants)
    held = made(of, grams=(985.9, 2.0, 6.0, 4.0, grams, 0.1), target=None)
    assert rounding._move(replace(of, wants=capped), held) == move


def test_a_weak_stock_of_a_pigment_counts_with_its_part_against_its_cap():
    of = drafted()
    for stock, move in ((50.0, None), (100.0, (BLUE, -1, False))):
        wants = tuple(
            replace(want, cap_pct=0.3, stock_pct=stock) if want.tone == 0 else want for want in of.wants
        )
        held = made(of, grams=(985.9, 2.0, 6.0, 4.0, 3.6, 0.1), target=None)
        assert rounding._move(replace(of, wants=wants), held) == move


@pytest.mark.parametrize(
    ("ceiling", "load", "move"),
    [
        (None, 1.0, None),
        (1.0, 1.0, None),
        (0.99, 0.99, (LAVENDER, -1, False)),
        (0.99, 0.95, (LAVENDER, -1, False)),
        (0.99, 1.2, None),
        (1.01, 1.0, None),
    ],
)
def test_the_largest_oil_goes_down_where_rounding_crossed_the_ceiling(ceiling, load, move):
    """6 g in 600 and 4 g in 400 are 1 %; what was asked above the ceiling is told, not moved."""
    of = replace(drafted(ceiling=ceiling), load_pct=load)
    assert rounding._move(of, made(of, target=None)) == move
    bare = made(of, grams=(985.9, 2.0, 0.0, 0.0, 2.0, 0.1), target=None)
    assert rounding._move(of, bare) is None


def test_a_preservative_goes_up_until_its_target_and_down_from_its_cap():
    of = drafted((0.8, 0.8))
    low, high = rounding.preservative_range(of, made(of))
    roomy = replace(of, wish=replace(of.wish, most=high))
    assert rounding._move(roomy, made(of, target=low)) is None
    assert rounding._move(roomy, made(of, target=low * 1.001)) == (KEPT, 1, False)
    assert rounding._move(roomy, made(of, target=low * 1.001, short=True)) is None
    assert rounding._move(roomy, made(of, target=None)) is None
    # 0.05 % too much of 987.9 g are 0.49 g: four steps of 0.1 g
    tight = replace(of, wish=replace(of.wish, most=high - 0.05))
    assert rounding._move(tight, made(of, target=low)) == (KEPT, -4, True)
    barely = replace(of, wish=replace(of.wish, most=high - 0.001))
    assert rounding._move(barely, made(of, target=low)) == (KEPT, -1, True)
    far = replace(of, wish=replace(of.wish, most=high - 0.5))
    assert rounding._move(far, made(of, target=low)) == (KEPT, -20, True)  # all there is
    spent = made(of, grams=(987.9, 0.0, 6.0, 4.0, 2.0, 0.1), target=1.5)
    assert rounding._move(far, spent) is None


def test_a_preservative_goes_down_as_far_as_its_active_asks():
    """90 % of the blend is phenoxyethanol, 1.0 % the most (Annex V entry 29): 1.0693 % is 0.0693 / 0.9 %
    too much of the blend, in 987.9 g of the bowl 0.761 g, seven steps of 0.1 g."""
    of = drafted((1.0, 1.0))
    loose = replace(of, wish=replace(of.wish, most=5.0))
    assert rounding._move(loose, made(of, target=1.0)) == (KEPT, -7, True)


# --- lines ---------------------------------------------------------------------------------------------


def test_no_line_stands_for_nothing():
    of = drafted()
    lines = {line.id for line in sheet_lines.weighed(of, made(of))}
    assert lines == {want.id for want in of.wants}
    none = made(of, exact=(985.9, 2.0, 0.0, 4.0, 2.0, 0.0), grams=(985.9, 2.0, 0.0, 0.0, 2.0, 0.1))
    told = {line.id for line in sheet_lines.weighed(of, none)}
    assert told == lines - {"oil:lavender"}
    empty = made(of, tones=(1000.0, 0.0))
    assert {line.tone for line in sheet_lines.weighed(of, empty)} == {"", "deep"}


def test_good_values_end_at_caps_and_ceilings():
    """An oil of 6 g may be 0.5 % more, 6.03 g; at 1 % of a ceiling of 1.002 % only 6.012 g, so 6.01 g."""
    free = {line.id: line for line in sheet_lines.weighed(drafted(), made(drafted()))}
    assert free["oil:lavender"].good == (5.97, 6.03)
    assert free["pigment:ultramarine_blue@deep"].good == (1.99, 2.01)
    near = drafted(ceiling=1.002)
    bound = {line.id: line for line in sheet_lines.weighed(near, made(near))}
    assert bound["oil:lavender"].good == (5.97, 6.01)
    over = drafted(ceiling=0.9)
    kept = {line.id: line for line in sheet_lines.weighed(over, made(over))}
    assert kept["oil:lavender"].good == (5.97, 6.0)
    of = drafted()
    capped = replace(
        of, wants=tuple(replace(want, cap_pct=2.005 / 6) if want.tone == 0 else want for want in of.wants)
    )
    low, high = next(line for line in sheet_lines.weighed(capped, made(of)) if line.tone == "deep").good
    assert (low, high) == (1.99, 2.0)


def test_a_preservative_is_never_good_below_its_grams():
    of = drafted((1.0, 1.0))
    high = rounding.preservative_range(of, made(of))[1]
    # 0.02 % of 987.9 g are 0.198 g: one step of 0.1 g more, where it has room for so much
    for room, most in ((0.02, 2.1), (0.005, 2.0), (-0.1, 2.0), (5.0, 2.1)):
        wish = replace(of.wish, most=high + room)
        line = next(line for line in sheet_lines.weighed(replace(of, wish=wish), made(of))
                    if line.what == "preservative")  # fmt: skip
        assert line.good == (2.0, NEAR(most))


def dusty(mg: float) -> Draft:
    mica = tries.shelf().today("pigment", "mica_white")
    return drafted(top=Top(dust=Dust(pigment=mica.ref, mg_per_cm2=mg)))


def test_dust_lies_on_every_top():
    (line,) = sheet_lines.dusted(dusty(0.5), 1)
    area = dusting(dusty(0.5).resolved.jar.inner_mm, 1.0, 1).mg_per_jar
    assert line.exact_g == NEAR(0.0005 * area)
    assert line.good == (0.0, line.grams)
    assert (line.least_g, line.stock_pct, line.beside) == (0.0, 100.0, True)
    assert list(sheet_lines.dusted(dusty(0.5), 0)) == []
    assert list(sheet_lines.dusted(dusty(0.0), 24)) == []
    (bare,) = sheet_lines.dusted(replace(dusty(0.5), scales=()), 24)
    assert bare.grams == 1.0


def test_the_dust_names_the_lot_that_is_taken_of_its_mica():
    """A lot of the book, not the mica's own."""
    resolved = dusty(0.5).resolved
    taken = draft(resolved, lots={"pigment:mica_white": "X-4", "pigment:other": "X-5"})
    assert [line.lot for line in sheet_lines.dusted(taken, 24)] == ["X-4"]
    assert [line.lot for line in sheet_lines.dusted(draft(resolved), 24)] == [resolved.dust.lot]


# --- pigment in a portion ------------------------------------------------------------------------------


def test_pigment_of_a_portion_by_both_bases():
    assert pigment_grams(90, 10) == NEAR(10)
    assert pigment_grams(90, 10, "uncoloured") == NEAR(9)
    assert pigment_pct(90, 10) == NEAR(10)
    assert pigment_pct(90, 9, "uncoloured") == NEAR(10)
    assert pigment_grams(90, 0) == 0
    assert pigment_grams(1, 99.5) == NEAR(199)
    assert pigment_grams(90, 0.5) == NEAR(45 / 99.5)
    for wrong in (-0.5, 100, 100.5):
        with pytest.raises(OutOfRange):
            pigment_grams(90, wrong)
    for told in (pigment_grams, pigment_pct):
        with pytest.raises(UnknownName):
            told(90, 1, "weight")


def test_a_line_is_weighed_on_the_finest_scale_that_carries_it():
    coarse = Scale(id="one", name="one", step_g=1.0, capacity_g=5000)
    held = shelf_with(coarse)
    of = draft(resolve(tries.design(batch=Batch(jars=24, scales=(coarse.ref,))), held))
    assert {scale.step_g for scale in rounding.settle(of, 1800.0).scales} == {1.0}


def test_small_oils_go_down_too_and_nothing_wanted_has_no_drift():
    of = replace(drafted(ceiling=0.99), load_pct=0.95)
    small = made(of, grams=(985.9, 2.0, 0.6, 0.4, 2.0, 0.1), target=None)
    assert rounding._move(of, small) == (LAVENDER, -1, False)
    line = next(iter(sheet_lines.weighed(drafted(), made(drafted()))))
    assert replace(line, pct=1.1, wanted_pct=1.0).drift_pct == NEAR(10)
    assert replace(line, pct=1.1, wanted_pct=0.0).drift_pct == 0.0

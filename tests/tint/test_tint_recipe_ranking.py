"""Ways to a colour, what stands in the way, and what a shelf reaches."""

import dataclasses
from itertools import pairwise

import numpy as np
import pytest

from blendlab.errors import OutOfRange
from blendlab.facts.palette import bases, pigments, starter
from blendlab.tint import delta_e_2000, inconstancy, mix, recipe_ranking
from blendlab.tint.appearance import polar
from blendlab.tint.gamut_map import HUE_STEPS, LIGHT_STEPS, places, reach
from blendlab.tint.recipe_ranking import Wanted, ways
from blendlab.tint.recipe_search import match
from blendlab.tint.spectra import lab_of

STARTERS, BASE = pigments(), bases()[0]
TARGET = (75, 10, 20)


def lab(doses):
    found = [starter(name) for name in doses]
    k, s = (np.array([getattr(pigment, name) for pigment in found]).reshape(-1, 31) for name in ("k", "s"))
    return lab_of(mix(list(doses.values()), k, s, BASE.k0, BASE.s0)[2])


def test_every_way_is_what_it_says():
    answer = ways(TARGET, STARTERS, BASE, Wanted(portion_g=120, step_g=0.01, markets=("EU",)))
    assert len(answer.ways) == 3
    for way in answer.ways:
        assert lab(way.match.doses) == pytest.approx(way.match.lab, abs=1e-9)
        assert way.match.delta_e00 == pytest.approx(float(delta_e_2000(way.match.lab, TARGET)))
        assert way.expected >= way.match.delta_e00 - 0.6
        for name, grams in way.grams.items():
            assert grams == pytest.approx(way.match.doses[name] * 1.2)
            assert round(grams / 0.01, 6) == round(grams / 0.01)
        lamp, change = way.lamp
        assert change == pytest.approx(max(inconstancy.inconstancy(way.R).values()))
        assert lamp != "D65"


def test_rounding_to_the_scale_was_tried_one_step_up_and_down():
    """No dose one step of the scale away, alone or with the others, comes nearer."""
    from itertools import product

    for way in ways(TARGET, STARTERS, BASE, Wanted(portion_g=20, step_g=0.01)).ways:
        step = 100 * 0.01 / 20
        names = list(way.match.doses)
        for moves in product((-1, 0, 1), repeat=len(names)):
            doses = {
                name: way.match.doses[name] + move * step for name, move in zip(names, moves, strict=True)
            }
            caps = all(-1e-9 <= pct <= starter(name).cap_pct + 1e-9 for name, pct in doses.items())
            if caps:
                tried = {name: max(pct, 0.0) for name, pct in doses.items()}
                assert float(delta_e_2000(lab(tried), TARGET)) >= way.match.delta_e00 - 0.15


def test_the_ways_are_different():
    found = ways(lab({"iron_oxide_red": 0.1, "iron_oxide_yellow": 0.1}), STARTERS, BASE, count=4).ways
    sets = [frozenset(way.match.doses) for way in found]
    assert len(set(sets)) == len(sets)
    first, second = sets[:2]
    assert 2 * len(first & second) < len(first | second)


def test_sets_that_share_one_of_three_pigments_are_different_enough():
    """Red with a yellow and red with another share 1 of 3; half would be too much."""
    yellow = starter("iron_oxide_yellow")
    other = dataclasses.replace(yellow, id="other", k=tuple(1.2 * value for value in yellow.k))
    shelf = [starter("iron_oxide_red"), yellow, other, starter("carmine"), starter("yellow5_lake")]
    target = lab({"iron_oxide_red": 0.1, "iron_oxide_yellow": 0.1})
    found = ways(target, shelf, BASE, Wanted(most=2), count=2).ways
    assert [set(way.match.doses) for way in found] == [
        {"iron_oxide_red", "iron_oxide_yellow"},
        {"iron_oxide_red", "other"},
    ]


def test_sets_that_share_half_of_their_pigments_are_not_different_enough():
    """Of red and yellow, red alone is one of two: half; black shares none."""
    (found, *_) = ways(lab({"iron_oxide_red": 0.1}), [starter("iron_oxide_red")], BASE, count=1).ways

    def way(*names):
        return dataclasses.replace(
            found, match=dataclasses.replace(found.match, doses=dict.fromkeys(names, 0.1))
        )

    both, red, black = way("red", "yellow"), way("red"), way("black")
    chosen = recipe_ranking._apart([both, red, black], 2)
    assert {frozenset(each.match.doses) for each in chosen} == {
        frozenset({"red", "yellow"}),
        frozenset({"black"}),
    }


@pytest.mark.parametrize(
    ("target", "said", "unsaid"),
    [
        ((60, 60, 20), "A stronger pink-red would help", "darker"),
        ((8, 0, 0), "A darker pigment would help", "stronger"),
    ],
)
def test_only_what_is_missing_is_asked_for(target, said, unsaid):
    pale = [dataclasses.replace(starter("iron_oxide_red"), cap_pct=99.0)]
    obstacle = ways(target, pale, BASE, Wanted(most=1, total_pct=50.0)).obstacle
    assert said in obstacle
    assert unsaid not in obstacle


def test_order_is_expected_difference_then_pigments_then_cost():
    cheap = dataclasses.replace(starter("iron_oxide_red"), id="cheap", price_per_g=0.1, strength_sd=0.05)
    dear = dataclasses.replace(cheap, id="dear", price_per_g=9.0)
    found = ways(lab({"iron_oxide_red": 0.2}), [dear, cheap], BASE, Wanted(portion_g=100)).ways
    assert list(found[0].match.doses) == ["cheap"]
    assert found[0].cost == pytest.approx(0.2 * 0.1, rel=0.1)
    assert ways(TARGET, STARTERS, BASE).ways[0].cost is None


def test_a_sure_pigment_comes_before_an_unsure_one_that_looks_the_same():
    sure = dataclasses.replace(starter("ultramarine_blue"), id="sure", strength_sd=0.05, known="measured")
    found = ways(lab({"ultramarine_blue": 0.3}), [starter("ultramarine_blue"), sure], BASE).ways
    assert list(found[0].match.doses) == ["sure"]
    assert found[0].spread.delta_e00 < 2


def test_what_a_list_stops_comes_last():
    black = [starter("carbon_black"), starter("iron_oxide_black")]
    target = lab({"carbon_black": 0.03})
    assert "carbon_black" in ways(target, black, BASE).ways[0].match.doses
    for_sale = ways(target, black, BASE, Wanted(markets=("US",))).ways
    assert list(for_sale[0].match.doses) == ["iron_oxide_black"]
    assert for_sale[-1].stopped


@pytest.mark.parametrize(
    ("target", "words"),
    [
        ((99, 0, 0), "no pigment lightens it"),
        ((70, 60, -40), "A stronger"),
        ((30, 5, 5), "the highest use of"),
    ],
)
def test_a_colour_out_of_reach_is_answered_with_the_nearest_and_what_stands_in_the_way(target, words):
    answer = ways(target, STARTERS, BASE)
    assert not answer.reached
    assert answer.ways
    assert words in answer.obstacle
    nearest = min(nearby.delta_e00 for nearby in match(target, STARTERS, BASE, count=60))
    assert f"nearer than Delta E {round(2 * nearest) / 2:g}" in answer.obstacle


def test_too_coarse_a_scale_is_named_as_what_stands_in_the_way():
    answer = ways(
        lab({"carbon_black": 0.004}), [starter("carbon_black")], BASE, Wanted(portion_g=10, step_g=0.01)
    )
    assert not answer.reached or answer.obstacle == ""
    if not answer.reached:
        assert "scale" in answer.obstacle


def test_a_reached_colour_has_no_obstacle():
    answer = ways(lab({"iron_oxide_red": 0.1}), STARTERS, BASE)
    assert (answer.reached, answer.obstacle) == (True, "")
    with pytest.raises(OutOfRange):
        ways(TARGET, [], BASE)


def test_places_lie_round_the_target():
    found = places([80, 20, 0])
    assert len(found) == len(HUE_STEPS) * len(LIGHT_STEPS)
    middle = found[len(found) // 2]
    assert middle == pytest.approx([80, 20, 0])
    assert polar(found)[:, 1] == pytest.approx(20)
    assert polar(places([80, 0, 0]))[:, 1].max() > 5


def test_places_stay_between_black_and_white():
    """Rows from 14 lighter to 14 darker, held within L* 5 to 99."""
    assert places([92, 20, 0])[::7, 0].tolist() == [99, 99, 92, 85, 78]
    assert places([12, 20, 0])[::7, 0].tolist() == [26, 19, 12, 5, 5]
    assert places([50, 20, 0])[:7, 0].tolist() == [64] * 7
    assert polar(places([50, 20, 0])[14:21])[:, 2].tolist() == pytest.approx([300, 320, 340, 0, 20, 40, 60])


def test_the_map_grows_in_chunks_and_never_gets_worse():
    few = [starter(name) for name in ("iron_oxide_red", "iron_oxide_yellow", "ultramarine_blue", "carmine")]
    steps = list(reach([80, 12, -5], few, BASE))
    assert [step.done for step in steps] == sorted(step.done for step in steps)
    assert steps[-1].done == 1
    away = [[cell.delta_e00 for cell in step.cells] for step in steps]
    assert all(b <= a + 1e-9 for first, second in pairwise(away) for a, b in zip(first, second, strict=True))


def test_the_middle_of_the_map_is_the_nearest_there_is():
    *_, last = reach(TARGET, STARTERS[:14], BASE)
    best = min(nearby.delta_e00 for nearby in match(TARGET, STARTERS[:14], BASE, count=60))
    assert last.nearest.delta_e00 <= best + 0.5
    for cell in last.cells:
        assert lab(cell.doses) == pytest.approx(cell.lab, abs=0.05)
        assert all(pct <= starter(name).cap_pct + 1e-9 for name, pct in cell.doses.items())


def test_no_colour_of_the_map_lies_nearer_to_a_place_than_its_own():
    """A loud violet that four earths do not reach: there Lab distance and CIEDE2000 choose differently."""
    few = [starter(name) for name in ("iron_oxide_red", "iron_oxide_yellow", "ultramarine_blue", "carmine")]
    for step in reach([60, 90, -60], few, BASE):
        for cell in step.cells:
            beside = delta_e_2000(np.array([other.lab for other in step.cells]), cell.wanted)
            assert cell.delta_e00 == pytest.approx(beside.min())

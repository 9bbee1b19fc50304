"""Where the grams of a planned batch go: the lines add up, each with the source of its figure."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from blendlab.batch import stock_findings
from blendlab.batch.allotment import allotment
from blendlab.batch.plan import plan
from blendlab.batch.stock import enough_for
from blendlab.recipe import Addition, Batch, Dilution, Ref
from blendlab.shelf import resolve
from blendlab.ui import allotment_rows
from tests.batch import plans_to_try as tries


def test_every_gram_of_any_plan_is_in_one_line():
    rng = random.Random(11)
    for _ in range(40):
        design, filling, ceiling, held = tries.random_design(rng)
        made = plan(resolve(design, tries.shelf(held)), filling, ceiling_pct=ceiling)
        parts = allotment(made, design.batch)
        assert sum(part.grams for part in parts) == pytest.approx(made.batch_g)
        by_key = {part.key: part.grams for part in parts}
        assert not parts or by_key["rest"] == pytest.approx(made.last_jar_g, abs=1e-6)


def test_figures_of_hers_are_told_from_those_of_practice():
    asked = Batch(jars=24, overfill_pct=2.0, retained_g=50.0)
    made = plan(resolve(tries.design(batch=asked), tries.shelf()), tries.LOW_JAR)
    parts = {part.key: part for part in allotment(made, asked)}
    jars = 24 * made.net_g
    assert parts["jars"].grams == pytest.approx(jars)
    assert parts["overfill"].grams == pytest.approx(0.02 * jars)
    assert parts["retained"].grams == 50
    assert parts["loss"].grams == pytest.approx(0.04 * made.batch_g)
    assert [parts[key].source for key in ("overfill", "retained", "loss")] == [
        "your figure",
        "your figure",
        "common practice",
    ]


def test_the_grams_that_are_shown_add_up():
    made = tries.made()
    rows = allotment_rows.rows(made, tries.design().batch)
    grams = [float(told.split(" g")[0].replace("\u2009", "")) for _, told in rows]
    assert sum(grams[:-1]) == pytest.approx(grams[-1], abs=1e-9)
    assert grams[-1] == pytest.approx(made.batch_g, abs=0.1)
    assert "Overfill, 1 % of it" in dict(rows)


@pytest.mark.parametrize(("net", "said"), [(80.196, "24 × 80.196 g"), (80.2, "24 × 80.20 g")])
def test_so_many_jars_of_so_many_grams_make_the_grams_beside_them(net, said):
    """24 × 80.20 g are 1924.8 g: a jar of 80.196 g says its third decimal, or the line does not sum."""
    made = replace(tries.made(), jars=24, net_g=net)
    told = dict(allotment_rows.rows(made, tries.design().batch))
    (jars,) = [name for name in told if name.startswith("Net weight")]
    assert jars == f"Net weight of the jars, {said}"
    assert told[jars].replace("\u2009", "").startswith(f"{24 * net:.1f} g")


def test_jars_that_no_decimals_make_the_whole_of_are_told_as_about():
    made = replace(tries.made(), jars=24, net_g=80.2)
    assert allotment_rows._jars(made, 1924.9) == "Net weight of the jars, 24 × about 80.20 g"


def test_what_a_dilution_is_made_in_must_be_there_too():
    """Yellow at 0.02 % of the cream through 10 % in glycerin: nine grams of it to each of the pigment."""
    glycerin = Ref(kind="ingredient", id="glycerin")
    yellow = tries.shelf().today("pigment", "iron_oxide_yellow")
    asked = Batch(jars=24, dilutions=(Dilution(of=yellow.ref, pct=10, carrier=glycerin),))
    made = plan(resolve(tries.design(batch=asked), tries.shelf()), tries.LOW_JAR)
    line = made.line("pigment:iron_oxide_yellow@cream")
    assert (line.carrier, line.carrier_name) == ("ingredient:glycerin", "Glycerin")
    assert made.needs["ingredient:glycerin"] == pytest.approx(9 * line.pure_g)
    assert "ingredient:glycerin" not in made.pure_g
    assert made.needs[line.item] == made.pure_g[line.item] == pytest.approx(line.pure_g)
    (told,) = stock_findings(made, {"ingredient:glycerin": 0.5})
    assert told.text.startswith(f"{9 * line.pure_g - 0.5:.2f} g of Glycerin short.")
    enough = enough_for(made, {"ingredient:glycerin": 4.5 * line.pure_g})
    assert (enough.first, enough.batch_g) == ("Glycerin", pytest.approx(made.batch_g / 2))


def test_a_carrier_that_is_stirred_in_too_is_needed_for_both():
    glycerin = Ref(kind="ingredient", id="glycerin")
    yellow = tries.shelf().today("pigment", "iron_oxide_yellow")
    asked = Batch(
        jars=24,
        additions=(Addition(ingredient=glycerin, pct=1.0),),
        dilutions=(Dilution(of=yellow.ref, pct=10, carrier=glycerin),),
    )
    made = plan(resolve(tries.design(batch=asked), tries.shelf()), tries.LOW_JAR)
    stirred, thinned = made.line("addition:glycerin"), made.line("pigment:iron_oxide_yellow@cream")
    assert made.needs["ingredient:glycerin"] == pytest.approx(stirred.grams + thinned.carrier_g)

"""Every field of a batch sheet worked out a second way, and thresholds on both sides of their edge."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta

import pytest

from blendlab.batch import cooking, cost, formula, inci, record, stability, stock, weight
from blendlab.batch.acidity import window
from blendlab.batch.plan import plan
from blendlab.batch.plan_findings import ph_findings
from blendlab.batch.safety_assessment import outside
from blendlab.errors import OutOfRange
from blendlab.recipe import Addition, Batch, Dose, Dust, Ref, Scent, Tone, Top
from blendlab.shelf import BaseLine, Shelf, lines_of, resolve
from tests.batch import plans_to_try as tries
from tests.batch.test_batch_accounts import sheet, shelf_with, thing


def test_a_jar_is_filled_to_its_edge_and_above():
    cooked = replace(tries.shelf().today("base", "cooked"), density_whipped_g_ml=0.6)
    shelf = shelf_with(cooked)
    made = plan(resolve(tries.design(base=cooked.ref), shelf), tries.Filling(100.0, 20.0))
    assert made.net_g == pytest.approx(72.0)
    assert sum(portion.volume_ml for portion in made.portions) == pytest.approx(made.batch_g / 0.6)


@pytest.mark.parametrize("seed", range(40))
def test_every_line_and_portion_is_what_its_grams_say(seed):
    """Percents, displays, bounds, loads and bags from the grams of the sheet and the design alone."""
    design, filling, ceiling, held = tries.random_design(random.Random(seed))
    made = plan(resolve(design, tries.shelf(held)), filling, ceiling_pct=ceiling)
    whole = sum(tone.share_pct for tone in design.tones)
    doses = {(tone.id, dose.pigment.id): dose.pct for tone in design.tones for dose in tone.doses}
    shares = {oil.oil.id: oil.share_pct for oil in design.scent.oils}
    mass = {portion.tone: portion.grams for portion in made.portions}
    for line in made.lines:
        of = mass[line.tone] if line.tone else made.batch_g
        assert line.pct == pytest.approx(100 * line.grams * line.stock_pct / 100 / of)
        assert line.of == ("the finished portion" if line.tone else "the finished product")
        assert line.pure_g + line.carrier_g == pytest.approx(line.grams)
        assert line.good[0] <= line.grams <= line.good[1]
        assert line.protected is (line.what in ("oil", "pigment", "preservative"))
        name = line.item.partition(":")[2]
        if line.what == "pigment":
            share = next(tone.share_pct for tone in design.tones if tone.id == line.tone) / whole
            assert line.wanted_pct == doses[line.tone, name]
            wanted = made.batch_g * share * line.wanted_pct / line.stock_pct
            assert line.exact_g == pytest.approx(wanted, abs=0.05 + 0.02 * wanted)
        if line.what == "oil":
            wanted = design.scent.load_pct * shares[name] / sum(shares.values())
            assert line.wanted_pct == pytest.approx(wanted)
    pure = sum(line.pure_g for line in made.lines if line.what == "oil")
    scent = sum(line.grams for line in made.lines if line.what == "oil")
    for portion in made.portions:
        own = sum(line.grams for line in made.lines if line.tone == portion.tone)
        assert portion.pigment_g == pytest.approx(own, abs=1e-6)
        assert portion.take_g + portion.scent_g + own == pytest.approx(portion.grams)
        load = 100 * portion.scent_g * (pure / scent) / portion.grams if scent else 0.0
        assert portion.load_pct == pytest.approx(load)
        assert portion.volume_ml == pytest.approx(portion.grams / made.density.g_ml)
        assert portion.bags == -(-portion.volume_ml // 450)  # common practice: 450 ml a bag
        assert portion.per_jar_g == pytest.approx(made.net_g * portion.grams / made.batch_g)
    assert sum(portion.rest for portion in made.portions) == 1
    step_g = next(line.step_g for line in made.lines if line.what == "base")
    for portion in made.portions:
        steps = portion.take_g / step_g
        assert portion.rest or steps == pytest.approx(round(steps), abs=1e-6)
    assert all(portion.take_g <= max(mass.values()) for portion in made.portions)


def test_the_wish_is_lowered_by_law_as_far_as_the_least_diluted_tone_asks():
    """A white tone beside one with 2 % of mica: white may hold 1.1 % and no more, so the other less by
    what its pigment dilutes."""
    mica = tries.shelf().today("pigment", "mica_white")
    heavy = Tone(id="heavy", name="Heavy", share_pct=50, doses=(Dose(pigment=mica.ref, pct=2.0),))
    white = Tone(id="white", name="White", share_pct=50)
    asked = Batch(jars=60, preservative_pct=3.0)
    made = sheet(tries.shelf(), tones=(heavy, white), scent=Scent(), batch=asked)
    # law: 1.0 / 0.9 = 1.111 %, its sheet 1.1 %; 98 parts of the bowl in 100 of the heavy tone
    assert made.preservative.most_pct == 1.1
    assert made.preservative.target_pct == pytest.approx(1.1 * 0.98)
    assert made.preservative.high_pct == pytest.approx(1.1, abs=0.002)
    assert made.preservative.high_pct <= 1.1
    assert made.preservative.low_pct == pytest.approx(1.1 * 0.98, abs=0.003)


def test_an_addition_of_nothing_is_none():
    glue = thing("quat", "Quat", charge="cationic")
    stirred = (Addition(ingredient=glue.ref, pct=0.0),)
    made = sheet(shelf_with(glue), batch=Batch(jars=24, additions=stirred))
    assert not [line for line in made.lines if line.what == "addition"]
    assert not [finding for finding in made.findings if finding.id.startswith("charge-")]


def test_an_addition_without_the_active_takes_nothing_of_its_limit():
    stirred = (Addition(ingredient=Ref(kind="ingredient", id="light-oil"), pct=5.0),)
    item = replace(tries.shelf().today("ingredient", "preservative-a"), high_pct=None)
    made = sheet(shelf_with(item), batch=Batch(jars=24, additions=stirred))
    assert made.preservative.most_pct == pytest.approx(1 / 0.9)  # Annex V entry 29


def test_dust_is_weighed_by_itself_and_up():
    mica = tries.shelf().today("pigment", "mica_white")
    made = sheet(tries.shelf(), top=Top(dust=Dust(pigment=mica.ref)))
    dust = made.line("dust:mica_white")
    assert dust.protected
    assert dust.exact_g <= dust.grams < dust.exact_g + dust.step_g
    assert dust.pct == dust.wanted_pct == 0.35
    # 35.78 cm2 x 0.35 mg
    assert "about 12.5 mg on each top" in dust.note


# --- a cooked base --------------------------------------------------------------------------------------


def active(pct: float):
    """A base of water, preservative and a pure surfactant of that percent."""
    soap = thing("soap", "Soap", active_pct=100.0, water_pct=0.0, density_g_ml=1.0)
    lines = tuple(
        BaseLine(ingredient=Ref(kind="ingredient", id=name), pct=part)
        for name, part in (("purified-water", 99 - pct), ("preservative-a", 1.0), ("soap", pct))
    )
    base = replace(tries.shelf().today("base", "cooked"), lines=lines)
    return cooking.cook(base, shelf_with(soap), 2000)


@pytest.mark.parametrize(
    ("pct", "said"),
    [
        (11.9, "weak foam below 12 %"),
        (12.0, "usual is 15 to 35 %"),
        (14.9, "usual is"),
        (15.0, ""),
        (35.0, ""),
        (35.1, "usual is"),
        (40.0, "usual is"),
        (40.1, "harsh and stiff above 40 %"),
    ],
)
def test_active_surfactant_has_a_window_and_an_alarm(pct, said):
    told = [finding.text for finding in active(pct).findings if finding.id == "surfactant"]
    assert bool(told) is bool(said)
    assert all(said in text for text in told)


@pytest.mark.parametrize(
    ("pH", "level"),
    [(4.9, "stop"), (5.0, None), (7.0, None), (7.1, "caution"), (8.0, "caution"), (8.1, "stop")],
)
def test_a_ph_has_a_window_and_an_alarm(pH, level):
    assert [finding.level for finding in ph_findings(pH, "Base", window())] == ([level] if level else [])


def test_a_base_of_which_nobody_knows_the_water_is_told_and_wants_a_preservative():
    dark = thing("dark", "Dark", water_pct=None)
    lines = (BaseLine(ingredient=dark.ref, pct=100),)
    base = replace(tries.shelf().today("base", "cooked"), lines=lines)
    found = {finding.id: finding for finding in cooking.cook(base, shelf_with(dark), 500).findings}
    assert found["water-unknown"].level == "caution"
    assert "an unknown share of water" in found["no-preservative"].text
    figures = cooking.figures(lines_of(base, shelf_with(dark)))
    assert (figures.water_pct, figures.water_class, figures.density_g_ml) == (None, "", None)


def test_anionic_and_cationic_lines_of_a_formula_stop():
    quat = thing("quat", "Quat", charge="cationic", water_pct=0.0)
    base = tries.shelf().today("base", "cooked")
    water, *rest = base.lines
    swapped = (replace(water, pct=water.pct - 1), BaseLine(ingredient=quat.ref, pct=1.0), *rest)
    for lines, stops in ((swapped, True), ((replace(swapped[0], pct=water.pct), *rest), False)):
        made = cooking.cook(replace(base, lines=lines), shelf_with(quat), 1500)
        found = {finding.id: finding.text for finding in made.findings}
        assert ("charge-quat" in found) is stops
        if stops:
            powder = tries.shelf().today("ingredient", "isethionate-powder").name
            assert found["charge-quat"].startswith(f"Quat is cationic and {powder} anionic")


def test_a_smallest_cooked_batch_weighs_every_line():
    """0.1 % of it has to be 20 steps of the finest scale; the preservative's 1 % 50 steps of it."""
    made = cooking.cook(tries.shelf().today("base", "cooked"), tries.shelf(), 1500)
    needed = max(100 * line.least_g / line.wanted_pct for line in made.lines)
    assert made.smallest_g - 1 < needed <= made.smallest_g
    assert made.line("ingredient:preservative-a").cup == "Preservative"
    assert [line.display_g for line in made.cups["Preservative"]] == [15.0]


# --- lists, labels --------------------------------------------------------------------------------------


def bought(declared, told):
    base = replace(tries.shelf().today("base", "soap-white"), id="bought", declared=declared)
    shelf = Shelf((*tries.shelf().items, base))
    design = tries.design(base=base.ref)
    made = plan(resolve(design, shelf), tries.LOW_JAR)
    return inci.ingredients(resolve(design, shelf), made, "EU", in_order=told)


def test_a_base_that_declares_nothing_is_named_as_a_hole():
    names = bought((), None)
    assert any(name.startswith("(ingredients of ") for name in names.names)
    assert not names.export
    known = bought((), {"Aqua": (60, 61), "Glycerin": (30, 31)})
    assert not any(name.startswith("(") for name in known.names)


def test_ranges_of_a_bought_base_are_of_the_jar():
    apart = bought(("Aqua", "Glycerin"), {"Aqua": (40, 50), "Glycerin": (30, 40)})
    assert apart.undetermined == ()
    over = bought(("Aqua", "Glycerin"), {"Aqua": (40, 50), "Glycerin": (30, 40.1)})
    assert over.undetermined == (("Aqua", "Glycerin"),)
    # 1.03 % of a base that is 97 % of the jar is less than 1 % of the jar
    low = bought(("Aqua", "A", "B"), {"Aqua": (60, 60), "A": (0.1, 1.0), "B": (0.1, 1.0)})
    assert low.undetermined == ()


def test_markets_ask_in_the_singular_and_in_the_plural():
    told = outside(resolve(tries.design(markets=("EU",)), tries.shelf()), None)
    both = outside(resolve(tries.design(markets=("EU", "GB", "US")), tries.shelf()), None)
    assert "; EU asks for one" in told[0].text
    assert "; EU and GB ask for one" in both[0].text


# --- money, weights, dates, stock ----------------------------------------------------------------------


def test_every_part_of_a_price_counts_once():
    assert cost.per_gram(10, 4, shipping=3, tax=2, waste="0.25") == 5
    assert cost.per_jar(10, 10).total == 1
    each = cost.per_jar(
        100, 10, packaging=1, label=2, labour_minutes=30, labour_per_h=20, overhead=5, parcel=4
    )
    assert each.total == (100 + 10 + 5) / 10 + 7
    price = cost.price_from_margin(6, "0.25", fee="0.1", fixed_fee=1, vat="0.5")
    # by hand: 7 / (1 - 0.1 x 1.5 - 0.25) = 11.67; 15 % and a quarter of it and 7 are all of it
    assert float(price.net) == pytest.approx(7 / 0.6)
    assert float(price.gross) == pytest.approx(1.5 * 7 / 0.6)
    with pytest.raises(OutOfRange):
        cost.per_jar(10, 0)
    with pytest.raises(OutOfRange):
        cost.per_gram(1, 1, waste=1)


def test_a_jar_at_its_tolerable_error_is_not_short():
    # Directive 76/211/EEC: short is less than nominal less the error, 4.5 g at 75 g
    made = weight.average_check(75, [80.0, 70.5, 66.0, 84.0])
    assert (made.below_tne, made.below_2tne) == (1, 0)
    made = weight.average_check(75, [80.0, 70.4, 65.9, 84.0])
    assert (made.below_tne, made.below_2tne) == (2, 1)
    assert weight.average_check(75, [75.0, 75.0]).keeps
    assert not weight.average_check(75, [74.9, 75.0]).keeps


def test_dates_count_whole_months():
    assert record.best_before(date(2026, 1, 15), 0) == date(2026, 1, 31)
    with pytest.raises(OutOfRange):
        record.best_before(date(2026, 1, 15), -1)


def test_stock_counts_what_is_used_at_all():
    assert stock.largest_batch([1000.0, 1.0], [50.0, 0.5]) == (200.0, 1)
    assert stock.largest_batch([1000.0, 0.0], [50.0, 0.0]) == (2000.0, 0)


def test_a_week_in_the_warm_is_told_already():
    filled = date(2026, 3, 7)
    due = next(
        due
        for due in stability.due_dates(filled)
        if due.test == "warm40" and due.on == filled + timedelta(days=7)
    )
    assert "about 3 weeks" in stability.warm_words(due, filled)  # 2^1.8 = 3.48


def test_a_batch_of_less_than_nothing_is_refused():
    with pytest.raises(OutOfRange):
        formula.scale([100], -0.5)

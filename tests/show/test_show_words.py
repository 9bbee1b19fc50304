"""What is said of judged designs: cards, comparison, lamps, mixes, the map, test jars, oils."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from io import BytesIO

import numpy as np
import pytest
from pypdf import PdfReader

from blendlab import recipe, store
from blendlab.assess import assess
from blendlab.errors import LEVELS
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.forms import targets
from blendlab.recipe import Dose, Ref, Trial
from blendlab.shelf import Oil, Sheet, Shelf
from blendlab.show import (
    card_prints,
    cards,
    comparison,
    first_visit,
    lamps,
    mixes,
    oil_state,
    reach_map,
    trials,
)  # fmt: skip
from blendlab.tint import delta_e_2000, mix, see
from blendlab.tint.spectra import lab_of
from blendlab.tint.strength_correction import Corrected

DAY = date(2026, 3, 7)


def again(assessed, **change):
    return assess(replace(assessed.design, **change), demo_shelf(), DAY)


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


# --- cards --------------------------------------------------------------------------------------------


def test_a_card_keeps_what_was_judged_as_plain_values(lagoon):
    made, picture = cards.card(lagoon, demo_shelf())
    said = made.judged
    assert said["counts"] == {level: lagoon.count(level) for level in LEVELS}
    assert said["on"] == "2026-03-07"
    assert [tone["hex"] for tone in said["tones"]] == [judged.seen.hex for judged in lagoon.tones]
    assert said["tones"][0]["lab"] == [round(float(part), 2) for part in lagoon.tones[0].seen.lab]
    market, check = next(iter(lagoon.scents.items()))
    assert (said["market"], said["ceiling_pct"]) == (market, check.ceiling_pct)
    assert said["checks"]["unknown"] == check.counts.unknown
    assert all(dose.pigment.rev for tone in made.design.tones for dose in tone.doses)
    assert picture[:4] == b"\x89PNG"


def test_a_card_of_a_design_without_its_jar_is_a_plain_panel(bare):
    assert (cards.card_picture(bare) == cards.PANEL).all()
    said = cards.judged(bare)
    assert (said["tones"], said["checks"], said["ceiling_pct"], said["names"]) == ([], {}, None, [])
    sheet = card_prints.sheet(bare)
    assert sheet.jar == "no jar, or no base to fill it with"
    assert (sheet.tones, sheet.scent) == ((), ())
    assert sheet.ceiling.startswith("not checked")
    assert "restricted" not in sheet.counts


def test_what_is_printed_is_what_was_judged(lagoon):
    sheet = card_prints.sheet(lagoon)
    assert sheet.jar == lagoon.resolved.jar.name
    assert [tone.likely for tone in sheet.tones] == [judged.seen.hex for judged in lagoon.tones]
    for tone, dosed in zip(sheet.tones, lagoon.resolved.tones, strict=True):
        assert tone.doses == tuple((dose.pigment.name, dose.pct) for dose in dosed.doses)
    assert sum(pct for _, pct in sheet.scent) == pytest.approx(100)
    assert [text for _, text in sheet.findings] == [finding.text for finding in lagoon.findings]
    counts = next(iter(lagoon.scents.values())).counts
    assert f"checked {counts.checked} of {counts.restricted_total} restricted materials" in sheet.counts
    assert sheet.counts.endswith("; 2026-03-07, without the lots of a book")


def test_what_nobody_has_is_not_printed(lagoon):
    gone = Dose(pigment=Ref(kind="pigment", id="gone"), pct=0.1)
    first = lagoon.design.tones[0]
    tones = (replace(first, doses=(gone, *first.doses)), *lagoon.design.tones[1:])
    sheet = card_prints.sheet(again(lagoon, tones=tones))
    assert len(sheet.tones[0].doses) == len(first.doses)
    assert "gone" not in [name for name, _ in sheet.tones[0].doses]


def test_a_design_is_printed_alone_and_in_a_line_and_says_what_it_was_judged_with(lagoon):
    said = text_of(card_prints.printed(lagoon, "pdf"))
    assert lagoon.design.name in said
    assert lagoon.tones[0].seen.hex in said
    assert card_prints.printed(lagoon, "png")[:4] == b"\x89PNG"
    assert "2026-03-07, without the lots of a book" in said
    with_lots = text_of(card_prints.printed(replace(lagoon, stock="0123456789"), "pdf"))
    assert "2026-03-07, with the lots of the book" in with_lots
    assert "Spring line" in text_of(card_prints.line_pdf("Spring line", [lagoon, lagoon]))


# --- comparison ---------------------------------------------------------------------------------------


def test_only_what_is_different_is_compared(lagoon):
    assert comparison.differences([lagoon, lagoon]) == []
    heavier = again(lagoon, scent=replace(lagoon.design.scent, load_pct=0.5), weeks=4.0)
    found = dict(comparison.differences([lagoon, heavier]))
    assert found["Scent, percent of the finished product"] == [f"{lagoon.design.scent.load_pct:g} %", "0.5 %"]
    assert found["Weeks on the shelf"] == ["0", "4"]
    assert "Jar" not in found


def test_tones_are_compared_in_their_places(lagoon):
    single = again(lagoon, tones=lagoon.design.tones[:1], arrangement=recipe.Arrangement())
    found = dict(comparison.differences([lagoon, single]))
    assert found[f"Tone {len(lagoon.tones)}"][1] == "none"
    white = again(lagoon, tones=(replace(lagoon.design.tones[0], doses=()), *lagoon.design.tones[1:]))
    dyed, undyed = dict(comparison.differences([lagoon, white]))["Tone 1"]
    assert undyed.endswith(", no pigment")
    for dose in lagoon.resolved.tones[0].doses:
        assert f"{dose.pigment.name} {dose.pct:g} %" in dyed


def test_a_top_is_said_with_its_points_and_its_dust(lagoon):
    star = replace(
        lagoon.design.top,
        kind="star",
        points=8,
        dust=recipe.Dust(pigment=Ref(kind="pigment", id="mica_white")),
    )
    flat = replace(lagoon.design.top, kind="flat", dust=None)
    found = dict(comparison.differences([again(lagoon, top=star), again(lagoon, top=flat)]))
    name = demo_shelf().today("pigment", "mica_white").name
    assert found["Top"] == [f"star 8 points, dusted with {name}", "flat"]


def test_a_net_weight_is_a_range_until_the_foam_was_weighed(lagoon):
    base = replace(lagoon.resolved.base, density_whipped_g_ml=0.62)
    shelf = Shelf((*(item for item in demo_shelf().items if item.id != base.id), base))
    weighed = assess(replace(lagoon.design, base=Ref(kind="base", id=base.id)), shelf, DAY)
    found = dict(comparison.differences([lagoon, weighed]))
    assert " to " in found["Net weight"][0]
    assert found["Net weight"][1] == f"{weighed.layout.net_g:.0f} g"


def test_the_nearest_tones_are_named_with_their_difference(line):
    first, second = line[0], line[1]
    found = comparison.closest_tones([first, second], ["A", "B"])
    tone, beside = first.tones[0], second.tones[0]
    assert found[0][0] == f"{tone.tone.name} and {beside.tone.name} of B"
    assert found[0][1] == pytest.approx(float(delta_e_2000(tone.seen.lab, beside.seen.lab)))
    assert comparison.closest_tones([first, first], ["A", "A"]) == []


# --- lamps and eyes -----------------------------------------------------------------------------------


def test_under_daylight_nothing_changes_and_under_every_lamp_something_may(lagoon):
    strips = lamps.lamps(lagoon)
    assert strips[0].changes is None
    assert strips[0].hexes == tuple(see(judged.tint.R).hex for judged in lagoon.tones)
    for strip in strips[1:]:
        assert len(strip.changes) == len(strip.hexes) == len(lagoon.tones)
        assert (
            strip.least[1:] == tuple(judged.tone.name for judged in lagoon.tones[:2]) or strip.least[0] >= 0
        )
    assert max(max(strip.changes) for strip in strips[1:]) > 0.5


def test_every_eye_sees_its_own_colours(lagoon):
    strips = lamps.eyes(lagoon)
    assert len(strips) > 1
    assert len({strip.hexes for strip in strips}) > 1
    labs = [see(judged.tint.R).lab for judged in lagoon.tones[:2]]
    if len(lagoon.tones) == 2:
        assert strips[0].least[0] == pytest.approx(float(delta_e_2000(*labs)))
    single = again(lagoon, tones=lagoon.design.tones[:1], arrangement=recipe.Arrangement())
    assert lamps.eyes(single)[0].least is None


# --- mixes and the map --------------------------------------------------------------------------------


FEW = Shelf(
    (
        *(
            demo_shelf().today("pigment", item)
            for item in ("ultramarine_blue", "iron_oxide_yellow", "iron_oxide_red")
        ),
        demo_shelf().today("base", "soap-white"),
    )
)


def test_a_colour_made_of_her_pigments_is_found_again(lagoon):
    base = lagoon.resolved.base
    blue = FEW.today("pigment", "ultramarine_blue")
    R = mix([0.4], np.array([blue.k]), np.array([blue.s]), base.k0, base.s0)[2]
    lab = tuple(float(part) for part in lab_of(R))
    wanted = targets.Target(lab, targets.hex_of(lab), 0.0, "blue")
    found = mixes.mixes(wanted, lagoon, FEW, lagoon.tones[0].tone.id)
    best = found.mixes[0]
    assert float(best.sentence.split("Delta E ")[1].split(" ")[0]) < 1
    assert blue.name in best.sentence
    assert best.doses[0]["pigment"]["id"] == blue.id
    assert best.doses[0]["pct"] == pytest.approx(0.4, rel=0.1)
    assert all(len(shown.hexes) == 3 for shown in found.mixes)


def test_a_colour_out_of_reach_says_what_stands_in_the_way(lagoon):
    lab = (60.0, 90.0, -60.0)
    found = mixes.mixes(targets.Target(lab, "#ff00ff", 0, "loud"), lagoon, FEW, lagoon.tones[0].tone.id)
    assert found.obstacle


@pytest.fixture(scope="module")
def black_and_blue() -> Shelf:
    """Neither is in the tone they have to match; each costs 0.05 a gram."""
    two = (demo_shelf().today("pigment", item) for item in ("iron_oxide_black", "blue1_lake"))
    return Shelf(tuple(replace(pigment, price_per_g=0.05) for pigment in two))


def test_another_recipe_of_a_tone_says_where_it_parts_from_it_and_what_it_costs(lagoon, black_and_blue):
    wanted = targets.tone_target(lagoon, lagoon.tones[0].tone.id)
    (found, *_) = mixes.mixes(wanted, lagoon, black_and_blue, lagoon.tones[0].tone.id).mixes
    near, expected = re.match(r"Delta E ([\d.]+) in the model, ([\d.]+) expected; ", found.sentence).groups()
    assert float(near) < 1 < float(expected)  # near in the model is no promise: the strengths are estimates
    assert "few would tell" not in found.sentence
    assert f"it parts from {wanted.words} by " in found.sentence
    grams = [float(part.split(" g)")[0]) for part in found.sentence.split("(")[1:] if " g)" in part]
    cost = float(found.sentence.split("pigment for ")[1].split(",")[0].rstrip("."))
    assert cost == pytest.approx(0.05 * sum(grams), abs=0.011)


def test_what_law_asks_of_a_pigment_stands_behind_its_mix(lagoon, black_and_blue):
    """FD&C Blue No. 1 is subject to certification in the US (21 CFR 74.2101); nobody else asks for that."""
    tone = lagoon.tones[0].tone.id
    for markets, asked in ((("US",), True), (("EU",), False)):
        sold = again(lagoon, markets=markets)
        (found, *_) = mixes.mixes(targets.tone_target(sold, tone), sold, black_and_blue, tone).mixes
        assert ("only from a lot the US agency has tested" in found.sentence) is asked
        assert not found.stopped


def test_the_map_is_shown_as_far_as_it_is_done_and_names_the_nearest():
    base = FEW.today("base", "soap-white")
    lab = (75.0, 3.0, -10.0)
    wanted = targets.Target(lab, targets.hex_of(lab), 0, "x")
    first, *rest = reach_map.reached(wanted, base, FEW.of("pigment"))
    last = rest[-1]
    assert 0 < first.done < last.done == 1
    places = [place for row in last.rows for place in row]
    known = {pigment.id for pigment in FEW.of("pigment")}
    assert {dose["pigment"]["id"] for place in places for dose in place.doses} <= known

    def apart(place):
        seen, _ = targets.target({"hex": place.hex}, base)
        return float(delta_e_2000(seen.lab, lab))

    assert last.nearest in places
    # one code of a channel is up to 0.65 apart near grey
    assert apart(last.nearest) == pytest.approx(last.nearest.delta_e, abs=0.65)
    assert apart(last.nearest) < min(map(apart, places)) + 0.65


def test_the_undyed_base_is_held_beside_the_screen():
    base = FEW.today("base", "soap-white")
    shade, said = reach_map.base_seen(base)
    assert shade.startswith("#")
    assert said.startswith(f"{base.name}: L*a*b* ")
    assert f"({base.known})" in said


# --- test jars ----------------------------------------------------------------------------------------


def trial(*doses, **more):
    made = tuple(Dose(pigment=Ref(kind="pigment", id=item), pct=pct) for item, pct in doses)
    return Trial(on=more.pop("on", DAY), doses=made, **more)


def test_a_test_jar_stands_beside_what_was_predicted_for_it():
    base = FEW.today("base", "soap-white")
    plain = trials.shown(trial(("ultramarine_blue", 0.4)), base, FEW)
    assert plain.words == "2026-03-07 · 0.4 % ultramarine blue · no verdict"
    assert plain.predicted
    assert (plain.measured, plain.apart) == (None, None)
    lab = (60.0, -5.0, -20.0)
    made = trial(("ultramarine_blue", 0.4), lab=lab, verdict="too deep", how="by eye", note="window", on=None)
    shown = trials.shown(made, base, FEW)
    assert shown.words == "no date · 0.4 % ultramarine blue · too deep · by eye · window"
    assert shown.measured == targets.hex_of(lab)
    assert shown.apart > 0
    white = trials.shown(trial(lab=tuple(float(x) for x in lab_of(np.full(31, 0.9)))), base, FEW)
    assert "no pigment" in white.words
    assert white.predicted


def test_a_test_jar_of_a_pigment_that_is_gone_keeps_its_id_and_has_no_prediction():
    base = FEW.today("base", "soap-white")
    shown = trials.shown(trial(("gone", 0.4), ("ultramarine_blue", 0.1)), base, FEW)
    assert "0.4 % gone with 0.1 % ultramarine blue" in shown.words
    assert (shown.predicted, shown.apart) == (None, None)


def test_a_lesson_is_told_with_its_numbers():
    found = Corrected(
        factors={"ultramarine_blue": 1.25, "gone": 0.5}, sd={"ultramarine_blue": 0.12, "gone": 0.3},
        before=(4.0, 6.0), after=(3.0, 3.0), at_bound=("gone",),
    )  # fmt: skip
    said = trials.lesson_words(found, FEW)
    assert said[0] == "ultramarine blue: strength x 1.25, then known within 12 %."
    assert said[1].endswith("(held back; it wants a swatch of its own).")
    assert said[2] == "The test jars lie Delta E 5.0 from their predictions now, 3.0 afterwards."
    assert "no matter of strength" in said[3]
    good = replace(found, after=(0.2, 0.2))
    assert len(trials.lesson_words(good, FEW)) == 3


# --- oils, first visit --------------------------------------------------------------------------------


def test_the_state_of_a_sheet_is_said_with_its_amendment_and_the_end_of_the_lot():
    oil = Oil(id="o", name="O", group="essential_oil")
    assert "amendment" not in oil_state.sheet_words(oil, DAY)
    sheet = Sheet(amendment=51, issued=date(2026, 1, 1), limits={"9": 5.0}, document="S")
    said = oil_state.sheet_words(replace(oil, sheet=sheet), DAY)
    assert said.startswith("51st amendment, ")
    ends = replace(oil, sheet=sheet, expiry=date(2027, 1, 31))
    assert oil_state.sheet_words(ends, DAY).endswith(", lot until 2027-01-31")


def test_an_oil_that_ends_is_looked_at_again_before_that():
    sheet = Sheet(amendment=51, issued=date(2026, 1, 1), limits={"9": 5.0}, document="S")
    oil = Oil(id="o", name="O", group="essential_oil", sheet=sheet, expiry=date(2027, 1, 31))
    ends = lambda on: oil.expiry in [reason.on for reason in oil_state.ahead(oil, on)]  # noqa: E731
    assert [ends(oil.expiry - timedelta(days=days)) for days in (31, 30, 1, 0)] == [False, True, True, False]


def test_the_library_and_the_parts_of_plants_have_their_words():
    assert all(oil_state.library_names().values())
    assert oil_state.parts_of_plants()


def test_a_first_visit_opens_the_demo_even_where_its_things_were_taken_off():
    design, carried = first_visit.demo_design(Shelf())
    assert design.id == demo_designs(demo_shelf())[0].id
    assert assess(design, Shelf((), carried), DAY).resolved is not None


def test_a_blank_design_is_white_and_without_scent():
    blank, carried = first_visit.blank_design(Shelf())
    assert [(tone.name, tone.share_pct, tone.doses) for tone in blank.tones] == [("White", 100, ())]
    assert (blank.scent.oils, blank.top.dust) == ((), None)
    judged = assess(blank, Shelf((), carried), DAY)
    assert judged.layout is not None
    again_, _ = first_visit.blank_design(Shelf())
    assert again_.id != blank.id


def test_the_demo_line_is_laid_out_once(tmp_path):
    folder = store.Folder(tmp_path)
    first_visit.first_start(folder)
    assert [saved.line for saved in store.lines(folder)] == [first_visit.LINE]
    assert {entry.card_id for entry in store.listing(folder)} == set(first_visit.LINE.cards)
    before = sorted(path.name for path in folder.cards.iterdir())
    first_visit.first_start(folder)
    assert sorted(path.name for path in folder.cards.iterdir()) == before

"""The bench as it is typed: a wanted colour, spoons, test jars, a document of hers."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from blendlab import photo, store
from blendlab.assess import assess
from blendlab.batch.plan import plan
from blendlab.errors import BadDocument, NewerFormat
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.forms import spoons, targets, trial_jars
from blendlab.forms.documents import read_document
from blendlab.recipe import Dose, Ref, Trial, to_dict
from blendlab.shelf import Shelf, resolve
from blendlab.tint import mix
from blendlab.tint.spectra import lab_of
from tests.batch import plans_to_try as tries
from tests.store import samples

DAY = date(2026, 3, 7)
BASE = demo_shelf().today("base", "soap-white")
BLUE = demo_shelf().today("pigment", "ultramarine_blue")


# --- a wanted colour ----------------------------------------------------------------------------------


def test_grey_of_the_screen_is_its_lightness():
    """#777777 is L* 50.03, a* = b* = 0 (IEC 61966-2-1 and CIE 15)."""
    made, answers = targets.target({"hex": "#777777"}, BASE)
    assert answers == []
    assert made.lab == pytest.approx((50.034, 0, 0), abs=0.02)
    assert (made.hex.lower(), made.error, made.words) == ("#777777", 0, "screen colour #777777")


def test_lab_in_daylight_is_the_colour_and_in_another_lamp_has_an_error():
    typed = {"way": "lab", "L": "60", "a": "-10", "b": "5"}
    made, _ = targets.target(typed, BASE)
    assert made.lab == (60, -10, 5)
    other, answers = targets.target({**typed, "lamp": "A", "observer": "10"}, BASE)
    assert answers == []
    assert other.error > 0
    assert "10 degrees" in other.words


def test_a_photo_gives_its_colour():
    seen = photo.Colour(np.array([0.2, 0.2, 0.2]), np.array([51.8, 0.0, 0.0]), "#7c7c7c", 1.0)
    made, _ = targets.target({"way": "photo"}, BASE, seen, "grey card", 3.0)
    assert (made.lab, made.error, made.words) == ((51.8, 0, 0), 3.0, "grey card")


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ({}, "A colour is missing."),
        ({"hex": "sea"}, "Hex: "),
        ({"way": "photo"}, "No colour was read off a picture yet."),
        ({"way": "lab", "L": "60", "a": "0"}, "b* is missing."),
        ({"way": "lab", "L": "95", "a": "100", "b": "100", "lamp": "A"}, "Lab: "),
    ],
)
def test_a_colour_that_cannot_be_read_is_answered(typed, answer):
    made, answers = targets.target(typed, BASE)
    assert made is None
    assert len(answers) == 1
    assert answers[0].startswith(answer)


def test_a_tone_as_it_is_now_carries_its_spectrum():
    assessed = assess(demo_designs(demo_shelf())[0], demo_shelf(), DAY)
    judged = assessed.tones[0]
    made = targets.tone_target(assessed, judged.tone.id)
    assert made.lab == pytest.approx(tuple(lab_of(judged.tint.R)))
    assert tuple(judged.tint.R) == made.R
    assert made.words == f"{judged.tone.name} as it is now"


# --- spoons -------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def sheet():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


def line_of(sheet, what):
    return next(line for line in sheet.lines if line.what == what)


def test_a_spoon_of_pigment_is_a_range_of_grams_and_a_percent_to_weigh(sheet):
    line = line_of(sheet, "pigment")
    found, problem = spoons.grams(sheet, line.id, "1", "tsp_metric", False, tries.shelf())
    assert problem == ""
    assert "an estimate" in found.words
    portion = next(portion for portion in sheet.portions if portion.tone == line.tone)
    heaped, _ = spoons.grams(sheet, line.id, "1", "tsp_metric", True, tries.shelf())
    assert 0 < found.pct < heaped.pct < 100
    # p % of the finished portion is p / 100 of all of it: pigment over pigment and what is uncoloured
    grams = found.pct / 100 * (portion.grams - line.grams) / (1 - found.pct / 100)
    low, high = (float(part) for part in found.words.split(" g,")[0].split(" to "))
    assert low <= grams <= high
    assert grams == pytest.approx((low * high) ** 0.5, rel=0.02)


def test_what_is_not_measured_in_spoons_says_so(sheet):
    blue, kept, oil = (line_of(sheet, what) for what in ("pigment", "preservative", "oil"))
    assert spoons.grams(sheet, blue.id, "3", "drops", False, tries.shelf())[1].endswith(
        "is not measured in drops: weigh it."
    )
    assert "preservative" in spoons.grams(sheet, kept.id, "1", "tsp_us", False, tries.shelf())[1]
    assert "limited on skin" in spoons.grams(sheet, oil.id, "3", "drops", False, tries.shelf())[1]
    assert spoons.grams(sheet, blue.id, "a few", "tsp_us", False, tries.shelf())[0] is None


def test_drops_of_an_oil_without_a_sheet_are_a_range_and_no_percent_of_a_tone(sheet):
    line = line_of(sheet, "oil")
    oil = replace(tries.shelf().today("oil", line.item.partition(":")[2]), sheet=None, density_g_ml=0.9)
    shelf = Shelf((*(item for item in tries.shelf().items if item.id != oil.id), oil))
    found, problem = spoons.grams(sheet, line.id, "40", "drops", False, shelf)
    assert problem == ""
    assert found.words.startswith("0.9 to 1.4")
    assert found.pct is None


def test_a_line_leads_back_to_its_dose(sheet):
    design = tries.design()
    for line in sheet.lines:
        path = spoons.path_of(design, line)
        assert bool(path) == (line.what == "pigment")
    paths = {line.tone: spoons.path_of(design, line) for line in sheet.lines if line.what == "pigment"}
    assert paths == {"deep": "tones.0.doses.0.pct", "cream": "tones.1.doses.0.pct"}


# --- test jars ----------------------------------------------------------------------------------------


def stronger(times: float, pct: float) -> tuple[float, float, float]:
    R = mix([pct], times * np.array([BLUE.k]), np.array([BLUE.s]), BASE.k0, BASE.s0)[2]
    L, a, b = (float(part) for part in lab_of(R))
    return L, a, b


def with_trials(*trials: Trial):
    design = demo_designs(demo_shelf())[0]
    first = replace(design.tones[0], trials=trials)
    return replace(design, tones=(first, *design.tones[1:]), base=BASE.ref)


def trial(pct: float, times: float = 1.3, **more) -> Trial:
    dose = Dose(pigment=Ref(kind="pigment", id=more.pop("pigment", BLUE.id)), pct=pct)
    return Trial(on=DAY, doses=(dose,), lab=stronger(times, pct), error=0.5, **more)


def test_a_test_jar_holds_the_doses_of_its_tone():
    tone = tries.design().tones[0]
    wanted = targets.Target((50.0, 0.0, 0.0), "#777777", 1.5, "by eye")
    made = trial_jars.made(tone, wanted, "too deep", "by the window", DAY)
    assert made["doses"][0]["pct"] == 0.3
    assert (list(made["lab"]), made["error"], made["how"]) == ([50, 0, 0], 1.5, "by eye")
    bare = trial_jars.made(tone, None, "", "", DAY)
    assert (bare["lab"], bare["error"]) == (None, 0)


def test_test_jars_of_a_stronger_pigment_teach_that_it_is_stronger(folder):
    """Jars made with K times 1.3: the lesson lies between what was known and 1.3, and nearer than before."""
    shelf = store.read_shelf(folder)
    design = with_trials(trial(0.1), trial(0.3), trial(0.6))
    found = trial_jars.lesson(design, shelf)
    assert 1.1 < found.factors[BLUE.id] <= 1.35
    assert np.mean(found.after) < np.mean(found.before)
    assert trial_jars.apply(found, folder, shelf, DAY) == []
    saved = store.read_shelf(folder).today("pigment", BLUE.id)
    assert np.allclose(saved.k, found.factors[BLUE.id] * np.array(BLUE.k))
    assert saved.calibrations[-1].how == "strength corrected by test jars"
    assert saved.calibrations[0].on is None
    store.delete_item(folder, "pigment", BLUE.id)
    assert BLUE.id in trial_jars.apply(found, folder, shelf, DAY)[0]
    assert trial_jars.apply(found, folder, Shelf(), DAY) == []


def test_nothing_is_learnt_where_nothing_was_measured_or_is_known(shelf):
    assert trial_jars.lesson(with_trials(), shelf) is None
    assert trial_jars.lesson(with_trials(replace(trial(0.3), lab=None)), shelf) is None
    assert trial_jars.lesson(with_trials(trial(0.3, pigment="gone")), shelf) is None
    assert trial_jars.lesson(with_trials(trial(0.3)), Shelf(tuple(shelf.of("pigment")))) is None


# --- a document ---------------------------------------------------------------------------------------


def test_a_design_and_a_card_of_hers_are_read_with_a_shelf_to_judge_them(tmp_path):
    design = demo_designs(demo_shelf())[0]
    bare = tmp_path / "design.json"
    bare.write_text(json.dumps(to_dict(design)), encoding="utf-8")
    read, shelf = read_document(bare, str(tmp_path / "hers"))
    assert read == design
    assert shelf.has(design.base)
    store.save(store.Folder(tmp_path), samples.card(), samples.png(), None)
    (card,) = store.Folder(tmp_path).cards.glob("*.json")
    read, shelf = read_document(card, str(tmp_path / "hers"))
    assert read.name == "Lagoon"
    assert shelf.find(read.base).name == samples.BASE.name


def test_a_document_that_is_none_or_newer_is_refused(tmp_path):
    path = tmp_path / "x.json"
    path.write_text("[1, 2]", encoding="utf-8")
    with pytest.raises(BadDocument):
        read_document(path, str(tmp_path / "hers"))
    store.save(store.Folder(tmp_path), samples.card(), samples.png(), None)
    (card,) = store.Folder(tmp_path).cards.glob("*.json")
    plain = {**json.loads(card.read_text(encoding="utf-8")), "format": 99}
    path.write_text(json.dumps(plain), encoding="utf-8")
    with pytest.raises(NewerFormat):
        read_document(path, str(tmp_path / "hers"))

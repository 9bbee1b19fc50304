"""The assessment of a formula family and a reading of a stability test, as they are typed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.assess import assess
from blendlab.batch.plan import plan
from blendlab.facts.demo import demo_designs, demo_shelf
from blendlab.forms.assessment_form import family_of, typed_of
from blendlab.forms.stability_reading import reading_of
from blendlab.recipe import Addition
from blendlab.recipe.look import Dust, Top
from blendlab.shelf import Shelf, resolve
from tests.batch import plans_to_try as tries

DAY = date(2026, 3, 7)


@pytest.fixture(scope="module")
def assessed():
    return assess(demo_designs(demo_shelf())[0], demo_shelf(), DAY)


def filled(assessed, **change):
    return {
        **typed_of(assessed),
        "assessor": "Dr. Invented",
        "on": "2026-03-01",
        "markets": "eu, gb",
        **change,
    }


def test_the_form_begins_with_the_design_on_the_bench(assessed):
    design, typed = assessed.design, typed_of(assessed)
    most = {}
    for tone in design.tones:
        for dose in tone.doses:
            name = demo_shelf().find(dose.pigment).name
            most[name] = max(most.get(name, 0), dose.pct)
    assert sorted(line.rpartition(" ")[0] for line in typed["colours"].splitlines()) == sorted(most)
    share = design.scent.oils[0]
    line = f"{demo_shelf().find(share.oil).name} {design.scent.load_pct * share.share_pct / 100:g}"
    assert line in typed["scents"].splitlines()
    assert float(typed["load"]) == pytest.approx(design.scent.load_pct)
    assert typed["low"]


def test_a_design_without_its_base_begins_with_its_name():
    bare = assess(demo_designs(demo_shelf())[0], Shelf(), DAY)
    typed = typed_of(bare)
    assert (typed["colours"], typed["scents"], typed["low"], typed["high"]) == ("", "", "", "")
    made, answers = family_of(filled(bare), bare, demo_shelf())
    assert made is None
    assert "there is nothing to assess" in " ".join(answers)


def test_an_assessment_is_what_was_typed(assessed):
    made, answers = family_of(
        filled(assessed, load="1,5", low="0.6", high="1", label="3"), assessed, demo_shelf()
    )
    assert answers == []
    assert (made.assessor, made.on, made.markets, made.load_pct) == (
        "Dr. Invented",
        date(2026, 3, 1),
        ("EU", "GB"),
        1.5,
    )
    base = demo_shelf().find(assessed.design.base)
    assert made.base == replace(base.ref, rev=base.matter)
    assert set(made.pigments) == {dose.pigment.id for tone in assessed.design.tones for dose in tone.doses}
    assert (made.preservative, made.preservative_pct) == (assessed.resolved.base.preservative.id, (0.6, 1.0))


def test_a_preservative_without_both_its_ends_is_not_assessed(assessed):
    made, answers = family_of(filled(assessed, low="", high="1"), assessed, demo_shelf())
    assert answers == []
    assert (made.preservative, made.preservative_pct) == ("", (0.0, 0.0))


def test_additions_and_the_mica_of_the_top_are_assessed_with_the_rest():
    """The form begins with those on the bench; of the preservatives it names the one she tops up with."""
    shelf = tries.shelf()
    glycerin, mica = shelf.today("ingredient", "glycerin"), shelf.today("pigment", "mica_white")
    of = tries.design(top=Top(dust=Dust(pigment=mica.ref, mg_per_cm2=0.4)))
    other = replace(shelf.today("ingredient", "preservative-a"), id="preservative-b", name="Preservative B")
    shelf = Shelf((*shelf.items, other))
    stirred = replace(of.batch, additions=(Addition(ingredient=glycerin.ref, pct=2.0),))
    bench = assess(replace(of, batch=stirred), shelf, DAY)
    typed = filled(bench)
    assert (typed["additions"], typed["dusts"]) == (f"{glycerin.name} 2", f"{mica.name} 0.4")
    made, answers = family_of({**typed, "dusts": f"{mica.name} 0,5 mg/cm2"}, bench, shelf)
    assert answers == []
    assert (dict(made.additions), dict(made.dusts)) == ({"glycerin": 2.0}, {"mica_white": 0.5})
    hers = assess(replace(of, batch=replace(stirred, preservative=other.ref)), shelf, DAY)
    made, _ = family_of(filled(hers, low="0.1", high="1"), hers, shelf)
    assert made.preservative == "preservative-b"


@pytest.mark.parametrize(("name", "kind"), [("additions", "ingredient"), ("dusts", "pigment")])
def test_what_nobody_has_cannot_have_been_assessed(assessed, name, kind):
    made, answers = family_of(filled(assessed, **{name: "Moon dust 1"}), assessed, demo_shelf())
    assert made is None
    assert answers == [f'"Moon dust 1": no {kind} of that name is on the shelf.']


def test_what_was_assessed_is_the_base_and_no_lot_of_it(assessed):
    lot = replace(assessed.resolved, base=replace(assessed.resolved.base, lot="B-9", pH=5.1))
    made, _ = family_of(filled(assessed), replace(assessed, resolved=lot), demo_shelf())
    base = demo_shelf().find(assessed.design.base)
    assert made.base == replace(base.ref, rev=base.matter)


@pytest.mark.parametrize(
    ("change", "answer"),
    [
        ({"name": ""}, "A name is missing."),
        ({"assessor": ""}, "The assessor is missing."),
        ({"on": ""}, "The day of the assessment is missing."),
        ({"on": "spring"}, 'Day of the assessment: "spring" is no date'),
        ({"markets": ""}, "Markets: of "),
        ({"markets": "EU MOON"}, "Markets: of "),
        ({"colours": "Moon dust 1"}, '"Moon dust 1": no pigment of that name is on the shelf.'),
        ({"scents": "Moon oil 1"}, '"Moon oil 1": no oil of that name is on the shelf.'),
        ({"load": ""}, "Highest load is missing."),
        ({"low": "1", "high": "0.5"}, "Preservative: from 1 to 0.5 % is upside down."),
    ],
)
def test_an_assessment_that_is_not_whole_is_answered(assessed, change, answer):
    made, answers = family_of(filled(assessed, **change), assessed, demo_shelf())
    assert made is None
    assert len(answers) == 1
    assert answers[0].startswith(answer)


# --- readings -----------------------------------------------------------------------------------------


@pytest.fixture
def page(tmp_path):
    book = store.open_book(store.Folder(tmp_path))
    made = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    code = book.start(made, DAY, design=tries.design())
    book.write("density", "foam", {"g_ml": 0.62}, code)
    return store.batch(book, code)


def test_a_reading_fails_by_what_was_read_and_tells_what_was_not(page):
    said, answers = reading_of({"growth": "yes", "ph": "0,1", "note": "n"}, DAY, page, tries.shelf())
    assert answers == []
    assert (said["on"], said["growth"], said["ph_shift"], said["note"]) == ("2026-03-07", True, 0.1, "n")
    assert said["fails"]
    assert "bleed_mm" in said["not_read"]
    whole = {"drop": "0", "ph": "0", "bleed": "0", "colour": "0", "liquid": "no", "growth": "no"}
    said, _ = reading_of({**whole, "on": "2026-04-04"}, date(2026, 4, 5), page, tries.shelf())
    assert (said["on"], said["fails"], said["not_read"]) == ("2026-04-04", [], [])


def test_a_denser_foam_says_how_far_the_filling_sank(page):
    """The same grams in less volume: 1 - 0.62 / 0.66 of the height is gone."""
    said, _ = reading_of({"density": "0,66"}, DAY, page, tries.shelf())
    assert said["height_drop_pct"] == pytest.approx(100 * (1 - 0.62 / 0.66))
    assert said["note"].startswith("0.620 g/ml when filled, 0.660 now: ")
    said, _ = reading_of({"density": "0,66", "drop": "2"}, DAY, page, tries.shelf())
    assert said["height_drop_pct"] == 2


def test_a_reading_that_cannot_be_read_is_answered(page):
    made, answers = reading_of({"on": "soon", "ph": "blue"}, DAY, page, tries.shelf())
    assert made is None
    assert len(answers) == 2
    made, answers = reading_of({"density": "0.66"}, DAY, page, Shelf())
    assert made is None
    assert "its base is gone" in answers[0]

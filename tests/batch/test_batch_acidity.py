"""Where the pH of a batch must lie: its kind of product and its preservative, told alike everywhere."""

from __future__ import annotations

from dataclasses import replace

import pytest

from blendlab.batch import acidity, cook, open_points, plan_from
from blendlab.batch.plan import plan
from blendlab.batch.release_points import Evidence
from blendlab.codec import encode
from blendlab.production import plausible
from blendlab.recipe import Batch, Ref
from blendlab.shelf import BaseLine, Component, Shelf, resolve
from tests.batch import plans_to_try as tries

KEEPER = "preservative-a"


def kept_by(*names: str):
    """A preservative of these components, under the id of the one the bases to try are kept with."""
    parts = tuple(Component(inci=name, low_pct=100 / len(names), high_pct=100 / len(names)) for name in names)
    item = tries.shelf().today("ingredient", KEEPER)
    return replace(item, name=" and ".join(names), components=parts, high_pct=None)


def shelf_with(*items) -> Shelf:
    gone = {(item.kind, item.id) for item in items}
    return Shelf((*(item for item in tries.shelf().items if (item.kind, item.id) not in gone), *items))


@pytest.mark.parametrize(
    ("names", "limits", "wanted"),
    [
        (("Phenoxyethanol", "Ethylhexylglycerin"), (5, 7), (5.5, 6.5)),  # works at 3 to 10
        (("Benzyl Alcohol", "Dehydroacetic Acid"), (5, 6), (5.5, 6)),  # works at 3 to 6
        (("Sodium Benzoate", "Potassium Sorbate"), (5, 5), (5, 5)),  # works at 3 to 5
        (("Nobody Knows",), (5, 7), (5.5, 6.5)),
    ],
)
def test_the_window_is_where_product_and_preservative_agree(names, limits, wanted):
    kept = acidity.window([kept_by(*names)])
    assert ((kept.low, kept.high), kept.wanted) == (limits, wanted)
    assert bool(kept.unknown) is (names == ("Nobody Knows",))


def test_two_preservatives_leave_what_both_allow():
    kept = acidity.window(
        [kept_by("Benzyl Alcohol", "Dehydroacetic Acid"), kept_by("Sodium Benzoate", "Potassium Sorbate")]
    )
    assert (kept.low, kept.high) == (5, 5)
    none = replace(kept, low=5.5, high=5.0)
    assert not none.holds(5.2)
    assert "no pH at all" in none.outside(5.2)


def sheet_of(keeper, base_pH: float | None = 6.0):
    base = replace(tries.shelf().today("base", "cooked"), pH=base_pH)
    shelf = shelf_with(keeper, base)
    design = tries.design(base=base.ref, batch=Batch(jars=6, preservative=keeper.ref))
    return plan(resolve(design, shelf), tries.LOW_JAR)


def at(sheet, pH: float | None) -> dict[str, str]:
    full = Evidence(
        {line.id: line.grams for line in sheet.lines}, [line.id for line in sheet.lines], (),
        [step.id for step in sheet.steps], pH, 0.6, 3,
    )  # fmt: skip
    return {finding.id: f"{finding.level}: {finding.text}" for finding in open_points(sheet, full)}


def test_release_batch_and_doubt_tell_the_same_window_and_what_sets_it():
    narrow = sheet_of(kept_by("Benzyl Alcohol", "Dehydroacetic Acid"), base_pH=6.4)
    assert at(narrow, 6.0) == {}
    told = at(narrow, 6.4)["release-ph-window"]
    sentence = (
        "pH 6.4 lies outside 5 to 6: a whipped cleanser is kept at 5 to 7, "
        "Benzyl Alcohol and Dehydroacetic Acid works at 3 to 6."
    )
    assert told == f"stop: {sentence}"
    assert list(plausible.of_acidity(narrow, 6.4)) == [sentence]
    assert narrow.acidity.words == "wanted 5.5 to 6, released within 5 to 6"
    (planned,) = [finding for finding in narrow.findings if finding.id == "ph"]
    assert (planned.level, planned.fix) == ("caution", "Bring it to 5.5 to 6.")
    assert "outside 5 to 6: " in planned.text
    wide = sheet_of(kept_by("Phenoxyethanol", "Ethylhexylglycerin"), base_pH=6.4)
    assert at(wide, 6.4) == {}
    assert not [finding for finding in wide.findings if finding.id == "ph"]


def test_a_preservative_of_unknown_range_is_said_even_where_the_ph_is_usual():
    blind = sheet_of(kept_by("Nobody Knows"))
    told = at(blind, 5.8)
    assert set(told) == {"release-ph-system"}
    assert told["release-ph-system"].startswith("caution: pH 5.8 lies in 5 to 7")
    assert "At which pH Nobody Knows works is not known" in told["release-ph-system"]
    assert "Nobody Knows works is not known" in at(blind, 7.5)["release-ph-window"]


def test_what_holds_no_water_is_asked_for_no_ph():
    base = tries.shelf().today("base", "oil-scrub-ivory")
    made = plan(resolve(tries.design(product="oil_sugar_scrub", base=base.ref), tries.shelf()), tries.LOW_JAR)
    assert made.acidity is None
    assert at(made, None) == {}
    wet = sheet_of(kept_by("Phenoxyethanol", "Ethylhexylglycerin"))
    assert set(at(wet, None)) == {"release-ph"}


def test_cooking_says_what_is_wanted_and_what_is_released():
    keeper = kept_by("Benzyl Alcohol", "Dehydroacetic Acid")
    base = tries.shelf().today("base", "cooked")
    lines = (
        BaseLine(ingredient=Ref(kind="ingredient", id="purified-water"), pct=99),
        BaseLine(ingredient=Ref(kind="ingredient", id=keeper.id), pct=1),
    )
    made = cook(replace(base, lines=lines), shelf_with(keeper), 500)
    step = next(step for step in made.steps if step.id == "ph")
    assert "wanted 5.5 to 6, released within 5 to 6; again after 24 h" in step.text


def test_a_sheet_from_before_is_held_to_the_product_and_says_so():
    plain = encode(sheet_of(kept_by("Phenoxyethanol", "Ethylhexylglycerin")))
    del plain["acidity"]
    kept = plan_from(plain).acidity
    assert (kept.low, kept.high) == (5, 7)
    assert "its preservative works is not known" in kept.unknown
    assert plan_from({**plain, "acidity": None}).acidity is None

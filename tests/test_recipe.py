"""The design document: round trip, every problem at once, later formats, slugs."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blendlab import recipe
from blendlab.codec import unknown_keys
from blendlab.errors import BadDocument, NewerFormat
from tests.store.samples import DESIGNS, design


@given(DESIGNS)
def test_design_comes_back_from_json(made):
    plain = json.loads(json.dumps(recipe.to_dict(made), allow_nan=False))
    assert recipe.from_dict(plain) == made


def plain_design():
    return json.loads(json.dumps(recipe.to_dict(design())))


def problems(plain):
    with pytest.raises(BadDocument) as caught:
        recipe.from_dict(plain)
    return {problem.where: problem.text for problem in caught.value.problems}


def test_a_later_format_is_named():
    with pytest.raises(NewerFormat) as caught:
        recipe.from_dict({**plain_design(), "format": recipe.FORMAT + 1})
    assert (caught.value.got, caught.value.known) == (recipe.FORMAT + 1, recipe.FORMAT)


def test_what_does_not_fit_together_is_told_at_once():
    plain = plain_design()
    plain["tones"][1]["id"] = plain["tones"][0]["id"]
    plain["top"]["tone"] = "sky"
    plain["markets"] = ["EU", "Moon"]
    told = problems(plain)
    assert set(told) == {"tones", "top.tone", "markets"}
    assert "Moon" in told["markets"]


def test_wrong_kinds_are_told_at_once():
    plain = plain_design()
    plain["tones"][0]["doses"][0]["pigment"]["kind"] = "oil"
    plain["jar"]["kind"] = "base"
    told = problems(plain)
    assert set(told) == {"tones[0].doses[0].pigment", "jar"}
    assert "a pigment is wanted" in told["tones[0].doses[0].pigment"]


def test_a_design_needs_a_tone():
    assert "at least one tone" in problems({**plain_design(), "tones": []})["tones"]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("scent.load_pct", 130), ("scent.load_pct", -1), ("tones.0.share_pct", 101), ("weeks", 1000),
        ("batch.jars", 0), ("batch.jars", 1.5), ("name", "x" * 81), ("arrangement.kind", "checkers"),
        ("top.kind", "spire"), ("tones.0.doses.0.pct", "0,3"), ("placed_on", "soon"),
    ],
)  # fmt: skip
def test_bounds_are_told_with_the_place(path, value):
    plain = plain_design()
    *stem, leaf = path.split(".")
    target = plain
    for step in stem:
        target = target[int(step)] if step.isdigit() else target[step]
    target[leaf] = value
    (where,) = problems(plain)
    assert where == path.replace(".0", "[0]")


def test_shares_that_do_not_add_up_are_no_error():
    plain = plain_design()
    plain["tones"][0]["share_pct"] = 10
    assert sum(tone.share_pct for tone in recipe.from_dict(plain).tones) == 50


def test_unknown_keys_are_kept_in_the_design():
    plain = plain_design()
    plain["scent"]["oils"][0]["warm"] = True
    made = recipe.from_dict(plain)
    assert list(unknown_keys(made)) == ["scent.oils[0].warm"]
    assert recipe.to_dict(made)["scent"]["oils"][0]["warm"] is True


def everything():
    """A design that refers to something wherever one can."""
    kinds = {
        "gold": "pigment", "iron_blue": "pigment", "fine": "scale", "keeper": "ingredient",
        "sugar": "ingredient", "glycerin": "ingredient",
    }  # fmt: skip
    ref = {name: recipe.Ref(kind=kind, id=name) for name, kind in kinds.items()}
    made = design()
    trial = recipe.Trial(doses=(recipe.Dose(pigment=ref["gold"], pct=0.2),))
    return replace(
        made,
        tones=(replace(made.tones[0], trials=(trial,)), made.tones[1]),
        batch=recipe.Batch(
            scales=(ref["fine"],),
            preservative=ref["keeper"],
            additions=(recipe.Addition(ingredient=ref["sugar"], pct=5),),
            dilutions=(recipe.Dilution(of=ref["iron_blue"], pct=10, carrier=ref["glycerin"]),),
        ),
    )


def test_the_walk_names_every_reference_with_its_path():
    found = {place.path: place.ref.key.split("@")[0] for place in recipe.places(everything())}
    assert found == {
        "jar": "jar:straight-120",
        "base": "base:foam",
        "tones.0.doses.0.pigment": "pigment:iron_blue",
        "tones.0.trials.0.doses.0.pigment": "pigment:gold",
        "top.dust.pigment": "pigment:gold",
        "scent.oils.0.oil": "oil:lavender",
        "batch.scales.0": "scale:fine",
        "batch.preservative": "ingredient:keeper",
        "batch.additions.0.ingredient": "ingredient:sugar",
        "batch.dilutions.0.of": "pigment:iron_blue",
        "batch.dilutions.0.carrier": "ingredient:glycerin",
    }
    assert [place.path for place in recipe.places(everything()) if place.past] == [
        "tones.0.trials.0.doses.0.pigment"
    ]


def test_a_change_of_every_reference_reaches_every_reference():
    made = recipe.repointed(everything(), lambda place: replace(place.ref, rev="new"))
    assert {place.ref.rev for place in recipe.places(made)} == {"new"}
    assert [place.path for place in recipe.places(made)] == [
        place.path for place in recipe.places(everything())
    ]


@pytest.mark.parametrize(
    "path",
    [
        "jar", "base", "tones.0.doses.0.pigment", "tones.0.trials.0.doses.0.pigment", "top.dust.pigment",
        "scent.oils.0.oil", "batch.scales.0", "batch.preservative", "batch.additions.0.ingredient",
        "batch.dilutions.0.of", "batch.dilutions.0.carrier",
    ],
)  # fmt: skip
def test_a_reference_to_another_kind_is_refused_wherever_it_stands(path):
    plain = recipe.to_dict(everything())
    target = plain
    *stem, leaf = path.split(".")
    for step in stem:
        target = target[int(step)] if isinstance(target, list) else target[step]
    wrong = {"kind": "scale" if path == "jar" else "jar", "id": "x", "rev": ""}
    target[int(leaf) if leaf.isdigit() else leaf] = wrong
    with pytest.raises(BadDocument, match="refers to a"):
        recipe.from_dict(plain)


@given(st.text(max_size=100))
def test_slug_is_plain_and_short(name):
    made = recipe.slug(name)
    assert 1 <= len(made) <= 60
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert made.strip("-") == made
    assert recipe.slug(made) == made

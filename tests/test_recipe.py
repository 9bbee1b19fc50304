"""The design document: round trip, every problem at once, later formats, slugs."""

import json

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
    plain["tones"][0]["doses"][0]["pigment"]["kind"] = "oil"
    plain["top"]["tone"] = "sky"
    plain["markets"] = ["EU", "Moon"]
    plain["jar"]["kind"] = "base"
    told = problems(plain)
    assert set(told) == {"tones", "tones.deep", "top.tone", "markets", "jar"}
    assert "Moon" in told["markets"]
    assert "a pigment is wanted" in told["tones.deep"]


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


def test_refs_name_everything_once():
    found = [ref.key for ref in recipe.refs(design())]
    assert len(found) == len(set(found))
    assert {key.split("@")[0] for key in found} == {
        "jar:straight-120", "base:foam", "pigment:iron_blue", "pigment:gold", "oil:lavender",
    }  # fmt: skip


@given(st.text(max_size=100))
def test_slug_is_plain_and_short(name):
    made = recipe.slug(name)
    assert 1 <= len(made) <= 60
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert made.strip("-") == made
    assert recipe.slug(made) == made

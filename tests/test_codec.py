"""Dict in, dict out: every problem at once, unknown keys kept, equal nouns equal digests."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, make_dataclass
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blendlab.codec import Noun, band, canonical, choice, decode, digest, encode, number, text, unknown_keys
from blendlab.errors import BadDocument, OutOfRange, UnknownName


@dataclass(frozen=True, kw_only=True)
class Leaf(Noun):
    """A leaf of the test tree."""

    name: str = text(5)
    pct: float = number(0, 100, "%")
    kind: str = choice(("oak", "ash"), default="oak")


@dataclass(frozen=True, kw_only=True)
class Tree(Noun):
    """A noun with every shape of field."""

    id: str
    leaves: tuple[Leaf, ...] = ()
    named: Mapping[str, Leaf] = field(default_factory=dict)
    pair: tuple[float, float] | None = None
    spectrum: tuple[float, ...] | None = band(3, default=None)
    planted: date | None = None
    tall: bool = False
    rings: int = number(1, 500, "rings", default=1)
    best: Leaf | None = None


LEAF = {"name": "a", "pct": 1}


def test_round_trip_of_every_shape():
    tree = Tree(
        id="t",
        leaves=(Leaf(name="a", pct=1.5),),
        named={"b": Leaf(name="b", pct=2.0, kind="ash")},
        pair=(1.0, 2.0),
        spectrum=(0.0, 1.0, 2.0),
        planted=date(2026, 11, 25),
        tall=True,
        rings=7,
        best=Leaf(name="c", pct=0.0),
    )
    assert decode(Tree, json.loads(json.dumps(encode(tree)))) == tree


def test_every_problem_is_told_at_once_with_its_place():
    with pytest.raises(BadDocument) as caught:
        decode(
            Tree,
            {
                "leaves": [{"name": "too long", "pct": 130}, {"pct": "much", "kind": "elm"}, 7],
                "named": {"x": {"name": 3, "pct": True}},
                "pair": [1],
                "spectrum": [1, 2],
                "planted": "yesterday",
                "tall": "yes",
                "rings": 1.5,
                "best": [],
            },
        )
    told = {problem.where: problem.text for problem in caught.value.problems}
    assert set(told) == {
        "id", "leaves[0].name", "leaves[0].pct", "leaves[1].name", "leaves[1].pct", "leaves[1].kind",
        "leaves[2]",
        "named.x.name", "named.x.pct", "pair", "spectrum", "planted", "tall", "rings", "best",
    }  # fmt: skip
    assert told["id"] == "is missing"
    for part in ("130", "0", "100", "%"):
        assert part in told["leaves[0].pct"]
    assert "elm" in told["leaves[1].kind"]
    assert "oak, ash" in told["leaves[1].kind"]
    assert told["planted"] == "is 'yesterday'; a date like 2026-11-25 is wanted"
    assert all(problem.text in str(caught.value) for problem in caught.value.problems)


@pytest.mark.parametrize("data", [None, 3, "tree", [], [1]])
def test_what_is_no_document_is_told(data):
    with pytest.raises(BadDocument, match="a tree with its keys is wanted"):
        decode(Tree, data)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), True, "1", None, [1]])
def test_a_number_is_a_finite_number(value):
    with pytest.raises(BadDocument):
        decode(Leaf, {"name": "a", "pct": value})


def test_a_noun_made_by_hand_checks_itself():
    with pytest.raises(OutOfRange) as caught:
        Leaf(name="a", pct=100.1)
    assert (caught.value.what, caught.value.got, caught.value.unit) == ("pct", 100.1, "%")
    with pytest.raises(UnknownName):
        Leaf(name="a", pct=1, kind="elm")
    with pytest.raises(OutOfRange):
        Leaf(name="a", pct=float("nan"))


def test_unknown_keys_are_kept_and_named_at_every_depth():
    data = {
        "id": "t",
        "odd": 1,
        "leaves": [LEAF, {**LEAF, "vein": {"deep": [1]}}],
        "named": {"x": {**LEAF, "stem": None}},
        "best": {**LEAF, "tip": "red"},
    }
    tree = decode(Tree, data)
    assert sorted(unknown_keys(tree)) == ["best.tip", "leaves[1].vein", "named.x.stem", "odd"]
    again = encode(tree)
    assert again["odd"] == 1
    assert again["leaves"][1]["vein"] == {"deep": [1]}
    assert again["named"]["x"]["stem"] is None
    assert again["best"]["tip"] == "red"
    assert decode(Tree, again) == tree


@given(
    st.dictionaries(
        st.text(min_size=1).filter(lambda key: key not in ("id", "leaves", "extra")),
        st.integers(),
        max_size=4,
    )
)
def test_any_unknown_key_survives(odd):
    known = {"named", "pair", "spectrum", "planted", "tall", "rings", "best"}
    odd = {key: kept for key, kept in odd.items() if key not in known}
    tree = decode(Tree, {"id": "t", **odd})
    assert set(unknown_keys(tree)) == set(odd)
    assert {key: encode(tree)[key] for key in odd} == odd


def test_a_key_called_extra_is_an_unknown_key_like_others():
    tree = decode(Tree, {"id": "t", "extra": {"a": 1}})
    assert encode(tree)["extra"] == {"a": 1}
    assert decode(Tree, encode(tree)) == tree


def test_equal_nouns_have_one_text_and_one_digest():
    whole, point = Leaf(name="a", pct=1), Leaf(name="a", pct=1.0)
    assert whole == point
    assert canonical(whole) == canonical(point)
    assert digest(whole) == digest(point) == digest(decode(Leaf, encode(whole)))
    assert digest(Leaf(name="a", pct=-0.0)) == digest(Leaf(name="a", pct=0))
    assert digest(whole) != digest(Leaf(name="a", pct=1.000001))


@given(st.floats(0, 100), st.floats(0, 100))
def test_digest_tells_different_figures_apart(first, second):
    assert (digest(Leaf(name="a", pct=first)) == digest(Leaf(name="a", pct=second))) == (first == second)


def test_a_field_added_later_changes_no_digest():
    later = make_dataclass(
        "Leaf", [("vein", str, text(9, default=""))], bases=(Leaf,), frozen=True, kw_only=True
    )  # fmt: skip
    assert digest(later(name="a", pct=1)) == digest(Leaf(name="a", pct=1))
    assert digest(later(name="a", pct=1, vein="red")) != digest(Leaf(name="a", pct=1))
    inside = Tree(id="t", leaves=(later(name="a", pct=1),))
    assert digest(inside) == digest(Tree(id="t", leaves=(Leaf(name="a", pct=1),)))


def test_long_values_are_shortened_in_the_sentence():
    with pytest.raises(BadDocument) as caught:
        decode(Leaf, {"name": "a", "pct": "x" * 500})
    assert len(str(caught.value)) < 150

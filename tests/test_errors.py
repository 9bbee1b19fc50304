"""Errors keep their values and speak one sentence; findings come worst first."""

import pickle

import pytest

from blendlab import errors
from blendlab.errors import (
    Ambiguous,
    BadDocument,
    BadFacts,
    BadNumber,
    BlendlabError,
    ChangedOutside,
    Finding,
    FolderGone,
    NewerFormat,
    NotSaved,
    OutOfRange,
    Problem,
    UnknownName,
    WrongKind,
    worst_first,
)

RAISED = [
    (
        OutOfRange("Load", 130, 0, 100, "%"), ValueError,
        {"what": "Load", "got": 130, "low": 0, "high": 100, "unit": "%"},
    ),
    (BadNumber("much", "g"), ValueError, {"text": "much", "unit": "g"}),
    (Ambiguous("1,234", (1.234, 1234.0)), ValueError, {"text": "1,234", "readings": (1.234, 1234.0)}),
    (UnknownName("lamp", "moon", ["D65"]), LookupError, {"what": "lamp", "got": "moon", "known": ("D65",)}),
    (WrongKind("jar", "j", ["oil"]), ValueError, {"got": "jar", "item_id": "j", "wanted": ("oil",)}),
    (BadDocument("design", [Problem("a", "is b")]), ValueError, {"problems": (Problem("a", "is b"),)}),
    (NewerFormat("card", 3, 1), ValueError, {"what": "card", "got": 3, "known": 1}),
    (BadFacts("jars.csv", 4, "unit is empty"), ValueError, {"table": "jars.csv", "line": 4}),
    (ChangedOutside("a.json", "1", "2"), RuntimeError, {"path": "a.json", "seen": "1", "found": "2"}),
    (NotSaved("a.json", "the disk is full"), OSError, {"path": "a.json", "reason": "the disk is full"}),
    (FolderGone("/maker"), OSError, {"path": "/maker"}),
]  # fmt: skip


@pytest.mark.parametrize(("error", "builtin", "values"), RAISED, ids=lambda error: type(error).__name__)
def test_error_has_a_builtin_beside_it_and_keeps_its_values(error, builtin, values):
    assert isinstance(error, BlendlabError)
    assert isinstance(error, builtin)
    assert {name: getattr(error, name) for name in values} == values
    sentence = str(error)
    assert sentence
    assert "\n" not in sentence
    assert "!" not in sentence


def test_every_error_is_listed_here():
    named = {
        found.__name__
        for found in vars(errors).values()
        if isinstance(found, type) and issubclass(found, BlendlabError) and found is not BlendlabError
    }
    assert named == {type(error).__name__ for error, _, _ in RAISED}


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0, 100, "lie between 0 and 100"),
        (0, float("inf"), "be at least 0"),
        (float("-inf"), 5, "be at most 5"),
    ],
)
def test_bounds_in_words(low, high, words):
    assert words in str(OutOfRange("Load", 130, low, high, "%"))


def test_unit_may_be_missing():
    assert str(OutOfRange("pH", 15, 0, 14, "")).endswith("between 0 and 14.")
    assert str(BadNumber("x", "")).startswith('"x" is not a number.')


def test_findings_come_worst_first_and_once():
    note, stop, caution = (Finding(level, level, "scent.load", "") for level in ("note", "stop", "caution"))
    twin = Finding("stop", "stop", "scent.load", "")
    other = Finding("stop", "stop", "scent.oils", "")
    assert worst_first([note, stop, caution, twin, other]) == (stop, other, caution, note)
    assert stop.room == "scent"


def test_finding_can_be_copied_between_processes():
    finding = Finding("note", "a", "look", "Text.", act={"tones.0.share_pct": 40})
    assert pickle.loads(pickle.dumps(finding)) == finding


def test_a_name_without_end_does_not_fill_the_sentence():
    unknown = UnknownName("material", "x" * 5000, ["glass"])
    assert len(str(unknown)) < 150
    assert unknown.got == "x" * 5000
    unread = BadDocument("design", [Problem("markets", f'has "{"x" * 5000}"'), Problem("tones", "is empty")])
    assert len(str(unread)) < 400
    assert str(unread).endswith("...; tones: is empty")

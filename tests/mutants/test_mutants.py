"""The faults are real ones: each parses, none touches a word, and a known text gives the known faults."""

from __future__ import annotations

import ast
from pathlib import Path

from tests.mutants.__main__ import every_change
from tests.mutants.changes import changes
from tests.mutants.trial import ROOT

TEXT = '''\
"""Words of 3 modules."""
LIMIT = 2.0

@cache(maxsize=7)
def over(share: float, most: float = 1) -> bool:
    """More than 5."""
    if not share:
        raise OutOfRange("share", 0)
    return share + most > min(LIMIT, 9) and known(f"{share + 1}", 1e-9, round(LIMIT, 9), zip(strict=True))
'''
WANTED = {
    (2, "2.0", "(2.2)"), (2, "2.0", "(1.8)"), (5, "1", "(2)"), (5, "1", "(0)"),
    (7, "not share", "(share)"),
    (9, "share + most > min(LIMIT, 9)", "(share + most >= min(LIMIT, 9))"),
    (9, "share + most > min(LIMIT, 9)", "(share + most <= min(LIMIT, 9))"),
    (9, "share + most", "(share - most)"), (9, "share + most", "(share)"),
    (9, "min", "(max)"), (9, "9", "(10)"), (9, "9", "(8)"),
}  # fmt: skip


def test_the_faults_of_a_known_text():
    found = list(changes(Path("room.py"), TEXT))
    joined = [change for change in found if "known" in change.old]
    assert [change.new[1:].count(" or ") for change in joined] == [1]
    plain = {(change.line, change.old, change.new) for change in found if change not in joined}
    assert plain == WANTED
    assert {change.function for change in found if change.line > 4} == {4}


def test_a_fault_changes_its_own_place_only():
    for change in changes(Path("room.py"), TEXT):
        faulty = change.apply(TEXT)
        assert ast.parse(faulty)
        apart = [at for at, pair in enumerate(zip(TEXT.splitlines(), faulty.splitlines(), strict=True), 1)
                 if pair[0] != pair[1]]  # fmt: skip
        assert apart == [change.line]


def test_every_fault_of_a_room_can_be_read_as_python():
    found = every_change(["assess", "units"])
    assert len(found) > 100
    texts = {path: (ROOT / path).read_text(encoding="utf-8") for path in {change.path for change in found}}
    read = {path: ast.unparse(ast.parse(text)) for path, text in texts.items()}
    for change in found:
        faulty = change.apply(texts[change.path])
        assert ast.unparse(ast.parse(faulty)) != read[change.path], str(change)

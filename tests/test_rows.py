"""Every reference row against the real function of its topic.

The rows and their sources: tests/reference/*_rows.csv, column `source` of each row.
"""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from blendlab.tint.difference import delta_e_2000
from tests.topics import TOPICS

REFERENCE = Path(__file__).parent / "reference"


def _rows():
    for path in sorted(REFERENCE.glob("*_rows.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                yield pytest.param(row, id=f"{path.stem.removesuffix('_rows')}-{row['id']}")


def _near(got: float, want: float, kind: str, tolerance: float) -> bool:
    if kind == "relative":
        return abs(got - want) <= tolerance * abs(want) + 1e-9
    return abs(got - want) <= tolerance + 1e-12


def _compare(got, want, kind: str, tolerance: float, path: str = "") -> list[str]:
    if kind == "dE00" and isinstance(want, list) and want and not isinstance(want[0], list):
        away = float(delta_e_2000(got, want))
        return [] if away <= tolerance else [f"{path}: deltaE00 {away:.3f} > {tolerance}"]
    if isinstance(want, dict):
        missing = [f"{path}.{key} is missing" for key in want if key not in got]
        found = [
            problem
            for key in want
            if key in got
            for problem in _compare(got[key], want[key], kind, tolerance, f"{path}.{key}")
        ]
        return missing + found
    if isinstance(want, list):
        if all(isinstance(word, str) for word in want):
            same = set(got) == set(want) and len(got) == len(want)
            return [] if same else [f"{path}: {got} is not {want}"]
        if len(got) != len(want):
            return [f"{path}: {len(got)} entries, {len(want)} wanted"]
        return [
            problem
            for at, (mine, theirs) in enumerate(zip(got, want, strict=True))
            for problem in _compare(mine, theirs, kind, tolerance, f"{path}[{at}]")
        ]
    if isinstance(want, bool | str) or want is None or (isinstance(want, int) and tolerance == 0):
        return [] if got == want else [f"{path}: {got!r} is not {want!r}"]
    return [] if _near(float(got), float(want), kind, tolerance) else [f"{path}: {got} is not {want}"]


@pytest.mark.parametrize("row", list(_rows()))
def test_row(row):
    topic = row["topic"]
    assert topic in TOPICS, f"no function stands behind the topic {topic}"
    got = TOPICS[topic](json.loads(row["inputs"]))
    wrong = _compare(got, json.loads(row["expected"]), row["tolerance_kind"], float(row["tolerance"]))
    assert not wrong, "; ".join(wrong)

"""The log of what went wrong: what an entry says, that it stays small, that a disk that refuses is told."""

from __future__ import annotations

import pytest

from blendlab import store
from blendlab.errors import NotSaved
from blendlab.store import error_log


def trouble(words: str) -> Exception:
    try:
        raise RuntimeError(words)
    except RuntimeError as problem:
        return problem


def test_an_entry_says_where_with_which_design_in_which_version_and_why(tmp_path):
    folder = store.Folder(tmp_path / "hers")
    path = store.record_error(folder, "Scent", "3f2a81c09d", trouble("no such petal"))
    said = path.read_text(encoding="utf-8")
    assert path.parent == folder.root
    for word in ("Scent", "3f2a81c09d", "blendlab 0.", "Python 3.", "Traceback", "no such petal", __file__):
        assert word in said


def test_the_log_keeps_the_newest_whole_entries_within_its_length(tmp_path):
    folder = store.Folder(tmp_path)
    long = "petal " * 2000
    for number in range(30):
        path = store.record_error(folder, "Look", "", trouble(f"{long} number {number}."))
    said = path.read_text(encoding="utf-8")
    assert path.stat().st_size <= error_log.LONGEST
    assert said.startswith("=" * 79)
    assert "number 29." in said
    assert "number 0." not in said
    assert said.count("Traceback") == said.count("=" * 79) > 10


def test_one_endless_message_is_cut_in_its_middle(tmp_path):
    path = store.record_error(store.Folder(tmp_path), "Look", "", trouble("9" * 1_000_000 + " the end"))
    assert path.stat().st_size < 2 * error_log.LONGEST_ENTRY
    assert "the end" in path.read_text(encoding="utf-8")


def test_half_a_character_is_written_as_its_number(tmp_path):
    path = store.record_error(store.Folder(tmp_path), "Look", "", trouble("\udc80"))
    assert "\\udc80" in path.read_text(encoding="utf-8")


def test_a_disk_that_refuses_is_told(tmp_path):
    (tmp_path / error_log.NAME).mkdir()
    with pytest.raises(NotSaved):
        store.record_error(store.Folder(tmp_path), "Look", "", trouble("anything"))

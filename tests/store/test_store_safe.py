"""The safe write under fire: kills, two writers, locks, leftovers."""

import json
import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from blendlab.errors import BadDocument, ChangedOutside, NotSaved
from blendlab.store import Folder, atomic_write
from tests.store.samples import png

ROOT = Path(__file__).parents[2]

SAVING = """
import sys, json
from pathlib import Path
from blendlab.store import atomic_write
path = Path(sys.argv[1])
number = 0
while True:
    number += 1
    atomic_write.write(path, json.dumps({"n": [number] * 40_000}).encode(), atomic_write.digest(path))
    if number == 1:
        print("ready", flush=True)
"""

ADDING = """
import sys, json, random, time
from pathlib import Path
from blendlab.errors import ChangedOutside
from blendlab.store import atomic_write
path, who = Path(sys.argv[1]), sys.argv[2]
clashes = 0
for number in range(60):
    while True:
        data = path.read_bytes()
        entries = json.loads(data) + [f"{who}{number}"]
        try:
            atomic_write.write(path, json.dumps(entries).encode(), atomic_write.digest_of(data))
            break
        except ChangedOutside:
            clashes += 1
            time.sleep(random.random() / 500)
print(clashes)
"""


def program(code, *arguments):
    return subprocess.Popen(
        [sys.executable, "-c", code, *map(str, arguments)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )


def test_a_kill_while_saving_never_leaves_half_a_file(tmp_path):
    path = tmp_path / "big.json"
    for kill in range(6):
        with program(SAVING, path) as saving:
            assert saving.stdout.readline() == "ready\n"
            time.sleep(0.03 + 0.013 * kill)
            saving.kill()
        numbers = json.loads(path.read_bytes())["n"]
        assert len(numbers) == 40_000
        assert len(set(numbers)) == 1
    before = path.read_bytes()
    atomic_write.write(path, b"{}", atomic_write.digest_of(before))
    assert path.read_bytes() == b"{}"


def test_two_writers_lose_nothing(tmp_path):
    path = tmp_path / "list.json"
    path.write_bytes(b"[]")
    writers = [program(ADDING, path, who) for who in "ab"]
    for writer in writers:
        with writer:
            assert writer.wait(30) == 0
    entries = json.loads(path.read_bytes())
    assert sorted(entries) == sorted(f"{who}{number}" for who in "ab" for number in range(60))


def test_two_threads_with_one_digest_let_one_through(tmp_path):
    path = tmp_path / "one.json"
    seen = atomic_write.write(path, b"start", None)
    outcomes = []

    def attempt(number):
        try:
            atomic_write.write(path, f"thread {number}".encode(), seen)
            outcomes.append("written")
        except ChangedOutside:
            outcomes.append("turned away")

    threads = [threading.Thread(target=attempt, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["turned away"] * 7 + ["written"]


def test_new_means_new(tmp_path):
    path = tmp_path / "one.json"
    digest = atomic_write.write(path, b"first", None)
    assert digest == atomic_write.digest(path)
    with pytest.raises(ChangedOutside):
        atomic_write.write(path, b"second", None)
    path.unlink()
    with pytest.raises(ChangedOutside):
        atomic_write.write(path, b"second", digest)


def test_a_failed_swap_leaves_the_old_file_and_no_leftover(tmp_path, monkeypatch):
    path = tmp_path / "one.json"
    seen = atomic_write.write(path, b"old", None)

    def refuse(source, target):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(NotSaved, match="disk is full"):
        atomic_write.write(path, b"new", seen)
    assert path.read_bytes() == b"old"
    assert list(tmp_path.glob(f".*{atomic_write.PART}")) == []


def test_a_held_target_is_tried_five_times_on_windows(tmp_path, monkeypatch):
    tries = []

    def refuse(source, target):
        tries.append(target)
        raise PermissionError(13, "held open")

    monkeypatch.setattr(Path, "replace", refuse)
    monkeypatch.setattr(atomic_write.os, "name", "nt")
    monkeypatch.setattr(atomic_write.time, "sleep", lambda seconds: tries.append(seconds))
    with pytest.raises(PermissionError):
        atomic_write.swap(tmp_path, tmp_path)
    assert tries == [tmp_path, 0.05] * 4 + [tmp_path]


def test_a_lock_held_elsewhere_is_told_not_waited_for_ever(tmp_path, monkeypatch):
    monkeypatch.setattr(atomic_write, "LOCK_SECONDS", 0.05)
    with (
        atomic_write.locked(tmp_path),
        pytest.raises(NotSaved, match="another window"),
        atomic_write.locked(tmp_path),
    ):
        raise AssertionError("two held one lock")


def test_leftovers_older_than_a_minute_are_swept_at_start(tmp_path):
    cards = tmp_path / "cards"
    cards.mkdir()
    old, young = cards / f".a.json.1-ab{atomic_write.PART}", cards / f".b.json.2-cd{atomic_write.PART}"
    for part in (old, young):
        part.write_bytes(b"half")
    (cards / "a.json").write_bytes(png())
    os.utime(old, (time.time() - 61, time.time() - 61))
    Folder.at(tmp_path)
    assert sorted(path.name for path in cards.iterdir()) == [young.name, "a.json"]


@pytest.mark.parametrize("name", ["..", ".", "", "a/b", "a\\b", "C:x", "x\0y"])
def test_names_that_leave_the_folder_are_refused(tmp_path, name):
    with pytest.raises(BadDocument, match="would leave the folder"):
        atomic_write.inside(tmp_path, "cards", name)


@pytest.mark.parametrize(
    "id_", ["con", "NUL", "com1", "lpt9", "aux", "A", "a.", " a", "a" * 81, "", "é", "-a", "a-"]
)
def test_ids_become_harmless_and_stay_apart(id_):
    made = atomic_write.plain_id(id_)
    assert made != id_
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-_")
    assert 0 < len(made) <= 40
    assert made != atomic_write.plain_id(id_ + "x")

"""A full disk is called one, whichever way the system and SQLite answer it, and nothing before it is lost."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest

from blendlab import store
from blendlab.errors import BadDocument, NotSaved
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from blendlab.store import atomic_write, book_schema

DAY = date(2026, 3, 7)
ROOT = Path(__file__).parents[2]


def lot(code="L-1"):
    return Lot(code=code, of=Ref(kind="pigment", id="gold"), name="Gold")


@pytest.fixture
def folder(tmp_path):
    return store.Folder(tmp_path / "hers")


@pytest.fixture
def book(folder):
    book = store.open_book(folder, DAY)
    book.receive(lot(), 10.0)
    return book


@contextmanager
def no_byte_more():
    """No file of this process can grow: the system refuses as it does on a full disk, under another name."""
    resource = pytest.importorskip("resource", reason="only some systems limit the length of a file")
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def acts(folder, book):
    return (
        lambda: book.receive(lot("L-2"), 10.0),
        lambda: store.lots(book),
        lambda: store.open_book(folder, DAY),
        lambda: store.open_book(store.Folder(folder.root.parent / "new"), DAY),
    )


def test_what_sqlite_calls_an_error_of_the_disk_is_a_full_disk_where_no_room_is_left(
    folder, book, monkeypatch
):
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=0))
    for act in acts(folder, book):
        with no_byte_more(), pytest.raises(NotSaved) as told:
            act()
        assert "the disk is full. Make room" in str(told.value)
        assert "what was saved before is kept" in str(told.value)
    assert [line.left_g for line in store.lots(book)] == [10.0]


def test_an_error_of_the_disk_with_room_on_it_is_not_called_a_full_one(book, monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=10**9))
    with no_byte_more(), pytest.raises(NotSaved) as told:
        store.lots(book)
    assert "full" not in str(told.value)
    assert "disk I/O error" in str(told.value)


def test_a_damaged_book_on_a_full_disk_is_called_damaged(book, monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=0))
    with sqlite3.connect(book.path) as link:
        link.execute("DROP TABLE entries")
    link.close()
    with pytest.raises(BadDocument, match="no such table"):
        store.challenges(book)


def test_each_refusal_has_its_own_words(tmp_path):
    path = tmp_path / "book.sqlite3"
    for name, words in (
        ("SQLITE_FULL", "the disk is full"),
        ("SQLITE_BUSY", "another window holds the book"),
        ("SQLITE_READONLY", "read-only"),
        ("SQLITE_ERROR", "as SQLite says it"),
    ):
        problem = sqlite3.OperationalError("as SQLite says it")
        problem.sqlite_errorcode = getattr(sqlite3, name)
        assert words in str(book_schema.refused(path, problem))
    assert "as SQLite says it" in str(
        book_schema.refused(path, sqlite3.ProgrammingError("as SQLite says it"))
    )


def test_room_is_asked_for_where_a_file_is_to_lie(tmp_path, monkeypatch):
    asked = []

    def usage(place):
        asked.append(place)
        return SimpleNamespace(free=0)

    monkeypatch.setattr(shutil, "disk_usage", usage)
    assert atomic_write.no_room(tmp_path / "not" / "yet" / "there.json")
    assert asked == [tmp_path]


SCRIPT = """
import os, sys
from pathlib import Path
from datetime import date
from blendlab import store
from blendlab.errors import NotSaved
from blendlab.recipe import Ref
from blendlab.shelf import Lot
folder = store.Folder(Path("/mnt/hers"))
book = store.open_book(folder, date(2026, 3, 7))
book.receive(Lot(code="L-1", of=Ref(kind="pigment", id="gold"), name="Gold"), 10.0)
room = os.statvfs("/mnt")
Path("/mnt/ballast").write_bytes(b"x" * (room.f_bavail * room.f_frsize - int(sys.argv[1])))
acts = [
    lambda: book.receive(Lot(code="L-2", of=Ref(kind="pigment", id="gold"), name="Gold"), 10.0),
    lambda: store.lots(book),
    lambda: store.open_book(folder, date(2026, 3, 9)),
    lambda: store.open_book(store.Folder(Path("/mnt/new")), date(2026, 3, 9)),
    lambda: store.rescue(folder),
    lambda: store.save_draft(folder, "x", {"a": "b" * 30_000}, None),
]
for act in acts:
    try:
        act()
    except NotSaved as problem:
        assert "the disk is full" in str(problem), problem
Path("/mnt/ballast").unlink()
assert [line.lot.code for line in store.lots(book)][-1:] == ["L-1"]
print("told")
"""


@pytest.mark.slow
@pytest.mark.parametrize("left", [0, 4096, 12_000, 20_000])
def test_a_disk_that_is_really_full_is_called_full(left):
    """A disk of 2 MB in memory, of this process's own."""
    mount = "mount -t tmpfs -o size=2m none /mnt"
    if not shutil.which("unshare") or subprocess.run(["unshare", "-rm", "sh", "-c", mount]).returncode:
        pytest.skip("this system lets nobody mount a small disk of their own")
    run = f"{mount} && exec {sys.executable} - {left}"
    done = subprocess.run(
        ["unshare", "-rm", "sh", "-c", run], input=SCRIPT, text=True, capture_output=True, cwd=ROOT
    )
    assert done.stdout == "told\n", done.stderr

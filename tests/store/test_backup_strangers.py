# ruff: noqa: F811
"""Backups of folders with files of other programs in them, and backups that a stranger made."""

from __future__ import annotations

import os
import sqlite3
import zipfile
from contextlib import closing

import pytest

from blendlab import store
from blendlab.store import archive
from blendlab.store.bring_in import LEFT, NEW
from blendlab.store.folder import Folder
from tests.store.test_backup import folder, made, packed, repacked, took  # noqa: F401  fixtures
from tests.store.test_book_rescue import rows

NO_NAMES = [
    "sheet 3:4.pdf",
    "back\\slash.txt",
    "backup.json",
    "SETTINGS.json",
    "BOOK.sqlite3",
    os.fsdecode(b"\xff.txt"),
]


@pytest.mark.parametrize("name", NO_NAMES, ids=ascii)
def test_a_file_that_not_every_system_can_have_does_not_keep_a_backup_from_being_made(folder, tmp_path, name):
    try:
        with (folder.root / name).open("xb") as file:
            file.write(b"another program's")
    except OSError:
        pytest.skip("this system cannot have a file of that name beside hers")
    backup = store.make_backup(folder, tmp_path / "all.zip")
    assert len(backup.told) == 1
    assert backup.told[0].endswith("and was left out.")
    assert backup.told[0].isprintable()
    assert backup.lines
    with zipfile.ZipFile(backup.path) as zipped:
        assert len(zipped.namelist()) == len({inner.casefold() for inner in zipped.namelist()})
    other = Folder(tmp_path / "other")
    assert took(other, backup.path)[LEFT] == []
    assert store.read_settings(other) == {"currency": "EUR"}


def test_a_file_of_zeros_is_packed_and_not_taken_for_a_bomb(folder, tmp_path):
    (folder.root / "scan.bmp").write_bytes(bytes(15_000_000))
    backup = store.make_backup(folder, tmp_path / "all.zip")
    assert backup.told == ()
    assert "scan.bmp" in store.read_back(backup.path).files


# --- bringing in ------------------------------------------------------------------------------------------


def test_what_is_damaged_here_gives_way_to_what_the_backup_has(folder, packed):
    for path in (
        *folder.cards.glob("lagoon*.json"),
        *folder.lines.glob("*.json"),
        *folder.shelf.glob("*/gold.json"),
    ):
        path.write_text("{")
    came = took(folder, packed.path)
    assert sorted(came[NEW]) == ["Gold mica", "Lagoon", "Spring"]
    assert came[LEFT] == []
    assert {entry.name for entry in store.listing(folder) if not entry.damaged} == {"Lagoon", "Fern"}
    assert len(list(folder.damaged.rglob("*.json"))) == 3


def test_a_card_that_only_a_newer_version_reads_stays_and_the_other_comes_beside_it(folder, packed):
    hers = next(folder.cards.glob("lagoon*.json"))
    hers.write_text('{"format": 99, "design": {"id": "lagoon", "name": "Lagoon", "format": 99, "tones": 7}}')
    before = hers.read_bytes()
    came = took(folder, packed.path)
    assert came["both"] == ["Lagoon, brought in", "Spring, brought in"]
    assert hers.read_bytes() == before


def test_a_file_in_the_way_stays_and_the_rest_comes(folder, packed):
    for path in folder.cards.glob("lagoon*.json"):
        path.write_bytes(next(folder.cards.glob("fern*.json")).read_bytes())
    (folder.shelf / "oil" / "lavender.json").unlink()
    came = took(folder, packed.path)
    assert came[LEFT] == ["cards/lagoon-lagoon.json"]
    assert came[NEW] == ["Lavender"]


ODD = [
    "cards/notes.txt", "shelf/oil/sheet.pdf", "lines/x.csv", "cards",
    "drafts/x/y.json", "draft.json/x.json", "settings.json/x.json",
]  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_no_file_is_left_without_a_word_or_put_where_another_belongs(packed, tmp_path, name):
    with zipfile.ZipFile(packed.path) as whole:
        files = {
            info.filename: whole.read(info) for info in whole.infolist() if info.filename != "settings.json"
        }
    bare = tmp_path / "bare.zip"
    with zipfile.ZipFile(bare, "w") as kept:
        for inner, data in files.items():
            kept.writestr(inner, data)
    other = Folder(tmp_path / "other")
    assert took(other, repacked(bare, tmp_path / "odd.zip", files={name: b"{}"}))[LEFT] == [name]
    store.save_settings(other, {"currency": "USD"})
    assert store.read_settings(other) == {"currency": "USD"}


def test_a_name_is_said_without_what_a_terminal_would_obey(packed, tmp_path):
    file = repacked(packed.path, tmp_path / "bell.zip", files={"a\x1b[2J\n.txt": b"x"})
    assert took(Folder(tmp_path / "other"), file)[LEFT] == [r"a\x1b[2J\n.txt"]
    assert archive.shown("Größe.pdf") == "Größe.pdf"


BOOKS = {
    "a trigger that writes": "CREATE TRIGGER evil AFTER INSERT ON entries BEGIN"
    " INSERT INTO entries(kind, subject, data, at) VALUES ('note', '', '{}', ''); END",
    "lines that can be changed": "DROP TRIGGER movements_never_changed",
    "a table that is named to break a question": 'CREATE TABLE "a"" b" (x)',
    "a column more": "ALTER TABLE entries ADD COLUMN more TEXT",
    "another table of that name": "DROP TABLE entries; CREATE TABLE entries (id INTEGER PRIMARY KEY, x)",
    "a version that it is not": "PRAGMA user_version = 2",
}


@pytest.mark.parametrize("what", BOOKS)
def test_a_book_that_this_program_did_not_make_stays_in_the_file(folder, packed, tmp_path, what):
    odd = tmp_path / "odd.sqlite3"
    with zipfile.ZipFile(packed.path) as whole:
        odd.write_bytes(whole.read(archive.BOOK))
    with closing(sqlite3.connect(odd)) as link:
        link.executescript(BOOKS[what])
    file = repacked(packed.path, tmp_path / "odd.zip", files={archive.BOOK: odd.read_bytes()})
    before = rows(folder.book)
    for more in ({}, {"with_book": True}):
        assert took(folder, file, **more)[LEFT] == [archive.BOOK]
    assert rows(folder.book) == before
    other = Folder(tmp_path / "other")
    assert took(other, file)[LEFT] == [archive.BOOK]
    assert not other.book.exists()


def test_verify_tells_a_book_that_was_made_otherwise(folder):
    with closing(sqlite3.connect(folder.book)) as link:
        link.executescript(BOOKS["lines that can be changed"])
    assert store.verify(folder).found == (
        "The book: its tables are not those this program makes (movements_never_changed).",
    )

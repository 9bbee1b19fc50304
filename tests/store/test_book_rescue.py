"""A damaged, shortened or missing book: never replaced unasked, rescued line by line, codes go on."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from datetime import date, timedelta

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.batch.record import LETTERS
from blendlab.recipe import Ref
from blendlab.shelf import Lot, resolve
from blendlab.store import book_file, book_rescue, book_schema
from blendlab.store.book import Book
from blendlab.store.book_schema import TABLES
from blendlab.store.folder import Folder
from tests.batch import plans_to_try as tries

DAY = date.today()
TODAY = f"{DAY:%y%j}"
PAGE = 4096


@pytest.fixture
def folder(tmp_path):
    return Folder(tmp_path)


@pytest.fixture(scope="module")
def made():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


@pytest.fixture(scope="module")
def written(tmp_path_factory, made):
    """The file of a book with a lot and 20 batches of today that drew from it."""
    book = store.open_book(Folder(tmp_path_factory.mktemp("written")))
    lot = book.receive(Lot(code="L-1", of=Ref(kind="pigment", id="blue"), name="Blue"), 100.0)
    for _ in range(20):
        code = book.start(made, DAY, sku="TWO120")
        book.weigh(code, "pigment:blue", 1.0, planned_g=1.0, lot=lot)
        book.tick(code, "clean")
    with closing(sqlite3.connect(book.path)) as link:
        link.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return book.path


@pytest.fixture
def filled(folder, written):
    """That book in a folder of its own, not opened yet."""
    shutil.copyfile(written, folder.book)
    return Book(folder.book)


def rows(path):
    with closing(sqlite3.connect(path)) as link:
        return {table: link.execute(f"SELECT * FROM {table} ORDER BY id").fetchall() for table in TABLES}


def checkpoint(folder):
    with closing(sqlite3.connect(folder.book)) as link:
        link.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def tear(folder, *pages):
    """Overwrite pages of the file, counted from 1, as a failing disk does."""
    checkpoint(folder)
    whole = bytearray(folder.book.read_bytes())
    for page in pages:
        whole[(page - 1) * PAGE : page * PAGE] = b"\xa5" * PAGE
    folder.book.write_bytes(bytes(whole))


def leaf(folder, table):
    """The last page of a table."""
    checkpoint(folder)
    with closing(sqlite3.connect(folder.book)) as link:
        (root,) = link.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()
    whole = folder.book.read_bytes()
    page = whole[(root - 1) * PAGE : root * PAGE]
    return int.from_bytes(page[8:12], "big") if page[0] == 5 else root


def test_a_book_that_is_no_book_is_refused_and_stays_as_it_is(folder):
    store.open_book(folder)
    folder.book.write_bytes(b"SQLite format 3\x00" + b"nonsense" * 2000)
    before = folder.book.read_bytes()
    for _ in range(2):
        with pytest.raises(store.DamagedBook, match="no new one was begun"):
            store.open_book(folder)
    assert folder.book.read_bytes() == before
    assert not folder.bin.exists()


def test_torn_pages_are_refused_in_one_line(folder, filled):
    tear(folder, 3, 4, 5, 6)
    with pytest.raises(store.DamagedBook) as told:
        store.open_book(folder)
    assert "\n" not in str(told.value)


def test_a_new_book_begins_on_her_word_and_the_damaged_one_is_kept(folder, filled):
    tear(folder, 1)
    before = folder.book.read_bytes()
    store.begin_anew(folder)
    assert store.batches(store.open_book(folder)) == ()
    (kept,) = folder.bin.glob("book-until-*/book.sqlite3")
    assert kept.read_bytes() == before


@pytest.mark.parametrize("table", TABLES)
def test_what_can_be_read_is_rescued_row_by_row(folder, filled, table):
    book = filled
    before = rows(book.path)
    tear(folder, leaf(folder, table))
    with pytest.raises(store.DamagedBook):
        store.open_book(folder)
    rescued = store.rescue(folder)
    again = store.open_book(folder)
    after = rows(again.path)
    for name in set(TABLES) - {table}:
        kept = {row[0]: row for row in after[name]}
        same = [kept.get(row[0]) == row for row in before[name]]
        # a weighing or an entry whose line is lost keeps its figures and loses only its reference
        assert all(same) or table in ("weighings", "entries"), name
        assert set(kept) >= {row[0] for row in before[name]}
    assert rescued.lines == {name: len(found) for name, found in after.items()}
    with closing(sqlite3.connect(again.path)) as link:
        assert link.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert link.execute("PRAGMA foreign_key_check").fetchall() == []
        for name in TABLES:
            if after[name]:
                with pytest.raises(sqlite3.IntegrityError, match="only added to"):
                    link.execute(f"UPDATE {name} SET at = 'never'")


def test_codes_go_on_after_the_last_even_where_the_batches_are_lost(folder, filled, made):
    book = filled
    codes = {line.code for line in store.batches(book)}
    tear(folder, leaf(folder, "batches"))
    rescued = store.rescue(folder)
    again = store.open_book(folder)
    assert again.start(made, DAY) == f"{TODAY}{LETTERS[20]}"
    known = {line.code.partition("-")[0] for line in store.batches(again)} | set(rescued.codes)
    assert {code.partition("-")[0] for code in codes} <= known


def test_the_copy_of_the_day_gives_back_what_the_file_lost(folder, filled, made):
    book = filled
    assert store.open_book(folder, DAY).told == ""
    book.start(made, DAY)
    before = rows(book.path)
    tear(folder, leaf(folder, "weighings"), leaf(folder, "movements"))
    store.rescue(folder)
    after = rows(store.open_book(folder).path)
    assert after["weighings"] == before["weighings"]
    assert after["movements"] == before["movements"]
    assert [row[1] for row in after["batches"]] == [row[1] for row in before["batches"]]


def test_a_book_that_is_gone_or_emptied_is_missed(folder, filled):
    store.open_book(folder)
    checkpoint(folder)
    before = rows(folder.book)
    for harm in (lambda: folder.book.unlink(), lambda: folder.book.write_bytes(b"")):
        harm()
        for ending in book_file.LOGS:
            folder.book.with_name(folder.book.name + ending).unlink(missing_ok=True)
        with pytest.raises(store.DamagedBook, match=r"gone|empty"):
            store.open_book(folder)
    store.rescue(folder)
    assert rows(store.open_book(folder).path) == before


def test_an_emptied_book_is_missed_on_its_first_day_too(folder):
    """No copy of it is in the bin yet."""
    store.open_book(folder)
    for ending in ("", *book_file.LOGS):
        folder.book.with_name(folder.book.name + ending).unlink(missing_ok=True)
    folder.book.touch()
    with pytest.raises(store.DamagedBook, match="its file is empty"):
        store.open_book(folder)
    assert folder.book.read_bytes() == b""
    store.begin_anew(folder)
    assert store.open_book(folder).told == ""


def test_a_first_opening_that_is_cut_off_leaves_no_empty_file(folder, monkeypatch):
    def cut(*_):
        raise KeyboardInterrupt

    with monkeypatch.context() as power:
        power.setattr(book_schema, "_wal", cut)
        with pytest.raises(KeyboardInterrupt):
            store.open_book(folder)
    assert not folder.book.exists()
    assert store.open_book(folder).told == ""


def test_a_book_that_was_never_there_begins_without_a_word(folder):
    assert store.open_book(folder).told == ""
    assert store.open_book(folder).told == ""


def test_seven_daily_copies_are_kept(folder, filled):
    days = [DAY + timedelta(days=after) for after in range(10)]
    for day in days:
        store.open_book(folder, day)
    assert [copy.stem for copy in book_file.copies(folder)] == [
        day.isoformat() for day in reversed(days[-7:])
    ]
    assert all(rows(copy) == rows(folder.book) for copy in book_file.copies(folder))


def test_copies_of_days_to_come_are_the_first_to_go(folder, filled):
    """A clock that ran ahead for a week must not keep every later day from being kept."""
    for ahead in range(7):
        store.open_book(folder, DAY + timedelta(days=1000 + ahead))
    days = [DAY + timedelta(days=after) for after in range(7)]
    for day in days:
        store.open_book(folder, day)
    kept = [copy.stem for copy in book_file.copies(folder)]
    assert kept == [day.isoformat() for day in reversed(days)]


def test_a_copy_that_cannot_be_made_is_told_and_the_book_opens(folder, filled, made, monkeypatch):

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(book_file, "copy_book", full)
    book = store.open_book(folder)
    assert "could not be made" in book.told
    assert "the disk is full" in book.told
    assert len(store.batches(book)) == 20


@pytest.mark.parametrize("moved", range(4))
def test_a_replacement_that_was_cut_off_is_carried_on(folder, filled, monkeypatch, moved):
    """However many of the old files were moved when the power went, the next opening ends it."""
    store.open_book(folder)
    tear(folder, 2)
    before, left = folder.book.read_bytes(), [moved]
    aside = book_file.atomic_write.set_aside

    def cut(path, to):
        if not left[0]:
            raise KeyboardInterrupt
        left[0] -= 1
        return aside(path, to)

    with monkeypatch.context() as power:
        power.setattr(book_file.atomic_write, "set_aside", cut)
        try:
            store.rescue(folder)
        except KeyboardInterrupt:
            assert (folder.root / book_file.READY).exists()
    book = store.open_book(folder)
    assert len(store.batches(book)) == 20
    assert not (folder.root / book_file.READY).exists()
    (kept,) = folder.bin.glob("book-until-*/book.sqlite3")
    assert kept.read_bytes() == before


def test_a_copy_is_whole_while_another_window_writes(folder, filled, tmp_path):
    book = filled
    with closing(sqlite3.connect(folder.book, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        other.execute("INSERT INTO entries (kind, subject, data, at) VALUES ('note', 'x', '{}', 'now')")
        counts = book_file.copy_book(folder.book, tmp_path / "copy.sqlite3")
        other.execute("ROLLBACK")
    assert rows(tmp_path / "copy.sqlite3") == rows(book.path)
    assert counts == {table: len(found) for table, found in rows(book.path).items()}


def test_only_codes_of_days_that_were_are_taken_for_codes():
    assert book_rescue._is_day(f"{TODAY}A")
    assert not book_rescue._is_day("99001A")
    assert not book_rescue._is_day("26999A")
    found = book_rescue.CODE.findall(b'G26066Ajars "26066B" 26066C-TWO 126066D S26066EX')
    assert found == [b"26066A", b"26066B", b"26066C"]


def test_a_damaged_file_is_rescued_from_a_copy_and_not_touched(folder, filled, made):
    log = folder.book.with_name(folder.book.name + "-wal")
    link = sqlite3.connect(folder.book)  # another window keeps the log from being folded in
    link.execute("SELECT * FROM lots").fetchone()
    store.open_book(folder).start(made, DAY)
    assert log.stat().st_size
    link.close()
    assert folder.book.exists()
    assert store.rescue(folder).lines["batches"] == 21

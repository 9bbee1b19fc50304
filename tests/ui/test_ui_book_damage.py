"""A book that cannot be read: every page says so, and only her word does something about it."""

from __future__ import annotations

import pytest

from blendlab import store
from blendlab.ui.words import safekeeping as say
from tests.ui.conftest import Pages
from tests.ui.kitchen_walk import started


@pytest.fixture
def torn(pages, folder):
    """A folder whose book has a batch and then loses its first page; the code of the batch beside it."""
    code = started(pages)
    whole = bytearray(folder.book.read_bytes())
    whole[:4096] = b"\xa5" * 4096
    folder.book.write_bytes(bytes(whole))
    for log in folder.root.glob("book.sqlite3-*"):
        log.unlink()
    return folder, code


def test_batch_and_book_say_it_and_nothing_is_begun(torn, monkeypatch):
    folder, _ = torn
    before = folder.book.read_bytes()
    for path in ("book", "batch", "look"):
        pages = Pages().go(path)
        assert ("no new one was begun" in pages.said) == (path != "look")
    assert folder.book.read_bytes() == before


def test_her_word_rescues_what_can_be_read(torn):
    folder, code = torn
    pages = Pages().go("book").press(say.RESCUE)
    assert "In the new book" in pages.said
    assert code.partition("-")[0] in pages.said
    book = store.open_book(folder)
    assert store.batches(book) == ()
    assert len(store.unread(book)) == 1
    assert list(folder.bin.glob("book-until-*/book.sqlite3"))


def test_her_word_begins_an_empty_book(torn):
    folder, _ = torn
    pages = Pages().go("book").press(say.BEGIN_ANEW_YES)
    assert say.BEGUN_ANEW in pages.said
    assert store.batches(store.open_book(folder)) == ()

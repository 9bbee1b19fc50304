"""Photos of kept jars in the Book: added with a reading, shown beside each other, told when they are gone."""

from __future__ import annotations

from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from blendlab import store
from blendlab.production import stability
from blendlab.store import photos
from blendlab.ui import book_record
from blendlab.ui.words import FILE_GOES
from blendlab.ui.words import book as say
from blendlab.ui.words import kept_photos as photos_say
from tests.store.samples import jpeg, swollen
from tests.ui.test_ui_book import a_batch_for_sale


@pytest.fixture
def code(folder):
    return a_batch_for_sale(folder)


def kept_jars(pages):
    pages.go("book").at.get_by_key("book-part").set_value("tests")
    return pages.run()


def test_a_reading_with_a_photo_is_written_and_a_broken_file_is_answered(pages, folder, code):
    kept_jars(pages)
    pages.at.button(key="put-reading").click()
    pages.run()
    assert "Nothing was read" in pages.said
    assert FILE_GOES not in pages.said
    pages.at.get_by_key("read1-test").set_value("light")
    pages.at.file_uploader(key="read1-photo").set_value(("jar.jpg", b"no picture", "image/jpeg"))
    pages.at.button(key="put-reading").click()
    pages.run()
    assert "This file is no picture that can be read" in pages.said
    assert FILE_GOES in pages.said
    assert store.batch(store.open_book(folder), code).of("reading") == ()
    pages.at.file_uploader(key="read1-photo").set_value(("jar.jpg", jpeg(), "image/jpeg"))
    pages.at.text_input(key="read1-on").set_value("2025-01-01")
    pages.at.button(key="put-reading").click()
    pages.run()
    assert "2025-01-01 is before the day of the batch" in pages.said
    pages.at.text_input(key="read1-on").set_value("")
    pages.at.text_input(key="read1-colour").set_value("3,5")
    pages.at.button(key="put-reading").click()
    pages.run()
    (entry,) = store.batch(store.open_book(folder), code).of("reading")
    assert entry.subject == "light"
    assert store.photo_file(folder, entry.data["photo"]).name.startswith(f"{code.lower()}-light-")
    assert "colour change 3.5 ΔE2000, fails" in pages.said
    assert photos_say.WITH_PHOTO in pages.said
    assert not pages.at.file_uploader(key="read2-photo").value


def test_what_was_typed_beside_a_photo_survives_another_page(pages, code):
    kept_jars(pages)
    pages.at.text_input(key="read1-ph").set_value("0,2")
    pages.at.get_by_key("read1-growth").set_value("no")
    pages.run()
    pages.go("guide")
    kept_jars(pages)
    assert pages.at.text_input(key="read1-ph").value == "0,2"
    assert pages.at.get_by_key("read1-growth").value == "no"


def test_the_record_tells_every_reading_and_names_its_photo(folder, code):
    """Day, figures, verdict, note, and the file of the photo, also when that is gone."""
    book = store.open_book(folder)
    said = {"on": "2025-03-21", "ph_shift": 0.2, "note": "smells as ever", "not_read": ["growth"]}
    store.write_reading(book, code, "light", said)
    store.write_reading(book, code, "light", {"on": "2025-04-04", "fails": ["growth"]}, jpeg())
    log = stability.log_of(store.batch(book, code), date(2025, 4, 5))
    name = "light window or box, beside a jar in foil"
    (photo,) = photos.files(folder)
    assert stability.record(folder, log) == [
        (
            f"{name}, 2025-03-21",
            "pH shift 0.2. Nothing failed of what was read; not read: growth. smells as ever",
        ),
        (f"{name}, 2025-04-04", f"Fails: growth. Photo {photo.name}."),
        *((f"{name}, {due.on}", "not read in its time") for due in log.missed),
    ]
    photo.unlink()
    assert "is not in the folder" in stability.record(folder, log)[1][1]


def test_the_printed_record_has_the_readings_of_kept_jars(folder, code):
    book = store.open_book(folder)
    store.write_reading(book, code, "light", {"on": "2025-03-21", "ph_shift": 0.2, "note": "as ever"})
    for _ in range(3):
        book.fill(code, 1 + len(store.batch(book, code).filled_g), 75.0)
    gate = next(step for step in store.batch(book, code).now.steps if step.kind == "gate")
    book.tick(code, gate.id, 38.5)
    pages = PdfReader(BytesIO(book_record.pdf(book, store.batch(book, code)))).pages
    said = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "What became of it" in said
    assert "pH not measured" in said
    assert "38.5 °C" in said
    assert "with customers 2" in said
    told = said.partition("Kept jars, what was read")[2]
    assert "light window or box" in told
    assert "pH shift 0.2." in told
    assert "as ever" in told


def test_photos_of_one_test_stand_in_order_of_time_first_and_last_together(pages, folder, code):
    book = store.open_book(folder)
    for month in (9, 7, 8, 6):
        said = {"on": f"2025-0{month}-01", "delta_e00": month / 3}
        store.write_reading(book, code, "light", said, jpeg((month, month, month)))
    kept_jars(pages)
    days = [pages.said.index(f"2025-0{month}-01 · colour change") for month in (6, 9, 7, 8)]
    assert days == sorted(days)
    assert len(pages.at.get("image")) == 4


def test_a_photo_that_came_to_be_too_large_is_told_and_not_unpacked(pages, folder, code, monkeypatch):
    """The book and the file agree, but nobody could show it: another program put both there."""
    with monkeypatch.context() as unguarded:
        unguarded.setattr(photos, "refuse_other", lambda data: None)
        store.write_reading(store.open_book(folder), code, "light", {"on": "2025-06-01"}, swollen(jpeg()))
    kept_jars(pages)
    assert "too many pixels; at most 60 million fit" in pages.said
    assert say.WRITE_READING in pages.said


def test_a_photo_that_is_gone_is_told_and_the_page_stands(pages, folder, code):
    book = store.open_book(folder)
    store.write_reading(book, code, "light", {"on": "2025-06-01"}, jpeg())
    photos.files(folder)[0].unlink()
    kept_jars(pages)
    assert "This photo cannot be read: it is not in the folder" in pages.said
    assert say.WRITE_READING in pages.said

"""What is typed about a reading, and its photo."""

from datetime import date

import pytest

from blendlab import store
from blendlab.forms.stability_reading import photo_of, reading_of
from blendlab.shelf import Shelf
from tests.store.samples import jpeg
from tests.store.test_photos import book, code, folder, made  # noqa: F401

DAY = date(2026, 4, 4)


@pytest.fixture
def page(book, code):  # noqa: F811
    return store.batch(book, code)


def test_a_reading_of_nothing_is_answered_and_a_photo_alone_is_one(page):
    none, answers = reading_of({}, DAY, page, Shelf(()))
    assert none is None
    assert answers == ["Nothing was read: give a figure, what you saw, a note or a photo."]
    for typed, photo in (({}, True), ({"note": "as before"}, False), ({"growth": "no"}, False)):
        said, answers = reading_of(typed, DAY, page, Shelf(()), photo=photo)
        assert not answers
        assert said["on"] == "2026-04-04"


def test_a_day_that_is_still_to_come_is_answered(page):
    none, answers = reading_of({"on": "2026-04-05", "ph": "0.1"}, DAY, page, Shelf(()))
    assert none is None
    assert answers == ["Day: 2026-04-05 is still to come."]


def test_a_photo_that_cannot_be_read_is_answered():
    assert photo_of(b"") == (b"", [])
    kept, answers = photo_of(jpeg())
    assert kept.startswith(b"\xff\xd8")
    assert answers == []
    kept, answers = photo_of(b"GIF89a")
    assert kept == b""
    assert answers == ["Photo: This file is no picture that can be read (JPEG, PNG or WebP)."]

"""Photos of kept jars: on the disk before the book names them, found by digest, carried by a backup."""

from __future__ import annotations

import sqlite3
import zipfile
from datetime import date

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.errors import BadDocument, NotSaved
from blendlab.shelf import resolve
from blendlab.store import atomic_write, photos
from blendlab.store.bring_in import BOTH, EQUAL, LEFT, NEW
from tests.batch import plans_to_try as tries
from tests.store.samples import jpeg, swollen
from tests.store.test_backup import repacked

DAY, LATER = date(2026, 3, 7), "2026-04-04"


@pytest.fixture(scope="module")
def made():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


@pytest.fixture
def folder(tmp_path):
    return store.Folder(tmp_path / "hers")


@pytest.fixture
def book(folder):
    folder.root.mkdir()
    return store.open_book(folder, DAY)


@pytest.fixture
def code(book, made):
    return book.start(made, DAY, sku="TWO120")


def read(book, code, photo=b"", on=LATER, test="light"):
    return store.write_reading(book, code, test, {"on": on, "note": "looked at"}, photo)


def named(book, code):
    return [entry.data["photo"] for entry in store.batch(book, code).of("reading")]


def test_a_photo_lies_in_her_folder_under_a_name_she_can_read(folder, book, code):
    read(book, code, jpeg())
    (path,) = folder.photos.iterdir()
    assert path.name.startswith(f"{code.lower()}-light-2026-04-04-")
    assert path.read_bytes() == jpeg()
    (digest,) = named(book, code)
    assert digest == atomic_write.digest_of(jpeg())
    assert store.photo_file(folder, digest) == path
    path.rename(path.with_name("the pale one.jpg"))
    assert store.photo_file(folder, digest).name == "the pale one.jpg"


def test_a_reading_without_a_photo_names_none(folder, book, code):
    read(book, code)
    assert named(book, code) == [""]
    assert not folder.photos.exists()


def test_only_the_act_with_the_photo_writes_a_reading(book, code):
    said = {"on": LATER, "photo": "0" * 64}
    with pytest.raises(store.Refused):
        book.write("reading", "light", said, code)
    read(book, code, jpeg())
    store.write_reading(book, code, "light", said)  # what the caller says of a photo counts for nothing
    assert named(book, code) == [atomic_write.digest_of(jpeg()), ""]


@pytest.mark.parametrize(
    ("said", "photo", "problem"),
    [
        ({"on": "2026-03-01"}, jpeg(), store.Refused),
        ({"on": "soon"}, jpeg(), BadDocument),
        ({}, jpeg(), BadDocument),
        ({"on": LATER}, jpeg()[:-5], BadDocument),
        ({"on": LATER}, b"<svg/>", BadDocument),
        ({"on": LATER}, swollen(jpeg()), BadDocument),
        ({"on": LATER}, swollen(jpeg(), 8000, 7501), BadDocument),
    ],
)
def test_a_refused_reading_leaves_neither_line_nor_photo(folder, book, code, said, photo, problem):
    with pytest.raises(problem):
        store.write_reading(book, code, "light", said, photo)
    assert named(book, code) == []
    assert not photos.files(folder)


def test_a_cut_between_leaves_a_photo_and_no_line(folder, book, code, monkeypatch):
    """The power goes when the photo is on the disk and the line is not."""

    class Cut(BaseException):
        pass

    keep = photos.keep

    def cut(*given):
        keep(*given)
        raise Cut

    monkeypatch.setattr(photos, "keep", cut)
    with pytest.raises(Cut):
        read(book, code, jpeg())
    assert len(photos.files(folder)) == 1
    assert named(book, code) == []
    monkeypatch.undo()
    read(book, code, jpeg())  # tried again it takes the photo that is there
    assert len(photos.files(folder)) == 1
    assert store.verify(folder).found == ()


def test_a_disk_that_takes_no_photo_gets_no_line(folder, book, code):
    folder.photos.write_bytes(b"a file in the place of the folder")
    with pytest.raises(NotSaved, match="photos"):
        read(book, code, jpeg())
    assert named(book, code) == []


def test_taking_a_reading_back_leaves_its_photo(folder, book, code):
    number = read(book, code, jpeg())
    store.correct_entry(book, code, number, {}, "another jar", withdrawn=True)
    assert named(book, code) == []
    assert len(photos.files(folder)) == 1
    assert store.verify(folder).found == ()


def test_a_missing_or_damaged_photo_is_found_out(folder, book, code):
    read(book, code, jpeg())
    read(book, code, jpeg((9, 9, 9)), test="room")
    looked = store.verify(folder)
    assert looked.found == ()
    assert looked.files["photo"] == 2
    light, room = photos.files(folder)
    light.unlink()
    room.write_bytes(jpeg((200, 9, 9)))
    found = " ".join(store.verify(folder).found)
    assert "Entry, line 1 of the book: This photo cannot be read: it is not in the folder" in found
    assert f"Entry, line 2 of the book: This photo cannot be read: {room.name} is damaged" in found
    with pytest.raises(BadDocument, match="not in the folder"):
        store.photo_file(folder, "")


# --- in a backup --------------------------------------------------------------------------------------


@pytest.fixture
def packed(folder, book, code, tmp_path):
    read(book, code, jpeg())
    return store.make_backup(folder, tmp_path / "all.zip")


def took(folder, path):
    arrival = store.bring_in(folder, path, write=True)
    return {
        what: [step.name for step in arrival.of(what) if step.kind == "photo" or what == LEFT]
        for what in (NEW, EQUAL, BOTH, LEFT)
    }


def test_a_photo_travels_in_the_backup_and_arrives_once(folder, packed, tmp_path):
    assert packed.told == ()
    (ours,) = photos.files(folder)
    other = store.Folder(tmp_path / "other")
    assert took(other, packed.path) == {NEW: [ours.name], EQUAL: [], BOTH: [], LEFT: []}
    assert (other.photos / ours.name).read_bytes() == ours.read_bytes()
    assert store.verify(other).found == ()
    assert took(other, packed.path) == {NEW: [], EQUAL: [ours.name], BOTH: [], LEFT: []}


def test_a_photo_that_was_damaged_comes_back_beside_the_damaged_one(folder, packed):
    (ours,) = photos.files(folder)
    ours.write_bytes(b"scribbled over")
    came = took(folder, packed.path)
    assert came[BOTH] == [f"{ours.stem}~2.jpg"]
    assert ours.read_bytes() == b"scribbled over"
    assert store.verify(folder).found == ()
    assert took(folder, packed.path)[EQUAL] == [ours.name]


def test_what_cannot_be_packed_of_the_photos_is_told(folder, packed, tmp_path):
    photos.files(folder)[0].unlink()
    again = store.make_backup(folder, tmp_path / "again.zip")
    assert again.told == (
        "1 photo that a reading names is missing or damaged in your folder and not in the backup.",
    )


def test_a_photo_written_while_a_backup_is_made_is_in_it_when_its_line_is(
    folder, book, code, tmp_path, monkeypatch
):
    """A reading comes between the two parts of a backup: its line may be lacking, its photo never."""
    writestr = zipfile.ZipFile.writestr

    def later(packed, *what):
        if not photos.files(folder):
            read(book, code, jpeg())
        writestr(packed, *what)

    store.save_settings(folder, {"currency": "EUR"})
    monkeypatch.setattr(zipfile.ZipFile, "writestr", later)
    made = store.make_backup(folder, tmp_path / "all.zip")
    other = store.Folder(tmp_path / "other")
    took(other, made.path)
    assert store.verify(other).found == ()
    assert made.told == ()


def test_files_that_are_no_photos_stay_in_the_backup(packed, tmp_path):
    odd = {"photos/run.exe": b"MZ", "photos/odd.jpg": b"MZ", "photos/CON.jpg": jpeg((1, 2, 3))}
    file = repacked(packed.path, tmp_path / "odd.zip", files=odd)
    other = store.Folder(tmp_path / "other")
    came = took(other, file)
    assert came[LEFT] == ["photos/odd.jpg", "photos/run.exe"]
    digest = atomic_write.digest_of(jpeg((1, 2, 3)))
    assert came[BOTH] == [f"con-{digest[: photos.DIGITS]}.jpg"]
    assert {path.suffix for path in other.photos.iterdir() if not path.name.startswith(".")} == {".jpg"}


def test_a_photo_that_would_unpack_to_no_end_stays_in_the_backup(packed, tmp_path):
    """A head of a few bytes says how large it is; it is read before anything is unpacked."""
    file = repacked(packed.path, tmp_path / "huge.zip", files={"photos/huge.jpg": swollen(jpeg((1, 2, 3)))})
    other = store.Folder(tmp_path / "other")
    arrival = store.bring_in(other, file, write=True)
    (step,) = [step for step in arrival.of(LEFT) if step.name == "photos/huge.jpg"]
    assert step.why == "This photo cannot be read: The picture has too many pixels; at most 60 million fit."
    assert len(photos.files(other)) == 1


def test_a_line_that_is_no_json_hides_no_photo_from_the_backup(folder, book, code, packed, tmp_path):
    with sqlite3.connect(book.path) as link:
        link.execute("INSERT INTO entries (kind, subject, data, at) VALUES ('reading', 'x', '{', '')")
    link.close()
    again = store.make_backup(folder, tmp_path / "again.zip")
    assert again.told == ()
    assert any(name.startswith("photos/") for name in store.read_back(again.path).files)

"""The bin: everything she put there comes back as it was, with its picture and under its own file name."""

from __future__ import annotations

import pytest

from blendlab import store
from blendlab.errors import NotSaved, UnknownName
from blendlab.store.folder import Folder
from tests.store.samples import ITEMS, card, png
from tests.store.test_backup import files_of


@pytest.fixture
def folder(tmp_path):
    hers = Folder.at(tmp_path / "hers")
    store.lay_out(hers, ITEMS, [(card("Lagoon", "lagoon"), png())])
    store.save_line(hers, store.CardLine(id="spring", name="Spring", cards=("lagoon",)), None)
    store.save_draft(hers, "bench", {"design": {"id": "x", "name": "Bench"}}, None)
    return hers


def put_all_away(folder):
    store.delete(folder, "lagoon")
    store.delete_line(folder, "spring")
    store.forget_draft(folder, "bench")
    for item in ITEMS:
        store.delete_item(folder, item.kind, item.id)


def test_everything_comes_back_as_it_was(folder):
    before = files_of(folder)
    for _ in range(2):
        put_all_away(folder)
        assert not set(files_of(folder)) & set(before)
        there = store.in_bin(folder)
        names = {(thing.kind, thing.name) for thing in there}
        assert names >= {("card", "Lagoon"), ("line", "Spring"), ("draft", "Bench"), ("pigment", "Iron blue")}
        assert [thing.at for thing in there] == sorted((thing.at for thing in there), reverse=True)
        for thing in there:
            store.put_back(folder, thing.inner)
        assert store.in_bin(folder) == ()
        assert files_of(folder) == before


def test_only_the_kinds_that_are_asked_for_are_shown(folder):
    put_all_away(folder)
    assert {thing.kind for thing in store.in_bin(folder, "line", "card")} == {"line", "card"}


def test_what_is_there_again_is_not_written_over(folder):
    for shade in (1, 2):
        store.delete_line(folder, "spring")
        store.save_line(folder, store.CardLine(id="spring", name=f"Spring {shade}", cards=()), None)
    first, second = store.in_bin(folder, "line")
    assert {first.name, second.name} == {"Spring", "Spring 1"}
    with pytest.raises(NotSaved, match="there again"):
        store.put_back(folder, first.inner)
    assert store.open_line(folder, "spring").line.name == "Spring 2"
    store.delete_line(folder, "spring")
    older = next(thing for thing in store.in_bin(folder, "line") if thing.name == "Spring")
    store.put_back(folder, older.inner)
    assert [path.name for path in folder.lines.glob("*.json")] == ["spring-spring.json"]


def test_what_is_not_in_the_bin_is_answered(folder):
    for inner in ("cards/none.json", "../book.sqlite3", ""):
        with pytest.raises(UnknownName):
            store.put_back(folder, inner)
    (folder.bin / "lines").mkdir(parents=True)
    (folder.bin / "lines" / "broken.json").write_bytes(b"{")
    assert store.in_bin(folder) == ()

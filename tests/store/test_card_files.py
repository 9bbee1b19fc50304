"""A card and its picture are one unit: wherever a save, a rename or a move is cut off, both are there."""

from __future__ import annotations

import os
import time
from contextlib import suppress
from dataclasses import replace

import pytest

from blendlab import store
from blendlab.errors import UnknownName
from blendlab.store import atomic_write, card_files
from blendlab.store.folder import Folder
from tests.store.samples import card, png

OLD, NEW = png((10, 20, 30)), png((200, 100, 50))


class Cut(BaseException):
    """The power goes."""


@pytest.fixture
def folder(tmp_path):
    return Folder.at(tmp_path / "hers")


def cut_after(monkeypatch, steps):
    """Let so many moves of files happen and no more."""
    swap, left = atomic_write.swap, [steps]

    def counted(source, target):
        if not left[0]:
            raise Cut
        left[0] -= 1
        swap(source, target)

    monkeypatch.setattr(atomic_write, "swap", counted)


def shown(folder):
    (entry,) = [entry for entry in store.listing(folder) if not entry.damaged]
    return entry.name, entry.picture.read_bytes() if entry.picture else None


@pytest.mark.parametrize("steps", range(6))
@pytest.mark.parametrize("name", ["Lagoon", "Deep Lagoon"])
def test_a_save_that_is_cut_off_leaves_the_old_pair_or_the_new(folder, monkeypatch, steps, name):
    first = store.save(folder, card("Lagoon"), OLD, None)
    changed = replace(first.card, design=replace(first.card.design, name=name, weeks=7))
    finished = False
    with monkeypatch.context() as power:
        cut_after(power, steps)
        with suppress(Cut):
            store.save(folder, changed, NEW, first.digest)
            finished = True
    for _ in range(2):
        again = Folder.at(folder.root)
        opened = store.open_card(again, first.card.id).card
        want = NEW if opened.design.weeks == 7 else OLD
        assert shown(again) == (opened.design.name, want)
        assert store.picture_of(again, first.card.id) == want
    assert not finished or want == NEW
    store.save(again, replace(opened, judged={}), want, store.open_card(again, opened.id).digest)
    assert len(list(folder.cards.glob("*.json"))) == len(list(folder.cards.glob("[!.]*.png"))) == 1


@pytest.mark.parametrize("steps", range(3))
def test_a_card_on_its_way_to_the_bin_and_back_keeps_its_picture(folder, monkeypatch, steps):
    saved = store.save(folder, card("Lagoon"), OLD, None)
    for act in (store.delete, store.restore):
        with monkeypatch.context() as power:
            cut_after(power, steps)
            with suppress(Cut, UnknownName):
                act(folder, saved.card.id)
    if not store.has_card(folder, saved.card.id):
        store.restore(folder, saved.card.id)
    assert shown(folder) == ("Lagoon", OLD)


def test_the_picture_of_another_save_is_not_shown(folder):
    saved = store.save(folder, card("Lagoon"), OLD, None)
    (picture,) = folder.cards.glob("*.png")
    picture.write_bytes(NEW)
    assert shown(folder) == ("Lagoon", None)
    assert store.picture_of(folder, saved.card.id) == b""


def test_a_picture_nobody_asks_for_goes_after_a_minute(folder):
    store.save(folder, card("Lagoon"), OLD, None)
    young, old = (folder.cards / f".{name}{card_files.WAITS}" for name in ("young-1", "old-2"))
    for waits in (young, old):
        waits.write_bytes(NEW)
    os.utime(old, (time.time() - 61, time.time() - 61))
    Folder.at(folder.root)
    assert young.exists()
    assert not old.exists()


def test_a_folder_on_another_disk_takes_a_file_whole(tmp_path, monkeypatch):
    source, target = tmp_path / "a.json", tmp_path / "disk" / "a.json"
    source.write_bytes(b"hers")
    move = type(source).replace

    def across(path, to):
        if path == source:
            raise OSError(18, "Invalid cross-device link")
        return move(path, to)

    monkeypatch.setattr(type(source), "replace", across)
    target.parent.mkdir()
    atomic_write.swap(source, target)
    assert target.read_bytes() == b"hers"
    assert not source.exists()
    assert [path.name for path in target.parent.iterdir()] == ["a.json"]

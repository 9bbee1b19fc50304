"""The first start: several at once, cut off, and folders that are read-only, full, gone or no folder."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from blendlab import cli, store
from blendlab.errors import FolderGone, NotSaved
from blendlab.show import first_visit
from blendlab.show.first_visit import LINE
from blendlab.store import atomic_write, first_start
from blendlab.ui import memo
from tests.store.samples import ITEMS, card, png, read_only

ROOT = Path(__file__).parents[1]
START = """
import sys
from blendlab import store
from blendlab.show import first_visit
print("ready", flush=True)
sys.stdin.readline()
first_visit.first_start(store.Folder.at(sys.argv[1]))
store.open_book(store.Folder(store.Folder.at(sys.argv[1]).root))
"""


def test_three_that_start_at_once_lay_the_demo_out_once(tmp_path):
    starts = [
        subprocess.Popen(
            [sys.executable, "-c", START, str(tmp_path / "hers")],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(3)
    ]
    for start in starts:
        assert start.stdout.readline() == "ready\n"
    for start in starts:
        start.stdin.write("go\n")
        start.stdin.flush()
    for start in starts:
        _, complained = start.communicate(timeout=300)
        assert (start.returncode, complained) == (0, "")
    folder = store.Folder(tmp_path / "hers")
    assert sorted(entry.card_id for entry in store.listing(folder)) == sorted(LINE.cards)
    assert [saved.line for saved in store.lines(folder)] == [LINE]
    assert store.verify(folder).found == ()


@pytest.mark.parametrize("steps", [1, 4, 6, 9])
def test_a_first_start_that_is_cut_off_is_carried_on(tmp_path, monkeypatch, steps):
    folder, swap, left = store.Folder(tmp_path), atomic_write.swap, [steps]
    made = [(card("Lagoon", "lagoon"), png()), (card("Fern", "fern"), png())]

    def counted(source, target):
        if not left[0]:
            raise KeyboardInterrupt
        left[0] -= 1
        swap(source, target)

    with monkeypatch.context() as power:
        power.setattr(atomic_write, "swap", counted)
        with pytest.raises(KeyboardInterrupt):
            store.lay_out(folder, ITEMS, made, LINE)
    assert store.lay_out(folder, ITEMS, made, LINE)
    assert {entry.card_id for entry in store.listing(folder)} == {"lagoon", "fern"}
    assert len(store.read_shelf(folder).items) == len(ITEMS)
    assert [saved.line.id for saved in store.lines(folder)] == [LINE.id]
    assert not (folder.root / first_start.MARK).exists()
    assert not store.lay_out(folder, ITEMS, made, LINE)


def test_a_folder_that_can_be_made_is_ready(tmp_path):
    store.ready(store.Folder(tmp_path / "deep" / "hers"))
    assert list((tmp_path / "deep" / "hers").iterdir()) == []


def test_no_folder_and_a_full_disk_are_one_sentence_in_the_terminal(tmp_path, monkeypatch, capsys):
    (tmp_path / "file").write_bytes(b"")
    assert cli.main(["--no-browser", "--folder", str(tmp_path / "file" / "hers")]) == 2
    said = capsys.readouterr()
    assert said.err.count("\n") == 1
    assert "takes no files" in said.err
    assert "--folder" in said.err

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic_write.os, "fsync", full)
    assert cli.main(["--no-browser", "--folder", str(tmp_path / "hers")]) == 2
    assert "the disk is full" in capsys.readouterr().err


def test_a_read_only_folder_is_told_before_the_app_opens(tmp_path, capsys):
    empty, full = tmp_path / "empty", tmp_path / "full"
    empty.mkdir()
    (full / "cards").mkdir(parents=True)
    with read_only(tmp_path):
        assert "read-only" in cli._unready(cli._parser().parse_args(["--folder", str(empty)]))
        assert cli._unready(cli._parser().parse_args(["--folder", str(full)])) == ""
    assert "can be looked at" in capsys.readouterr().err


def test_a_first_start_in_a_read_only_folder_is_refused_in_words(tmp_path):
    with read_only(tmp_path), pytest.raises(NotSaved, match="read-only"):
        first_visit.first_start(store.Folder(tmp_path))


@pytest.fixture
def hers(tmp_path, monkeypatch):
    """A folder that is open in this process."""
    root = tmp_path / "hers"
    store.lay_out(store.Folder(root), ITEMS, [(card(), png())])
    monkeypatch.setattr(memo.first_visit, "first_start", lambda found: None)
    monkeypatch.setenv(memo.FOLDER, str(root))
    return memo.folder()


def test_a_folder_that_went_is_told_and_not_made_anew(hers):
    root = hers.root
    root.rename(root.with_name("elsewhere"))
    for asked in (memo.folder, memo.shelf, memo.book):
        with pytest.raises(FolderGone, match="is gone"):
            asked()
    assert not root.exists()
    root.mkdir()  # the place where its disk was, now on the system's own
    with pytest.raises(FolderGone):
        memo.folder()
    assert list(root.iterdir()) == []
    shutil.rmtree(root)
    root.with_name("elsewhere").rename(root)
    assert memo.folder() == hers

"""A folder that goes while the app is open, or takes no files: every page and button says so in words."""

from __future__ import annotations

import pytest

from blendlab.ui import frame
from tests.ui.test_ui_broken import Unwell


@pytest.mark.parametrize("path", frame.PAGES)
def test_every_page_says_that_the_folder_is_gone(folder, path, caplog):
    pages = Unwell().go(path)
    folder.root.rename(folder.root.with_name("elsewhere"))
    pages.run()
    assert f"Your folder {folder.root} is gone" in pages.said
    assert "Traceback" not in caplog.text
    assert not folder.root.exists()
    folder.root.with_name("elsewhere").rename(folder.root)
    assert pages.run().broken == []


def test_saving_into_a_folder_that_is_gone_is_answered_and_the_design_stays(folder):
    pages = Unwell()
    before = pages.design
    folder.root.rename(folder.root.with_name("elsewhere"))
    pages.press("Save card")
    assert "is gone" in pages.said
    assert pages.design == before
    assert not folder.root.exists()


def test_a_folder_that_takes_no_files_is_told_before_anything_is_done(folder):
    (folder.root / ".try").mkdir()  # what the folder is tried with, in the way of itself
    pages = Unwell()
    assert f"Your folder {folder.root} takes no files: is a directory." in pages.said
    assert pages.design["name"]
    (folder.root / ".try").rmdir()
    assert "takes no files" not in Unwell().said

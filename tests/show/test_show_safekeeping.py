"""What is said of a backup that was made."""

from __future__ import annotations

from blendlab import store
from blendlab.show import safekeeping


def test_one_thing_is_told_in_the_singular(tmp_path):
    several = store.Backup(tmp_path, 3, 2, {"batches": 2, "entries": 5}, ())
    assert "2 cards, 3 files, the book with 2 batches, 7 lines" in safekeeping.made_words(several)
    single = store.Backup(tmp_path, 1, 1, {"batches": 1}, ())
    assert "1 card, 1 file, the book with 1 batch, 1 line." in safekeeping.made_words(single)

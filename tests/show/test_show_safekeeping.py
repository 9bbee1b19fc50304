"""What is said of a backup that was made."""

from __future__ import annotations

from dataclasses import replace

from blendlab import store
from blendlab.show import safekeeping
from blendlab.store.bring_in import BOTH, PRICE


def test_one_thing_is_told_in_the_singular(tmp_path):
    several = store.Backup(tmp_path, 3, 2, {"batches": 2, "entries": 5}, ())
    assert "2 cards, 3 files, the book with 2 batches, 7 lines" in safekeeping.made_words(several)
    single = store.Backup(tmp_path, 1, 1, {"batches": 1}, ())
    assert "1 card, 1 file, the book with 1 batch, 1 line." in safekeeping.made_words(single)


def test_both_prices_are_named_and_which_of_them_holds():
    step = store.Step("pigment", "Gold mica", PRICE, prices=("700 EUR a kg", "no price"))
    said = safekeeping.told(store.Arrival("2026-03-07T10:00:00", (step,)), came=True)
    assert "Here already at another price: 1 thing of the shelf." in said[0]
    assert said[1:] == ("Gold mica: yours 700 EUR a kg, the backup's no price. Yours stays.",)
    taken = store.Arrival("2026-03-07T10:00:00", (replace(step, taken=True),))
    assert safekeeping.price_words(taken, came=False)[0].endswith("The backup's would hold.")
    assert safekeeping.price_words(taken, came=True)[0].endswith("The backup's holds now.")


def test_what_comes_beside_hers_is_named_as_it_will_be_called():
    steps = [store.Step("base", f"{name}, brought in", BOTH) for name in ("Cloud", "Foam")]
    said = safekeeping.arrival_words(store.Arrival("2026-03-07T10:00:00", tuple(steps)), came=False)
    beside = "2 things of the shelf (Cloud, brought in; Foam, brought in)."
    assert f"Would come beside yours, which differ: {beside}" in said


def test_files_that_are_neither_cards_nor_shelf_are_named(tmp_path):
    """Settings and a draft are what they are, not two other files."""
    folder = store.Folder(tmp_path / "hers")
    store.save_settings(folder, {"currency": "CHF"})
    store.save_draft(folder, "lagoon", {"weeks": 4}, None)
    packed = store.make_backup(folder, tmp_path / "all.zip")
    arrival = store.bring_in(store.Folder(tmp_path / "new"), packed.path, write=False)
    said = safekeeping.arrival_words(arrival, came=False)
    assert "1 settings file" in said
    assert "1 draft" in said
    assert "other file" not in said

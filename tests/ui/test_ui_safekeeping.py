"""Guide: a backup to download, everything looked over, a backup brought in."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

from blendlab import store
from blendlab.ui.words import guide
from blendlab.ui.words import safekeeping as say


def test_the_guide_no_longer_calls_a_copy_a_backup(pages):
    pages.go("guide")
    assert "is no backup" in pages.said
    assert "is no backup" in guide.FOLDER


def test_a_backup_is_made_read_back_and_offered(pages, folder):
    pages.go("guide").press(say.MAKE_BACKUP)
    assert "Packed and read back: 3 cards" in pages.said
    first = Path(pages.at.session_state["backup-made"]["path"])
    assert store.read_back(first).files
    assert any(button.label.startswith("Download blendlab-") for button in pages.at.get("download_button"))
    pages.press(say.MAKE_BACKUP)
    assert not first.exists()


def test_everything_is_looked_over(pages, folder):
    pages.go("guide").press(say.LOOK_OVER)
    assert say.NOTHING_WRONG in pages.said
    (folder.cards / "torn.json").write_bytes(b"{")
    pages.press(say.LOOK_OVER)
    assert "torn.json" in pages.said


def test_a_backup_is_looked_at_and_then_brought_in(pages, folder, tmp_path):
    packed = store.make_backup(folder, tmp_path / store.backup_name(datetime(2026, 3, 7)))
    for entry in store.listing(folder):
        store.delete(folder, entry.card_id)
    pigment = next(iter(store.read_shelf(folder).of("pigment")))
    seen = store.open_item(folder, "pigment", pigment.id).digest
    store.save_item(folder, replace(pigment, price_per_g=0.7), seen)
    pages.go("guide")
    pages.at.session_state["fold-bring-in"] = True
    pages.run()
    pages.at.file_uploader(key="bring-in-file").set_value(
        [("b.zip", packed.path.read_bytes(), "application/zip")]
    )
    pages.run()
    assert "Would come new: 3 cards" in pages.said
    assert f"{pigment.name}: yours 700 EUR a kg" in pages.said
    assert store.listing(folder) == []
    assert "Yours stays." in pages.said
    pages.at.checkbox(key="bring-in-prices").check().run()
    assert "Yours stays." not in pages.said  # what is told is what the button will do
    assert "would hold." in pages.said
    pages.press(say.BRING_IN_GO)
    assert "Came new: 3 cards" in pages.said
    assert len(store.listing(folder)) == 3
    assert "holds now." in pages.said
    assert store.open_item(folder, "pigment", pigment.id).item == pigment

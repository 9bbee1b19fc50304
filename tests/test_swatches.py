"""The tracked demo line: made by the program itself, and still what it would make."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from blendlab import store
from blendlab.assess import assess
from blendlab.codec import encode
from blendlab.facts import demo
from blendlab.show import cards
from blendlab.show.first_visit import LINE, first_start

FOLDER = store.Folder(Path(__file__).parents[1] / "swatches")


@pytest.mark.parametrize("name", demo.DEMO)
def test_a_demo_card_is_what_the_program_makes(name):
    saved = store.open_card(FOLDER, name).card
    design = next(made for made in demo.demo_designs(demo.demo_shelf()) if made.id == name)
    judged = assess(design, demo.demo_shelf(), date.fromisoformat(saved.judged["on"]))
    made, picture = cards.card(judged, demo.demo_shelf())
    assert encode(saved.design) == encode(made.design)
    assert sorted(item.ref.key for item in saved.embedded) == sorted(item.ref.key for item in made.embedded)
    assert encode(saved.judged) == encode(made.judged)
    there, here = (
        np.asarray(Image.open(io.BytesIO(data)).convert("RGB"), int)
        for data in (store.picture_of(FOLDER, name), picture)
    )
    assert there.shape == here.shape
    assert np.abs(there - here).max() <= 2


def test_the_line_stands_in_its_selling_order():
    (line,) = (saved.line for saved in store.lines(FOLDER))
    assert line.cards == LINE.cards


def test_a_folder_of_cards_only_gets_the_shelf_at_first_start(tmp_path):
    import shutil

    shutil.copytree(FOLDER.cards, tmp_path / "cards")
    folder = store.Folder.at(tmp_path)
    before = {path.name: path.read_bytes() for path in folder.cards.iterdir()}
    first_start(folder)
    assert len(list(store.read_shelf(folder).of("pigment"))) > 20
    assert {path.name: path.read_bytes() for path in folder.cards.iterdir() if path.is_file()} == before

"""Every page of the frame opens: with the demo, in an empty folder, in one of 200 cards."""

from __future__ import annotations

import json

import pytest

from blendlab import store
from blendlab.ui import frame, memo, page_cards
from blendlab.ui.words import cards
from tests.ui.conftest import Pages

CARDS = 200


@pytest.mark.parametrize("path", frame.PAGES)
def test_every_page_opens_with_a_demo_design(pages, path):
    pages.go(path)
    assert len(pages.said) > 200


@pytest.fixture
def empty(tmp_path, monkeypatch):
    """A folder that was laid out once and then emptied: no card, nothing on the shelf."""
    folder = store.Folder.at(tmp_path / "empty")
    folder.root.mkdir()
    monkeypatch.setattr(memo.first_visit, "first_start", lambda found: None)
    monkeypatch.setenv(memo.FOLDER, str(folder.root))
    return folder


@pytest.mark.parametrize("path", frame.PAGES)
def test_every_page_opens_in_an_empty_folder(empty, path):
    pages = Pages().go(path)
    assert not any(empty.root.glob("cards/*"))
    assert "html" in {element.type for element in pages.at.main}


def test_an_empty_folder_says_that_there_are_no_cards_and_how_to_begin(empty):
    pages = Pages().go("cards")
    assert cards.NO_CARDS in pages.said
    pages.press("See the demo")
    assert pages.design["name"] == "Lagoon"


@pytest.fixture(scope="module")
def crowded(laid_out, tmp_path_factory):
    """A folder with 200 cards: the demo card under new ids and names."""
    folder = store.Folder.at(tmp_path_factory.mktemp("crowded"))
    card = json.loads(next((laid_out / "cards").glob("lagoon-*.json")).read_text(encoding="utf-8"))
    picture = next((laid_out / "cards").glob("lagoon-*.png"))
    folder.cards.mkdir()
    for number in range(CARDS):
        name, card_id = f"Lagoon {number}", f"copy{number:04}"
        design = {**card["design"], "id": card_id, "name": name}
        stem = folder.cards / f"lagoon-{number}-{card_id}"
        stem.with_suffix(".json").write_text(json.dumps({**card, "design": design}), encoding="utf-8")
        stem.with_suffix(".png").hardlink_to(picture)
    return folder


@pytest.mark.parametrize("path", frame.PAGES)
def test_every_page_opens_in_a_folder_of_200_cards(crowded, monkeypatch, path):
    monkeypatch.setenv(memo.FOLDER, str(crowded.root))
    pages = Pages().go(path)
    assert len(store.listing(crowded)) == CARDS
    if path == "cards":
        opens = [button for button in pages.at.button if str(button.key).startswith("open-copy")]
        assert len(opens) == page_cards.A_PAGE

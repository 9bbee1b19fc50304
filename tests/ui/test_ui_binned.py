"""The bin on Cards and Shelf: what was put there, with the way back; a card without its picture."""

from __future__ import annotations

import os
import time

from blendlab import store
from blendlab.ui import binned, words
from blendlab.ui.words import cards
from blendlab.ui.words import safekeeping as say


def unfold(pages, path, kind):
    pages.go(path)
    pages.at.session_state[f"fold-bin-{kind}"] = True
    return pages.run()


def test_a_card_and_a_line_come_back_from_the_bin(pages, folder):
    store.delete(folder, "lagoon")
    store.delete_line(folder, "spring-line")
    unfold(pages, "cards", "card")
    assert "Lagoon · card · " in pages.said
    assert "Spring line · line · " in pages.said
    pages.press(say.PUT_BACK)
    pages.press(say.PUT_BACK)
    assert store.has_card(folder, "lagoon")
    assert [saved.line.id for saved in store.lines(folder)] == ["spring-line"]
    assert say.BIN_EMPTY.format(days=binned.DAYS) in pages.said


def test_a_line_is_put_in_the_bin_and_its_cards_stay(pages, folder):
    pages.go("cards")
    pages.at.session_state["find-line"] = "spring-line"
    pages.run().press(cards.LINE_TO_BIN)
    assert store.lines(folder) == []
    assert len(store.listing(folder)) == 3


def test_a_scale_comes_back_to_the_shelf(pages, folder):
    scale = next(iter(store.read_shelf(folder).of("scale")))
    store.delete_item(folder, "scale", scale.id)
    pages.go("shelf")
    pages.at.session_state["shelf-kind"] = "scale"
    unfold(pages, "shelf", "scale")
    pages.press(say.PUT_BACK)
    assert store.open_item(folder, "scale", scale.id).item == scale


def test_what_is_older_is_counted_and_stays(pages, folder):
    store.delete(folder, "lagoon")
    (path,) = (folder.bin / "cards").glob("*.json")
    old = time.time() - (binned.DAYS + 1) * 86400
    os.utime(path, (old, old))
    unfold(pages, "cards", "card")
    assert say.BIN_OLDER.format(count=1) in pages.said
    assert path.exists()


def test_a_card_without_its_picture_says_so_and_is_drawn_again(pages, folder):
    (picture,) = folder.cards.glob("lagoon*.png")
    before, design = picture.read_bytes(), store.open_card(folder, "lagoon").card.design
    picture.write_bytes(b"no picture")
    pages.go("cards")
    assert cards.NO_PICTURE in pages.said
    pages.press(cards.DRAW_AGAIN)
    assert cards.NO_PICTURE not in pages.said
    assert picture.read_bytes() == before
    assert store.open_card(folder, "lagoon").card.design == design


def test_a_card_in_the_bin_does_not_look_saved_while_it_is_open(pages, folder):
    """Put back it is the card it was; saved it is a card again under the same id."""
    pages.go("cards").at.button(key="open-lagoon").click()
    pages.run()
    assert words.IN_BIN not in pages.said
    pages.go("cards").at.button(key="bin-lagoon").click()
    pages.run().go("look")
    assert words.IN_BIN in pages.said
    pages.at.button(key="put-card-back").click()
    assert words.IN_BIN not in pages.run().said
    assert store.has_card(folder, "lagoon")
    store.delete(folder, "lagoon")
    assert cards.CARD_IN_BIN.format(name="Lagoon") in pages.run().said
    pages.press("Save card")
    assert "Saved " in pages.said
    assert words.IN_BIN not in pages.said
    assert store.open_card(folder, "lagoon").card.design.name == "Lagoon"
    assert pages.at.session_state["doc"]["card"] == "lagoon"

"""Every page opens over a folder full of poisoned and of newer documents, and says what it could not read."""

from __future__ import annotations

import json
import sqlite3
from datetime import date

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.shelf import resolve
from blendlab.store import atomic_write
from blendlab.store.book_schema import MIGRATIONS
from blendlab.ui import frame, words
from tests.batch import plans_to_try as tries
from tests.store.damage import harm
from tests.store.test_store_poison import POISON, put
from tests.ui.conftest import Pages
from tests.ui.kitchen_walk import started


def change(path, **values) -> None:
    plain = json.loads(path.read_text(encoding="utf-8"))
    for place, value in values.items():
        put(plain, place.replace("__", "."), value)
    path.write_text(json.dumps(plain), encoding="utf-8")


def copies(folder, source: str, count: int):
    """Cards like one of hers, under ids of their own."""
    card = json.loads(next(folder.cards.glob(f"{source}-*.json")).read_text(encoding="utf-8"))
    for number in range(count):
        design = {**card["design"], "id": f"bad{number}", "name": f"Bad {number}"}
        path = folder.cards / f"bad-{number}-bad{number}.json"
        path.write_text(json.dumps({**card, "design": design}), encoding="utf-8")
        yield path


@pytest.fixture
def poisoned(folder):
    """Each poison in a card of its own; a bad item, line, settings file, draft, picture; a bad book."""
    for path, (place, value) in zip(copies(folder, "lagoon", len(POISON)), POISON.values(), strict=True):
        change(path, **{place.replace(".", "__"): value})
    pages = Pages()
    code = started(pages)
    pages.at.query_params.clear()
    store.open_book(folder).fill(code, 1, 75.0)
    book = store.open_book(folder)
    second = book.start(store.batch(book, code).plan, store.batch(book, code).line.made_on)
    harm(book, "UPDATE batches SET plan = '{' WHERE code = ?", second)
    harm(book, "UPDATE entries SET data = '[' WHERE kind = 'fill'")
    change(folder.shelf / "oil" / "lavender.json", name="\ud800")
    (folder.lines / "bad.json").write_text('{"id": 7}', encoding="utf-8")
    (folder.root / "settings.json").write_text('{"rates": 3}', encoding="utf-8")
    picture = next(folder.cards.glob("fern-glade-*.png"))
    picture.write_bytes(picture.read_bytes()[:500])
    change(next(folder.cards.glob("fern-glade-*.json")), picture=atomic_write.digest_of(picture.read_bytes()))
    folder.draft.write_text('{"design": {"name": "\\ud800"}}', encoding="utf-8")
    return folder


def test_every_page_opens_over_a_poisoned_folder(poisoned):
    pages = Pages()
    for path in frame.PAGES:
        pages.go(path)
        if path == "cards":
            assert pages.said.count("was set aside") == len(POISON)
            assert "bad.json" in pages.said
            assert {"Lagoon", "Fern Glade", "Dune Rose"} <= {
                entry.name for entry in store.listing(poisoned) if not entry.damaged
            }
        if path == "shelf":
            assert "lavender.json was set aside" in pages.said
        if path == "book":
            assert "cannot be read" in pages.said


def test_a_book_with_bad_rows_shows_what_is_left_and_is_not_released(poisoned):
    pages = Pages().go("book")
    first = store.batches(store.open_book(poisoned))[-1].code
    pages.at.button(key=f"show-batch-{first}").click()
    pages.run()
    assert "Entry, line" in pages.said
    assert "The record is not whole" in pages.said
    assert next(button for button in pages.at.button if button.label == "Release for sale").disabled


def test_a_newer_card_is_looked_at_and_a_save_makes_another(folder):
    path = next(folder.cards.glob("lagoon-*.json"))
    change(path, design__format=9)
    before = path.read_bytes()
    pages = Pages().go("cards")
    pages.at.button(key="open-lagoon").click()
    pages.run()
    assert words.NEWER_CARD.format(name="Lagoon") in pages.said
    pages.press("Save card")
    assert path.read_bytes() == before
    assert sum(entry.name == "Lagoon" for entry in store.listing(folder)) == 2


def test_a_newer_book_and_item_are_told_and_stay(folder):
    sheet = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    code = store.open_book(folder).start(sheet, date(2026, 3, 7), design=tries.design())
    link = sqlite3.connect(folder.book)
    link.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
    link.close()
    scale = folder.shelf / "scale" / "fine.json"
    plain = json.loads(scale.read_text(encoding="utf-8"))
    scale.write_text(json.dumps({**plain, "format": 9, "step_g": {}}), encoding="utf-8")
    before = folder.book.read_bytes(), scale.read_bytes()
    pages = Pages()
    for path in frame.PAGES:
        pages.go(path)
        if path == "book":
            assert "This book was written by a newer version" in pages.said
            assert code in pages.said
            pages.press("Keep as test jars")
            assert pages.said.count("This book was written by a newer version") == 2
        if path == "shelf":
            assert "fine.json: This scale was written by a newer version" in pages.said
    assert (folder.book.read_bytes(), scale.read_bytes()) == before

"""A folder as the first format wrote it: every later version opens it and reads the same out of it.

The files in `first_format/` were written by the program before plans had a format number, and
`as_read_then.json` is what that program read out of them. Neither is ever made anew.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from blendlab import recipe, store
from blendlab.batch.sheet import FORMAT, plan_from
from blendlab.codec import digest, encode
from blendlab.production import kitchen_log, settings
from blendlab.shelf import ITEMS

HERE = Path(__file__).parent / "first_format"
THEN = json.loads((HERE / "as_read_then.json").read_text(encoding="utf-8"))
TRACKED = Path(__file__).parents[2] / "swatches"


@pytest.fixture
def folder(tmp_path) -> store.Folder:
    shutil.copytree(HERE, tmp_path / "swatches")
    return store.Folder.at(tmp_path / "swatches")


@pytest.fixture
def book(folder) -> store.Book:
    return store.open_book(folder)


def test_the_card_opens_as_it_was(folder):
    (entry,) = store.listing(folder)
    assert (entry.damaged, entry.newer) == ("", False)
    assert entry.picture is not None
    card = store.open_card(folder, "first-format").card
    assert card.notes == ()
    assert digest(card.design) == THEN["design"]
    assert [item.ref.key for item in card.embedded] == THEN["embedded"]
    assert recipe.from_dict(recipe.to_dict(card.design)) == card.design


def test_an_item_of_each_kind_opens_as_the_same_revision(folder):
    shelf = store.read_shelf(folder)
    assert [item.ref.key for item in shelf.items] == THEN["shelf"]
    assert {item.kind for item in shelf.items} == set(ITEMS)
    assert store.unread_items(folder) == ()


def test_line_draft_and_settings_open(folder):
    assert list(store.open_line(folder, "first-line").line.cards) == THEN["line"]
    (draft,), told = store.load_drafts(folder)
    assert told == ()
    assert draft.plain["card"] == "first-format"
    kept = settings.settings(folder)
    assert (kept.weigh_in, kept.heat_in, kept.maker.name) == ("oz", "F", "Invented studio")
    assert str(kept.rates.per_h) == "18.5"


def test_the_book_opens_without_a_word_and_hides_nothing(book):
    assert book.told == ""
    assert store.unread(book) == ()
    assert {line.code for line in store.batches(book)} == set(THEN["batches"])
    lots = {
        str(line.number): [
            line.lot.code,
            line.item,
            line.came_g,
            line.left_g,
            line.batch,
            str(line.lot.expiry),
        ]
        for line in store.lots(book)
    }
    assert lots == THEN["lots"]
    assert [family.subject for family in store.families(book)] == THEN["family"]


@pytest.mark.parametrize("code", THEN["batches"])
def test_a_batch_says_what_it_said(book, code):
    then, page = THEN["batches"][code], store.batch(book, code)
    assert page.unread == ()
    assert (page.line.kind, page.line.name, str(page.line.made_on)) == (
        then["kind"],
        then["name"],
        then["made_on"],
    )
    assert page.weighed == then["weighed"]
    assert page.asked == then["asked"]
    assert list(page.filled_g) == then["filled_g"]
    assert sorted(page.ticked) == then["ticked"]
    assert [[entry.kind, entry.subject, entry.corrected] for entry in page.entries] == then["entries"]
    assert (page.plan.batch_g, page.now.batch_g) == (then["planned_g"], then["now_g"])


@pytest.mark.parametrize("code", THEN["batches"])
def test_a_plan_of_the_first_format_comes_back_whole(book, code):
    then, plan = THEN["batches"][code], store.batch(book, code).plan
    lines = {
        line.id: [line.item, line.grams, line.pct, line.cap_pct, line.stock_pct, list(line.good), line.lot]
        for line in plan.lines
    }
    assert lines == then["lines"]
    assert [step.id for step in plan.steps] == then["steps"]
    assert [finding.id for finding in plan.findings] == then["findings"]
    assert {portion.tone: [portion.take_g, portion.preservative_pct] for portion in plan.portions} == then[
        "portions"
    ]
    foam, kept = plan.density, plan.preservative
    assert (foam and [foam.g_ml, foam.low, foam.high, foam.weighed]) == then["density"]
    assert (kept and kept.gate.below_c) == then["gate_c"]
    actives = kept.actives if kept else ()
    names = ("name", "tone", "pct", "limit_pct", "source")
    assert [[getattr(active, name) for name in names] for active in actives] == then["actives"]
    assert plan_from(encode(plan)) == plan
    assert plan.format == FORMAT


def test_the_samples_hold_what_they_are_samples_of(book):
    pages = [store.batch(book, code) for code in THEN["batches"]]
    assert {entry.kind for page in pages for entry in page.entries} >= {
        "tick", "temperature", "deviation", "density", "ph", "fill", "yield",
        "release", "sale", "reading", "note",
    }  # fmt: skip
    jars = next(page for page in pages if page.line.kind == "jars")
    assert jars.plan.density is not None
    assert jars.plan.preservative is not None
    assert jars.plan.preservative.actives
    assert any(line.stock_pct < 100 for line in jars.plan.lines)
    assert any(weighing.part > 1 for weighing in jars.weighings)
    assert any(weighing.corrected for weighing in jars.weighings)
    assert jars.sold == 3


def test_the_chain_and_the_kitchen_read_the_first_book(book):
    newest = store.batches(book)[0].code
    origin = store.backward(book, newest)
    assert [line.lot.code for line in origin.lots] == THEN["backward"]
    assert origin.unread == ()
    assert origin.behind[0].batch.kind == "base"
    for code in THEN["batches"]:
        assert kitchen_log.stand(store.batch(book, code)).current is None


@pytest.mark.parametrize("path", sorted(TRACKED.glob("cards/*.json")), ids=lambda path: path.stem)
def test_the_tracked_cards_open(path):
    folder = store.Folder(TRACKED)
    card_id = json.loads(path.read_text(encoding="utf-8"))["design"]["id"]
    assert store.open_card(folder, card_id).card.notes == ()

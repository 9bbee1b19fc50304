"""A batch keeps what it took of the shelf: whatever becomes of the shelf, it is judged by what went in."""

from __future__ import annotations

import json
import shutil
import sqlite3
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from blendlab import store
from blendlab.errors import BadDocument
from blendlab.facts.demo import demo_shelf
from blendlab.production import (
    assessments,
    base_lots,
    batches,
    corrections,
    judgement,
    labels,
    release,
    stock_lots,
)
from blendlab.production.settings import Settings
from blendlab.recipe import Dilution, Dose
from blendlab.recipe.look import Trial
from blendlab.shelf import Lot, Shelf, embedded
from blendlab.store import Refused, book_revisions
from tests.batch import plans_to_try as tries
from tests.production.released import read_and_release
from tests.production.test_production_labels import family
from tests.production.test_production_rules import until
from tests.store.damage import harm

DAY = date(2026, 3, 7)
SHELF = tries.shelf()
LAVENDER = SHELF.today("oil", "lavender")
CATEGORY = "9"
FIRST = Path(__file__).parents[1] / "store" / "first_format"


def shelf_with(*items, gone=()) -> Shelf:
    new = {(item.kind, item.id): item for item in items}
    kept = (new.get((item.kind, item.id), item) for item in SHELF.items)
    return Shelf(tuple(item for item in kept if f"{item.kind}:{item.id}" not in gone))


def limited(pct: float):
    sheet = replace(LAVENDER.sheet, limits={**LAVENDER.sheet.limits, CATEGORY: pct})
    return replace(LAVENDER, sheet=sheet)


def started(book, shelf=SHELF) -> str:
    lots = stock_lots.in_stock(book, {}, DAY).taken
    sheet = judgement.judge(tries.design(), shelf, DAY, lots).plan
    return batches.start(book, sheet, tries.design(), shelf, DAY)


def made(book, shelf=SHELF) -> store.BatchPage:
    return until(book, started(book, shelf), "none")


def counted(book, kind: str) -> int:
    link = sqlite3.connect(book.path)
    (count,) = link.execute("SELECT count(*) FROM entries WHERE kind = ?", (kind,)).fetchone()
    link.close()
    return count


def ids(findings) -> set[str]:
    return {finding.id for finding in findings}


def limit_used(judged) -> float:
    return next(oil.oil.sheet.limits[CATEGORY] for oil in judged.resolved.oils if oil.oil.id == "lavender")


def test_a_batch_is_judged_by_the_sheet_it_was_begun_with(book):
    """Then 5 %, now 0.1 %: what was mixed was allowed, and the caution says both figures."""
    page = made(book, shelf_with(limited(5.0)))
    stricter = shelf_with(limited(0.1))
    judged = judgement.as_made(book, page, stricter, DAY)
    assert limit_used(judged) == 5.0
    assert limit_used(judgement.judge(tries.design(), stricter, DAY, {})) == 0.1
    (said,) = (finding for finding in judged.findings if finding.id == "changed-since")
    assert said.level == "caution"
    of_sheet = (
        f"{LAVENDER.name}, its sheet, limit in category 9: 5 % of the product, now 0.1 % of the product"
    )
    assert of_sheet in said.text


def test_what_was_deleted_from_the_shelf_is_still_in_the_batch(book):
    page = made(book)
    bare = shelf_with(gone=("oil:lavender", "base:cooked", "jar:j120-70", "pigment:ultramarine_blue"))
    judged = judgement.as_made(book, page, bare, DAY, "EU")
    assert judged.resolved.missing == ()
    told = labels.label(book, judged, "EU", Settings(), page)
    before = labels.label(book, judgement.as_made(book, page, SHELF, DAY, "EU"), "EU", Settings(), page)
    assert told == before
    assert told.ingredients.text
    assert told.code == page.line.code


def test_a_renamed_thing_or_another_price_is_no_caution_but_a_changed_base_is(book):
    page = made(book)
    dearer = shelf_with(replace(LAVENDER, price_per_g=9.0))
    assert "changed-since" not in ids(judgement.as_made(book, page, dearer, DAY).findings)
    base = SHELF.today("base", "cooked")
    weaker = shelf_with(replace(base, preservative_pct=(0.4, 0.4)))
    judged = judgement.as_made(book, page, weaker, DAY)
    assert judged.resolved.base.preservative_pct == (1.0, 1.0)
    (said,) = (finding for finding in judged.findings if finding.id == "changed-since")
    assert "preservative in it: 1 %, now 0.4 %" in said.text
    assert "preservative-short" not in ids(judged.findings)


def test_a_raw_material_of_the_base_is_kept_with_it(book):
    """Nothing of the design names it: the base does, and it is on no shelf any more."""
    page = made(book)
    line = SHELF.today("base", "cooked").lines[1].ingredient
    judged = judgement.as_made(book, page, shelf_with(gone=(f"ingredient:{line.id}",)), DAY)
    assert judged.resolved.base_lines is not None


def test_a_revision_stands_once_in_the_book_however_many_batches_took_it(book):
    codes = [started(book) for _ in range(3)]
    items = batches.to_take(tries.design(), SHELF)
    assert counted(book, "revision") == len(items)
    assert counted(book, "taken") == 3
    other = started(book, shelf_with(limited(0.5)))
    assert counted(book, "revision") == len(items) + 1
    assert [store.taken(book, store.batch_log(book, code)) for code in codes] == [items] * 3
    changed = {item.rev for item in store.taken(book, store.batch_log(book, other))}
    assert changed - {item.rev for item in items} == {limited(0.5).rev}


def test_lists_traces_and_the_log_read_no_revision(book, monkeypatch):
    code = made(book).line.code
    monkeypatch.setattr(book_revisions, "item_from_dict", None)
    book_revisions._item.cache_clear()
    assert [line.code for line in store.batches(book)] == [code]
    assert store.batch(book, code).unread == ()
    assert store.unread(book) == ()
    assert store.backward(book, code).unread == ()
    assert store.forward(book, store.lots(book)[0].number).unread == ()
    with pytest.raises(TypeError):
        store.taken(book, store.batch_log(book, code))


def test_of_two_revisions_of_one_thing_the_one_of_the_shelf_is_in_use(book):
    """The design pins an older glycerin as a carrier; the formula of the base takes today's."""
    today = SHELF.today("ingredient", "glycerin")
    older = replace(today, density_g_ml=1.2)
    stock = Dilution(of=tries.design().tones[1].doses[0].pigment, pct=10, carrier=older.ref)
    design = tries.design(batch=replace(tries.design().batch, dilutions=(stock,)))
    shelf = SHELF.carrying((older,))
    taken = batches.to_take(design, shelf)
    assert [item for item in taken if item.id == "glycerin"] == [older, today]
    assert Shelf().holding(taken).today("ingredient", "glycerin") == today
    assert Shelf().holding(taken).find(older.ref) == older


def test_what_went_into_a_test_jar_only_is_not_taken():
    red = SHELF.today("pigment", "iron_oxide_red")
    tone = tries.design().tones[0]
    tried = replace(tone, trials=(Trial(doses=(Dose(pigment=red.ref, pct=0.1),)),))
    design = tries.design(tones=(tried, *tries.design().tones[1:]))
    assert red in embedded(design, SHELF)
    assert batches.to_take(design, SHELF) == batches.to_take(tries.design(), SHELF)


# --- a change that sets a mistake right ---------------------------------------------------------------


def test_judged_by_the_shelf_as_it_is_now_only_with_a_reason(book):
    page = made(book, shelf_with(replace(LAVENDER, sheet=None)))
    code = page.line.code
    assert {"changed-since"} <= ids(release.sale_points(book, page, SHELF, DAY))
    before = [finding.text for finding in release.sale_points(book, page, SHELF, DAY)]
    assert any("sheet" in text and LAVENDER.name in text for text in before)
    with pytest.raises(Refused, match="Say why"):
        corrections.judge_by_shelf(book, code, " ", shelf=SHELF, on=DAY)
    corrections.judge_by_shelf(book, code, "the sheet came after", shelf=SHELF, on=DAY)
    page = store.batch(book, code)
    assert page.of("taken")[-1].data["why"] == "the sheet came after"
    assert [entry.stands for entry in page.entries if entry.kind == "taken"] == [False, True]
    judged = judgement.as_made(book, page, SHELF, DAY)
    assert "changed-since" not in ids(judged.findings)
    assert limit_used(judged) == LAVENDER.sheet.limits[CATEGORY]


def test_a_released_batch_is_called_back_where_the_shelf_of_now_stops_it(book):
    lot = Lot(code="B-1", of=tries.design().base, name="White")
    book.receive(lot, 5000.0, {"preservative_pct": [1.0, 1.0], "pH": 5.9})
    code = started(book)
    page = until(book, code, "none")
    judged = judgement.as_made(book, page, SHELF, DAY)
    assessments.keep_family(book, family(judged, base=tries.design().base))
    read_and_release(book, code, SHELF, DAY)
    strict = shelf_with(limited(0.01))
    assert not corrections.judge_anew(book, code, strict, DAY)
    assert corrections.judge_by_shelf(book, code, "the limit was typed wrong", shelf=strict, on=DAY)
    assert store.batch(book, code).decision == store.CALLED_BACK


def test_what_is_frozen_is_no_line_to_correct(book):
    page = store.batch(book, started(book))
    assert all(entry.kind != "taken" for entry in corrections.correctable(page))
    for kind in ("taken", "revision"):
        with pytest.raises(Refused, match="rules of its own"):
            book.write(kind, "x", {"revisions": [], "item": {}}, page.line.code)


# --- a book that does not hold it ----------------------------------------------------------------------


def test_a_batch_of_an_earlier_version_is_judged_by_the_shelf_and_says_so(book, sheet):
    code = book.start(sheet, DAY, design=tries.design())
    page = store.batch(book, code)
    assert store.taken(book, page) is None
    assert "changed-since" not in ids(judgement.as_made(book, page, SHELF, DAY).findings)
    judged = judgement.as_made(book, page, shelf_with(limited(0.1)), DAY)
    assert limit_used(judged) == 0.1
    (said,) = (finding for finding in judged.findings if finding.id == "changed-since")
    assert "The book does not hold what it was" in said.text


def test_a_batch_of_the_first_book_can_be_frozen_now(tmp_path):
    shutil.copytree(FIRST, tmp_path / "swatches")
    folder = store.Folder.at(tmp_path / "swatches")
    book, shelf = store.open_book(folder), demo_shelf()
    then = json.loads((FIRST / "as_read_then.json").read_text(encoding="utf-8"))
    code = next(code for code, said in then["batches"].items() if said["kind"] == "jars")
    page = store.batch(book, code)
    assert store.taken(book, page) is None
    judged = judgement.as_made(book, page, shelf, DAY)
    corrections.judge_by_shelf(book, code, "kept before I change the shelf", shelf=shelf, on=DAY)
    frozen = store.batch(book, code)
    assert store.taken(book, frozen)
    assert frozen.unread == ()
    assert judgement.as_made(book, frozen, Shelf(), DAY).resolved.oils == judged.resolved.oils
    assert store.verify(folder).found == ()


def test_a_revision_that_cannot_be_read_stops_its_batch_and_no_other(book):
    code = started(book)
    bare = book.start(tries.made(), DAY, design=tries.design())
    harm(book, "UPDATE entries SET data = '{}' WHERE kind = 'revision' AND subject LIKE 'oil:lavender@%'")
    page = store.batch(book, code)
    with pytest.raises(BadDocument):
        store.taken(book, page)
    (stop, *_) = release.sale_points(book, page, SHELF, DAY)
    assert (stop.level, stop.id) == ("stop", "design-unreadable")
    assert store.taken(book, store.batch(book, bare)) is None


# --- a base that was cooked ----------------------------------------------------------------------------


def cooked(book, base, shelf) -> None:
    """A lot of a base, cooked by its formula."""
    code = base_lots.begin(book, base, shelf, base_lots.cooking(base, shelf, 5000.0, book, DAY), DAY)
    page = until(book, code, "none")
    assert base_lots.cooked_lot(page, base, {"grams": "4500"}, book) == []


def with_lines(change: dict[str, float]):
    base = SHELF.today("base", "cooked")
    lines = (replace(line, pct=line.pct + change.get(line.ingredient.id, 0.0)) for line in base.lines)
    return replace(base, lines=tuple(line for line in lines if line.pct > 0))


def test_a_base_that_is_deleted_while_it_cooks_still_becomes_a_lot(book):
    base = SHELF.today("base", "cooked")
    code = base_lots.begin(book, base, SHELF, base_lots.cooking(base, SHELF, 1000.0, book, DAY), DAY)
    page = store.batch(book, code)
    assert base_lots.cooked_as(book, page, Shelf()) == base
    assert base_lots.cooked_as(book, page, shelf_with(with_lines({"glycerin": 1}))) == base
    bare = book.start(tries.made(), DAY, kind="base")
    assert base_lots.cooked_as(book, store.batch(book, bare), SHELF) is None
    book.write("note", "base", {"id": "cooked"}, bare)
    assert base_lots.cooked_as(book, store.batch(book, bare), SHELF) == base


@pytest.mark.parametrize(
    ("change", "level"),
    [({}, None), ({"glycerin": -2, "purified-water": 2}, "caution"), ({"glycerin": -14}, "stop")],
)
def test_a_lot_that_was_cooked_by_another_formula_is_told(book, change, level):
    """Cooked with 14 % of glycerin; begun with a base of 12 %, then of none: its label would not name it."""
    cooked(book, SHELF.today("base", "cooked"), SHELF)
    later = shelf_with(with_lines(change))
    sheet = judgement.judge(tries.design(), later, DAY, stock_lots.in_stock(book, {}, DAY).taken).plan
    page = until(book, batches.start(book, sheet, tries.design(), later, DAY), "none")
    told = [
        each
        for each in judgement.as_made(book, page, later, DAY).findings
        if each.id.startswith("lot-formula")
    ]
    assert [each.level for each in told] == ([level] if level else [])
    assert all(f"glycerin 14 %, here {14 + change['glycerin']:g} %" in each.text for each in told)


def of_formula(book, shelf, design) -> dict[str, str]:
    """What is told of the formula before a batch is begun: id -> level."""
    judged = judgement.judge(design, shelf, DAY, stock_lots.in_stock(book, {}, DAY).taken)
    return {each.id.rstrip("0123456789"): each.level for each in judged.findings if "formula" in each.id}


def test_a_design_is_held_to_the_formula_of_the_lot_that_is_taken(book):
    """The formula changed after the lot was cooked: a design of then is right, one of now is not."""
    old = SHELF.today("base", "cooked")
    new = with_lines({"glycerin": -2, "purified-water": 2})
    cooked(book, old, SHELF)
    later = Shelf((*(item for item in SHELF.items if item != old), old, new))
    then, now = tries.design(base=old.ref), tries.design(base=new.ref)
    assert of_formula(book, SHELF, then) == {}
    assert of_formula(book, later, then) == {"base-formula-of-lot": "note"}
    assert of_formula(book, later, now) == {"lot-formula-": "caution"}


def test_a_design_of_the_formula_before_is_stopped_while_no_lot_was_cooked_by_it(book):
    old, new = SHELF.today("base", "cooked"), with_lines({"glycerin": -2, "purified-water": 2})
    later = Shelf((*(item for item in SHELF.items if item != old), old, new))
    assert of_formula(book, later, tries.design(base=old.ref)) == {"base-formula": "stop"}


def test_a_formula_that_cannot_be_read_any_more_is_a_stop(book):
    cooked(book, SHELF.today("base", "cooked"), SHELF)
    later = shelf_with(with_lines({"glycerin": -1, "purified-water": 1}))
    page = made(book, later)
    rev = SHELF.today("base", "cooked").rev
    harm(book, f"UPDATE entries SET data = '{{}}' WHERE kind = 'revision' AND subject = 'base:cooked@{rev}'")
    told = judgement.as_made(book, page, later, DAY).findings
    assert [each.level for each in told if each.id.startswith("lot-formula")] == ["stop"]

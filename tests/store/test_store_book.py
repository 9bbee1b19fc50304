"""The book: exact sums, append-only, two windows, power cuts, damaged files."""

from __future__ import annotations

import os
import re
import signal
import sqlite3
import subprocess
import sys
import textwrap
import threading
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blendlab import store
from blendlab.batch.kitchen import progress
from blendlab.batch.plan import plan
from blendlab.batch.record import next_code
from blendlab.errors import NewerFormat, NotSaved, OutOfRange, UnknownName
from blendlab.recipe import Ref
from blendlab.shelf import Lot, resolve
from blendlab.store.book import Book
from blendlab.store.book_errors import AlreadyWritten, Short
from blendlab.store.book_file import open_book
from blendlab.store.book_sales_entries import Sale
from blendlab.store.book_schema import MIGRATIONS, TABLES, migrate, version, writing
from blendlab.store.folder import Folder
from tests.batch import plans_to_try as tries
from tests.store.damage import harm

DAY = date(2026, 3, 7)
ROOT = Path(__file__).parents[2]


@pytest.fixture
def book(tmp_path) -> Book:
    return open_book(Folder(tmp_path))


@pytest.fixture(scope="module")
def made():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


def _lot(code: str, kind: str = "pigment", item: str = "ultramarine_blue", **more) -> Lot:
    return Lot(code=code, of=Ref(kind=kind, id=item), name=f"{item} {code}", **more)


@given(
    sku=st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=80),
    taken=st.lists(st.sampled_from(["26066A", "26066B-ROSE 120", "26066C-a/b", "Ж", ""])),
)
def test_a_code_can_be_typed_said_and_be_the_name_of_a_file(sku, taken):
    code = next_code(DAY, sku, taken)
    assert re.fullmatch(r"26066[A-HJ-NP-Z](-[A-Z0-9]{1,20})?", code)
    assert code.split("-")[0] not in {other.split("-")[0] for other in taken}


@pytest.mark.parametrize("sku", ["Rose No. 2 / 120", "../../x", 'a"b:c*d?', "ROSE\u00a0120", "Küste", "日本"])
def test_a_batch_of_an_odd_name_has_a_plain_code(book, made, sku):
    code = book.start(made, DAY, sku=sku)
    assert re.fullmatch(r"26066A(-[A-Z0-9]+)?", code)
    assert store.batch(book, code).line.code == code


def test_an_odd_code_of_before_stays_and_is_not_given_again(book, made):
    book.start(made, DAY, sku="ROSE120")
    harm(book, "UPDATE batches SET code = '26066A-Rose 120/b'")
    assert store.batch(book, "26066A-Rose 120/b").plan == made
    book.tick("26066A-Rose 120/b", "x", 20.0)
    assert book.start(made, DAY, sku="ROSE120") == "26066B-ROSE120"


def test_grams_left_are_the_sum_of_movements(book, made):
    lot = book.receive(_lot("L-1", supplier="Invented pigments"), 20.0)
    code = book.start(made, DAY, sku="TWO120", design=tries.design())
    for part in range(1, 4):
        book.weigh(code, "pigment:x", 0.1, planned_g=0.3, lot=lot, part=part)
    book.move(lot, -0.2, "waste", "spilt")
    assert code == "26066A-TWO120"
    # 0.1 three times is not 0.3 in binary fractions; the book counts whole tenths of a milligram.
    assert store.lot(book, lot).left_g == 19.5
    assert store.lot(book, lot).came_g == 20.0


def test_codes_of_a_day_follow_each_other(book, made):
    assert [book.start(made, DAY) for _ in range(3)] == ["26066A", "26066B", "26066C"]


def test_a_draw_that_is_too_large_writes_nothing(book, made):
    lot = book.receive(_lot("L-1"), 5.0)
    code = book.start(made, DAY)
    with pytest.raises(Short) as told:
        book.weigh(code, "base", 5.0001, planned_g=5, lot=lot)
    assert told.value.left_g == 5.0
    page = store.batch(book, code)
    assert page.weighings == ()
    assert store.lot(book, lot).left_g == 5.0


def test_two_windows_cannot_draw_the_same_gram(book, made):
    lot = book.receive(_lot("L-1"), 10.0)
    code = book.start(made, DAY)
    outcomes = []

    def window(at: int) -> None:
        try:
            Book(book.path).weigh(code, f"line {at}", 1.0, planned_g=1.0, lot=lot)
            outcomes.append("drawn")
        except Short:
            outcomes.append("short")

    threads = [threading.Thread(target=window, args=(at,)) for at in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["drawn"] * 10 + ["short"] * 6
    assert store.lot(book, lot).left_g == 0.0


def test_a_line_is_weighed_once_and_then_corrected(book, made):
    first, second = book.receive(_lot("L-1"), 10.0), book.receive(_lot("L-2"), 10.0)
    code = book.start(made, DAY)
    number = book.weigh(code, "base", 4.0, planned_g=4.1, lot=first)
    with pytest.raises(AlreadyWritten):
        book.weigh(code, "base", 4.0, planned_g=4.1, lot=first)
    again = book.correct_weighing(number, 4.1, "misread", lot=second)
    with pytest.raises(AlreadyWritten):
        book.correct_weighing(number, 4.2, "twice")
    book.correct_weighing(again, 4.2, "misread once more")
    page = store.batch(book, code)
    assert [weighing.weighed_g for weighing in page.weighings] == [4.0, 4.1, 4.2]
    assert [weighing.corrected for weighing in page.weighings] == [True, True, False]
    assert page.weighed == {"base": 4.2}
    assert store.lot(book, first).left_g == 10.0
    assert store.lot(book, second).left_g == 5.8


def test_nothing_can_be_changed_or_taken_out(book, made):
    lot = book.receive(_lot("L-1"), 10.0)
    code = book.start(made, DAY)
    book.weigh(code, "base", 4.0, planned_g=4.0, lot=lot)
    book.tick(code, "clean")
    link = sqlite3.connect(book.path)
    for table in TABLES:
        assert link.execute(f"SELECT count(*) FROM {table}").fetchone()[0] > 0
        with pytest.raises(sqlite3.IntegrityError, match="only added to"):
            link.execute(f"UPDATE {table} SET at = 'never'")
        with pytest.raises(sqlite3.IntegrityError, match="only added to"):
            link.execute(f"DELETE FROM {table}")
    link.close()


def test_the_batch_is_a_frozen_copy(book, made):
    code = book.start(made, DAY, design=tries.design())
    page = store.batch(book, code)
    assert page.plan == made
    assert page.design["name"] == "Two tones"


def test_the_kitchen_resumes_at_the_first_open_step(book, made):
    code = book.start(made, DAY)
    order = []
    while True:
        page = store.batch(Book(book.path), code)
        now = progress(page.now, page.asked, page.ticked)
        if now.current is None:
            break
        order.append(now.current.id)
        if now.line is not None:
            book.weigh(code, now.line.id, now.line.grams, planned_g=now.line.grams)
        else:
            book.tick(code, now.current.id, 20.0)
    assert order == [step.id for step in made.steps]


def test_entries_are_corrected_by_a_new_line(book, made):
    code = book.start(made, DAY)
    jar = book.fill(code, 1, 73.0)
    book.fill(code, 2, 74.0)
    store.correct_entry(book, code, jar, {"net_g": 72.5, "tone": ""}, "misread")
    page = store.batch(book, code)
    assert page.filled_g == (72.5, 74.0)  # in the place of the jar it corrects
    assert len(page.entries) == 3
    with pytest.raises(AlreadyWritten):
        store.correct_entry(book, code, jar, {"net_g": 72.0}, "misread")


def test_chains_lead_both_ways_through_a_base_lot(book, made):
    powder = book.receive(_lot("S-7", "ingredient", "isethionate-powder", supplier="Invented powders"), 5000)
    cooked = book.start(made, DAY, kind="base", sku="BASE")
    book.weigh(cooked, "ingredient:isethionate-powder", 390, planned_g=390, lot=powder)
    base = book.finish_base(cooked, _lot("B-1", "base", "cooked"), 1450.0, {"preservative_pct": [1.0, 1.0]})
    filled = book.start(made, date(2026, 4, 1), sku="TWO120")
    book.weigh(filled, "base", 1000, planned_g=1000, lot=base)
    book.fill(filled, 1, 73.0)
    book.decide(filled, store.FOR_SALE, date(2026, 4, 1))
    store.sell(book, filled, Sale(jars=1, to="gift shop", on=date(2026, 4, 2)), made=1)

    back = store.backward(book, filled)
    assert [line.lot.code for line in back.lots] == ["B-1"]
    assert [line.lot.supplier for line in back.behind[0].lots] == ["Invented powders"]

    on = store.forward(book, powder)
    assert [line.code for line in on.batches] == [cooked]
    assert on.onward[0].jars == {filled: 1}
    assert on.onward[0].sales[filled][0].said.to == "gift shop"
    assert store.lot(book, base).left_g == 450.0
    assert store.lot(book, base).data["preservative_pct"] == [1.0, 1.0]


def test_search_finds_by_code_name_and_lot(book, made):
    lot = book.receive(_lot("Q-17"), 10.0)
    code = book.start(made, DAY, sku="TWO120")
    other = book.start(made, date(2026, 5, 1))
    book.weigh(code, "base", 1.0, planned_g=1.0, lot=lot)
    assert [line.code for line in store.search(book, "q-17").batches] == [code]
    assert [line.code for line in store.search(book, "two tones").batches] == [other, code]
    assert [line.code for line in store.search(book, "26066a").batches] == [code]
    assert len(store.search(book, "").batches) == 2
    assert not store.search(book, "nothing like it").batches


def test_a_corrected_lot_keeps_its_movements(book):
    lot = book.receive(_lot("L-1"), 10.0)
    book.correct_lot(lot, _lot("L-1", expiry=date(2027, 1, 1)))
    book.correct_lot(lot, _lot("L-1b", expiry=date(2027, 2, 1)))
    (line,) = store.lots(book, "pigment:ultramarine_blue")
    assert (line.number, line.lot.code, line.lot.expiry, line.left_g) == (lot, "L-1b", date(2027, 2, 1), 10.0)
    with pytest.raises(AlreadyWritten):
        book.receive(_lot("L-1b"), 1.0)


def test_a_code_stands_for_a_single_lot_of_a_thing(book):
    """A mistyped code is free again for the lot that has it; no correction takes a code that stands."""
    first, second = book.receive(_lot("L-12"), 10.0), book.receive(_lot("L-14"), 10.0)
    with pytest.raises(AlreadyWritten, match="Lot L-14 of"):
        book.correct_lot(first, _lot("L-14"))
    book.correct_lot(first, _lot("L-13"))
    third = book.receive(_lot("L-12"), 5.0)
    with pytest.raises(AlreadyWritten):
        book.correct_lot(first, _lot("L-12"))
    book.correct_lot(second, _lot("L-14", expiry=date(2027, 1, 1)))
    codes = {line.number: line.lot.code for line in store.lots(book)}
    assert codes == {first: "L-13", second: "L-14", third: "L-12"}
    other = book.receive(replace(_lot("L-12"), of=Ref(kind="oil", id="lavender")), 1.0)
    assert store.lot(book, other).lot.code == "L-12"


@pytest.mark.parametrize("typed", ["b-12", "B-12", "B -12"])
def test_a_code_in_other_capitals_is_the_same_code(book, typed):
    lot = book.receive(_lot("B-12"), 10.0)
    with pytest.raises(AlreadyWritten, match="Lot B-12 of"):
        book.receive(_lot(typed), 5.0)
    other = book.receive(_lot("B-13"), 1.0)
    with pytest.raises(AlreadyWritten, match="Lot B-12 of"):
        book.correct_lot(other, _lot(typed))
    book.correct_lot(lot, _lot(typed))
    assert {line.lot.code for line in store.lots(book)} == {typed, "B-13"}


def test_two_lots_that_an_earlier_version_kept_apart_by_capitals_can_each_be_corrected(book):
    first, second = book.receive(_lot("B-12"), 1.0), book.receive(_lot("X"), 1.0)
    with writing(book.path) as link:
        link.execute(
            "INSERT INTO lots (code, item, name, supplier, data, at, corrects)"
            " SELECT 'b-12', item, name, supplier, replace(data, '\"X\"', '\"b-12\"'), at, id FROM lots"
            " WHERE id = ?",
            (second,),
        )
    assert {line.lot.code for line in store.lots(book)} == {"B-12", "b-12"}
    book.correct_lot(second, _lot("b-12", expiry=date(2027, 1, 1)))
    with pytest.raises(AlreadyWritten):
        book.correct_lot(second, _lot("B-12"))
    book.correct_lot(second, _lot("B-14"))
    assert store.lot(book, first).lot.code == "B-12"


def test_lots_that_had_one_code_before_can_still_be_held_back(book):
    first, second = book.receive(_lot("L-1"), 1.0), book.receive(_lot("L-2"), 1.0)
    with writing(book.path) as link:
        link.execute(
            "INSERT INTO lots (code, item, name, supplier, data, at, corrects)"
            " SELECT 'L-1', item, name, supplier, replace(data, 'L-2', 'L-1'), at, id FROM lots WHERE id = ?",
            (second,),
        )
    for number in (first, second):
        book.correct_lot(number, _lot("L-1"), {"held": "speckled"})
        assert store.lot(book, number).held == "speckled"


def test_unknown_things_are_told_in_words(book, made):
    with pytest.raises(UnknownName):
        book.weigh("26066Z", "base", 1, planned_g=1)
    with pytest.raises(UnknownName):
        book.write("gossip", "x", {})
    with pytest.raises(UnknownName):
        store.lot(book, 99)
    with pytest.raises(UnknownName):
        store.batch(book, "26066Z")


WRITER = """
    import sys
    from blendlab.store.book import Book
    from pathlib import Path
    book, code, lot = Book(Path(sys.argv[1])), sys.argv[2], int(sys.argv[3])
    for at in range(int(sys.argv[4]), 100):
        book.weigh(code, f"line {at}", 1.0, planned_g=1.0, lot=lot)
        print(at, flush=True)
"""


@pytest.mark.skipif(os.name == "nt", reason="SIGKILL does not exist there")
def test_a_kill_loses_no_weighing_that_was_confirmed(book, made, tmp_path):
    lot = book.receive(_lot("L-1"), 100.0)
    code = book.start(made, DAY)
    confirmed: set[int] = set()
    start = 0
    for stop_after in (3, 11, 1, 17):
        command = [sys.executable, "-c", textwrap.dedent(WRITER), str(book.path), code, str(lot), str(start)]
        writer = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)
        for _ in range(stop_after):
            confirmed.add(int(writer.stdout.readline()))
        os.kill(writer.pid, signal.SIGKILL)
        confirmed |= {int(number) for number in writer.stdout.read().split()}
        writer.wait()
        writer.stdout.close()
        again = open_book(Folder(tmp_path))
        assert again.told == ""
        page = store.batch(again, code)
        written = {int(line_id.split()[1]) for line_id in page.weighed}
        assert confirmed <= written
        assert store.lot(again, lot).left_g == 100.0 - len(written)
        start = max(written) + 1


def test_a_book_of_a_newer_version_is_looked_at_not_written_to(tmp_path, made):
    folder = Folder(tmp_path)
    code = open_book(folder).start(made, DAY)
    link = sqlite3.connect(folder.book)
    link.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
    link.close()
    before = folder.book.read_bytes()
    book = open_book(folder)
    assert "newer version" in book.told
    assert [line.code for line in store.batches(book)] == [code]
    assert store.batch(book, code).plan == made
    for write in (
        lambda: book.start(made, DAY),
        lambda: book.tick(code, "clean"),
        lambda: book.receive(_lot("L-1"), 1.0),
        lambda: book.weigh(code, "base", 1.0, planned_g=1.0),
    ):
        with pytest.raises(NewerFormat, match="newer version"):
            write()
    assert folder.book.read_bytes() == before


def test_a_batch_of_a_newer_version_is_answered_and_hides_no_other(book, made):
    codes = [book.start(made, DAY) for _ in range(2)]
    harm(book, "UPDATE batches SET plan = json_set(plan, '$.format', 99) WHERE id = 1")
    with pytest.raises(NewerFormat, match="batch sheet was written by a newer version"):
        store.batch(book, codes[0])
    with pytest.raises(NewerFormat):
        book.tick(codes[0], "clean")
    assert {line.code for line in store.batches(book)} == set(codes)
    assert store.batch(book, codes[1]).plan == made


def test_a_migration_keeps_a_copy_and_the_lines(tmp_path, made, monkeypatch):
    folder = Folder(tmp_path)
    code = open_book(folder).start(made, DAY)
    later = (*MIGRATIONS, "CREATE TABLE later (id INTEGER PRIMARY KEY);")
    monkeypatch.setattr("blendlab.store.book_schema.MIGRATIONS", later)
    migrate(folder.book, folder.bin)
    assert (folder.bin / f"book-v{len(MIGRATIONS)}.sqlite3").exists()
    link = sqlite3.connect(folder.book)
    assert version(link) == len(later)
    link.close()
    assert [line.code for line in store.batches(Book(folder.book))] == [code]


def test_a_locked_book_is_not_taken_for_a_damaged_one(book, made, monkeypatch):
    monkeypatch.setattr("blendlab.store.book_schema.BUSY_SECONDS", 0.05)
    other = sqlite3.connect(book.path)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(NotSaved):
        book.start(made, DAY)
    other.rollback()
    other.close()
    assert book.start(made, DAY) == "26066A"


def test_foreign_keys_and_the_log_are_on(book):
    link = sqlite3.connect(book.path)
    assert link.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    link.close()
    with pytest.raises(UnknownName):
        book.move(77, 1.0, "count")


def test_a_cup_that_is_thrown_away_opens_its_lines_and_stays_drawn(book, made):
    lot = book.receive(_lot("L-1"), 20.0)
    code = book.start(made, DAY)
    book.weigh(code, "oil:a", 4.0, planned_g=4.0, lot=lot)
    book.weigh(code, "oil:b", 3.0, planned_g=3.0, lot=lot)
    book.throw_away(code, ["oil:a", "oil:b", "oil:c"], "too much of c", [(lot, 2.5)])
    page = store.batch(book, code)
    assert page.weighed == {}
    assert page.asked == {}
    assert store.lot(book, lot).left_g == 10.5
    book.weigh(code, "oil:a", 4.1, planned_g=4.0, lot=lot)
    with pytest.raises(AlreadyWritten):
        book.weigh(code, "oil:a", 4.1, planned_g=4.0, lot=lot)
    page = store.batch(book, code)
    assert page.weighed == {"oil:a": 4.1}
    assert store.lot(book, lot).left_g == 6.4
    assert len(page.weighings) == 5


def test_a_line_from_two_lots_is_written_whole_or_not_at_all(book, made):
    first, second = book.receive(_lot("L-1"), 5.0), book.receive(_lot("L-2"), 1.0)
    code = book.start(made, DAY)
    with pytest.raises(Short):
        book.weigh_from(code, "base", [(first, 5.0, 5.0), (second, 2.0, 2.0)], planned_g=7.0)
    assert store.batch(book, code).weighings == ()
    assert store.lot(book, first).left_g == 5.0
    book.weigh_from(code, "base", [(first, 5.0, 5.0), (second, 1.0, 1.0)], planned_g=6.0)
    page = store.batch(book, code)
    assert page.weighed == page.asked == {"base": 6.0}


def test_a_bigger_rest_is_read_back_from_the_book(book, made):
    code = book.start(made, DAY)
    book.write("deviation", "base", {"enlarge_pct": 2.0, "cause": "too much"}, code)
    book.write("deviation", "base", {"cause": "spilt"}, code)
    page = store.batch(Book(book.path), code)
    assert page.plan == made
    assert page.now.batch_g == pytest.approx(made.batch_g * 1.02, abs=1)


@pytest.mark.parametrize("grams", [1e8 + 1, -1e9, 1e300, float("inf"), float("nan")])
def test_what_the_book_could_not_read_again_is_not_written(book, made, grams):
    code = book.start(made, DAY)
    with pytest.raises(OutOfRange):
        book.weigh(code, "base", grams, planned_g=1.0)
    assert store.batch(book, code).weighings == ()
    book.weigh(code, "base", 1e8, planned_g=1e8)
    assert store.batch(book, code).weighed == {"base": 1e8}

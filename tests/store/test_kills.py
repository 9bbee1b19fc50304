"""300 kills while saving, writing the book, packing and bringing in; 60 backups while others write.

`python -m pytest -m slow tests/store/test_kills.py -s` prints what was killed and confirmed.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sys
import time
from contextlib import contextmanager
from dataclasses import replace
from datetime import date

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.recipe import Ref
from blendlab.shelf import Lot, Scale, resolve
from blendlab.store.book import Book
from blendlab.store.folder import Folder
from tests.batch import plans_to_try as tries
from tests.store.samples import card, jpeg, png
from tests.store.test_book_rescue import rows

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not hasattr(os, "fork"), reason="the writer that is killed is a fork"),
]
KILLS = 75
DAY = date(2026, 3, 7)


@pytest.fixture(scope="module")
def made():
    return plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)


@contextmanager
def forked(work):
    """`work(confirm)` in a process of its own; gives what waits for its first word, and what kills it."""
    out, into = os.pipe()
    child = os.fork()
    if not child:
        os.close(out)
        try:
            work(lambda *words: os.write(into, (" ".join(map(str, words)) + "\n").encode()))
        finally:
            os._exit(0)
    os.close(into)
    heard = bytearray()

    def confirmed(wait_for=b"\n"):
        while wait_for not in heard and (more := os.read(out, 65536)):
            heard.extend(more)
        return [line.split() for line in heard.decode().splitlines() if line]

    def kill():
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return confirmed(b"never")

    try:
        yield confirmed, kill
    finally:
        os.close(out)


def killed(work, dice):
    """Let it confirm once, wait a little, kill it; returns what it confirmed."""
    with forked(work) as (confirmed, kill):
        confirmed()
        time.sleep(dice.uniform(0, 0.05))
        return kill()


def tint(number):
    """A picture that says which save it is of."""
    return png((number % 256, number // 256 % 256, 7), (40, 30))


def test_kills_while_saving_cards_items_and_lines(tmp_path):
    folder, dice, count, number = Folder.at(tmp_path / "hers"), random.Random(1), 0, 0
    first = store.save(folder, replace(card("Lagoon 0"), judged={}), tint(0), None)
    for _ in range(KILLS):

        def work(confirm, start=number + 1):
            seen = store.open_card(folder, first.card.id).digest
            for at in range(start, start + 10_000):
                design = replace(first.card.design, name=f"Lagoon {at % 3}", weeks=at % 100)
                seen = store.save(folder, replace(first.card, design=design), tint(at), seen).digest
                scale = Scale(id=f"s{at}", name=str(at), step_g=0.1, capacity_g=500)
                store.save_item(folder, scale, None)
                store.save_line(folder, store.CardLine(id=f"l{at}", name=str(at), cards=("x",)), None)
                confirm(at)

        words = killed(work, dice)
        count += len(words)
        last = int(words[-1][0])
        again = Folder.at(folder.root)
        (entry,) = store.listing(again)
        opened = store.open_card(again, entry.card_id).card
        shown = entry.picture.read_bytes()
        number = next(at for at in (last, last + 1) if shown == tint(at))
        assert (opened.design.weeks, opened.design.name) == (number % 100, f"Lagoon {number % 3}")
        assert entry.picture.stem == next(folder.cards.glob("*.json")).stem
        scales = {item.id for item in store.read_shelf(again).items}
        orders = {saved.line.id for saved in store.lines(again)}
        for (at,) in words:
            assert f"s{at}" in scales
            assert f"l{at}" in orders
        number = max([number, *(int(item[1:]) for item in scales)])
        assert store.verify(again).found == tuple(
            sentence for sentence in store.verify(again).found if "of its cards are not here" in sentence
        )
        shutil.rmtree(folder.lines)
        shutil.rmtree(folder.shelf)
    sys.stdout.write(f"\nsaves: {KILLS} kills, {3 * count} confirmed, none lost\n")


def test_kills_while_writing_the_book(tmp_path, made):
    folder, dice, known = Folder(tmp_path), random.Random(2), {}
    book = store.open_book(folder, DAY)
    lot = book.receive(Lot(code="L-1", of=Ref(kind="pigment", id="blue"), name="Blue"), 10_000.0)
    for turn in range(KILLS):
        code = book.start(made, date(2026, 1 + turn // 20, 1 + turn % 20))

        def work(confirm, code=code, turn=turn):
            mine = Book(folder.book)
            for at in range(10_000):
                weighed = mine.weigh(code, f"line {at}", 0.1, planned_g=0.1, lot=lot)
                confirm("weighings", weighed, code, at)
                confirm("entries", mine.tick(code, f"step {at}"), code, at)
                shot = jpeg((turn, at % 256, at // 256))
                read = store.write_reading(mine, code, "light", {"on": "2026-12-24"}, shot)
                confirm("entries", read, code, at)

        for words in killed(work, dice):
            known[words[0], int(words[1])] = (words[2], words[3])
        book = store.open_book(folder, DAY)
        assert book.told == ""
        found = rows(book.path)
        there = {(table, row[0]) for table in ("weighings", "entries") for row in found[table]}
        assert known.keys() <= there
        left = 100_000_000 - 1000 * len(found["weighings"])
        assert sum(row[2] for row in found["movements"]) == left
    assert store.verify(folder).found == ()
    sys.stdout.write(f"\nbook: {KILLS} kills, {len(known)} confirmed, none lost\n")


def test_kills_while_packing(tmp_path, made):
    folder, dice, known = Folder(tmp_path / "hers"), random.Random(3), set()
    for number in range(6):
        store.save(folder, card(f"Card {number}", f"card{number}"), tint(number), None)
    store.open_book(folder, DAY).start(made, DAY)
    for turn in range(KILLS):

        def work(confirm, turn=turn):
            for at in range(10_000):
                confirm(store.make_backup(folder, tmp_path / f"{turn}-{at}.zip").path)

        for (path,) in killed(work, dice):
            known.add(path)
        whole = [path for path in tmp_path.glob("*.zip") if not path.name.startswith(".")]
        assert known <= {str(path) for path in whole}
        for path in tmp_path.glob(f"{turn}-*.zip"):
            assert len(store.read_back(path).files) == 13
    assert store.verify(folder).found == ()
    sys.stdout.write(f"\nbackup: {KILLS} kills, {len(known)} confirmed, none lost, none half\n")


def test_kills_while_bringing_in(tmp_path, made):
    theirs, dice, ended = Folder(tmp_path / "theirs"), random.Random(4), 0
    for number in range(6):
        store.save(theirs, card(f"Card {number}", f"card{number}"), tint(number), None)
    store.open_book(theirs, DAY).start(made, DAY, sku="THEIRS")
    packed = store.make_backup(theirs, tmp_path / "all.zip").path
    for turn in range(KILLS):
        hers = Folder(tmp_path / f"hers{turn}")
        own = store.save(hers, replace(card("Card 0", "card0"), judged={}), tint(99), None)
        store.save(hers, replace(own.card, design=replace(own.card.design, weeks=9)), tint(100), own.digest)
        book = store.open_book(hers, DAY)
        for _ in range(3):
            book.start(made, DAY, sku="HERS")
        before = rows(hers.book)

        def work(confirm, hers=hers):
            confirm("go")
            store.bring_in(hers, packed, write=True, with_book=True)
            confirm("done")
            time.sleep(60)

        with forked(work) as (confirmed, kill):
            confirmed()
            time.sleep(dice.uniform(0, 0.5))
            done = ["done"] in kill()
        ended += done
        again = Folder.at(hers.root)
        mine = store.open_card(again, "card0").card
        assert (mine.design.weeks, store.picture_of(again, "card0")) == (9, tint(100))
        opened = store.open_book(again, DAY)
        books = [rows(opened.path), *map(rows, again.bin.glob("book-until-*/book.sqlite3"))]
        assert before in books
        assert books[0] == before or [row[1] for row in books[0]["batches"]] == ["26066A-THEIRS"]
        assert not done or books[0] != before
        store.bring_in(again, packed, write=True, with_book=books[0] == before)
        cards = sorted((entry.name, entry.picture is not None) for entry in store.listing(again))
        assert cards == sorted([(f"Card {n}", True) for n in range(6)] + [("Card 0, brought in", True)])
        assert store.verify(again).found == ()
        shutil.rmtree(hers.root)
    sys.stdout.write(
        f"\nbring in: {KILLS} kills, {ended} after the end, none of hers lost, each carried on\n"
    )


def test_sixty_backups_while_others_write(tmp_path, made):
    folder = Folder(tmp_path / "hers")
    book = store.open_book(folder, DAY)
    lot = book.receive(Lot(code="L-1", of=Ref(kind="pigment", id="blue"), name="Blue"), 10_000.0)
    code = book.start(made, DAY)
    for number in range(4):
        store.save(folder, card(f"Card {number}", f"card{number}"), tint(number), None)

    def work(confirm):
        mine, at = Book(folder.book), 0
        while True:
            at += 1
            confirm(mine.weigh(code, f"line {at}", 0.1, planned_g=0.1, lot=lot))
            opened = store.open_card(folder, f"card{at % 4}")
            design = replace(opened.card.design, name=f"Card {at}", weeks=at % 100)
            store.save(folder, replace(opened.card, design=design), tint(at), opened.digest)

    packed = []
    with forked(work) as (confirmed, kill):
        confirmed()
        for number in range(60):
            time.sleep(0.02)
            before = len(rows(folder.book)["weighings"])
            packed.append((before, store.make_backup(folder, tmp_path / f"{number}.zip")))
        written = kill()
    last = rows(folder.book)
    for number, (before, backup) in enumerate(packed):
        assert backup.told == ()
        other = Folder(tmp_path / f"other{number}")
        arrival = store.bring_in(other, backup.path, write=True)
        assert not arrival.of("left")
        found = rows(other.book)
        assert len(found["weighings"]) >= before
        for table, lines in found.items():
            assert lines == last[table][: len(lines)]
        assert len(found["movements"]) == len(found["weighings"]) + 1
        assert len(store.listing(other)) == 4
        assert store.verify(other).found == ()
        shutil.rmtree(other.root)
    sys.stdout.write(f"\n60 backups, {len(written)} lines written meanwhile, all equal by rows\n")

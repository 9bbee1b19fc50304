"""A book of many batches: copies, under codes and lots of their own, of rows that the program wrote."""

from __future__ import annotations

from contextlib import closing
from datetime import date, timedelta

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.batch.record import next_code
from blendlab.production import base_lots, batches, kitchen_log, sales
from blendlab.recipe import Ref
from blendlab.shelf import Lot, resolve
from blendlab.store import Book, book_lines
from blendlab.store.book_schema import connect
from tests.batch import plans_to_try as tries

FIRST_DAY = date(2020, 1, 2)
JARS_OF_A_BASE = 24
"""Batches of jars that one cooked base lot goes into."""


def fill(folder: store.Folder, count: int = 5000, weighings: int = 10) -> Book:
    """Write a book of that many batches, `weighings` movements each, into a folder."""
    book = store.open_book(folder)
    cooked, jars = _patterns(book)
    with closing(connect(book.path)) as link:
        link.execute("BEGIN IMMEDIATE")
        rows = {
            code: {
                "batch": link.execute("SELECT * FROM batches WHERE code = ?", (code,)).fetchone(),
                "entries": link.execute(
                    "SELECT entries.* FROM entries JOIN batches ON batches.id = batch WHERE code = ?",
                    (code,),
                ).fetchall(),
                "weighings": link.execute(
                    "SELECT weighings.* FROM weighings JOIN batches ON batches.id = batch WHERE code = ?",
                    (code,),
                ).fetchall(),
            }
            for code in (cooked, jars)
        }
        for pattern in rows.values():
            own = pattern["weighings"]
            more = [{**own[at % len(own)], "part": 2 + at // len(own)} for at in range(weighings - len(own))]
            pattern["weighings"] = [*map(dict, own), *more][:weighings]
        _copies(link, rows[cooked], rows[jars], count)
        link.execute("COMMIT")
    return book


def _copies(link, cooked, jars, count: int) -> None:
    lots, base = {}, None
    for number in range(count):
        day = FIRST_DAY + timedelta(days=number // 3)
        pattern = jars if number % (JARS_OF_A_BASE + 1) else cooked
        if number % 250 == 0:
            lots = {}
        batch = _batch(link, pattern["batch"], number, day)
        for row in pattern["weighings"]:
            own = base if row["line"] == "base" else _lot(link, lots, row["line"], number, day)
            weighing = _insert(link, "weighings", {**row, "batch": batch, "lot": own})
            moved = {"lot": own, "units": -row["weighed"], "why": "draw", "batch": batch}
            _insert(link, "movements", {**moved, "weighing": weighing, "note": "", "at": row["at"]})
        for row in pattern["entries"]:
            _insert(link, "entries", {**row, "batch": batch})
        if pattern is cooked:
            base = _new_lot(link, f"B-{number}", "base:cooked", day, {"batch": _code(link, batch)})


def _batch(link, row, number: int, day: date) -> int:
    code = f"{next_code(day, 'TWO120', [])[:5]}{number}-TWO120"
    return _insert(link, "batches", {**row, "code": code, "made_on": day.isoformat()})


def _code(link, batch: int) -> str:
    return link.execute("SELECT code FROM batches WHERE id = ?", (batch,)).fetchone()[0]


def _lot(link, lots: dict[str, int], line: str, number: int, day: date) -> int:
    item = line if line.startswith("ingredient:") else f"pigment:{line.replace(':', '-')}"
    if item not in lots:
        lots[item] = _new_lot(link, f"{item[-20:]}-{number}", item, day, {})
    return lots[item]


def _new_lot(link, code: str, item: str, day: date, data: dict[str, object]) -> int:
    kind, _, name = item.partition(":")
    lot = Lot(code=code, of=Ref(kind=kind, id=name), name=name, supplier="Invented supplier", received=day)
    number = book_lines.insert_lot(link, lot, data)
    book_lines.move(link, number, 10**11, "made" if data else "received")
    return number


def _insert(link, table: str, values: dict[str, object]) -> int:
    kept = {key: value for key, value in dict(values).items() if key not in ("id", "corrects")}
    places = ", ".join("?" * len(kept))
    made = link.execute(f"INSERT INTO {table} ({', '.join(kept)}) VALUES ({places})", tuple(kept.values()))
    return made.lastrowid


def _patterns(book: Book) -> tuple[str, str]:
    """A cooked base and a batch of jars, weighed to their ends, and two sales of the jars."""
    shelf = tries.shelf()
    cooking = base_lots.cooking(shelf.today("base", "cooked"), shelf, 5000.0, book, FIRST_DAY)
    cooked = book.start(cooking, FIRST_DAY, kind="base")
    sheet = plan(resolve(tries.design(), shelf), tries.LOW_JAR)
    jars = batches.start(book, sheet, tries.design(), shelf, FIRST_DAY)
    for code in (cooked, jars):
        _weighed(book, code)
    book.decide(jars, store.FOR_SALE, FIRST_DAY)
    for jar in range(6):
        book.fill(jars, jar + 1, 75.0)
    sales.sell(book, jars, 12, "gift shop", FIRST_DAY, "wholesale", "1001")
    sales.sell(book, jars, 2, "Ana", FIRST_DAY, "own shop", "1002")
    return cooked, jars


def _weighed(book: Book, code: str) -> None:
    while (current := kitchen_log.stand(store.batch(book, code)).current) is not None:
        page = store.batch(book, code)
        line = kitchen_log.stand(page).line
        if line is not None:
            kitchen_log.weigh(book, page, line, line.grams, None)
        else:
            book.tick(code, current.id, 20.0)

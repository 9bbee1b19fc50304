"""A batch sheet for any input, and a weighing that the disk has."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path

from blendlab.batch import label, plan
from blendlab.recipe import Batch
from blendlab.store import book_reading
from blendlab.store.book import open_book
from blendlab.store.folder import Folder
from tests.batch import plans_to_try as tries
from tests.bench.line import Line, best


def lines() -> list[Line]:
    shelf, design = tries.shelf(), tries.design()
    sheet = plan(design, shelf, tries.LOW_JAR)
    jars = iter(range(1, 100_000))

    def anew() -> object:
        return plan(tries.design(batch=Batch(jars=next(jars))), shelf, tries.LOW_JAR, ceiling_pct=1.2)

    made = best(anew, 50)
    words = best(lambda: label(design, shelf, sheet, "EU", weighed_g=[73.0, 73.2, 73.4]))
    with tempfile.TemporaryDirectory() as folder:
        book = open_book(Folder(Path(folder)))
        code = book.start(sheet, date(2026, 3, 7))
        parts = iter(range(1, 1000))
        weighed = best(lambda: book.weigh(code, "base", 1.0, planned_g=1.0, part=next(parts)), 30)
        page = best(lambda: book_reading.batch(book, code))
    return [
        Line("new batch sheet for a new number of jars", made * 1e3, "ms", most=20),
        Line("label words of one market", words * 1e3, "ms", most=20),
        Line("one weighing, on the disk", weighed * 1e3, "ms", remark="depends on the disk"),
        Line("page of a batch out of the book", page * 1e3, "ms", most=50),
    ]

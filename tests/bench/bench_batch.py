"""A batch sheet for any input, on the page and on paper, and a weighing that the disk has."""

from __future__ import annotations

import os
import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path

from blendlab import store
from blendlab.batch import Maker, label, plan
from blendlab.printing import cups_pdf, label_pdf, sheet_pdf
from blendlab.recipe import Batch, Ref
from blendlab.shelf import Lot, resolve
from blendlab.store.book import Book
from blendlab.store.book_file import open_book
from blendlab.store.folder import Folder
from blendlab.ui import memo
from tests.batch import plans_to_try as tries
from tests.bench.line import Line, best, median


def lines() -> list[Line]:
    shelf, design = tries.shelf(), tries.design()
    sheet = plan(resolve(design, shelf), tries.LOW_JAR)
    jars = iter(range(1, 100_000))

    def anew() -> object:
        return plan(
            resolve(tries.design(batch=Batch(jars=next(jars))), shelf), tries.LOW_JAR, ceiling_pct=1.2
        )

    made = best(anew, 50)
    words = best(lambda: label(resolve(design, shelf), sheet, "EU", weighed_g=[73.0, 73.2, 73.4]))
    jar = _label(design, shelf, sheet)
    printed = {
        "batch sheet": best(lambda: sheet_pdf(sheet, "26066A", date(2026, 3, 7), "")),
        "cup labels": best(lambda: cups_pdf([(cup, "1 g") for cup in sheet.cups], "26066A", sheet.title)),
        "jar labels": best(lambda: label_pdf(jar, "Two tones", 71, 37)),
    }
    with tempfile.TemporaryDirectory() as folder:
        book = open_book(Folder(Path(folder)))
        code = book.start(sheet, date(2026, 3, 7))
        parts = iter(range(1, 1000))
        weighed = best(lambda: book.weigh(code, "base", 1.0, planned_g=1.0, part=next(parts)), 30)
        page = best(lambda: store.batch(book, code))
    return [
        *(Line(f"{name} as PDF", taken * 1e3, "ms", most=1000) for name, taken in printed.items()),
        Line("new number of jars on the Batch page with a full book, server", _page() * 1e3, "ms", most=200),
        Line("new batch sheet for a new number of jars", made * 1e3, "ms", most=20),
        Line("label words of one market", words * 1e3, "ms", most=20),
        Line("one weighing, on the disk", weighed * 1e3, "ms", remark="depends on the disk"),
        Line("page of a batch out of the book", page * 1e3, "ms", most=50),
    ]


def _label(design, shelf, sheet):
    who = Maker("Reed studio", "1 Lane, Town", "mail@example.org", "Nowhere")
    weighed = [73.0, 73.2, 73.4]
    made = label(resolve(design, shelf), sheet, "EU", weighed_g=weighed, code="26066A", maker=who)
    return replace(made, findings=())


def _page() -> float:
    """One typed number of jars to the new page beside 120 lots and 20 batches, without the browser."""
    from tests.ui.conftest import Pages

    with tempfile.TemporaryDirectory() as place:
        os.environ[memo.FOLDER] = place
        pages = Pages().go("batch")
        _fill(open_book(Folder.at(Path(place))))
        jars = iter(range(30, 100))
        return median(lambda: pages.type("n.batch-page.jars", str(next(jars))), 15)


def _fill(book: Book) -> None:
    sheet = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
    for at in range(120):
        thing = Ref(kind="ingredient", id=f"thing-{at}")
        book.receive(Lot(code=f"X-{at}", of=thing, name=thing.id, supplier="Invented supplier"), 100)
    for _ in range(20):
        book.start(sheet, date(2026, 3, 7))

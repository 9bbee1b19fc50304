"""A book of 5,000 batches and 50,000 movements: a lot traced to its jars, the Book page on the server."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from streamlit import config
from streamlit.testing.v1 import AppTest

from blendlab import store
from blendlab.show import first_visit
from blendlab.ui import hosts, memo
from tests.bench import big_book
from tests.bench.line import Line, best


def lines() -> list[Line]:
    before = os.environ.get(memo.FOLDER)
    with tempfile.TemporaryDirectory() as place:
        os.environ[memo.FOLDER] = place
        try:
            return _lines(store.Folder.at(Path(place)))
        finally:
            os.environ.pop(memo.FOLDER)
            if before is not None:
                os.environ[memo.FOLDER] = before


def _lines(folder: store.Folder) -> list[Line]:
    first_visit.first_start(folder)
    book = big_book.fill(folder)
    found = store.lots(book)
    raw = next(line.number for line in found if line.item.startswith("ingredient:"))
    cooked = next(line.number for line in found if line.item.startswith("base:"))
    code = store.batches(book)[0].code
    config.set_option("runner.enforceSerializableSessionState", False)  # AppTest keeps functions in it
    page = AppTest.from_file(str(hosts.DOOR), default_timeout=300)
    page.run()

    def look() -> None:
        page.session_state["goto"] = "book"
        drawn = page.run()
        assert not drawn.exception
        assert any(code in str(html.value) for html in drawn.get("html"))

    taken = {
        "a raw material to 240 batches of jars": best(lambda: store.forward(book, raw)),
        "a cooked lot to its jars": best(lambda: store.forward(book, cooked)),
        "a jar back to its suppliers": best(lambda: store.backward(book, code)),
    }
    return [
        *(Line(f"5,000 batches, {name}", each * 1e3, "ms", most=100) for name, each in taken.items()),
        Line("5,000 batches, the Book page on the server", best(look) * 1e3, "ms", most=400),
    ]

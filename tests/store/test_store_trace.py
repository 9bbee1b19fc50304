"""What the book is asked most is answered by its indexes, in an old book too."""

from __future__ import annotations

import shutil
from contextlib import closing
from pathlib import Path

import pytest

from blendlab import store
from blendlab.store.book_schema import MIGRATIONS, connect, version

OLD = Path(__file__).parent / "first_format"
ASKED = {
    "SELECT batch FROM weighings WHERE lot = 1": "weighings_of_lot",
    "SELECT * FROM weighings WHERE batch = 1 ORDER BY id": "weighings_of_batch",
    "SELECT lot, sum(units) FROM movements WHERE batch = 1 GROUP BY lot": "movements_of_batch",
    "SELECT lot, sum(units) FROM movements GROUP BY lot": "sums_of_lots",
    "SELECT sum(units) FROM movements WHERE lot = 1": "sums_of_lots",
    "SELECT * FROM entries WHERE kind IN ('sale', 'return') AND batch IN (1, 2)": "entries_of_kind",
    "SELECT id FROM batches WHERE CASE WHEN json_valid(design) THEN json_extract(design, '$.id') END = 'a'":
        "batches_of_design",
}  # fmt: skip


@pytest.fixture(params=["new", "old"])
def book(tmp_path, request) -> store.Book:
    if request.param == "old":
        shutil.copy(OLD / "book.sqlite3", tmp_path / "book.sqlite3")
    return store.open_book(store.Folder(tmp_path))


@pytest.mark.parametrize("question", ASKED)
def test_a_question_is_answered_by_its_index(book, question):
    with closing(connect(book.path)) as link:
        assert version(link) == len(MIGRATIONS)
        plan = " ".join(row["detail"] for row in link.execute(f"EXPLAIN QUERY PLAN {question}"))
    assert ASKED[question] in plan

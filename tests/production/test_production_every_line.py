"""Whatever kind of line stands in the book: a wrong one is set right, or taken back and written anew."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.production import assessments, corrections, judgement, pot, sales
from blendlab.production import drill as drills
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from blendlab.store import Refused
from blendlab.store.book_care_entries import Challenge, ChallengeReport, Complaint, ComplaintAnswer
from blendlab.store.book_entries import ENTRIES, FOAM
from blendlab.store.book_sales_entries import Kept
from tests.batch import plans_to_try as tries
from tests.production import test_production_as_made as made
from tests.production.released import read_and_release
from tests.production.test_production_labels import family

DAY = date(2026, 3, 7)
GIVEN = {"shelf": tries.shelf(), "on": DAY}


@pytest.fixture
def code(book, sheet) -> str:
    return book.start(sheet, DAY, design=tries.design())


@dataclass(frozen=True)
class Way:
    """How a line of a kind is written, what counts by it, and how it stops to count.

    write  gives the number of the line; right  other values of it, where it can be set right
    """

    write: Callable[[store.Book, str], int]
    counts: Callable[[store.Book, str], Any]
    back: Callable[[store.Book, str, int], object]
    right: dict[str, Any] | None = None


def plain(kind: str, subject: str, said: dict[str, Any], right: dict[str, Any] | None = None) -> Way:
    """A line of a batch that the form of corrections in the Book reaches."""
    return Way(
        lambda book, code: book.write(kind, subject, said, code),
        lambda book, code: [entry.data for entry in store.batch(book, code).of(kind)],
        in_the_batch,
        right,
    )


def in_the_batch(book: store.Book, code: str, number: int) -> None:
    offered = {entry.number for entry in corrections.correctable(store.batch(book, code))}
    if number not in offered:
        raise Refused("The form of corrections does not offer this line.")
    corrections.take_back(book, code, number, "never was", **GIVEN)


def alone(book: store.Book, _: str, number: int) -> None:
    store.withdraw(book, number, "never was")


def newest(book: store.Book, code: str, kind: str) -> int:
    return store.batch(book, code).of(kind)[-1].number


def for_sale(book: store.Book, code: str) -> None:
    if store.batch(book, code).decision != store.FOR_SALE:
        book.decide(code, store.FOR_SALE, DAY)


def sold(book: store.Book, code: str) -> int:
    for_sale(book, code)
    sales.sell(book, code, 2, "shop", DAY)
    return newest(book, code, "sale")


def came_back(book: store.Book, code: str) -> int:
    sales.take_back(book, code, sold(book, code), 1, DAY, "lid cracked")
    return newest(book, code, "return")


def counted(book: store.Book, code: str) -> int:
    sales.count(book, code, sales.jars(store.batch(book, code)).left - 1, DAY, "broken")
    return newest(book, code, "jars")


def kept(book: store.Book, code: str) -> int:
    return store.keep_for_tests(book, code, Kept(on=DAY, tests=("height",), jars=2))


def read(book: store.Book, code: str) -> int:
    return store.write_reading(book, code, "height", {"on": DAY, "height_drop_pct": 3.0})


def assessed(book: store.Book, code: str) -> int:
    judged = judgement.judge(tries.design(), tries.shelf(), DAY, {})
    assessments.keep_family(book, family(judged))
    return store.families(book)[-1].number


def complained(book: store.Book, code: str) -> int:
    return store.complain(book, Complaint(on=DAY, what="red wrists"), code)


def answered(book: store.Book, code: str) -> int:
    done = ComplaintAnswer(on=DAY, done="called her", reported="none: harmless", closes=True)
    return store.answer(book, store.complaints(book)[0][0].number, done)


def tried(book: store.Book, code: str) -> int:
    lot = book.receive(
        Lot(code=f"W-{len(store.lots(book))}", of=Ref(kind="oil", id="lavender"), name="lavender"), 100
    )
    drills.keep(book, lot, 100, DAY)
    return store.drills(book)[0][2]


def sent(book: store.Book, code: str) -> int:
    return store.send_challenge(book, "phenoxyethanol", Challenge(sent=DAY, due=DAY))


def reported(book: store.Book, code: str) -> int:
    number = store.challenges(book)[0].number
    return store.report_challenge(book, number, ChallengeReport(on=DAY, verdict="A"))


def jars(book: store.Book, code: str) -> Any:
    return sales.jars(store.batch(book, code))


def complaints(book: store.Book, code: str) -> Any:
    return [(line.number, line.open, line.answers) for line in store.complaints(book)[0]]


def challenges(book: store.Book, code: str) -> Any:
    return store.challenges(book)


def undecided(book: store.Book, code: str) -> bool:
    """Whether it is still, or again, to be decided."""
    return store.batch(book, code).decision in ("", store.CALLED_BACK)


WAYS = {
    "tick": plain("tick", "scent-gate", {"celsius": 31.0}, {"celsius": 21.0}),
    "temperature": plain("temperature", "scent-gate", {"celsius": 51.0}, {"celsius": 41.0}),
    "pot": plain("pot", pot.FULL, {"pot_g": 900.0, "water_g": 31.0}, {"pot_g": 800.0, "water_g": 30.0}),
    "deviation": plain("deviation", "base", {"cause": "spilt", "shrink_pct": 5.0}),
    "density": plain("density", FOAM, {"g_ml": 0.7}, {"g_ml": 0.6}),
    "ph": plain("ph", "product", {"pH": 6.9}, {"pH": 5.9}),
    "fill": plain("fill", "1", {"net_g": 76.0}, {"net_g": 75.0}),
    "filled": plain("filled", "jars", {"jars": 22}, {"jars": 23}),
    "yield": plain("yield", "left", {"left_g": 40.0}, {"left_g": 35.0}),
    "note": plain("note", "shelf", {"said": "beside the window"}),
    "release": Way(lambda book, code: book.decide(code, store.TEST_JARS, DAY), undecided, in_the_batch),
    "sale": Way(sold, jars, in_the_batch, {"jars": 1}),
    "return": Way(came_back, lambda book, code: jars(book, code).back, in_the_batch),
    "jars": Way(counted, jars, in_the_batch),
    "kept": Way(kept, lambda book, code: store.under_test(book), in_the_batch, {"jars": 1}),
    "reading": Way(read, lambda book, code: store.under_test(book), in_the_batch),
    "family": Way(
        assessed,
        lambda book, code: assessments.families(book),
        lambda book, code, number: corrections.take_assessment_back(book, number, "never was", **GIVEN),
    ),
    "complaint": Way(complained, complaints, alone),
    "answer": Way(answered, complaints, alone),
    "drill": Way(tried, lambda book, code: drills.due_on(book), alone),
    "challenge": Way(
        sent,
        challenges,
        lambda book, code, number: store.correct_challenge(book, number, "never was", withdrawn=True),
    ),
    "report": Way(reported, challenges, alone),
}
FIRST = {"answer": complained, "report": sent}
"""What stands before a line of a kind can be written."""
TOLD_ANEW = {
    "taken": "what a batch took is taken anew from the shelf: judge_by_shelf",
    "revision": "a thing as it was on her shelf, found by the digest of its content: it is what it is",
}
"""Kinds that she does not write: nothing in them can be mistyped."""


def test_no_kind_of_line_is_forgotten():
    assert WAYS.keys() | TOLD_ANEW.keys() == ENTRIES.keys()
    assert not WAYS.keys() & TOLD_ANEW.keys()
    shown = {kind for kind, way in WAYS.items() if way.right is not None}
    assert corrections.FIGURES.keys() == shown


@pytest.mark.parametrize("kind", WAYS)
def test_a_wrong_line_is_taken_back_counts_no_longer_and_is_written_anew(book, code, kind):
    way = WAYS[kind]
    if kind in ("sale", "return"):
        for_sale(book, code)
    FIRST.get(kind, lambda *_: 0)(book, code)
    before = way.counts(book, code)
    number = way.write(book, code)
    counted_ = way.counts(book, code)
    assert counted_ != before
    with pytest.raises(Refused, match="Say why"):
        silent(kind, book, code, number)
    way.back(book, code, number)
    after = way.counts(book, code)
    assert after == (before if kind != "return" else 0)
    with pytest.raises(BlendlabError):
        way.back(book, code, number)
    if kind in ("sale", "return"):
        for_sale(book, code)
    way.write(book, code)
    assert way.counts(book, code) != after


def silent(kind: str, book: store.Book, code: str, number: int) -> None:
    """The same without a reason."""
    if WAYS[kind].back is in_the_batch:
        corrections.take_back(book, code, number, " ", **GIVEN)
    elif kind == "challenge":
        store.correct_challenge(book, number, " ", withdrawn=True)
    else:
        store.withdraw(book, number, " ")


@pytest.mark.parametrize("kind", [kind for kind, way in WAYS.items() if way.right])
def test_a_wrong_figure_is_set_right_and_the_old_one_stays_readable(book, code, kind):
    way = WAYS[kind]
    number = way.write(book, code)
    entry = next(each for each in store.batch(book, code).entries if each.number == number)
    assert {figure.key for figure in corrections.figures_of(entry)} == set(way.right)
    corrections.correct_entry(book, code, number, way.right, "misread", **GIVEN)
    page = store.batch(book, code)
    (now,) = (each for each in page.of(kind) if each.corrects == number)
    assert now.data.items() >= way.right.items()
    assert now.data["why"] == "misread"
    assert number in {each.number for each in page.entries}


# --- what hangs on a line -----------------------------------------------------------------------------


def test_an_assessment_that_was_taken_back_covers_nothing_and_calls_its_batches_back(book):
    code = made.started(book)
    page = made.weighed(book, code, [made.lot(book, "C-1", data=made.known(1.0))])
    judged = judgement.as_made(book, page, made.SHELF, DAY)
    for name in ("right", "wrong"):
        assessments.keep_family(book, family(judged, base=made.DESIGN.base, id=name))
    read_and_release(book, code, made.SHELF, DAY)
    first, second = assessments.numbered(book)
    given = {"shelf": made.SHELF, "on": DAY}
    assert corrections.take_assessment_back(book, second, "of another oil", **given) == ()
    assert corrections.take_assessment_back(book, first, "of another oil", **given) == (code,)
    assert store.batch(book, code).decision == store.CALLED_BACK
    assert store.for_sale(book) == ()


def test_a_batch_released_by_mistake_is_called_back_in_her_words(book, code):
    book.decide(code, store.FOR_SALE, DAY)
    sales.sell(book, code, 1, "shop", DAY)
    number = newest(book, code, "release")
    assert corrections.take_back(book, code, number, "it still rests", **GIVEN) == (code,)
    page = store.batch(book, code)
    assert (page.decision, page.of("release")[-1].data["why"]) == (store.CALLED_BACK, "it still rests")
    assert "release" not in {entry.kind for entry in corrections.correctable(page)}
    with pytest.raises(Refused, match="was called back"):
        sales.sell(book, code, 1, "shop", DAY)
    assert corrections.take_back(book, code, number, "again", **GIVEN) == ()
    assert sales.jars(page).sold == 1

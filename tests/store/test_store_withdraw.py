"""Lines beside the batches taken back: what hung on them, what they held closed, what stays readable."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.errors import UnknownName
from blendlab.recipe import Ref
from blendlab.shelf import Lot, resolve
from blendlab.store import AlreadyWritten, Refused, book_schema
from blendlab.store.book_care_entries import Challenge, ChallengeReport, Complaint, ComplaintAnswer, Drill
from tests.batch import plans_to_try as tries

DAY = date(2026, 3, 7)
PLAN = plan(resolve(tries.design(), tries.shelf()), tries.LOW_JAR)
WATER = Ref(kind="ingredient", id="purified-water")


@pytest.fixture
def book(tmp_path) -> store.Book:
    return store.open_book(store.Folder(tmp_path))


def done(what: str, **more) -> ComplaintAnswer:
    return ComplaintAnswer(on=DAY, done=what, **more)


def test_a_complaint_that_was_taken_back_takes_no_answer_and_stays_in_the_book(book):
    number = store.complain(book, Complaint(on=DAY, what="red wrists", serious="yes"))
    store.withdraw(book, number, "another studio was meant")
    assert store.complaints(book) == ((), ())
    with pytest.raises(Refused, match="taken back"):
        store.answer(book, number, done("called her"))
    with pytest.raises(AlreadyWritten):
        store.withdraw(book, number, "again")
    with pytest.raises(Refused, match="taken back already"):
        store.withdraw(book, number + 1, "again")
    assert lines(book, "complaint") == 2  # what was said is there, and why it does not count


def test_what_was_done_is_taken_back_and_the_complaint_is_open_again(book):
    number = store.complain(book, Complaint(on=DAY, what="lid cracked", serious="no"))
    store.answer(book, number, done("asked for a photo"))
    closing = store.answer(book, number, done("sent a new jar", closes=True))
    (line,), _ = store.complaints(book)
    assert (line.open, line.written[-1]) == (False, closing)
    store.withdraw(book, closing, "it was not sent")
    (line,), _ = store.complaints(book)
    assert (line.open, [each.done for each in line.answers]) == (True, ["asked for a photo"])
    assert line.written == (closing - 1,)


def test_a_serious_complaint_does_not_stay_closed_without_the_line_that_told_the_authority(book):
    number = store.complain(book, Complaint(on=DAY, what="burnt skin", serious="yes"))
    told = store.answer(book, number, done("rang", reported="poison centre, 7 March"))
    closing = store.answer(book, number, done("she is well", closes=True))
    with pytest.raises(Refused, match="which authority was told"):
        store.withdraw(book, told, "it was another call")
    (line,), _ = store.complaints(book)
    assert (line.open, line.written) == (False, (told, closing))
    store.withdraw(book, closing, "she is not")
    store.withdraw(book, told, "it was another call")
    with pytest.raises(Refused, match="which authority was told"):  # what was taken back told nobody
        store.answer(book, number, done("she is well", closes=True))


def test_a_report_that_was_taken_back_leaves_its_test_waiting(book):
    number = store.send_challenge(book, "phenoxyethanol", Challenge(sent=DAY, due=DAY))
    report = store.report_challenge(book, number, ChallengeReport(on=DAY, verdict="A"))
    with pytest.raises(AlreadyWritten):
        store.correct_challenge(book, number, "never sent", withdrawn=True)
    (line,) = store.challenges(book)
    assert line.reported == report
    store.withdraw(book, report, "it says B")
    assert store.challenges(book)[0].report is None
    store.report_challenge(book, number, ChallengeReport(on=DAY, verdict="B"))
    assert store.challenges(book)[0].report.verdict == "B"


def test_a_drill_that_was_taken_back_is_not_the_last(book):
    lot = book.receive(Lot(code="AQ-1", of=WATER, name="water"), 100)
    figures = {"lot": lot, "came_g": 100.0, "planned_g": 0.0, "off_pct": 0.0}
    store.keep_drill(book, Drill(on=DAY, counted_g=100.0, **figures))
    number = store.keep_drill(book, Drill(on=DAY, counted_g=10.0, **figures))
    store.withdraw(book, number, "a digit is missing")
    assert [drill.counted_g for _, drill, _ in store.drills(book)] == [100]


def test_what_belongs_to_a_batch_is_not_taken_back_beside_it(book):
    code = book.start(PLAN, DAY)
    number = book.write("ph", "product", {"pH": 5.9}, code)
    with pytest.raises(Refused, match="belongs to a batch"):
        store.withdraw(book, number, "misread")
    with pytest.raises(UnknownName):
        store.withdraw(book, 999, "misread")
    with pytest.raises(Refused, match="Say why"):
        store.withdraw(book, number, " ")


def lines(book, kind: str) -> int:
    with book_schema.reading(book.path) as link:
        return link.execute("SELECT count(*) FROM entries WHERE kind = ?", (kind,)).fetchone()[0]


# --- what a batch draws beside its weighings ----------------------------------------------------------


def test_what_is_drawn_anew_agrees_in_every_direction_of_the_chain(book):
    first, second = (book.receive(Lot(code=code, of=WATER, name="water"), 100) for code in ("AQ-1", "AQ-2"))
    code = book.start(PLAN, DAY, kind="base")
    store.write_drawn(book, code, "pot", "full", {"pot_g": 900.0, "water_g": 40.0, "lot": first}, first, 40)
    store.draw_anew(book, code, (first, 40.0), (second, 30.0), "the other canister")
    assert [store.lot(book, number).left_g for number in (first, second)] == [100, 70]
    assert store.forward(book, first).batches == ()
    assert [line.code for line in store.forward(book, second).batches] == [code]
    assert store.backward(book, code).grams == {second: 30.0}
    assert (store.draws(book, first), store.draws(book, second)) == (({}, 0.0), ({(code, ""): 30.0}, 0.0))
    with pytest.raises(store.Short):
        store.draw_anew(book, code, (second, 30.0), (second, 100.1), "misread")
    store.draw_anew(book, code, (second, 30.0), (second, 100.0), "misread")
    store.draw_anew(book, code, (second, 100.0), None, "no water went in")
    assert [store.lot(book, number).left_g for number in (first, second)] == [100, 100]
    assert store.drawn(book, code) == {}
    assert store.verify(store.Folder(book.path.parent)).found == ()

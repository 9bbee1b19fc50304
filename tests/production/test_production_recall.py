"""Recall lists with grams, returns and unnamed lots; complaints with their clock; the drill; what waits."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date, timedelta

import pytest
from pypdf import PdfReader

from blendlab import store
from blendlab.batch.plan import plan
from blendlab.errors import UnknownName
from blendlab.fragrance import diluted
from blendlab.production import complaints, drill, due, kitchen_log, recall, sales, stability
from blendlab.recipe import Batch, Dilution, Ref
from blendlab.shelf import Lot, resolve
from blendlab.store import AlreadyWritten, Refused, photos
from blendlab.store.book_care_entries import Challenge, ChallengeReport, Complaint, ComplaintAnswer
from blendlab.store.book_sales_entries import Kept
from tests.batch import plans_to_try as tries
from tests.production.test_production_rules import received, until
from tests.store.damage import harm
from tests.store.samples import jpeg

DAY = date(2026, 3, 7)
LATER = DAY + timedelta(days=30)


@pytest.fixture
def code(book, sheet) -> str:
    return book.start(sheet, DAY, design=tries.design())


def lines(data: bytes) -> list[str]:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages).splitlines()


def weigh_base(book, code: str, lot: int, grams: float) -> None:
    book.weigh(code, "base", grams, planned_g=1000.0, lot=lot)


def sold(book, code: str) -> None:
    """Two jars to Ana, one of them back; two to a shop."""
    book.decide(code, store.FOR_SALE, DAY)
    sales.sell(book, code, 2, "Ana", LATER, "own shop", "1007")
    sales.sell(book, code, 2, "gift shop", LATER)
    first = store.batch(book, code).of("sale")[0].number
    sales.take_back(book, code, first, 1, LATER, "lid cracked")


# --- recall -------------------------------------------------------------------------------------------


def test_a_recall_says_grams_jars_returns_and_who_has_them(book, code, sheet):
    lot = received(book, "base:cooked", 5000.0, "B-1")
    weigh_base(book, code, lot, 1000.0)
    sold(book, code)
    called = recall.of_batch(book, code)
    assert [(line.lot.code, grams) for line, grams in called.lots] == [("B-1", 1000.0)]
    assert called.out == 3
    (batch,) = called.batches
    assert batch.left == sheet.jars - 4
    said = " ".join(lines(recall.recall_pdf(called)))
    for part in (
        "B-1",
        "1000 g",
        "2 sold, 1 back",
        "1 jar out",
        "order 1007",
        "own shop",
        "gift shop",
        "3 jars out",
    ):
        assert part in said


def test_each_code_stands_on_one_line_however_long(book, sheet):
    code = book.start(sheet, DAY, sku="MOONLITGROVE118", design=tries.design())
    long = "REED-AND-SEDGE-2026-03-LAVENDER-FINE-HIGH-ALTITUDE-LOT-0042"
    lot = received(book, "base:cooked", 5000.0, long)
    weigh_base(book, code, lot, 1000.0)
    text = lines(recall.recall_pdf(recall.of_lots(book, [lot])))
    assert any(long in line for line in text)
    assert any(code in line for line in text)


def test_the_table_has_a_row_for_each_sale(book, code):
    lot = received(book, "base:cooked")
    weigh_base(book, code, lot, 1000.0)
    sold(book, code)
    rows = list(
        csv.DictReader(io.StringIO(recall.recall_csv(recall.of_lots(book, [lot])).decode("utf-8-sig")))
    )
    assert [(row["To"], row["Jars sold"], row["Jars back"], row["Jars out"]) for row in rows] == [
        ("Ana", "2", "1", "1"),
        ("gift shop", "2", "0", "2"),
    ]
    assert {row["Took of the lot, g"] for row in rows} == {"1000"}


def test_a_recall_goes_through_a_base_she_cooked(book, code, sheet):
    raw = received(book, "ingredient:shea", code="RAW-1")
    cooked = book.start(sheet, DAY, kind="base")
    weigh_base(book, cooked, raw, 800.0)
    lot = book.finish_base(cooked, Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White"), 3000, {})
    weigh_base(book, code, lot, 900.0)
    called = recall.of_lots(book, [raw])
    assert [line.lot.code for line, _ in called.lots] == ["RAW-1", "C-1"]
    share = pytest.approx(240.0)  # 900 g of a base of 3000 g that 800 g of it went into
    assert [(batch.line.code, batch.grams) for batch in called.batches] == [(code, share)]
    back = recall.of_batch(book, code)
    assert [(line.lot.code, grams) for line, grams in back.lots] == [("C-1", 900.0), ("RAW-1", share)]
    assert any(cooked in line for line in lines(recall.recall_pdf(back)))


def test_grams_of_a_thing_add_up_whether_cooked_in_or_weighed_in(book, code, sheet):
    """0.5 g weighed in, and 40 of 4000 g of a base of which 1000 g went in: 10.5 g, not 1000.5 g."""
    kept = received(book, "ingredient:keeper", 500.0, "K-1")
    cooked = book.start(sheet, DAY, kind="base")
    book.weigh(cooked, "preservative", 40.0, planned_g=40.0, lot=kept)
    lot = book.finish_base(cooked, Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White"), 4000, {})
    weigh_base(book, code, lot, 1000.0)
    book.weigh(code, "preservative", 0.5, planned_g=0.5, lot=kept)
    (batch,) = recall.of_thing(book, "ingredient:keeper", "Keeper").batches
    assert batch.grams == pytest.approx(10.5)
    line = complaint(book, code)
    shared = recall.of_complaint(book, line)
    assert {found.lot.code for found, _ in shared.lots} == {"K-1", "C-1"}
    assert [found.grams for found in shared.batches] == [None]


def test_empty_jars_are_called_back_in_pieces(book, code):
    empty = received(book, "jar:low", 100, "J-1")
    book.weigh(code, "base", 24, planned_g=24, lot=empty)
    called = recall.of_lots(book, [empty])
    assert any("took 24 pieces" in line for line in lines(recall.recall_pdf(called)))
    assert "Took of the lot, pieces" in recall.recall_csv(called).decode("utf-8-sig").splitlines()[0]


def test_a_thing_is_called_back_with_every_lot_and_with_batches_that_named_none(book, sheet):
    codes = [book.start(sheet, DAY, design=tries.design()) for _ in range(4)]
    for number, code in enumerate(codes[:2]):
        weigh_base(book, code, received(book, "base:cooked", code=f"B-{number}"), 1000.0)
    book.weigh(codes[2], "base", 1000.0, planned_g=1000.0)
    called = recall.of_thing(book, "base:cooked", "Cooked")
    assert [batch.line.code for batch in called.batches] == codes[:2]
    assert called.unnamed == (codes[2],)
    assert any(codes[2] in line for line in lines(recall.recall_pdf(called)))
    assert recall.of_thing(book, "oil:never", "Never").batches == ()


def test_a_carrier_of_a_dilution_reaches_the_batch_as_one_that_may_belong(book):
    """20 g of a tenth of blue in light oil: the lot of the blue is named, that of the oil nowhere."""
    blue, oil = Ref(kind="pigment", id="ultramarine_blue"), Ref(kind="ingredient", id="light-oil")
    design = tries.design(batch=Batch(jars=24, dilutions=(Dilution(of=blue, pct=10, carrier=oil),)))
    thin = plan(resolve(design, tries.shelf()), tries.LOW_JAR)
    line = next(line for line in thin.lines if line.item == "pigment:ultramarine_blue")
    raw, other = (
        received(book, "ingredient:light-oil", code="O-1"),
        received(book, "ingredient:light", code="X"),
    )
    pure = received(book, line.item, code="P-1")
    code, waiting = (book.start(thin, DAY, design=design) for _ in range(2))
    book.weigh_from(code, line.id, [(pure, 20, 2)], planned_g=20)
    assert waiting not in recall.of_lots(book, [raw]).unnamed
    assert recall.of_lots(book, [raw]).unnamed == (code,)
    assert recall.of_lots(book, [other]).unnamed == ()
    assert recall.of_lots(book, [pure]).unnamed == ()
    called = recall.of_batch(book, code)
    told = f"{line.name} was weighed as 10 % in Light oil: of which lot that was, the book does not know."
    assert called.unseen == (told,)
    assert told in recall.recall_csv(called).decode("utf-8-sig")
    assert "look at the bottle" in " ".join(lines(recall.recall_pdf(called)))


def test_an_oil_reaches_the_batch_that_took_of_a_dilution_of_it(book, code, sheet):
    """A bottle of 10 % lavender stands in the book as an oil; of which lot it was made, nobody wrote."""
    pure = tries.shelf().today("oil", "lavender")
    thin = diluted(pure, 10, "plant oil", "lavender-10", "Lavender, 10 % in plant oil", {})
    raw, bottle = received(book, "oil:lavender", code="L-1"), received(book, "oil:lavender-10", code="L-10")
    store.take_anew(book, code, (thin,), "as it was")
    weigh_base(book, code, bottle, 5.0)
    unnamed = book.start(sheet, DAY)
    called = recall.of_lots(book, [raw])
    assert called.batches == ()
    assert called.unnamed == (code,)
    assert unnamed not in called.unnamed
    assert recall.of_lots(book, [bottle]).unnamed == ()


def test_a_corrected_lot_is_no_longer_unnamed(book, code):
    number = book.weigh(code, "base", 1000.0, planned_g=1000.0)
    assert store.unnamed(book, "base:cooked") == (code,)
    book.correct_weighing(number, 1000.0, "lot was B-1", received(book, "base:cooked", code="B-1"))
    assert store.unnamed(book, "base:cooked") == ()


def base_of_no_named_lot(book, sheet, code: str = "C-1") -> tuple[str, int]:
    """A base cooked of 800 g of the sheet's first thing, with no lot named; its code and its own lot."""
    cooked = book.start(sheet, DAY, kind="base")
    book.weigh(cooked, sheet.lines[0].id, 800.0, planned_g=800.0)
    lot = book.finish_base(cooked, Lot(code=code, of=Ref(kind="base", id="own"), name="White"), 3000, {})
    return cooked, lot


def test_a_cooked_base_is_called_back_with_the_jars_of_its_lot(book, code, sheet):
    cooked, lot = base_of_no_named_lot(book, sheet)
    weigh_base(book, code, lot, 900.0)
    sold(book, code)
    called = recall.of_batch(book, cooked)
    assert [(batch.line.code, batch.grams) for batch in called.batches] == [(code, 900.0)]
    assert called.out == 3
    assert [(line.lot.code, grams) for line, grams in called.lots] == [("C-1", 3000.0)]


def test_a_cooked_base_whose_lot_cannot_be_read_says_that_its_jars_are_not_known(book, code, sheet):
    cooked, lot = base_of_no_named_lot(book, sheet)
    weigh_base(book, code, lot, 900.0)
    harm(book, "UPDATE lots SET data = '{' WHERE id = ?", lot)
    assert recall.of_batch(book, cooked).unread


def test_a_batch_that_weighed_the_cooked_base_and_named_no_lot_may_belong(book, sheet):
    """The raw lot is known in the base; which base went into the jars nobody wrote down."""
    raw = received(book, "ingredient:shea", code="RAW-1")
    cooked = book.start(sheet, DAY, kind="base")
    weigh_base(book, cooked, raw, 800.0)
    book.finish_base(cooked, Lot(code="C-1", of=Ref(kind="base", id="cooked"), name="White"), 3000, {})
    jars = book.start(sheet, DAY, design=tries.design())
    book.weigh(jars, "base", 1000.0, planned_g=1000.0)
    called = recall.of_lots(book, [raw])
    assert called.batches == ()
    assert called.unnamed == (jars,)


def test_a_base_that_named_no_lot_is_followed_to_its_jars(book, code, sheet):
    cooked, lot = base_of_no_named_lot(book, sheet)
    weigh_base(book, code, lot, 900.0)
    other = book.start(sheet, DAY)
    item = sheet.lines[0].item
    called = recall.of_lots(book, [received(book, item, code="R-1")])
    assert called.batches == ()
    assert called.unnamed == tuple(sorted((cooked, code)))
    assert other not in called.unnamed


def test_the_table_of_a_recall_says_what_is_not_known_too(book, code):
    lot = received(book, "base:cooked")
    weigh_base(book, code, lot, 1000.0)
    harm(book, "UPDATE batches SET made_on = 'soon' WHERE code = ?", code)
    called = recall.of_lots(book, [lot])
    table = recall.recall_csv(called).decode("utf-8-sig")
    assert called.unread
    assert all(sentence in table.replace('""', '"') for sentence in called.unread)


def test_a_complaint_about_a_jar_of_a_base_of_unnamed_lots_finds_the_others_of_that_base(book, sheet):
    _, lot = base_of_no_named_lot(book, sheet)
    codes = [book.start(sheet, DAY, design=tries.design()) for _ in range(2)]
    for code in codes:
        weigh_base(book, code, lot, 900.0)
    called = recall.of_complaint(book, complaint(book, codes[0]))
    assert [batch.line.code for batch in called.batches] == codes


def test_a_lot_that_is_not_there_is_not_called_back(book):
    with pytest.raises(UnknownName):
        recall.of_lots(book, [99])


# --- complaints ---------------------------------------------------------------------------------------


def complaint(book, code: str = "", **said) -> store.ComplaintLine:
    number = store.complain(book, Complaint(**{"on": LATER, "what": "red wrists", **said}), code)
    return next(line for line in store.complaints(book)[0] if line.number == number)


@pytest.mark.parametrize(
    ("day", "by"),
    [
        (date(2026, 11, 26), date(2026, 12, 17)),  # a Thursday: three whole weeks on
        (date(2026, 11, 28), date(2026, 12, 18)),  # a Saturday counts from Monday
    ],
)
def test_business_days_leave_out_weekends(day, by):
    assert complaints.business_days_on(day, 15) == by


def test_the_clock_of_a_serious_complaint_is_that_of_its_market(book):
    american = complaint(book, market="US", serious="yes", on=date(2026, 11, 26))
    assert "the FDA by 2026-12-17" in complaints.clock_words(american)
    european = complaint(book, market="EU", serious="not known")
    assert "Member State" in complaints.clock_words(european)
    assert "without delay" in complaints.clock_words(european)
    assert "no reporting rule for this market" in complaints.clock_words(
        complaint(book, market="CA", serious="yes")
    )
    assert complaints.clock_words(complaint(book, serious="yes")).startswith("Where was it sold?")
    assert complaints.clock_words(complaint(book, market="US", serious="no")) == ""


def test_a_complaint_is_closed_only_once_somebody_wrote_whom_it_was_told(book, code):
    line = complaint(book, code, serious="not known", market="EU")
    assert (line.code, line.open) == (code, True)
    done = {"on": LATER, "done": "called her"}
    with pytest.raises(Refused, match="which authority"):
        store.answer(book, line.number, ComplaintAnswer(**done, closes=True))
    store.answer(book, line.number, ComplaintAnswer(**done, reported="none: a scratch, she said"))
    store.answer(book, line.number, ComplaintAnswer(**done, closes=True))
    assert not store.complaints(book)[0][0].open
    store.answer(book, line.number, ComplaintAnswer(**done))
    assert store.complaints(book)[0][0].open


def test_a_harmless_complaint_is_closed_without_more(book):
    line = complaint(book, serious="no", what="lid cracked")
    store.answer(book, line.number, ComplaintAnswer(on=LATER, done="sent another", closes=True))
    assert not store.complaints(book)[0][0].open


def test_complaints_that_cannot_be_are_refused(book, code):
    with pytest.raises(Refused, match="what was said"):
        store.complain(book, Complaint(on=LATER, what=" "))
    with pytest.raises(UnknownName):
        store.complain(book, Complaint(on=LATER, what="red"), "26066Z")
    line = complaint(book, code)
    with pytest.raises(Refused, match="before the complaint"):
        store.answer(book, line.number, ComplaintAnswer(on=DAY, done="called"))
    with pytest.raises(Refused, match="what was done"):
        store.answer(book, line.number, ComplaintAnswer(on=LATER, done=""))
    with pytest.raises(UnknownName):
        store.answer(book, 999, ComplaintAnswer(on=LATER, done="called"))
    with pytest.raises(Refused, match="rules of its own"):
        book.write("complaint", "x", {"on": LATER, "what": "x"})


def test_the_note_names_product_law_and_what_was_done(book, code):
    line = complaint(book, code, market="US", serious="yes", on=date(2026, 11, 26), who="Ana")
    store.answer(book, line.number, ComplaintAnswer(on=date(2026, 11, 27), done="stopped the sale"))
    (line,), _ = store.complaints(book)
    said = " ".join(lines(complaints.note_pdf(book, line, "Reed studio")))
    for part in (code, "Reed studio", "red wrists", "stopped the sale", "2026-12-17", "Local law decides"):
        assert part in said
    assert "batch not known" in " ".join(lines(complaints.note_pdf(book, complaint(book), "")))


def test_a_complaint_calls_back_what_shares_a_lot_with_its_jar(book, sheet):
    codes = [book.start(sheet, DAY, design=tries.design()) for _ in range(3)]
    lot = received(book, "base:cooked", code="B-1")
    for code in codes[:2]:
        weigh_base(book, code, lot, 1000.0)
    called = recall.of_complaint(book, complaint(book, codes[0]))
    assert [batch.line.code for batch in called.batches] == codes[:2]
    with pytest.raises(UnknownName):
        recall.of_complaint(book, complaint(book))


# --- drill --------------------------------------------------------------------------------------------


def test_a_drill_sets_planned_use_and_the_shelf_against_what_came(book, code):
    lot = received(book, "base:cooked", 5000.0)
    weigh_base(book, code, lot, 1010.0)
    found = drill.balance(book, lot)
    assert (found.planned_g, found.lost_g, found.batches) == (1000.0, 0.0, 1)
    kept = drill.keep(book, lot, 3990.0, LATER, 40)
    assert kept.off_pct == -0.2
    assert "within 2 %" in drill.verdict(kept)
    assert store.drills(book)[0][1] == kept
    assert drill.due_on(book) == LATER + timedelta(days=365)
    off = drill.judge(found, 3500.0, LATER)
    assert off.off_pct == -10
    assert "more than 2 % off" in drill.verdict(off)


def test_a_drill_counts_waste_and_what_two_lots_share(book, code, sheet):
    small, large = received(book, "base:cooked", 600.0, "B-1"), received(book, "base:cooked", 5000.0, "B-2")
    book.weigh_from(code, "base", [(small, 600.0, 600.0), (large, 450.0, 450.0)], planned_g=1000.0)
    book.move(large, -50.0, "waste", "dropped")
    assert drill.balance(book, small).planned_g == pytest.approx(600 * 1000 / 1050, abs=1e-3)
    found = drill.balance(book, large)
    assert found.planned_g == pytest.approx(450 * 1000 / 1050, abs=1e-3)
    assert found.lost_g == 50.0


def test_a_cup_that_was_thrown_away_is_waste(book, code):
    lot = received(book, "base:cooked", 5000.0)
    weigh_base(book, code, lot, 1300.0)
    book.throw_away(code, ["base"], "too much")
    weigh_base(book, code, lot, 1000.0)
    found = drill.balance(book, lot)
    assert (found.planned_g, found.lost_g) == (1000.0, 1300.0)
    assert drill.judge(found, 2700.0, LATER).off_pct == 0


# --- what waits ---------------------------------------------------------------------------------------


def test_nothing_waits_in_a_book_where_no_jar_was_kept(book, code):
    assert due.errands(book, LATER) == ()


def test_a_complaint_that_cannot_be_read_waits_too(book, code):
    line = complaint(book, code, serious="no")
    harm(book, "UPDATE entries SET data = '{}' WHERE id = ?", line.number)
    (errand,) = due.errands(book, LATER)
    assert f"line {line.number} of the book" in errand.text
    assert errand.part == "care"


def _report(book, code: str) -> int:
    number = store.send_challenge(book, "A", Challenge(sent=DAY, due=DAY))
    return store.report_challenge(book, number, ChallengeReport(on=LATER, verdict="A"))


@pytest.mark.parametrize(
    ("written", "kind", "where"),
    [
        (lambda book, code: store.keep_for_tests(book, code, Kept(on=DAY, tests=("room",))), "kept", "Tests"),
        (lambda book, _: store.send_challenge(book, "A", Challenge(sent=DAY, due=DAY)), "challenge", "Tests"),
        (_report, "report", "Tests"),
        (lambda book, _: drill.keep(book, received(book, "base:cooked"), 5000.0, DAY), "drill", "Drills"),
    ],
)
def test_what_may_be_due_and_cannot_be_read_waits_too(book, code, written, kind, where):
    """A report that is due is not gone with the line that says so."""
    written(book, code)
    harm(book, "UPDATE entries SET data = '[]' WHERE kind = ?", kind)
    (told,) = store.unread_entries(book, kind)
    assert "of the book" in told
    part = {"Tests": "tests", "Drills": "care"}[where]
    waits = [(errand.text, errand.part) for errand in due.errands(book, LATER)]
    assert (f"{where}: {told}", part) in waits


def test_complaints_wait_first_then_what_is_due_longest(book, code):
    store.keep_for_tests(book, code, Kept(on=DAY, tests=("room", "light")))
    store.send_challenge(book, "Preservative A", Challenge(sent=DAY, due=DAY + timedelta(days=28)))
    line = complaint(book, code, serious="no")
    serious = replace(line, said=replace(line.said, serious="yes"))
    assert due.complaint_words(line) == f"Complaint, {code}: red wrists"
    assert due.complaint_words(serious).startswith(f"Complaint, {code}: red wrists · ")
    said = [errand.text for errand in due.errands(book, LATER)]
    assert [text.split(":")[0] for text in said] == [
        f"Complaint, {code}", code, "Challenge test of Preservative A"
    ]  # fmt: skip
    store.answer(book, line.number, ComplaintAnswer(on=LATER, done="sent another", closes=True))
    number = store.challenges(book)[0].number
    store.report_challenge(book, number, ChallengeReport(on=LATER, verdict="A"))
    assert [errand.code for errand in due.errands(book, LATER)] == [code]
    with pytest.raises(AlreadyWritten):
        store.report_challenge(book, number, ChallengeReport(on=LATER, verdict="B"))


def test_only_the_tests_that_jars_were_kept_for_fall_due(book, code):
    everything = stability.log_of(store.batch(book, code), LATER)
    store.keep_for_tests(book, code, Kept(on=DAY, tests=("light",)))
    log = stability.log_of(store.batch(book, code), LATER)
    assert {pending.test for pending in log.due} == {"light"} < {pending.test for pending in everything.due}
    (batch,) = store.under_test(book)
    assert due.readings_due(batch, LATER) == [DAY]
    store.write_reading(book, code, "light", {"on": LATER.isoformat(), "growth": False})
    assert due.readings_due(store.under_test(book)[0], LATER) == []


def test_a_photo_or_a_note_without_a_figure_leaves_the_day_due(book, code):
    """Nothing was read of it; the photo is kept all the same."""
    store.keep_for_tests(book, code, Kept(on=DAY, tests=("light",)))
    store.write_reading(book, code, "light", {"on": f"{LATER}", "note": "as before"}, jpeg())
    assert due.readings_due(store.under_test(book)[0], LATER) == [DAY]
    log = stability.log_of(store.batch(book, code), LATER)
    assert [(each.test, each.on) for each in log.due] == [("light", DAY)]
    assert (len(log.done), log.missed, log.kept) == (1, (), {"light"})
    assert len(photos.files(store.Folder(book.path.parent))) == 1
    store.write_reading(book, code, "light", {"on": f"{LATER}", "delta_e00": 0.0})
    assert due.readings_due(store.under_test(book)[0], LATER) == []
    assert stability.log_of(store.batch(book, code), LATER).due == ()


@pytest.mark.parametrize("test", ["foam", "drop"])
def test_a_test_that_asks_for_words_is_answered_by_words(book, code, test):
    store.keep_for_tests(book, code, Kept(on=DAY, tests=(test,)))
    store.write_reading(book, code, test, {"on": f"{DAY}"}, jpeg())
    assert due.readings_due(store.under_test(book)[0], DAY) == [DAY]
    store.write_reading(book, code, test, {"on": f"{DAY}", "note": "white on white, nothing left"})
    assert due.readings_due(store.under_test(book)[0], DAY) == []


def test_tests_that_cannot_be_are_refused(book, code, sheet):
    with pytest.raises(Refused, match="what the jars are kept for"):
        store.keep_for_tests(book, code, Kept(on=DAY, tests=()))
    cooked = book.start(sheet, DAY, kind="base")
    with pytest.raises(Refused, match="no jar"):
        store.keep_for_tests(book, cooked, Kept(on=DAY, tests=("room",)))
    with pytest.raises(Refused, match="before the jars are sent"):
        store.send_challenge(book, "A", Challenge(sent=LATER, due=DAY))
    with pytest.raises(Refused, match="what is tested"):
        store.send_challenge(book, " ", Challenge(sent=DAY, due=LATER))
    number = store.send_challenge(book, "A", Challenge(sent=LATER, due=LATER))
    with pytest.raises(Refused, match="before the jars were sent"):
        store.report_challenge(book, number, ChallengeReport(on=DAY, verdict="A"))


def test_the_drill_waits_a_year_after_the_last(book):
    lot = received(book, "base:cooked")
    drill.keep(book, lot, 5000.0, DAY)
    assert due.errands(book, DAY + timedelta(days=364)) == ()
    (errand,) = due.errands(book, DAY + timedelta(days=365))
    assert errand.part == "care"


def test_until_a_batch_is_weighed_the_recall_of_its_lot_is_empty(book, code):
    lot = received(book, "base:cooked", code="B-9")
    assert recall.of_lots(book, [lot]).batches == ()
    page = until(book, code, "weigh:base")
    asked = kitchen_log.asked_line(page, page.now.line("base"))
    kitchen_log.weigh(book, page, asked, asked.grams, lot)
    assert [batch.line.code for batch in recall.of_lots(book, [lot]).batches] == [code]


def test_a_laboratory_that_needs_longer_moves_the_due_date_and_says_why(book):
    number = store.send_challenge(book, "Preservative A", Challenge(sent=DAY, due=DAY + timedelta(days=28)))
    assert [errand.on for errand in due.errands(book, LATER)] == [DAY + timedelta(days=28)]
    with pytest.raises(Refused, match="Say why"):
        store.correct_challenge(book, number, " ", due=LATER + timedelta(days=9))
    with pytest.raises(Refused, match="Give the day"):
        store.correct_challenge(book, number, "they wait")
    with pytest.raises(Refused, match="before the jars are sent"):
        store.correct_challenge(book, number, "mistyped", due=DAY - timedelta(days=1))
    store.correct_challenge(book, number, "they wait for a strain", due=LATER + timedelta(days=9))
    (line,) = store.challenges(book)
    assert (line.number, line.said.due) == (number, LATER + timedelta(days=9))
    assert due.errands(book, LATER) == ()
    store.correct_challenge(book, number, "and once more", due=LATER)
    store.report_challenge(book, number, ChallengeReport(on=LATER, verdict="A"))
    (line,) = store.challenges(book)
    assert line.report is not None
    with pytest.raises(AlreadyWritten):
        store.correct_challenge(book, number, "too late", due=LATER)


def test_a_challenge_test_that_failed_waits_until_a_later_one_of_the_same_holds(book):
    def reported(of: str, days: int, verdict: str) -> int:
        on = DAY + timedelta(days=days)
        number = store.send_challenge(book, of, Challenge(sent=DAY, due=on))
        return store.report_challenge(book, number, ChallengeReport(on=on, verdict=verdict))

    reported("Preservative A", 20, "fails")
    reported("Preservative B", 20, "B")
    (errand,) = due.errands(book, LATER)
    assert errand.text.startswith("Challenge test of Preservative A: by the report of ")
    assert "Sell nothing it stands for" in errand.text
    store.send_challenge(book, "Preservative B", Challenge(sent=DAY, due=DAY))
    assert [each.on for each in due.errands(book, LATER)] == [DAY + timedelta(days=20), DAY]
    last = reported("Preservative A", 60, "A")
    assert [each for each in due.errands(book, LATER) if "failed" in each.text] == []
    store.withdraw(book, last, "of another jar")
    assert [each.text for each in due.errands(book, LATER) if "failed" in each.text] == [errand.text]


def test_no_jars_are_sent_before_their_batch_was_made(book, code):
    early = Challenge(sent=DAY - timedelta(days=1), due=LATER)
    with pytest.raises(Refused, match="before the day of the batch"):
        store.send_challenge(book, "Preservative A", early, code)
    assert store.challenges(book) == ()


def test_a_challenge_test_that_was_never_sent_is_taken_back(book):
    number = store.send_challenge(book, "Preservative A", Challenge(sent=DAY, due=DAY))
    store.correct_challenge(book, number, "the parcel never left", withdrawn=True)
    assert store.challenges(book) == ()
    assert due.errands(book, LATER) == ()
    with pytest.raises(Refused, match="taken back"):
        store.report_challenge(book, number, ChallengeReport(on=LATER, verdict="A"))

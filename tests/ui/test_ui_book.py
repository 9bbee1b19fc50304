"""The Book under AppTest: the chain, corrections, sales, release, assessments, tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from html import escape

from blendlab import store
from blendlab.production import drill, kitchen_acts, release, sales
from blendlab.production.judgement import judge
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from blendlab.store.book_care_entries import Challenge
from blendlab.store.book_sales_entries import Kept
from blendlab.ui import book_chain
from blendlab.ui.words import book as say
from tests.production.test_production_rules import received
from tests.store.damage import harm
from tests.ui.kitchen_walk import a_lot, page_of, started, through

DAY = date(2025, 3, 7)


def test_the_book_traces_corrects_and_sells(pages, folder):
    _, number = a_lot(folder, "base:soap-white", 5000, "B-2605")
    code = started(pages)
    through(pages, folder, code, "none")
    pages.press("Open it in the Book")
    pages.at.text_input(key="fix-figure").set_value("1980")
    pages.press("Add the correction")
    assert "Say why" in pages.said
    line = next(line.number for line in page_of(folder, code).weighings if line.line == "base")
    pages.at.selectbox(key="fixes-line").set_value(f"w{line}")
    pages.run()
    pages.at.text_input(key="fix-figure").set_value("1980")
    pages.at.text_input(key="fix-why").set_value("misread")
    pages.press("Add the correction")
    page = page_of(folder, code)
    assert page.weighed["base"] == 1980
    assert [weighing.corrected for weighing in page.weighings if weighing.line == "base"] == [True, False]
    assert "bl-gone" in pages.said
    pages.at.text_input(key="sale-to").set_value("garden shop")
    pages.at.text_input(key="sale-jars").set_value("12")
    pages.press("Write it down")
    assert "is not released for sale" in pages.said
    assert page_of(folder, code).of("sale") == ()
    store.open_book(folder).decide(code, store.FOR_SALE, page.line.made_on)
    pages.press("Write it down")
    assert "garden shop" in pages.said
    assert "keeps the average rules" in pages.said
    pages.at.text_input(key="book-find").set_value("b-2605")
    pages.run()
    assert code in pages.said
    pages.at.button(key=f"show-lot-{number}").click()
    pages.run()
    assert "12 sold to garden shop" in pages.said


def test_a_batch_is_not_released_while_anything_is_open(pages, folder):
    code = started(pages)
    through(pages, folder, code, "none")
    pages.press("Open it in the Book")
    release = next(button for button in pages.at.button if button.label == "Release for sale")
    assert release.disabled
    pages.press("Keep as test jars")
    assert page_of(folder, code).of("release")[0].subject == "test jars, not for sale"


def test_with_everything_in_the_book_a_batch_is_released_and_labelled(pages, folder):
    pages.go("book").at.get_by_key("book-part").set_value("assessed")
    pages.run()
    pages.at.text_input(key="fam-assessor").set_value("A. Assessor")
    pages.at.text_input(key="fam-on").set_value("2026-10-01")
    pages.press("Write it into the book")
    pages.go("batch")
    for leaf, said in (("name", "Reed studio"), ("address", "1 Lane, Town"), ("country", "Nowhere")):
        pages.type(f"maker-{leaf}", said)
    table = next(str(html.value) for html in pages.at.get("html") if "bl-weigh" in str(html.value))
    assert "not named" in table
    wanted = [line.item for line in page_of(folder, started(pages)).plan.lines]
    pages.at.query_params.clear()
    for at, item in enumerate(dict.fromkeys(wanted)):
        a_lot(folder, item, 6000, f"LOT-{at}")
    pages.go("batch").press("Start another").press("Begin the batch")
    code = pages.at.query_params["batch"]
    code = code[0] if isinstance(code, list) else code
    through(pages, folder, code, "none")
    assert release.open_points(page_of(folder, code)) == ()
    kitchen_acts.measured_later(store.open_book(folder), code, foam_g_ml=0.66)  # the other cup held 0.615
    pages.press("Open it in the Book")
    pages.press("Release for sale")
    assert "to be read before release: tick that you have read" in pages.said
    assert page_of(folder, code).of("release") == ()
    (box,) = [box for box in pages.at.checkbox if "I have read the" in box.label]
    box.set_value(True)
    pages.run().go("look").go("book")
    (box,) = [box for box in pages.at.checkbox if "I have read the" in box.label]
    assert box.value  # another page was looked at in between
    pages.press("Release for sale")
    (decision,) = page_of(folder, code).of("release")
    assert decision.subject == "released for sale"
    assert decision.data["read"]
    assert "read before" in pages.said
    pages.go("batch")
    labels = next(button for button in pages.at.get("download_button") if "Jar labels" in button.label)
    assert not labels.disabled
    assert code in pages.said
    assert "lowest credible fill" in pages.said
    assert "LOT-0" in pages.said
    store.call_back(store.open_book(folder), code, "a line was wrong", date.today())
    pages.go("book")
    (box,) = [box for box in pages.at.checkbox if "I have read the" in box.label]
    assert not box.value  # what was read was read of the decision that was called back


def test_a_repeat_lists_what_is_different_before_anything_is_opened(pages, folder):
    code = started(pages)
    through(pages, folder, code, "none")
    pages.press("Open it in the Book")
    pages.at.query_params.clear()
    pages.go("look").type("n.tones.0.doses.0.pct", "0.7")
    pages.go("book").press("Repeat this batch")
    assert "Again: what would be different" in pages.said
    assert "follows from what is above" in pages.said  # her cup is planned with
    assert pages.design["tones"][0]["doses"][0]["pct"] == 0.7
    pages.press("Leave it")
    assert "what would be different" not in pages.said
    pages.press("Repeat this batch").press("Open it so on Batch")
    assert pages.design["tones"][0]["doses"][0]["pct"] == 0.4
    assert f"{code} is open again with" in pages.said


def test_an_assessment_is_kept_and_a_design_outside_it_stops(pages, folder):
    pages.go("book").at.get_by_key("book-part").set_value("assessed")
    pages.run().press("Write it into the book")
    assert "The assessor is missing" in pages.said
    pages.at.text_input(key="fam-assessor").set_value("A. Assessor")
    pages.at.text_input(key="fam-on").set_value("2026-10-01")
    pages.press("Write it into the book")
    assert "A. Assessor" in pages.said
    pages.go("batch")
    assert "No assessment for this formula family" not in pages.said
    pages.go("look").type("n.tones.0.doses.0.pct", "0.5")
    pages.go("batch")
    assert "0.4 % was assessed" in pages.said


def test_tests_fall_due_and_are_read(pages, folder):
    started(pages)
    pages.at.query_params.clear()
    pages.go("book").at.get_by_key("book-part").set_value("tests")
    pages.run()
    assert "20 °C to 25 °C, upright" in pages.said
    store.save_settings(folder, {"heat_in": "F"})
    assert "68 °F to 77 °F, upright" in pages.run().said
    pages.at.text_input(key="read1-drop").set_value("6,1")
    pages.press("Write it into the book")
    assert "Fails: height drop 6.1 %, more than 5 %." in pages.said


def a_batch_for_sale(folder) -> str:
    """A batch of the first demo card, decided for sale, with two jars sold to Ana."""
    book, number = a_lot(folder, "base:soap-white", 5000, "B-2605")
    card = store.open_card(folder, store.listing(folder)[0].card_id).card
    shelf = store.read_shelf(folder).carrying(card.embedded)
    made = judge(card.design, shelf, DAY, {}).plan
    code = book.start(made, DAY, design=card.design)
    book.weigh(code, "base", 900.0, planned_g=900.0, lot=number)
    book.decide(code, store.FOR_SALE, DAY)
    sales.sell(book, code, 2, "Ana", DAY, "own shop", "1007")
    return code


def test_a_sale_after_the_best_before_is_asked_about(pages, folder):
    code = a_batch_for_sale(folder)
    pages.go("book")
    pages.at.text_input(key="sale-jars").set_value("1")
    pages.at.text_input(key="sale-on").set_value("2026-04-15")
    pages.at.button(key="put-sale").click()
    pages.run()
    assert "▲ Really? The best before of these jars ended on" in pages.said
    assert len(page_of(folder, code).of("sale")) == 1
    pages.at.text_input(key=f"why-sale-{code}").set_value("given away, she knows")
    pages.at.text_input(key="sale-on").set_value("2026-05-15")
    pages.at.button(key="put-sale").click()
    pages.run()  # another day than was asked about: her reason is not of it
    assert "before 2026-05-15" in pages.said
    assert len(page_of(folder, code).of("sale")) == 1
    pages.type("sale-on", "2026-06-15")
    assert "▲ Really?" not in pages.said
    pages.at.button(key="put-sale").click()
    pages.run()
    assert pages.at.text_input(key=f"why-sale-{code}").value == ""
    pages.at.text_input(key=f"why-sale-{code}").set_value("given away, she knows")
    pages.at.button(key="put-sale").click()
    pages.run()
    assert page_of(folder, code).of("sale")[-1].data["why"] == "given away, she knows"
    assert "Really?" not in pages.said


def test_jars_are_sold_come_back_and_are_counted(pages, folder):
    code = a_batch_for_sale(folder)
    pages.go("book")
    assert "with customers</th><td>2</td>" in pages.said
    assert "order 1007" in pages.said
    pages.at.text_input(key="sale-jars").set_value("1")
    pages.at.text_input(key="sale-order").set_value("1008")
    pages.at.text_input(key="sale-on").set_value("spring")
    pages.at.button(key="put-sale").click()
    pages.run()
    assert "is no date" in pages.said
    assert pages.at.text_input(key="sale-order").value == "1008"
    pages.at.text_input(key="sale-on").set_value(f"{date.today() + timedelta(days=2)}")
    pages.at.button(key="put-sale").click()
    pages.run()
    assert "is still to come" in pages.said
    pages.at.text_input(key="sale-on").set_value("2025-03-10")
    pages.at.button(key="put-sale").click()
    pages.run()
    assert [sale.data["order"] for sale in page_of(folder, code).of("sale")] == ["1007", "1008"]
    assert pages.at.text_input(key="sale-order").value == ""
    pages.at.text_input(key="back-jars").set_value("1")
    pages.at.text_input(key="back-why").set_value("lid cracked")
    pages.at.button(key="put-return").click()
    pages.run()
    assert "2 jars, 1 back" in pages.said
    pages.at.text_input(key="there-jars").set_value("0")
    pages.at.button(key="put-there").click()
    pages.run()
    assert "Say why" in pages.said
    pages.at.text_input(key="there-why").set_value("shelf fell")
    pages.at.button(key="put-there").click()
    pages.run()
    lost = sales.made(page_of(folder, code)) - 3
    assert f"by your count</th><td>{lost} (shelf fell)</td>" in pages.said
    assert "not to be sold again</th><td>1 (lid cracked)</td>" in pages.said
    assert "left</th><td>0</td>" in pages.said


def test_a_complaint_waits_on_the_front_until_it_is_closed(pages, folder):
    code = a_batch_for_sale(folder)
    pages.go("book").at.get_by_key("book-part").set_value("care")
    pages.run()
    pages.at.text_area(key="told-what").set_value("red wrists")
    pages.at.text_input(key="told-code").set_value("26000Z")
    pages.at.button(key="put-complaint").click()
    pages.run()
    assert "26000Z" in pages.said
    assert pages.at.text_area(key="told-what").value == "red wrists"
    pages.at.text_input(key="told-code").set_value(code)
    pages.at.selectbox(key="told-market").set_value("US")
    pages.at.button(key="put-complaint").click()
    pages.run()
    assert "the FDA by " in pages.said
    pages.at.get_by_key("book-part").set_value("made")
    pages.run()
    assert "Waiting for you" in pages.said
    pages.at.button(key="go-0").click()
    pages.run()
    (line,), _ = store.complaints(store.open_book(folder))
    prefix = f"done-{line.number}-"
    pages.at.text_area(key=f"{prefix}done").set_value("called her")
    pages.at.text_input(key=f"{prefix}reported").set_value("none: it was gone the next day")
    pages.at.checkbox(key=f"{prefix}closes").set_value(True)
    pages.at.button(key=f"put-answer-{line.number}").click()
    pages.run()
    assert "closed" in pages.said
    pages.at.get_by_key("book-part").set_value("made")
    pages.run()
    assert "Waiting for you" not in pages.said


def test_a_recall_is_reached_from_a_thing_and_a_drill_is_kept(pages, folder):
    a_batch_for_sale(folder)
    pages.go("book").at.get_by_key("book-part").set_value("care")
    pages.run()
    pages.at.selectbox(key="recall-item").set_value("base:soap-white")
    pages.run()
    assert "1 batch, 2 jars out, by 1 sale." in pages.said
    assert [button.label for button in pages.at.get("download_button")][:2] == [
        "Recall list (PDF)",
        "Recall list (CSV)",
    ]
    pages.at.text_input(key="drill-grams").set_value("4100")
    pages.at.button(key="put-drill").click()
    pages.run()
    assert "within 2 %" in pages.said
    assert "Last tried out on" in pages.said


def test_a_line_that_nobody_can_read_is_told_where_its_list_stands(pages, folder):
    code = a_batch_for_sale(folder)
    book = store.open_book(folder)
    store.keep_for_tests(book, code, Kept(on=DAY, tests=("light",)))
    store.send_challenge(book, "Preservative A", Challenge(sent=DAY, due=DAY))
    drill.keep(book, received(book, "base:soap-white"), 5000.0, DAY)
    for kind, part in (("kept", "tests"), ("challenge", "tests"), ("drill", "care"), ("sale", "sold")):
        harm(book, "UPDATE entries SET data = '[]' WHERE kind = ?", kind)
        (told,) = store.unread_entries(book, kind)
        pages.go("book").at.get_by_key("book-part").set_value(part)
        pages.run()
        assert escape(told) in pages.said or told in pages.said, kind


def test_kept_jars_and_a_challenge_test_fall_due(pages, folder):
    code = a_batch_for_sale(folder)
    pages.go("book").at.get_by_key("book-part").set_value("tests")
    pages.run()
    assert "No jar of this batch is kept for tests" in pages.said
    assert say.PLAN_OF_KEPT in pages.said
    pages.at.text_input(key="keep-jars").set_value("2")
    pages.at.multiselect(key="keep-tests").set_value(["light"])
    pages.at.button(key="put-kept").click()
    pages.run()
    assert "Kept for: light window" in pages.said
    assert say.PLAN_OF_KEPT not in pages.said
    pages.at.text_input(key="lab-of").set_value("Preservative A, most oil")
    pages.at.text_input(key="lab-sent").set_value("2025-05-10")
    pages.at.button(key="put-challenge").click()
    pages.run()
    assert "report due 2025-06-07" in pages.said
    pages.at.get_by_key("book-part").set_value("made")
    pages.run()
    assert f"{code}: 1 reading is due" in pages.said
    assert "Challenge test of Preservative A, most oil: its report was due on 2025-06-07." in pages.said
    pages.at.get_by_key("book-part").set_value("tests")
    pages.run()
    pages.at.text_input(key="labfix-due").set_value("2025-06-20")
    pages.at.text_input(key="labfix-why").set_value("they wait for a strain")
    pages.at.button(key="put-labfix").click()
    pages.run()
    assert "report due 2025-06-20" in pages.said
    pages.at.text_input(key="report-document").set_value("R-17")
    pages.at.button(key="put-report").click()
    pages.run()
    assert "Say which verdict the report gives." in pages.said  # none is chosen for her
    pages.at.selectbox(key="report-verdict").set_value("A")
    pages.at.text_input(key="report-on").set_value(f"{date.today() + timedelta(days=40)}")
    pages.at.button(key="put-report").click()
    pages.run()
    assert "is still to come" in pages.said
    assert "criterion A met" not in pages.said
    pages.at.text_input(key="report-on").set_value("")
    pages.at.button(key="put-report").click()
    pages.run()
    assert "criterion A met" in pages.said


def test_sales_stock_and_what_can_be_made_stand_together(pages, folder):
    code = a_batch_for_sale(folder)
    pages.go("book").at.get_by_key("book-part").set_value("sold")
    pages.run()
    assert "Nothing was sold in that time" in pages.said
    pages.at.get_by_key("sold-since").set_value("ever")
    pages.run()
    assert "<td>1</td><td>2</td><td>0</td>" in pages.said
    assert code in pages.said
    pages.at.text_input(key="pieces-count").set_value("2,5")
    pages.at.text_input(key="pieces-code").set_value("BOX-1")
    pages.at.button(key="put-pieces").click()
    pages.run()
    assert "2.5 pieces are no count" in pages.said
    pages.at.text_input(key="pieces-count").set_value("48")
    pages.at.button(key="put-pieces").click()
    pages.run()
    box = next(line for line in store.lots(store.open_book(folder)) if line.lot.code == "BOX-1")
    assert box.left_g == 48
    pages.at.selectbox(key="stock-lot").set_value(box.number)
    pages.at.text_input(key="stock-there").set_value("46")
    pages.at.text_input(key="stock-why").set_value("two broke")
    pages.at.button(key="put-stock").click()
    pages.run()
    assert store.lot(store.open_book(folder), box.number).left_g == 46
    pages.press("What can I make today?")
    assert "never counted: " in pages.said
    pages.at.text_input(key="stock-there").set_value("45")
    pages.at.text_input(key="stock-why").set_value("one more broke")
    pages.at.button(key="put-stock").click()
    pages.run()
    assert "never counted: " not in pages.said  # worked out of another stock
    pages.at.text_input(key="days-lead").set_value("30")
    pages.at.text_input(key="days-safety").set_value("7")
    pages.at.button(key="put-days").click()
    pages.run()
    assert list(store.read_settings(folder)["order_days"].values()) == ["30 7"]


def test_a_long_book_is_drawn_a_page_at_a_time(pages, folder):
    book, plan = store.open_book(folder), store.batch(store.open_book(folder), a_batch_for_sale(folder)).plan
    codes = [book.start(plan, date(2025, 4, day)) for day in range(1, 26)]
    pages.go("book")
    assert f"show-batch-{codes[0]}" not in [button.key for button in pages.at.button]
    pages.press("6 more")
    assert f"show-batch-{codes[0]}" in [button.key for button in pages.at.button]


def test_an_empty_book_says_what_would_be_there(pages):
    pages.go("book")
    for part in ("sold", "care", "tests", "made"):
        pages.at.get_by_key("book-part").set_value(part)
        pages.run()
    assert "Nothing made yet." in pages.said


def test_a_correction_calls_a_release_back_and_the_page_says_so(pages, folder):
    code = started(pages)
    through(pages, folder, code, "none")
    today = store.batch(store.open_book(folder), code).line.made_on
    store.open_book(folder).decide(code, store.FOR_SALE, today)
    pages.press("Open it in the Book")
    acid = page_of(folder, code).of("ph")[-1].number
    pages.at.selectbox(key="fixes-line").set_value(f"e{acid}")
    pages.run()
    pages.at.text_input(key="fix-figure").set_value("8,9")
    pages.at.text_input(key="fix-why").set_value("the meter was not rinsed")
    pages.press("Add the correction")
    assert page_of(folder, code).decision == store.CALLED_BACK
    assert "■ Called back on" in pages.said
    assert "Nothing of it is sold until you decide anew" in pages.said
    told = say.CORRECTED_CALLED_BACK[0].format(codes=code)
    assert told in pages.said
    kept = page_of(folder, code).of("ph")[-1].data
    assert (kept["pH"], kept["why"]) == (8.9, "the meter was not rinsed")
    assert "Release for sale" in pages.buttons
    pages.press("Keep as test jars")
    assert page_of(folder, code).decision == store.TEST_JARS
    assert told not in pages.said


def test_a_temperature_is_corrected_in_her_own_degrees_and_a_tick_is_taken_back(pages, folder):
    store.save_settings(folder, {"heat_in": "F"})
    code = started(pages)
    through(pages, folder, code, "none")
    pages.press("Open it in the Book")
    gate = next(tick for tick in page_of(folder, code).of("tick") if tick.subject == "scent-gate")
    pages.at.selectbox(key="fixes-line").set_value(f"e{gate.number}")
    pages.run()
    assert pages.at.text_input(key="fix-figure").placeholder == "77 °F"
    pages.at.text_input(key="fix-figure").set_value("104")
    pages.at.text_input(key="fix-why").set_value("misread")
    pages.press("Add the correction")
    heats = {tick.subject: tick.data["celsius"] for tick in page_of(folder, code).of("tick")}
    assert heats["scent-gate"] == 40
    written = pages.said.partition("bl-entries")[2]
    assert " · 104 °F · misread" in written
    assert "°C" not in written
    clean = next(tick for tick in page_of(folder, code).of("tick") if tick.subject == "clean")
    pages.at.selectbox(key="fixes-line").set_value(f"e{clean.number}")
    pages.run()
    pages.at.text_input(key="fix-why").set_value("it was the other bowl")
    pages.press("Take this line back")
    assert "clean" not in page_of(folder, code).ticked


def test_a_base_cooked_without_lots_says_that_it_cannot_be_traced_and_asks_for_no_supplier():
    cooked = store.BatchLine("26001A-BASE", "base", "Soap", DAY, "2025-03-07")
    jars = store.BatchLine("26002A-REED", "jars", "Reed", DAY, "2025-03-07")
    lot = Lot(code="26001A-BASE", of=Ref(kind="base", id="soap-white"), name="Soap", received=DAY)
    line = store.LotLine(1, lot, 900.0, 100.0, cooked.code, {})
    told = book_chain.backward(store.Origin(jars, (line,), (store.Origin(cooked, (), ()),)))
    assert say.COOKED_OF_NONE in told
    assert say.NO_SUPPLIER not in told
    bought = book_chain.backward(store.Origin(jars, (replace(line, batch=""),), ()))
    assert say.NO_SUPPLIER in bought
    assert say.NO_LOT_NAMED in book_chain.backward(store.Origin(jars, (), ()))


def test_everything_written_down_is_told_in_words(pages, folder):
    code = started(pages)
    through(pages, folder, code, "none")
    book = store.open_book(folder)
    cause = {"cause": "6.31 g went in", "enlarge_pct": 3.9538714991762656}
    book.write("deviation", "oil:lavender", cause, code)
    pages.press("Open it in the Book")
    assert "<td>Cause</td><td>lavender · 6.31 g went in · the rest 3.95 % bigger</td>" in pages.said.replace(
        "Lavender", "lavender"
    )
    steps = {step.id: step.text for step in page_of(folder, code).plan.steps}
    assert f"<td>Ticked</td><td>{steps['clean']}" in pages.said
    assert "g net</td>" in pages.said
    assert "net g " not in pages.said


def test_what_was_said_in_one_part_of_the_book_goes_with_another(pages):
    pages.go("book").at.session_state["said"] = {"text": "868 g planned.", "fresh": False}
    assert "868 g planned." in pages.run().said
    pages.at.get_by_key("book-part").set_value("tests")
    assert "868 g planned." not in pages.run().said

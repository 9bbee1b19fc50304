"""The Book under AppTest: the chain, corrections, sales, release, assessments, tests."""

from __future__ import annotations

from datetime import date

from blendlab import store
from blendlab.production import release
from tests.ui.kitchen_walk import a_lot, page_of, started, through


def test_the_book_traces_corrects_and_sells(pages, folder):
    _, number = a_lot(folder, "base:soap-white", 5000, "B-2605")
    code = started(pages)
    through(pages, folder, code, "none")
    pages.press("Open it in the Book")
    pages.at.text_input(key="fix-figure").set_value("1980")
    pages.press("Add the correction")
    assert "Say why" in pages.said
    line = next(line.number for line in page_of(folder, code).weighings if line.line == "base")
    pages.at.selectbox(key="fix-line").set_value(f"w{line}")
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
    store.open_book(folder).decide(code, store.FOR_SALE, date(2026, 11, 26))
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
    pages.press("Open it in the Book")
    pages.press("Release for sale")
    assert page_of(folder, code).of("release")[0].subject == "released for sale"
    pages.go("batch")
    labels = next(button for button in pages.at.get("download_button") if "Jar labels" in button.label)
    assert not labels.disabled
    assert code in pages.said
    assert "lowest credible fill" in pages.said
    assert "LOT-0" in pages.said


def test_a_repeat_lists_what_is_different_before_anything_is_opened(pages, folder):
    code = started(pages)
    through(pages, folder, code, "none")
    pages.press("Open it in the Book")
    pages.at.query_params.clear()
    pages.go("look").type("n.tones.0.doses.0.pct", "0.7")
    pages.go("book").press("Repeat this batch")
    assert "Again: what would be different" in pages.said
    assert "the cup of" in pages.said
    assert pages.design["tones"][0]["doses"][0]["pct"] == 0.7
    pages.press("Leave it")
    assert "what would be different" not in pages.said
    pages.press("Repeat this batch").press("Open it so on Batch")
    assert pages.design["tones"][0]["doses"][0]["pct"] == 0.4
    assert pages.design["batch"]["overrun_pct"] is not None
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
    pages.at.text_input(key="read-drop").set_value("6,1")
    pages.press("Write it into the book")
    assert "Fails: height drop 6.1 %, more than 5 %." in pages.said


def test_an_empty_book_says_what_would_be_there(pages):
    pages.go("book")
    assert "Nothing made yet." in pages.said

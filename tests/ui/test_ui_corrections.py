"""The form that sets a line of a batch right, where a line says more than one figure."""

from __future__ import annotations

from datetime import date

from blendlab import recipe, store
from blendlab.assess import assess
from blendlab.codec import local_time
from blendlab.production import base_lots, pot
from blendlab.store.book_care_entries import Complaint, ComplaintAnswer
from blendlab.ui import parts
from blendlab.ui.words import book as say
from tests.ui.kitchen_walk import a_lot, page_of

DAY = date(2025, 3, 7)


def cooked(folder) -> str:
    """A base in its pot: 500 g of pot, 2000 g in all, 43 g of water filled up of no lot."""
    book, shelf = store.open_book(folder), store.read_shelf(folder)
    base = shelf.today("base", "soap-white")
    code = base_lots.begin(book, base, shelf, base_lots.cooking(base, shelf, 2000.0, book, DAY), DAY)
    for line in store.batch(book, code).now.lines:
        book.weigh(code, line.id, line.grams, planned_g=line.grams)
    book.write("pot", pot.EMPTY, {"pot_g": 500.0}, code)
    book.write("pot", pot.FULL, {"pot_g": 2457.0, "water_g": 43.0}, code)
    return code


def open_line(pages, code: str, number: int) -> None:
    pages.at.session_state["book-code"] = code
    pages.go("book").at.selectbox(key="fixes-line").set_value(f"e{number}")
    pages.run()


def test_the_pot_is_set_right_with_its_water_and_the_lot_is_named(pages, folder):
    code = cooked(folder)
    line = pot.water_line(store.open_book(folder), page_of(folder, code), store.read_shelf(folder))
    _, number = a_lot(folder, line.item, 100, "AQ-2")
    long = max(page_of(folder, code).plan.steps, key=lambda step: len(step.text))
    store.open_book(folder).tick(code, long.id)
    empty, full = page_of(folder, code).of("pot")
    open_line(pages, code, full.number)
    assert {say.REALLY_OF["pot_g"], say.REALLY_OF["water_g"], say.LOT} <= labels(pages)
    assert pages.at.text_input(key="fix-figure").placeholder == "2457 g"
    told = pages.at.selectbox(key="fixes-line").options
    (pot_line,) = [text for text in told if text.endswith(": full, 2457 g, 43 g of water")]
    assert pot_line == f"Pot {local_time(full.at)[-5:]}: full, 2457 g, 43 g of water"
    water = next(text for text in told if text.startswith(parts.capital(line.name)))
    assert f" g, {say.NO_LOT}, " in water
    (ticked,) = [text.partition(": ")[2] for text in told if text.startswith("Ticked")]
    assert ticked.endswith("…")
    assert long.text.startswith(f"{ticked.removesuffix('…')} ")
    pages.at.text_input(key="fix-water_g").set_value("120")
    pages.at.selectbox(key="fix-lot").set_value(number)
    pages.at.text_input(key="fix-why").set_value("the jug was misread")
    pages.press(say.ADD_CORRECTION)
    assert "AQ-2" in pages.said
    assert page_of(folder, code).of("pot")[-1].data == full.data  # refused: the lot holds 100 g
    pages.at.text_input(key="fix-water_g").set_value("34,5")
    pages.press(say.ADD_CORRECTION)
    kept = page_of(folder, code).of("pot")[-1]
    assert {key: kept.data[key] for key in ("pot_g", "water_g", "lot", "why")} == {
        "pot_g": 2457,
        "water_g": 34.5,
        "lot": number,
        "why": "the jug was misread",
    }
    assert store.lot(store.open_book(folder), number).left_g == 65.5
    open_line(pages, code, kept.number)
    assert pages.at.text_input(key="fix-water_g").value == ""
    pages.at.selectbox(key="fix-lot").set_value(0)
    pages.at.text_input(key="fix-why").set_value("it was tap water")
    pages.press(say.ADD_CORRECTION)
    assert page_of(folder, code).of("pot")[-1].data["lot"] is None
    assert store.lot(store.open_book(folder), number).left_g == 100
    open_line(pages, code, empty.number)
    assert "fix-water_g" not in {field.key for field in pages.at.text_input}
    pages.at.text_input(key="fix-figure").set_value("600")
    pages.at.text_input(key="fix-why").set_value("another pot")
    pages.press(say.ADD_CORRECTION)
    assert pot.empty_g(page_of(folder, code)) == 600


def labels(pages) -> set[str]:
    return {field.label for field in (*pages.at.text_input, *pages.at.selectbox)}


def take_back(pages, of: str, number: int, why: str = "another was meant"):
    pages.at.selectbox(key=f"back-{of}-line").set_value(number)
    pages.at.text_input(key=f"back-{of}-why").set_value(why)
    pages.at.button(key=f"put-back-{of}-").click()
    return pages.run()


def test_what_stands_beside_the_batches_is_taken_back_on_its_own_page(pages, folder):
    book = store.open_book(folder)
    number = store.complain(book, Complaint(on=DAY, what="red wrists"))
    done = store.answer(book, number, ComplaintAnswer(on=DAY, done="called her"))
    pages.go("book").at.get_by_key("book-part").set_value("care")
    pages.run()
    take_back(pages, f"complaint-{number}", done, " ")
    assert "Say why" in pages.said
    take_back(pages, f"complaint-{number}", done)
    assert "called her" not in pages.said
    take_back(pages, f"complaint-{number}", number)
    assert store.complaints(store.open_book(folder))[0] == ()


def test_a_decision_is_taken_back_and_the_batch_decided_anew(pages, folder):
    book, shelf = store.open_book(folder), store.read_shelf(folder)
    code = book.start(assess(recipe.from_dict(pages.design), shelf).plan, DAY)
    book.decide(code, store.TEST_JARS, DAY)
    (decision,) = page_of(folder, code).of("release")
    open_line(pages, code, decision.number)
    pages.at.text_input(key="fix-why").set_value("the wrong button")
    pages.press(say.TAKE_BACK)
    assert page_of(folder, code).decision == store.CALLED_BACK
    assert "the wrong button" in pages.said
    pages.press(say.KEEP_AS_TEST)
    assert page_of(folder, code).decision == store.TEST_JARS

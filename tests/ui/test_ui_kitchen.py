"""The kitchen view under AppTest: weigh, tick, too much, too little, lots that run out."""

from __future__ import annotations

from datetime import date

import pytest

from blendlab import store
from blendlab.production import kitchen_log, outcome
from blendlab.shelf import Lot
from blendlab.ui import kitchen_steps
from blendlab.ui.words import kitchen as say
from tests.ui.conftest import Pages
from tests.ui.kitchen_walk import a_lot, page_of, started, through


def test_a_gate_speaks_and_reads_fahrenheit(pages, folder):
    store.save_settings(folder, {"heat_in": "F"})
    assert "Scent goes in below 113 °F." in pages.go("scent").said
    code = started(pages)
    through(pages, folder, code, "scent-gate")
    assert "Product at 113 °F or below" in pages.said
    pages.at.text_input(key="heat-scent-gate").set_value("113,1")
    pages.press("Measured, next")
    assert "Wait: 113.1 °F is above 113 °F." in pages.said
    assert "°C" not in pages.said
    pages.at.text_input(key="heat-scent-gate").set_value("113")
    pages.press("Measured, next")
    assert page_of(folder, code).of("tick")[-1].data["celsius"] == 45


def test_a_whole_batch_in_the_kitchen(pages, folder):
    _, base_lot = a_lot(folder, "base:soap-white", 5000, "B-2605")
    code = started(pages)
    assert "Save card" not in pages.buttons  # no rail
    through(pages, folder, code, "none")
    page = page_of(folder, code)
    assert kitchen_log.stand(page).current is None
    assert set(page.weighed) == {line.id for line in page.plan.lines}
    assert page.filled_g
    assert len(page.filled_g) == 24
    assert store.lot(store.open_book(folder), base_lot).left_g == 5000 - page.weighed["base"]
    assert f"{code} is done." in pages.said
    assert "Lot not known" in pages.said  # the pigments were taken from no lot
    assert (
        "No assessment for this formula family" in pages.said
    )  # the end says what the Book says before release
    pages.press("Open it in the Book")
    assert code in pages.said
    assert "B-2605" in pages.said


def test_the_end_tells_each_finding_once(pages, folder):
    code = started(pages)
    through(pages, folder, code, "fill")
    for jar in range(3):
        pages.at.text_input(key=f"jar-{code}-{jar + 1}").set_value("62")
        pages.press("Next jar")
    pages.at.text_input(key=f"jars-{code}-3").set_value("24")
    pages.press("All jars filled")
    through(pages, folder, code, "none")
    texts = [finding.text for finding in outcome.outcome(page_of(folder, code)).findings]
    assert texts
    assert [pages.said.count(text) for text in texts] == [1] * len(texts)


def test_a_lot_that_only_the_shelf_names_is_not_shown_as_written_down(pages, folder):
    code = started(pages)
    through(pages, folder, code, "weigh:oil:lavender")
    assert "lot BG-L-0417 by the Shelf, not in the book: no lot is written down" in pages.said
    pages.press("Weighed, next")
    assert [weighing.lot for weighing in page_of(folder, code).weighings] == [None]


def test_a_gate_holds_the_next_line_back_until_it_is_cool(pages, folder):
    code = started(pages)
    through(pages, folder, code, "scent-gate")
    pages.at.text_input(key="heat-scent-gate").set_value("48")
    pages.press("Measured, next")
    assert "Wait: 48 °C is above 45 °C." in pages.said
    assert kitchen_log.stand(page_of(folder, code)).current.id == "scent-gate"
    assert page_of(folder, code).of("temperature")[0].data["celsius"] == 48
    pages.at.text_input(key="heat-scent-gate").set_value("")
    pages.press("Measured, next")
    assert kitchen_log.stand(page_of(folder, code)).current.id == "scent-gate"  # not measured is not enough
    pages.at.text_input(key="heat-scent-gate").set_value("41,5")
    pages.press("Measured, next")
    assert kitchen_log.stand(page_of(folder, code)).current.id != "scent-gate"


def test_the_kitchen_opens_at_the_first_open_line_after_a_restart(pages, folder):
    code = started(pages)
    through(pages, folder, code, "weigh:oil:petitgrain")
    again = Pages()
    again.at.query_params["view"] = "kitchen"
    again.run()
    assert '<p class="bl-kname">Petitgrain</p>' in again.said
    assert "display reads" in again.said


def test_too_much_makes_the_rest_bigger_or_starts_the_cup_again(pages, folder):
    code = started(pages)
    through(pages, folder, code, "weigh:oil:petitgrain")
    before = page_of(folder, code).now
    asked = before.line("oil:petitgrain").grams
    key = next(field.key for field in pages.at.text_input if (field.key or "").startswith("went-"))
    pages.at.text_input(key=key).set_value(f"{asked * 1.02:.2f}")
    pages.press("Too much")
    assert "g too much. Start this cup again, or make the rest" in pages.said
    pages.press(next(button.label for button in pages.at.button if button.label.startswith("Make the rest")))
    page = page_of(folder, code)
    assert page.now.batch_g == pytest.approx(before.batch_g * 1.02, rel=2e-3)
    now = kitchen_log.stand(page)
    # what was weighed before asks for the difference, in the order of the sheet
    assert now.current.id == "weigh:oil:lavender"
    assert kitchen_log.asked_line(page, now.line).grams == pytest.approx(
        before.line("oil:lavender").grams * 0.02, abs=0.02
    )
    for line in page.now.lines:
        if not line.beside:
            assert line.grams / page.now.batch_g == pytest.approx(
                before.line(line.id).grams / before.batch_g, rel=0.03
            )
    through(pages, folder, code, "weigh:oil:green-tea-accord")
    key = next(field.key for field in pages.at.text_input if (field.key or "").startswith("went-"))
    pages.at.text_input(key=key).set_value("9")
    pages.press("Weighed, next")
    pages.press("Start this cup again")
    page = page_of(folder, code)
    assert not {line for line in page.weighed if line.startswith("oil:")}
    assert kitchen_log.stand(page).current.id == "weigh:oil:lavender"
    assert any("thrown away" in weighing.note for weighing in page.weighings)


def test_too_little_asks_for_a_cause(pages, folder):
    code = started(pages)
    through(pages, folder, code, "weigh:base")
    key = next(field.key for field in pages.at.text_input if (field.key or "").startswith("went-"))
    pages.at.text_input(key=key).set_value("1900")
    pages.press("Weighed, next")
    assert "less than asked for" in pages.said
    planned = page_of(folder, code).plan.line("base").grams
    smaller = say.SMALLER.format(pct=100 * (1 - 1900 / planned))
    assert smaller in pages.said
    assert "base" not in page_of(folder, code).weighed
    cause = next(field.key for field in pages.at.text_input if (field.key or "").startswith("cause-"))
    pages.type(cause, "the pail was empty")
    pages.press("Write it down as it is")
    page = page_of(folder, code)
    assert page.weighed["base"] == 1900
    assert page.of("deviation")[0].data["cause"] == "the pail was empty"
    through(pages, folder, code, next(step.id for step in page.now.steps if "pigment" in step.line))
    assert "There is less base than planned: " in pages.said
    through(pages, folder, code, next(step.id for step in page.now.steps if step.id.startswith("fold:")))
    left_g = outcome.unused_scent_g(page_of(folder, code))
    assert left_g > 0
    assert say.SCENT_STAYS.format(grams=left_g) in pages.said


def test_a_double_tap_does_not_write_the_next_line(pages, folder, monkeypatch):
    code = started(pages)
    through(pages, folder, code, "weigh:oil:lavender")
    monkeypatch.setattr(kitchen_steps, "DOUBLE_TAP", 30.0)
    pages.at.session_state["kitchen-wrote"] = 0.0
    pages.press("Weighed, next")
    pages.press("Weighed, next")
    assert list(page_of(folder, code).weighed) == ["oil:lavender"]


def test_a_two_faced_figure_is_asked_back_in_the_kitchen(pages, folder):
    code = started(pages)
    through(pages, folder, code, "weigh:base")
    key = next(field.key for field in pages.at.text_input if (field.key or "").startswith("went-"))
    pages.at.text_input(key=key).set_value("lots")
    pages.press("Weighed, next")
    assert "is not a number" in pages.said
    assert "base" not in page_of(folder, code).weighed


def test_a_second_lot_is_opened_only_with_her_word(pages, folder):
    book, first = a_lot(folder, "base:soap-white", 900, "B-1")
    _, second = a_lot(folder, "base:soap-white", 5000, "B-2")
    code = started(pages)
    through(pages, folder, code, "weigh:base")
    pages.press("Weighed, next")
    assert "Nothing was written" in pages.said
    assert "base" not in page_of(folder, code).weighed
    (mix,) = (box for box in pages.at.checkbox if box.label.startswith("Fill up from B-2"))
    mix.check()
    pages.run()
    assert "900 g from B-1, then" in pages.said
    through(pages, folder, code, "preservative-gate")
    page = page_of(folder, code)
    taken = {weighing.lot: weighing.weighed_g for weighing in page.weighings if weighing.line == "base"}
    assert taken[first] == 900
    assert taken[second] == page.plan.line("base").grams - 900
    assert store.lot(book, first).left_g == 0


def test_more_of_a_line_comes_from_the_lot_that_is_open_not_from_another(pages, folder):
    _, planned = a_lot(folder, "oil:lavender", 60, "L-1")
    _, taken = a_lot(folder, "oil:lavender", 60, "L-2")
    code = started(pages)
    through(pages, folder, code, "weigh:oil:lavender")
    (lots,) = (box for box in pages.at.selectbox if box.label == "Lot")
    assert lots.value == planned
    lots.set_value(taken)
    pages.run().press("Weighed, next")
    asked = page_of(folder, code).now.line("oil:petitgrain").grams
    went = next(each for each in pages.at.text_input if each.key.startswith("went-"))
    went.set_value(f"{asked * 1.05:.2f}")
    pages.press("Weighed, next")
    pages.press(next(button.label for button in pages.at.button if button.label.startswith("Make the rest")))
    assert "More of Lavender" in pages.said
    (lots,) = (box for box in pages.at.selectbox if box.label == "Lot")
    assert lots.value == taken


def test_a_lot_that_ended_is_not_chosen_for_her(pages, folder):
    book, number = a_lot(folder, "base:soap-white", 5000, "B-1")
    kept = store.lot(book, number).lot
    book.correct_lot(number, Lot(code=kept.code, of=kept.of, name=kept.name, expiry=date(2020, 1, 31)))
    code = started(pages)
    through(pages, folder, code, "weigh:base")
    (lots,) = (box for box in pages.at.selectbox if box.label == "Lot")
    assert lots.value is None
    assert any("ended 2020-01-31" in option for option in lots.options)


def test_a_bigger_rest_says_what_base_it_takes_and_speaks_of_foam_only_once_there_is_one(pages, folder):
    a_lot(folder, "base:soap-white", 5000, "B-2605")
    code = started(pages)
    through(pages, folder, code, "weigh:preservative")
    went = next(each for each in pages.at.text_input if each.key.startswith("went-"))
    went.set_value("0,5")
    pages.press("Weighed, next")
    assert "of base more; its lots hold" in pages.said
    assert "whipped like the first" not in pages.said
    pages.press(next(each.label for each in pages.at.button if "bigger" in each.label))
    through(pages, folder, code, "weigh:base")
    went = next(each for each in pages.at.text_input if each.key.startswith("went-"))
    went.set_value(f"{kitchen_log.stand(page_of(folder, code)).line.grams / 10:.0f}")
    pages.press("Weighed, next")
    assert "too much is in for so little base" in pages.said

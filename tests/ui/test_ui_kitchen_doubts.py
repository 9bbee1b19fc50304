"""The kitchen view asks about figures that can hardly be, and never drops one without a word."""

from __future__ import annotations

import pytest

from blendlab import store
from blendlab.production import kitchen_acts, kitchen_log
from blendlab.ui import kitchen_steps
from blendlab.units import plain
from tests.ui.kitchen_walk import a_lot, page_of, started, through


def test_a_jar_far_from_the_plan_is_asked_about_and_its_reason_kept(pages, folder):
    code = started(pages)
    through(pages, folder, code, "fill")
    planned = page_of(folder, code).now.net_g
    pages.at.text_input(key=f"jar-{code}-1").set_value("712")
    pages.press("Next jar")
    assert f"Really? 712 g in a jar; {plain(planned, 1)} g were planned" in pages.said
    assert page_of(folder, code).filled_g == ()
    pages.at.text_input(key="why-fill").set_value("the big tester")
    pages.press("Next jar")
    (jar,) = page_of(folder, code).of("fill")
    assert (jar.data["net_g"], jar.data["why"]) == (712, "the big tester")
    pages.at.text_input(key=f"jar-{code}-2").set_value(f"{1.04 * planned:.2f}")
    pages.press("Next jar")  # usual, and the reason of before is gone
    assert "Really?" not in pages.said
    assert "why" not in page_of(folder, code).of("fill")[-1].data


def test_what_was_asked_about_a_figure_is_not_asked_of_the_next_nor_answered_by_its_reason(pages, folder):
    code = started(pages)
    through(pages, folder, code, "weigh:oil:petitgrain")
    line = page_of(folder, code).now.line("oil:petitgrain")
    went = next(field.key for field in pages.at.text_input if (field.key or "").startswith("went-"))
    pages.at.text_input(key=went).set_value(f"{line.grams + 1:g}")
    pages.press("Weighed, next")
    assert "1 g too much" in pages.said
    pages.type(went, f"{line.grams:g}")
    assert "too much." not in pages.said
    through(pages, folder, code, "fill")
    pages.at.text_input(key=f"jar-{code}-1").set_value("712")
    pages.press("Next jar")
    pages.type("why-fill", "the big tester")
    pages.type(f"jar-{code}-1", "900")
    assert "Really?" not in pages.said
    pages.press("Next jar")
    assert "Really? 900 g in a jar" in pages.said
    pages.type("why-fill", "the big tester")
    pages.at.text_input(key=f"jar-{code}-1").set_value("905")
    pages.press("Next jar")  # typed and pressed in one go
    assert "Really? 905 g in a jar" in pages.said
    assert page_of(folder, code).filled_g == ()


def test_jars_are_counted_whole_and_not_below_what_was_weighed(pages, folder):
    code = started(pages)
    through(pages, folder, code, "fill")
    pages.at.text_input(key=f"jar-{code}-1").set_value("75")
    pages.press("Next jar")
    pages.press("All jars filled")
    assert "No number is typed yet" in pages.said  # one of many was weighed: she counts, the page does not
    pages.at.text_input(key=f"jars-{code}-1").set_value("2,5")
    pages.press("All jars filled")
    assert "2.5 jars are no count" in pages.said
    pages.at.text_input(key=f"jars-{code}-1").set_value("2")
    pages.press("All jars filled")
    assert "Really? 2 jars; 24 were planned" in pages.said
    pages.at.text_input(key=f"jars-{code}-1").set_value("24")
    pages.press("All jars filled")
    assert page_of(folder, code).of("filled")[0].data == {"jars": 24}


@pytest.mark.parametrize(
    ("unit", "typed", "asked"),
    [("C", "104", "Is it 104 °F, that is 40 °C?"), ("F", "41", "Is it 41 °C, that is 105.8 °F?")],
)
def test_the_other_degree_is_asked_about(pages, folder, unit, typed, asked):
    store.save_settings(folder, {"heat_in": unit})
    code = started(pages)
    through(pages, folder, code, "scent-gate")
    pages.at.text_input(key="heat-scent-gate").set_value(typed)
    pages.press("Measured, next")
    assert asked in pages.said
    page = page_of(folder, code)
    assert "scent-gate" not in page.ticked
    assert page.of("temperature") == ()


def test_a_foam_that_no_foam_is_asks(pages, folder):
    code = started(pages)
    through(pages, folder, code, "density")
    pages.at.text_input(key="cup-g").set_value("20")
    pages.press("Weighed, next")
    assert "0.20 g/ml; whipped bases have 0.3 to 1.1 g/ml" in pages.said
    pages.at.text_input(key="cup-g").set_value("108")
    pages.press("Weighed, next")
    assert "is more than the mix before whipping has" in pages.said
    assert page_of(folder, code).of("density") == ()


def test_a_second_tap_with_a_figure_is_answered(pages, folder, monkeypatch):
    code = started(pages)
    through(pages, folder, code, "weigh:oil:petitgrain")
    monkeypatch.setattr(kitchen_steps, "DOUBLE_TAP", 30.0)
    line = page_of(folder, code).now.line("oil:petitgrain")
    key = next(field.key for field in pages.at.text_input if (field.key or "").startswith("went-"))
    pages.at.text_input(key=key).set_value(f"{line.grams + 0.01:.2f}")
    pages.press("Weighed, next")
    assert "Two taps close together: nothing was written" in pages.said
    assert "oil:petitgrain" not in page_of(folder, code).weighed
    assert pages.at.text_input(key=key).value == f"{line.grams + 0.01:.2f}"
    monkeypatch.setattr(kitchen_steps, "DOUBLE_TAP", 0.0)
    pages.press("Weighed, next")
    assert page_of(folder, code).weighed["oil:petitgrain"] == round(line.grams + 0.01, 4)


def test_a_figure_that_another_window_was_faster_with_is_not_dropped_silently(pages, folder):
    code = started(pages)
    through(pages, folder, code, "fill")
    kitchen_acts.all_filled(store.open_book(folder), code, "fill", 24)
    pages.at.text_input(key=f"jars-{code}-0").set_value("20")
    pages.press("All jars filled")
    assert "What you typed was not written" in pages.said
    assert [count.data["jars"] for count in page_of(folder, code).of("filled")] == [24]


# --- lots and cups ------------------------------------------------------------------------------------


def test_a_lot_whose_code_reads_like_the_words_of_another_choice_is_no_trouble(pages, folder):
    for at, lot in enumerate(("B-1", "B-1, 900 g left", "lot not named", 'B"<b>*1*</b>', "a, b")):
        a_lot(folder, "base:soap-white", 5000 + at, lot)
    code = started(pages)
    through(pages, folder, code, "weigh:base")
    key = next(box.key for box in pages.at.selectbox if (box.key or "").startswith("lot-went-"))
    labels = pages.at.selectbox(key=key).options
    assert len(set(labels)) == len(labels) == 6
    assert not any(label.endswith("g left") and label != "B-1, 900 g left" for label in labels)
    lots = {line.lot.code: line.number for line in store.lots(store.open_book(folder))}
    for chosen in lots.values():
        pages.at.selectbox(key=key).set_value(chosen)
        pages.run()
    pages.press("Weighed, next")
    (weighing,) = [found for found in page_of(folder, code).weighings if found.line == "base"]
    assert weighing.lot == lots["a, b"]


def test_a_lot_that_is_emptied_elsewhere_gives_way(pages, folder):
    book, first = a_lot(folder, "base:soap-white", 5000, "B-1")
    _, second = a_lot(folder, "base:soap-white", 5000, "B-2")
    code = started(pages)
    through(pages, folder, code, "weigh:base")
    book.move(first, -5000, "waste", "spilt")
    pages.run()
    pages.press("Weighed, next")
    (weighing,) = [found for found in page_of(folder, code).weighings if found.line == "base"]
    assert weighing.lot == second


@pytest.mark.parametrize("line_id", ["base", "oil:petitgrain"])
def test_a_cup_that_was_started_again_is_weighed(pages, folder, line_id):
    """Too much, a new cup, and every line of it again: with lots, twice over."""
    book, base = a_lot(folder, "base:soap-white", 20_000, "B-1")
    _, oil = a_lot(folder, "oil:petitgrain", 500, "O-1")
    code = started(pages)
    for _ in range(2):
        through(pages, folder, code, f"weigh:{line_id}")
        line = page_of(folder, code).now.line(line_id)
        key = next(field.key for field in pages.at.text_input if (field.key or "").startswith("went-"))
        pages.at.text_input(key=key).set_value(f"{line.grams * 2:g}")
        pages.press("Weighed, next")
        pages.press("Start this cup again")
        now = kitchen_log.stand(page_of(folder, code))
        assert now.line.cup == line.cup
        key = next(field.key for field in pages.at.text_input if (field.key or "").startswith("went-"))
        assert float(pages.at.text_input(key=key).value) == now.line.grams  # not what was too much
    through(pages, folder, code, "preservative-gate")
    page = page_of(folder, code)
    assert page.weighed[line_id] == page.now.line(line_id).grams
    lot, came = (base, 20_000) if line_id == "base" else (oil, 500)
    assert store.lot(book, lot).left_g == pytest.approx(came - 5 * page.weighed[line_id], abs=0.02)
    assert line_id not in {entry.subject for entry in page.of("deviation")}  # no cause for later

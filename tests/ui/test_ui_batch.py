"""Batch, kitchen, Book and Shelf under AppTest: from jars to a traced, labelled batch."""

from __future__ import annotations

import re
import sqlite3
from datetime import date

import pytest

from blendlab import store
from blendlab.production import kitchen_log, release
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from blendlab.store.book_schema import connect
from blendlab.ui import kitchen_steps, memo
from tests.ui.conftest import Pages


@pytest.fixture(autouse=True)
def one_tap_after_the_other(monkeypatch):
    """AppTest taps faster than any hand."""
    monkeypatch.setattr(kitchen_steps, "DOUBLE_TAP", 0.0)


def a_lot(folder, item: str, grams: float, code: str, **more):
    kind, _, name = item.partition(":")
    book = store.open_book(folder)
    lot = Lot(code=code, of=Ref(kind=kind, id=name), name=name, supplier="Invented supplier")
    return book, book.receive(lot, grams, more or None)


def started(pages: Pages) -> str:
    """Start the batch of the open design and stay in the kitchen."""
    pages.go("batch").press("Kitchen view")
    found = pages.at.query_params["batch"]
    return found[0] if isinstance(found, list) else found


def page_of(folder, code: str) -> store.BatchPage:
    return store.batch(store.open_book(folder), code)


def through(pages: Pages, folder, code: str, until: str) -> Pages:
    """Weigh and tick like a careful maker until a step is open."""
    for _ in range(80):
        now = kitchen_log.stand(page_of(folder, code))
        if now.current is None or now.current.id == until:
            return pages
        one(pages, now)
    raise AssertionError(f"never came to {until}")


def one(pages: Pages, now) -> None:
    step = now.current
    if now.line is not None:
        pages.press("Weighed, next")
    elif step.kind == "gate":
        pages.at.text_input(key=f"heat-{step.id}").set_value("25")
        pages.press("Measured, next")
    elif step.id == "density":
        pages.at.text_input(key="cup-g").set_value("61,5")
        pages.press("Weighed, next")
    elif step.id == "retain":
        pages.press("Set aside, next")
    elif step.id == "yield":
        pages.at.text_input(key="left-g").set_value("40")
        pages.at.text_input(key="ph-now").set_value("6,1")
        pages.press("Close the batch")
    elif step.id == "fill":
        fill(pages)
    else:
        pages.press("Tick, next" if step.kind == "tick" else "Done, next")


def fill(pages: Pages, count: int = 24) -> None:
    for jar in range(1, count + 1):
        key = next(each.key for each in pages.at.text_input if each.key and each.key.startswith("jar-"))
        pages.at.text_input(key=key).set_value(f"{78 + jar % 3}")
        pages.press("Next jar")
    pages.press("All jars filled")


def test_the_sheet_shows_every_line_and_follows_the_jars(pages):
    pages.go("batch")
    first = re.search(r"Whipped soap base.*?<b>([^<]*)</b>", pages.said, re.S)[1]
    pages.type("n.batch-page.jars", "48")
    second = re.search(r"Whipped soap base.*?<b>([^<]*)</b>", pages.said, re.S)[1]
    grams = [float(one.replace("\u2009", "")) for one in (first, second)]
    assert 1.9 < grams[1] / grams[0] < 2.0  # what is held back does not double
    assert pages.design["batch"]["jars"] == 48
    assert "Lavender" in pages.said
    assert "Ferric ferrocyanide" in pages.said


def test_every_figure_of_the_batch_takes_a_comma(pages):
    pages.go("batch")
    pages.type("n.batch.loss_pct", "4,5")
    assert pages.design["batch"]["loss_pct"] == 4.5
    pages.type("n.batch.retained_g", "1 oz")
    assert pages.design["batch"]["retained_g"] == pytest.approx(28.3495, abs=1e-3)
    pages.at.get_by_key("p.batch-start").set_value("grams")
    pages.run().type("n.batch.grams", "1.234")
    assert "can be 1.234" not in pages.said  # only 1234 g lies within what a batch can be
    assert pages.design["batch"]["grams"] == 1234


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


def test_ounces_and_fahrenheit_change_words_only(pages):
    pages.go("batch")
    before = page_lines(pages)
    pages.at.get_by_key("p.weigh_in").set_value("oz")
    pages.run().at.get_by_key("p.heat_in").set_value("F")
    pages.run()
    assert "113 °F" in pages.said
    assert "45 °C" not in pages.said
    assert page_lines(pages, "small") == before  # the grams stand behind
    assert pages.design["batch"]["grams"] is None


def page_lines(pages: Pages, mark: str = "b") -> list[str]:
    table = next(str(one.value) for one in pages.at.get("html") if "bl-weigh" in str(one.value))
    cells = re.findall(r"<td><b>([^<]*)</b>(?:<small>([^<]*) g</small>)?</td>", table)
    return [small if mark == "small" else big for big, small in cells]


def test_a_tiny_dose_is_weighed_through_a_stock_with_one_click(pages):
    pages.go("batch")
    button = next(one for one in pages.at.button if one.label.startswith("Use the 10 % stock"))
    button.click()
    pages.run()
    assert pages.design["batch"]["dilutions"][0]["pct"] == 10
    assert "10 % stock" in pages.said


def test_spoons_become_grams_with_their_range_and_a_preservative_is_refused(pages):
    pages.go("batch")
    pages.at.selectbox(key="spoon-line").set_value("pigment:iron_oxide_yellow@cream")
    pages.type("spoon-count", "0,5")
    assert "a factor of" in pages.said
    pages.press(next(one.label for one in pages.at.button if one.label.startswith("Take the middle")))
    assert pages.design["tones"][1]["doses"][0]["pct"] > 0.06
    pages.at.selectbox(key="spoon-line").set_value("preservative")
    pages.run()
    assert "must be weighed in grams" in pages.said
    pages.at.selectbox(key="spoon-line").set_value("oil:lavender")
    pages.run()
    assert "its amount is limited on skin" in pages.said


def test_the_findings_of_the_batch_stand_on_look_too(pages):
    assert "Batch · 0.35 g of Preservative A" in pages.said


def test_an_unknown_price_leaves_no_sum_and_a_known_one_does(pages):
    pages.go("batch")
    assert "Price not known" in pages.said
    assert "Together" not in pages.said
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("price")
    pages.run()
    for pigment in ("chromium_hydroxide_green", "ferric_ferrocyanide", "iron_oxide_yellow"):
        pages.type(f"n.price.pigment.{pigment}", "90")
    pages.go("batch")
    pages.type("n.rates.margin", "40").type("n.rates.vat", "20")
    assert "Together" in pages.said
    assert "Price with VAT" in pages.said
    assert "a mark-up of 66.7 % on the cost" in pages.said  # m / (1 - m)


def test_the_label_is_held_back_until_everything_is_known(pages):
    pages.go("batch")
    assert "Held back" in pages.said
    for told in (
        "No batch code",
        "No assessment for this formula family",
        "Weigh at least three filled jars",
    ):
        assert told in pages.said
    labels = next(one for one in pages.at.get("download_button") if "Jar labels" in one.label)
    assert labels.disabled
    assert "Aqua, Sodium Cocoyl Isethionate, Glycerin" in pages.said


def test_a_whole_batch_in_the_kitchen(pages, folder):
    _, base_lot = a_lot(folder, "base:soap-white", 5000, "B-2605")
    code = started(pages)
    assert "Save card" not in [one.label for one in pages.at.button]  # no rail
    through(pages, folder, code, "none")
    page = page_of(folder, code)
    assert kitchen_log.stand(page).current is None
    assert set(page.weighed) == {one.id for one in page.plan.lines}
    assert page.filled_g
    assert len(page.filled_g) == 24
    assert store.lot(store.open_book(folder), base_lot).left_g == 5000 - page.weighed["base"]
    assert f"{code} is done." in pages.said
    assert "Lot not known" in pages.said  # the pigments were taken from no lot
    pages.press("Open it in the Book")
    assert code in pages.said
    assert "B-2605" in pages.said


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
    key = next(one.key for one in pages.at.text_input if one.key and one.key.startswith("went-"))
    pages.at.text_input(key=key).set_value(f"{asked * 1.02:.2f}")
    pages.press("Too much")
    assert "g too much. Start this cup again, or make the batch" in pages.said
    pages.press(next(one.label for one in pages.at.button if one.label.startswith("Make the rest")))
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
    key = next(one.key for one in pages.at.text_input if one.key and one.key.startswith("went-"))
    pages.at.text_input(key=key).set_value("9")
    pages.press("Weighed, next")
    pages.press("Start this cup again")
    page = page_of(folder, code)
    assert not {one for one in page.weighed if one.startswith("oil:")}
    assert kitchen_log.stand(page).current.id == "weigh:oil:lavender"
    assert any("thrown away" in one.note for one in page.weighings)


def test_too_little_asks_for_a_cause(pages, folder):
    code = started(pages)
    through(pages, folder, code, "weigh:base")
    key = next(one.key for one in pages.at.text_input if one.key and one.key.startswith("went-"))
    pages.at.text_input(key=key).set_value("1900")
    pages.press("Weighed, next")
    assert "less than asked for" in pages.said
    assert "base" not in page_of(folder, code).weighed
    cause = next(one.key for one in pages.at.text_input if one.key and one.key.startswith("cause-"))
    pages.type(cause, "the pail was empty")
    pages.press("Write it down as it is")
    page = page_of(folder, code)
    assert page.weighed["base"] == 1900
    assert page.of("deviation")[0].data["cause"] == "the pail was empty"


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
    key = next(one.key for one in pages.at.text_input if one.key and one.key.startswith("went-"))
    pages.at.text_input(key=key).set_value("lots")
    pages.press("Weighed, next")
    assert "is not a number" in pages.said
    assert "base" not in page_of(folder, code).weighed


def test_a_lot_that_runs_out_is_followed_by_the_next(pages, folder):
    book, first = a_lot(folder, "base:soap-white", 900, "B-1")
    _, second = a_lot(folder, "base:soap-white", 5000, "B-2")
    code = started(pages)
    through(pages, folder, code, "preservative-gate")
    page = page_of(folder, code)
    taken = {one.lot: one.weighed_g for one in page.weighings if one.line == "base"}
    assert taken[first] == 900
    assert taken[second] == page.plan.line("base").grams - 900
    assert store.lot(book, first).left_g == 0


def test_a_lot_of_unknown_preservative_stops_and_a_ranged_one_is_sized_low(pages, folder):
    a_lot(folder, "base:soap-white", 5000, "B-9", preservative_pct="unknown")
    pages.go("batch")
    assert "is not known; no top-up is sized" in pages.said
    link = connect(folder.book)
    assert link.execute("SELECT count(*) FROM lots").fetchone()[0] == 1
    link.close()


def test_a_ranged_lot_is_sized_on_its_low_figure(pages, folder):
    pages.go("batch")
    known = float(re.search(r"Top-up for what is added</th><td>([0-9.]+) g", pages.said)[1])
    a_lot(folder, "base:soap-white", 5000, "B-9", preservative_pct=[0.8, 1.0])
    pages.go("batch")
    assert "B-9" in pages.said
    ranged = float(re.search(r"Top-up for what is added</th><td>([0-9.]+) g", pages.said)[1])
    assert ranged != known


def test_lots_are_written_down_on_the_shelf(pages, folder):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("lot")
    pages.run()
    pages.press("Write it into the book")
    assert "The code of the lot is missing." in pages.said
    at = pages.at
    at.selectbox(key="lot-item").set_value("soap-white")
    at.text_input(key="lot-code").set_value("B-2605")
    at.text_input(key="lot-grams").set_value("4,5 kg")
    at.text_input(key="lot-expiry").set_value("2027-11-30")
    at.selectbox(key="lot-kept").set_value("range")
    at.text_input(key="lot-low").set_value("0,8")
    at.text_input(key="lot-high").set_value("1,0")
    at.text_area(key="lot-order").set_value("Aqua 40 45\nGlycerin 12")
    pages.press("Write it into the book")
    (lot,) = store.lots(store.open_book(folder))
    assert lot.left_g == 4500
    assert lot.data["preservative_pct"] == [0.8, 1.0]
    assert lot.data["in_order"] == {"Aqua": [40.0, 45.0], "Glycerin": [12.0, 12.0]}
    assert "4500 g left" in pages.said


def test_a_scale_and_a_raw_material_of_hers(pages):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("scale")
    pages.run().press("Add a scale")
    pages.at.text_input(key="new-name").set_value("tenth scale")
    pages.at.text_input(key="new-step").set_value("0,1")
    pages.at.text_input(key="new-most").set_value("2 kg")
    pages.press("Put on the shelf")
    assert "carries 2000 g" in pages.said
    pages.at.get_by_key("shelf-kind").set_value("ingredient")
    pages.run().press("Add a raw material")
    pages.at.text_input(key="new-name").set_value("Shea butter")
    pages.at.text_area(key="new-components").set_value("Butyrospermum Parkii Butter; 194043-92-0; 99; 100")
    pages.press("Put on the shelf")
    assert "Shea butter is on the shelf" in pages.said


def test_a_base_lot_is_cooked_and_then_used(pages, folder):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("base")
    pages.run().at.button(key="show-base-soap-white").click()
    pages.run()
    assert "Active surfactant" in pages.said
    assert "27.5 % of the base" in pages.said
    pages.type("cook-grams", "1500")
    pages.press("Cook it in the kitchen view")
    code = store.batches(store.open_book(folder))[0].code
    seen = set()
    for _ in range(60):
        now = kitchen_log.stand(page_of(folder, code))
        if now.current is None:
            break
        seen.add(now.current.id)
        if now.current.id == "refill":
            into_pot = sum(page_of(folder, code).weighed.values())
            pages.at.text_input(key="pot-tare").set_value("500")
            pages.at.text_input(key="pot-gross").set_value(f"{into_pot + 500 - 31:g}")
            assert "<b>31 g</b> of water are gone" in pages.run().said
            pages.at.text_input(key="pot-gross").set_value("499")
            assert "Full vessel is 499 g" in pages.run().said
            pages.press("Tick, next")
        elif now.current.id == "ph":
            pages.at.text_input(key="ph-now").set_value("5,9")
            pages.press("Measured, next")
        elif now.current.kind == "gate":
            pages.at.text_input(key=f"heat-{now.current.id}").set_value("38")
            pages.press("Measured, next")
        else:
            one(pages, now)
    assert {
        "inci:ingredient:isethionate-powder",
        "care:ingredient:isethionate-powder",
        "refill",
        "granules",
        "cover",
    } <= seen
    pages.at.text_input(key="cooked-grams").set_value("1470")
    pages.press("Make it a base lot")
    (lot,) = [each for each in store.lots(store.open_book(folder)) if each.item == "base:soap-white"]
    assert lot.left_g == 1470
    assert lot.data["preservative_pct"] == pytest.approx([1.0, 1.0], abs=0.01)
    assert lot.data["pH"] == 5.9
    pages.at.query_params.clear()
    pages.go("batch")
    assert f"{code}, 1470 g left" in str([one.options for one in pages.at.selectbox])


def test_the_book_traces_corrects_and_sells(pages, folder):
    _, number = a_lot(folder, "base:soap-white", 5000, "B-2605")
    code = started(pages)
    through(pages, folder, code, "none")
    pages.press("Open it in the Book")
    pages.at.text_input(key="fix-grams").set_value("1980")
    pages.press("Add the correction")
    assert "Say why" in pages.said
    line = next(one.number for one in page_of(folder, code).weighings if one.line == "base")
    pages.at.selectbox(key="fix-line").set_value(line)
    pages.run()
    pages.at.text_input(key="fix-grams").set_value("1980")
    pages.at.text_input(key="fix-why").set_value("misread")
    pages.press("Add the correction")
    page = page_of(folder, code)
    assert page.weighed["base"] == 1980
    assert [one.corrected for one in page.weighings if one.line == "base"] == [True, False]
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
    release = next(one for one in pages.at.button if one.label == "Release for sale")
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
    table = next(str(one.value) for one in pages.at.get("html") if "bl-weigh" in str(one.value))
    assert "not named" in table
    wanted = [one.item for one in page_of(folder, started(pages)).plan.lines]
    pages.at.query_params.clear()
    for at, item in enumerate(dict.fromkeys(wanted)):
        a_lot(folder, item, 6000, f"LOT-{at}")
    pages.go("batch").press("Start another")
    code = pages.at.query_params["batch"]
    code = code[0] if isinstance(code, list) else code
    through(pages, folder, code, "none")
    assert release.open_points(page_of(folder, code)) == ()
    pages.press("Open it in the Book")
    pages.press("Release for sale")
    assert page_of(folder, code).of("release")[0].subject == "released for sale"
    pages.go("batch")
    labels = next(one for one in pages.at.get("download_button") if "Jar labels" in one.label)
    assert not labels.disabled
    assert code in pages.said
    assert "lowest credible fill" in pages.said
    assert "LOT-0" in pages.said


def test_make_again_opens_the_design_as_it_was(pages, folder):
    code = started(pages)
    pages.at.query_params.clear()
    pages.go("look").type("n.tones.0.doses.0.pct", "0.7")
    pages.go("book")
    assert code in pages.said
    pages.press("Make again")
    assert pages.design["tones"][0]["doses"][0]["pct"] == 0.4


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


def test_a_new_number_of_jars_is_judged_once_and_asks_a_full_book_no_more_than_a_small_one(
    pages, folder, monkeypatch
):
    asked, judged = [], []
    plain_connect, plain_judge = sqlite3.connect, memo.judge

    def traced(*given, **named):
        link = plain_connect(*given, **named)
        link.set_trace_callback(asked.append)
        return link

    monkeypatch.setattr(sqlite3, "connect", traced)
    monkeypatch.setattr(memo, "judge", lambda *given: judged.append(1) or plain_judge(*given))

    def of_a_new_number(jars: int) -> int:
        asked.clear()
        judged.clear()
        pages.type("n.batch-page.jars", str(jars))
        assert sum(judged) == 1
        return len(asked)

    plan = page_of(folder, started(pages)).plan
    pages.at.query_params.clear()
    pages.go("batch")
    small = of_a_new_number(31)
    book = store.open_book(folder)
    for at in range(120):
        a_lot(folder, f"ingredient:thing-{at}", 100, f"X-{at}")
    for _ in range(19):
        book.start(plan, date.today())
    assert len(store.batches(book)) == 20
    assert of_a_new_number(32) == small


@pytest.mark.parametrize("product", ["whipped_soap", "sugar_scrub", "oil_sugar_scrub", "body_butter"])
@pytest.mark.parametrize("bare", [False, True])
def test_every_product_has_its_sheet(pages, folder, product, bare):
    """With the demo shelf, and on a shelf without raw materials and scales."""
    if bare:
        for kind in ("ingredient", "scale"):
            for item in list(store.read_shelf(folder).of(kind)):
                store.delete_item(folder, kind, item.id)
    pages.at.selectbox(key="p.product").set_value(product)
    pages.run().go("batch")
    assert "To weigh" in pages.said
    assert ("No scale on the shelf" in pages.said) is bare
    assert "nan" not in pages.said.lower().replace("finance", "")


def test_a_design_without_jar_or_base_is_answered_in_words(pages, folder):
    store.delete_item(folder, "base", "soap-white")
    pages.go("batch")
    assert "To weigh" in pages.said
    pages.at.session_state["doc"]["embedded"] = {}
    pages.run()
    assert "Choose a jar and a base that are on the shelf." in pages.said


FORBIDDEN = (
    "compliant", "approved", "certified", "guaranteed", "allergen-free", "hypoallergenic", "non-toxic",
    "dermatologically", "all good", "0 problems", "oops", "please", "simply",
)  # fmt: skip
"""Words that no page may say beside a limit, a price or a label."""


@pytest.mark.parametrize("path", ["batch", "book", "shelf"])
def test_no_forbidden_word(pages, path):
    pages.go(path)
    said = re.sub(r"<style>.*?</style>|/\*.*?\*/", "", pages.said, flags=re.S).lower()
    assert not [word for word in FORBIDDEN if word in said]

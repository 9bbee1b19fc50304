"""What Batch, kitchen and Shelf say of foam, stock, layers and scales, under AppTest."""

from __future__ import annotations

from blendlab import store
from blendlab.production import kitchen_log
from blendlab.recipe import Ref
from blendlab.shelf import Lot
from blendlab.ui.words import batch as say
from tests.ui.kitchen_walk import page_of, started, through


def test_cups_of_foam_say_whip_on_or_stop(pages, folder):
    code = started(pages)
    through(pages, folder, code, "whip")
    pages.at.text_input(key="mix-g").set_value("105")
    pages.at.text_input(key="whip-g").set_value("70")
    pages.press("Weigh this cup")
    assert "overrun 50 %, 33 % of it air. Whip on" in pages.said
    pages.at.text_input(key="whip-g").set_value("75")
    pages.press("Weigh this cup")
    assert "the foam collapses" in pages.said
    pages.at.text_input(key="whip-g").set_value("much")
    pages.press("Weigh this cup")
    assert "is not a number" in pages.said
    pages.press("Done, next")
    assert kitchen_log.stand(page_of(folder, code)).current.id == "density"


def test_what_a_jar_of_heavier_foam_holds_is_said_before_the_first_not_at_every_jar(pages, folder):
    code = started(pages)
    through(pages, folder, code, "density")
    pages.at.text_input(key="cup-g").set_value("74")
    pages.press("Weighed, next")
    through(pages, folder, code, "fill")
    told = "a jar filled as planned holds about"
    assert told in pages.said
    pages.at.text_input(key=f"jar-{code}-1").set_value("95")
    pages.press("Next jar")
    assert page_of(folder, code).filled_g == (95.0,)
    assert told not in pages.said


def test_the_batch_says_what_the_stock_is_enough_for_and_how_to_fill_a_jar(pages, folder):
    assert say.STOCK_LASTS not in pages.go("batch").said
    book = store.open_book(folder)
    base = pages.design["base"]["id"]
    book.receive(Lot(code="B", of=Ref(kind="base", id=base), name="Base"), 500)
    pages.go("batch")
    assert say.STOCK_LASTS in pages.said
    assert "g of batch, then" in pages.said
    pages.go("look").at.session_state["doc"]["design"]["arrangement"]["kind"] = "layers"
    assert "Layers in a jar, top first" in pages.go("batch").said


def test_a_markup_is_written_as_the_margin_it_is(pages, folder):
    pages.go("batch")
    pages.type("n.rates.markup", "150")
    assert store.read_settings(folder)["rates"]["margin"] == "0.6"  # 1.5 / 2.5


def test_a_scale_says_what_the_pharmacopoeia_asks_for(pages):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value("scale")
    pages.run()
    # USP <41>: 0.41 steps, twice, over 0.1 %: 820 steps
    assert "for an error of 0.1 % (USP &lt;41&gt;)" in pages.said or "(USP <41>)" in pages.said
    assert "820 g" in pages.said or "8.2 g" in pages.said


def test_the_next_plan_says_her_own_range_of_foam(pages, folder):
    assert "Not weighed: foam may be" in pages.go("batch").said
    code = started(pages)
    for g_ml in (0.58, 0.63):
        store.open_book(folder).write("density", "foam", {"g_ml": g_ml}, code)
    pages.press("Leave kitchen view")
    pages.go("batch")
    assert "your 2 cups: 0.57-0.64 g/ml" in pages.said
    assert "Not weighed: foam may be" not in pages.said

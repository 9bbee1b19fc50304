"""What is half-filled survives a change of page and of kind; messages go when their page is left."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from blendlab import recipe, store
from blendlab.assess import assess
from blendlab.ui import words
from blendlab.ui.words import look
from blendlab.ui.words import shelf as say
from blendlab.ui.words import swatches as swatch_words
from tests.ui.kitchen_walk import a_lot


def kind(pages, chosen: str):
    pages.go("shelf").at.get_by_key("shelf-kind").set_value(chosen)
    return pages.run()


def dropped(pages, prefix: str):
    """As the browser's page does when fields are not drawn; AppTest keeps their values."""
    for key in [key for key in pages.at.session_state._state.filtered_state if key.startswith(prefix)]:
        del pages.at.session_state[key]
    return pages


FORMS = {
    "pigment": {"name": "Reed mica", "share-0": "97,5", "cap": "2"},
    "oil": {"name": "Reed accord", "amendment": "51", "flash": "78"},
    "base": {"name": "Bought white", "ph": "6,1"},
    "ingredient": {"name": "Shea butter", "per_kg": "14"},
    "scale": {"name": "Pocket scale", "step": "0,01"},
    "jar": {"name": "From the glassworks", "outer": "71", "height": "37"},
}


@pytest.mark.parametrize("of", FORMS)
def test_a_half_filled_form_survives_page_kind_and_rerun(pages, folder, of):
    kind(pages, of).press(say.ADD[of])
    for name, text in FORMS[of].items():
        pages.type(f"new-{of}-{name}", text)
    other = "oil" if of != "oil" else "pigment"
    kind(pages, other).press(say.ADD[other])
    assert pages.at.text_input(key=f"new-{other}-name").value == ""
    pages.go("look")
    dropped(pages, "new-")
    kind(pages, of)
    for name, text in FORMS[of].items():
        assert pages.at.text_input(key=f"new-{of}-{name}").value == text, name
    pages.press(say.LEAVE).press(say.ADD[of])
    for name in FORMS[of]:
        assert pages.at.text_input(key=f"new-{of}-{name}").value == "", name


def test_choices_survive_too_and_a_saved_form_is_empty(pages, folder):
    pages.go("shelf").press(say.ADD["pigment"])
    pages.at.selectbox(key="new-pigment-group").set_value("lake")
    pages.at.get_by_key("new-pigment-way").set_value("colour")
    pages.run()
    for name, text in {"name": "Clay", "ci": "77491", "hex": "#d9a79b", "pct": "0,3"}.items():
        pages.at.text_input(key=f"new-pigment-{name}").set_value(text)
    pages.run().go("scent")
    dropped(pages, "new-").go("shelf")
    assert pages.at.selectbox(key="new-pigment-group").value == "lake"
    pages.press(say.PUT_ON)
    assert store.open_item(folder, "pigment", "clay").item.group == "lake"
    pages.press(say.ADD["pigment"])
    assert pages.at.text_input(key="new-pigment-name").value == ""
    assert pages.at.get_by_key("new-pigment-way").value == "mix"


def test_what_another_choice_hides_comes_back_with_it(pages):
    pages.go("shelf").press(say.ADD["pigment"]).type("new-pigment-share-0", "97,5")
    pages.at.get_by_key("new-pigment-way").set_value("colour")
    pages.run().type("new-pigment-ci", "77491")
    pages.at.get_by_key("new-pigment-way").set_value("mix")
    share = pages.run().at.text_input(key="new-pigment-share-0")
    assert share.value == "97,5"
    assert share.proto.set_value, "the browser is told in the run that draws it again"


def test_a_field_that_was_not_touched_follows_what_stands(pages, folder):
    kind(pages, "scale").at.button(key="edit-fine").click()
    pages.run().type("new-scale-name", "Pocket").go("look")
    dropped(pages, "new-")
    held = store.open_item(folder, "scale", "fine")
    store.save_item(folder, replace(held.item, step_g=0.02), held.digest)
    kind(pages, "scale")
    assert pages.at.text_input(key="new-scale-name").value == "Pocket"
    assert pages.at.text_input(key="new-scale-step").value == "0.02"


def test_showing_another_thing_keeps_what_was_typed(pages):
    pages.go("shelf").press(say.ADD["pigment"]).type("new-pigment-name", "Reed mica")
    pages.press(say.SHOW)
    dropped(pages, "new-").press(say.ADD["pigment"])
    assert pages.at.text_input(key="new-pigment-name").value == "Reed mica"


def test_a_delivery_half_written_down_survives(pages):
    kind(pages, "lot").type("lot-code", "B-1").type("lot-grams", "250")
    kind(pages, "jar").go("book")
    dropped(pages, "lot-")
    kind(pages, "lot")
    assert pages.at.text_input(key="lot-code").value == "B-1"
    assert pages.at.text_input(key="lot-grams").value == "250"


def test_a_price_that_cannot_be_read_waits_with_its_answer(pages):
    kind(pages, "price").type("n.price.jar.j120-70", "cheap")
    pages.go("look")
    dropped(pages, "n.price").go("shelf")
    assert pages.at.text_input(key="n.price.jar.j120-70").value == "cheap"
    assert "is not a number" in pages.said


def test_messages_go_when_their_page_is_left(pages):
    assert words.DEMO in pages.said
    pages.press("Save card")
    assert "Saved " in pages.run().said
    assert "Saved " not in pages.go("scent").said
    assert "Saved " not in pages.go("look").said
    pages.go("shelf").press(say.ADD["pigment"]).press(say.PUT_ON)
    assert "A name is missing." in pages.said
    pages.go("cards").go("shelf")
    assert "A name is missing." not in pages.said
    kind(pages, "lot").press(say.WRITE_IN_BOOK)
    assert "The code of the lot is missing." in pages.said
    pages.go("guide")
    assert "The code of the lot is missing." not in kind(pages, "lot").said


def test_a_message_meant_for_the_next_page_is_shown_there(pages):
    pages.go("cards").at.button(key="bin-lagoon").click()
    assert "Lagoon is in the bin." in pages.run().said
    assert "Lagoon is in the bin." not in pages.go("look").go("cards").said
    pages.at.button(key="open-dune-rose").click()
    assert "bench" not in str(pages.run().at.session_state["said"])
    pages.press(words.SAVE)
    assert "Saved " in pages.said


def test_a_spectrum_half_pasted_and_swatches_kept_so_far_wait_for_their_pigment(pages):
    spectrum = "400 42,1\n500 51,3\n600 60,2\n700 61"
    pages.go("shelf").at.button(key="show-pigment-iron_oxide_black").click()
    pages.run()
    pages.at.text_input(key=f"{keys(pages)}-pct").set_value("0,3")
    pages.at.text_area(key=f"{keys(pages)}-text").set_value(spectrum)
    pages.run().press(swatch_words.ADD)
    assert len(pages.at.session_state[f"{keys(pages)}-kept"]) == 1
    pages.at.button(key="show-pigment-mica_white").click()
    pages.run()
    assert pages.at.text_area(key=f"{keys(pages)}-text").value == ""
    assert pages.at.session_state[f"{keys(pages)}-kept"] == []
    pages.type(f"{keys(pages)}-pct", "0,5").go("look")
    dropped(pages, "sw").go("shelf")
    assert pages.at.text_input(key=f"{keys(pages)}-pct").value == "0,5"
    pages.at.button(key="show-pigment-iron_oxide_black").click()
    pages.run()
    assert pages.at.text_area(key=f"{keys(pages)}-text").value == spectrum
    assert pages.at.text_input(key=f"{keys(pages)}-pct").value == "0,3"
    assert len(pages.at.session_state[f"{keys(pages)}-kept"]) == 1


def keys(pages) -> str:
    return f"sw{pages.at.session_state['sw.times']}"


def test_a_window_that_was_closed_opens_as_it_was_left(pages):
    pages.press(look.TEST_JARS).type("tr1-note", "a little too deep")
    pages.go("scent")
    dropped(pages, "tr1").go("look").press(look.TEST_JARS)
    assert pages.at.text_input(key="tr1-note").value == "a little too deep"
    pages.press(look.KEEP_TEST_JAR)
    assert pages.design["tones"][0]["trials"][0]["note"] == "a little too deep"
    pages.press(f"{look.TEST_JARS} (1)")
    assert pages.at.text_input(key="tr2-note").value == ""


def test_a_formula_half_changed_survives_until_it_is_kept(pages, folder):
    key = "formula-soap-white"
    kind(pages, "base").at.button(key="show-base-soap-white").click()
    before = pages.run().at.text_area(key=key).value
    pages.at.text_area(key=key).set_value(f"{before}\nmoon dust 3")
    pages.run().go("look")
    kind(dropped(pages, "formula-"), "base")
    assert pages.at.text_area(key=key).value == f"{before}\nmoon dust 3"
    pages.at.text_area(key=key).set_value(before)
    pages.run().press(say.KEEP_FORMULA)
    assert pages.at.text_area(key=key).value == before


def test_an_assessment_half_written_survives(pages):
    pages.go("book").at.get_by_key("book-part").set_value("assessed")
    pages.run().type("fam-assessor", "A. Assessor").go("look")
    dropped(pages, "fam-").go("book")
    assert pages.at.text_input(key="fam-assessor").value == "A. Assessor"
    assert pages.at.text_input(key="fam-name").value == pages.design["name"]


HALF_WRITTEN = {
    "lot": {"move-grams": "-12,5", "move-why": "spilt", "hold-why": "smells odd"},
    "price": {"pack-price": "12,40", "pack-pack": "500"},
    "base": {"cook-grams": "1500", "buy-per-kg": "11,80"},
    "sold": {"days-lead": "30", "stock-there": "46", "stock-why": "two broke", "pieces-count": "48"},
    "care": {"told-who": "garden shop", "drill-grams": "4100"},
    "tests": {"lab-of": "Preservative A", "lab-sent": "2026-05-10"},
}
"""Part of the Shelf or of the Book -> fields of its forms with what is typed into them."""


def part(pages, named: str):
    if named == "base":
        kind(pages, named).at.button(key="show-base-soap-white").click()
        return pages.run()
    if named in ("lot", "price"):
        return kind(pages, named)
    pages.go("book").at.get_by_key("book-part").set_value(named)
    return pages.run()


@pytest.mark.parametrize("named", HALF_WRITTEN)
def test_what_is_half_written_of_a_lot_a_price_a_sale_or_a_test_survives(pages, folder, named):
    for code in ("B-1", "B-2"):
        a_lot(folder, "base:soap-white", 5000, code)
    part(pages, named)
    for key, text in HALF_WRITTEN[named].items():
        pages.at.text_input(key=key).set_value(text)
    if named == "lot":
        pages.at.selectbox(key="hold-lot").set_value(2)
    pages.run().go("look")
    for prefix in {f"{key.partition('-')[0]}-" for key in HALF_WRITTEN[named]}:
        dropped(pages, prefix)
    part(pages, named)
    for key, text in HALF_WRITTEN[named].items():
        assert pages.at.text_input(key=key).value == text, key
    if named == "lot":
        assert pages.at.selectbox(key="hold-lot").value == 2
        pages.press(say.HOLD_BACK)
        book = store.open_book(folder)
        assert [store.lot(book, number).held for number in (1, 2)] == ["", "smells odd"]
        assert pages.at.text_input(key="hold-why").value == ""
        assert pages.at.text_input(key="move-why").value == "spilt"


def test_a_sale_and_a_correction_wait_for_their_batch(pages, folder):
    """The fields of another batch are not those of this one."""
    book = store.open_book(folder)
    plan = assess(recipe.from_dict(pages.design), store.read_shelf(folder)).plan
    first, second = (book.start(plan, date(2026, 3, 1)) for _ in range(2))
    book.weigh(first, "base", 900, planned_g=900)
    open_batch(pages, first).type("sale-to", "garden shop").type("fix-figure", "890").type("later-ph", "5,9")
    open_batch(pages, second)
    for key in ("sale-to", "later-ph"):
        assert pages.at.text_input(key=key).value == ""
    pages.go("look")
    for prefix in ("sale-", "fix-", "later-"):
        dropped(pages, prefix)
    open_batch(pages, first)
    for key, text in {"sale-to": "garden shop", "fix-figure": "890", "later-ph": "5,9"}.items():
        assert pages.at.text_input(key=key).value == text, key


def open_batch(pages, code: str):
    pages.at.session_state["book-code"] = code
    return part(pages, "made")


def test_a_correction_waits_for_its_line(pages, folder):
    """What was typed for one line does not stand under another."""
    book = store.open_book(folder)
    plan = assess(recipe.from_dict(pages.design), store.read_shelf(folder)).plan
    code = book.start(plan, date(2026, 3, 1))
    first, second = (book.weigh(code, line.id, line.grams, planned_g=line.grams) for line in plan.lines[:2])
    open_batch(pages, code)
    pages.at.selectbox(key="fixes-line").set_value(f"w{first}")
    pages.run()
    pages.type("fix-figure", "890").type("fix-why", "misread")
    pages.at.selectbox(key="fixes-line").set_value(f"w{second}")
    pages.run()
    assert [pages.at.text_input(key=f"fix-{name}").value for name in ("figure", "why")] == ["", ""]
    pages.at.selectbox(key="fixes-line").set_value(f"w{first}")
    pages.run()
    assert pages.at.text_input(key="fix-figure").value == "890"

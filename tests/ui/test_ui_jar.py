"""What the pages show of the jar: choosing, jars of hers, comparing, taking away."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image
from streamlit import config
from streamlit.testing.v1 import AppTest

from blendlab import store
from blendlab.show import views
from blendlab.ui import memo


def script():
    """One page that shows the block that is asked for."""
    import streamlit as st

    from blendlab.ui import (
        arrangement_fields,
        compare,
        export,
        jar_form,
        jars,
        memo,
        parts,
        shelf_forms,
        state,
        top_fields,
    )

    state.start()
    judged = state.assessed()
    which = st.session_state.get("which", "look")
    parts.said()
    if which == "look":
        arrangement_fields.arrangement_picker(judged)
        arrangement_fields.arrangement_details(judged)
        top_fields.top_picker(judged)
        top_fields.top_details(judged)
        top_fields.holds(judged)
    elif which == "export":
        export.block(judged)
        st.session_state.shown = len(export.shifted(judged, export.ends(), (200, 220)))
    elif which == "compare":
        compare.page(compare.choose(compare.known_cards(), list(compare.known_cards())[:3]))
        export.line("Spring line", list(compare.known_cards()))
        compare.with_before(judged)
        compare.photo_of(judged)
    elif which == "form":
        jar_form.form()
    else:
        glass = memo.shelf().today("jar", which)
        if not shelf_forms.opened("jar", jar_form.form):
            jars.detail(glass)


class Block:
    def __init__(self, which):
        config.set_option("runner.enforceSerializableSessionState", False)
        self.at = AppTest.from_function(script, default_timeout=300)
        self.at.session_state["which"] = which
        self.run()

    def run(self):
        self.at.run()
        assert not self.at.exception, self.at.exception
        return self

    @property
    def said(self):
        return " ".join(str(html.value) for html in self.at.get("html"))

    @property
    def design(self):
        return self.at.session_state["doc"]["design"]

    def press(self, label):
        found = [button for button in self.at.button if button.label == label]
        assert found, f"no button {label!r} in {[button.label for button in self.at.button]}"
        found[0].click()
        return self.run()

    def type(self, key, text):
        self.at.text_input(key=key).set_value(text)
        return self.run()


@pytest.fixture
def block(folder):
    return Block


def test_an_arrangement_is_taken_by_its_picture_with_a_fair_turn(block):
    page = block("look")
    page.press("Wedges")
    assert page.design["arrangement"]["kind"] == "wedges"
    judged = memo.assessment(*_now(page))
    for tone in judged.layout.tones:
        assert abs(tone.picture_pct - tone.wall_pct) <= 5
    page.press("Core")
    assert page.design["arrangement"]["kind"] == "core"
    page.type("n.arrangement.core_height", "0,7")
    assert page.design["arrangement"]["core_height"] == 0.7


def _now(page):
    from datetime import date

    from blendlab import recipe

    return recipe.from_dict(page.design), memo.shelf(), date.today()


def test_a_star_has_points_and_its_own_headspace(block):
    page = block("look")
    page.press("Star")
    page.type("n.top.points", "5")
    page.type("n.top.headspace_mm", "14 mm")
    assert (page.design["top"]["points"], page.design["top"]["headspace_mm"]) == (5, 14)
    page.press("Dome")
    assert page.design["top"]["headspace_mm"] is None


def test_one_bag_tells_grams_a_side_and_a_bag(block):
    page = block("look")
    page.press("Spiral")
    page.at.checkbox(key="c.arrangement.one_bag").check()
    page.run()
    assert "g a bag" in page.said
    assert "° of the bag" in page.said
    turn = next(button for button in page.at.button if button.label.startswith("Turns of a 14 mm tip"))
    turn.click()
    page.run()
    assert page.design["arrangement"]["turns"] != 2.0


def test_what_the_jar_holds_tells_of_its_dust_its_wall_and_what_is_seen(block):
    """1 - exp(-0.35 x 4/3) = 37 % of a top lie under 0.35 mg/cm2: plates 0.5 um thin, a fifth flat."""
    page = block("look")
    assert "its middle looks" in page.said
    page.at.session_state["doc"]["design"]["top"]["dust"] = {
        "pigment": {"kind": "pigment", "id": "mica_gold"},
        "mg_per_cm2": 0.35,
    }
    page.run()
    assert "covers about 37 % of the top, about 660 plates a square millimetre (estimate)" in page.said
    page.press("Core")
    assert "wall and top" in page.said


def test_the_name_of_the_jar_stands_beside_its_weight(block):
    page = block("look")
    assert "fl oz" in page.said
    assert "than the name" in page.said


def test_what_is_put_in_counts_the_overfill_that_the_batch_reckons_with(block):
    """Nobody typed one: the batch takes 1 % by common practice, and so does the jar."""
    page = block("look")
    assert page.design["batch"].get("overfill_pct") is None
    sheet = memo.assessment(*_now(page)).plan
    assert sheet.overfill_pct == 1.0
    assert f"{sheet.net_g * 1.01:.1f} g to put in" in page.said


def test_her_jar_is_measured_and_kept(block, folder):
    page = block("form")
    page.press("Put on the shelf")
    assert "A name is missing." in page.said
    for name, text in (
        ("name", "From the glassworks"), ("nominal", "120"), ("outer", "71,0"), ("inner", "67,5"),
        ("height", "37"), ("water", "150"),
    ):  # fmt: skip
        page.type(f"new-jar-{name}", text)
    assert "take the caliper once more" in page.said
    page.press("Put on the shelf")
    kept = store.open_item(folder, "jar", "from-the-glassworks").item
    assert (kept.inner_mm, kept.water_g, kept.nominal_ml) == (67.5, 150.0, 120.0)


def test_a_straight_jar_is_known_from_its_water(block, folder):
    page = block("form")
    for name, text in (("name", "Water only"), ("height", "37"), ("water", "132,4")):
        page.type(f"new-jar-{name}", text)
    page.press("Put on the shelf")
    assert store.open_item(folder, "jar", "water-only").item.inner_mm == pytest.approx(67.5, abs=0.05)


def test_an_outside_narrower_than_the_inside_is_answered(block):
    page = block("form")
    for name, text in (("name", "Odd"), ("outer", "60"), ("inner", "67"), ("height", "37")):
        page.type(f"new-jar-{name}", text)
    page.press("Put on the shelf")
    assert "must be wider than the inside" in page.said


def test_a_jar_is_measured_again(block, folder):
    page = block("j120-70")
    assert "not known; walls are drawn like the open surface" in page.said
    page.press("Measure it again")
    assert page.at.text_input(key="new-jar-inner").value == "67.5"
    page.type("new-jar-inner", "68")
    page.press("Keep the change")
    assert store.open_item(folder, "jar", "j120-70").item.inner_mm == 68.0


def test_cards_are_compared_by_what_is_different(block):
    page = block("compare")
    assert "What is different" in page.said
    assert "Delta E" in page.said
    assert "Net weight" in page.said


def test_pictures_are_offered_with_their_words(block):
    page = block("export")
    assert page.at.session_state["shown"] > 1000
    assert "In words" in page.said or not page.at.expander[0].proto.expanded


def test_a_turntable_is_not_kept_when_the_shelf_has_changed(block, folder, monkeypatch):
    """A design that names no revisions takes what the shelf holds today."""
    monkeypatch.setattr(views, "turntable", lambda judged, so_far: b"turned")
    page = block("export")
    for tone in page.design["tones"]:
        for dose in tone["doses"]:
            dose["pigment"].pop("rev")
    page.at.session_state["doc"]["embedded"] = {}
    page.at.session_state["export"] = True
    page.run().press("Make the turntable")
    shown = [button.key for button in page.at.get("download_button")]
    assert "export-webp" in shown
    blue = store.open_item(folder, "pigment", "ferric_ferrocyanide")
    stronger = replace(blue.item, k=tuple(3 * value for value in blue.item.k))
    store.save_item(folder, stronger, blue.digest)
    page.run()
    assert "export-webp" not in [button.key for button in page.at.get("download_button")]
    assert "24 pictures, 3 seconds a turn." in page.said


def test_the_files_are_what_they_say(folder):
    from blendlab.assess import assess
    from blendlab.facts import demo
    from blendlab.show import tone_strips, views

    shelf = demo.demo_shelf()
    judged = assess(demo.demo_designs(shelf)[0], shelf)
    data, said = views.still(judged, "front", 1, ground="none")
    picture = Image.open(BytesIO(data))
    assert (picture.mode, picture.size) == ("RGBA", views.FRONT)
    assert said in picture.text["Description"]
    for tone in judged.design.tones:
        assert tone.name in said
        assert tone.name in tone_strips.strip_words(judged)
    weak, strong = (views.shifted(judged, end, px=(200, 220)).astype(int) for end in ("weak", "strong"))
    assert weak.mean() > strong.mean()
    assert np.array_equal(
        views.shifted(judged, "likely", px=(200, 220)), views.picture(judged, px=(200, 220))
    )


@pytest.fixture
def lagoon():
    from blendlab.assess import assess
    from blendlab.facts import demo

    shelf = demo.demo_shelf()
    return assess(demo.demo_designs(shelf)[0], shelf), shelf


def _photo(picture):
    held = BytesIO()
    Image.fromarray(picture).save(held, "PNG")
    return held.getvalue()


def test_a_photo_of_the_jar_is_laid_beside_the_prediction(lagoon):
    """The prediction, darkened by a known light with a grey card of 18 % in it, comes back by the card."""
    from blendlab import photo
    from blendlab.jar import light, wipe
    from blendlab.show import photo_halves, pictures, views
    from blendlab.tint.appearance import decode

    judged, _ = lagoon
    px = (380, 350)
    picture = views.picture(judged, px=px)
    card = np.full((40, 40, 3), light.to_codes(np.float32(0.18)), np.uint8)
    real = picture.copy()
    real[:40, :40] = card
    dimmed = light.to_codes((decode(real / 255.0) * np.array([0.6, 0.5, 0.4])).astype(np.float32))
    jar = wipe.outline(pictures.drawable(judged), px)
    marked = photo.Box(
        jar.left / 380, jar.top / 350, (jar.right - jar.left) / 380, (jar.bottom - jar.top) / 350
    )
    shown = photo_halves.beside_photo(
        judged, _photo(dimmed), marked, 0.0, photo.Box(0, 0, 40 / 380, 40 / 350), px
    )
    wall = np.s_[200:280, 120:260]
    assert np.median(np.abs(shown[wall].astype(int) - picture[wall])) <= 3


def test_contact_is_read_off_a_photo(lagoon):
    from blendlab import photo, tint
    from blendlab.forms import jars as glasses
    from blendlab.jar import light
    from blendlab.tint.kubelka_munk import behind_wall

    judged, _ = lagoon
    tone = judged.tones[0].tone.id
    R = judged.tints[tone].R
    real = np.zeros((200, 200, 3), np.uint8)
    real[:100] = light.to_codes((tint.see(R).linear * 0.8).astype(np.float32))
    real[100:] = light.to_codes((tint.see(behind_wall(R, 0.5)).linear * 0.8).astype(np.float32))
    marks = {tone: (photo.Box(0.2, 0.1, 0.5, 0.3), photo.Box(0.2, 0.6, 0.5, 0.3))}
    assert glasses.contact_on_photo(judged, _photo(real), marks).wall_contact == pytest.approx(0.5, abs=0.03)


def test_a_contact_is_kept_with_the_jar(folder):
    from blendlab.forms import jars as glasses

    glass = store.open_item(folder, "jar", "j120-70").item
    glasses.with_contact(folder, glass, 0.4)
    assert store.open_item(folder, "jar", "j120-70").item.wall_contact == 0.4

"""Swatches, mixes, reach and test jars under AppTest: each panel on a folder of its own."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from streamlit import config
from streamlit.testing.v1 import AppTest

from blendlab import store
from blendlab.assess import assess
from blendlab.facts import demo
from blendlab.facts.palette import starter
from blendlab.forms import targets
from blendlab.show import mixes
from blendlab.tint import mix
from blendlab.tint.measured_items import base_reflectance
from blendlab.tint.spectra import WAVELENGTHS, lab_of

RED = starter("iron_oxide_red")
BASE = demo.demo_shelf().today("base", "soap-white")


def swatch_panel(kind, item_id):
    from blendlab.ui import memo, parts, state, swatches

    state.start()
    parts.said()
    swatches.panel(memo.shelf().today(kind, item_id))


def mix_panel(position=0):
    from blendlab.ui import mixes, state

    state.start()
    mixes.panel(state.assessed(), position)


def trial_panel(position=0):
    from blendlab.ui import state, trials

    state.start()
    trials.panel(position)


def card_share():
    from blendlab.ui import colours

    colours._share("sw1", 0.18)


class Panel:
    def __init__(self, function, *args):
        config.set_option("runner.enforceSerializableSessionState", False)
        self.at = AppTest.from_function(function, args=args, default_timeout=300)
        self.run()

    def run(self):
        self.at.run()
        assert not self.at.exception, self.at.exception
        return self

    @property
    def said(self):
        return " ".join(str(html.value) for html in self.at.get("html"))

    def type(self, **fields):
        for key, text in fields.items():
            key = key.replace("_", "-", 1)
            found = [field for field in [*self.at.text_input, *self.at.text_area] if field.key == key]
            assert found, f"no field {key}"
            found[0].set_value(text)
        return self.run()

    def choose(self, key, value):
        found = [field for field in [*self.at.selectbox, *self.at.get("button_group")] if field.key == key]
        assert found, f"no choice {key}"
        found[0].set_value(value)
        return self.run()

    def press(self, label):
        found = [button for button in self.at.button if button.label == label]
        assert found, f"no button {label!r}; there are {[button.label for button in self.at.button]}"
        found[0].click()
        return self.run()


def measured(pct, factor=1.3):
    """Text of an instrument for red iron oxide that is 1.3 times as strong as the estimate."""
    R = mix([factor * pct], np.array([RED.k]), np.array([RED.s]), BASE.k0, BASE.s0)[2]
    lines = [f"{int(nm)} {100 * value:.2f}" for nm, value in zip(WAVELENGTHS, R, strict=True)]
    return "\n".join(lines).replace(".", ",")


def test_a_pigment_is_measured_by_pasted_spectra_and_kept(folder):
    panel = Panel(swatch_panel, "pigment", RED.id)
    panel.choose("sw1-base", BASE.id)
    for pct in ("0,1", "0.3"):
        panel.type(sw1_pct=pct, sw1_text=measured(float(pct.replace(",", "."))))
        assert "Read as percent, 0 to 100" in panel.said
        panel.press("Add this swatch")
    assert re.search(r"Strength 1\.(29|30|31) times the estimate", panel.said)
    assert "Delta E 0.0" in panel.said
    panel.press("Use these swatches")
    kept = store.read_shelf(folder).today("pigment", RED.id)
    assert kept.known == "measured"
    assert np.array(kept.k) == pytest.approx(1.3 * np.array(RED.k), rel=0.05)
    assert kept.calibrations[0].how == RED.basis[:300]


@pytest.mark.parametrize(
    ("typed", "answer"),
    [("much", "is not a number"), ("1,5", "must lie between 2 and 100")],
)
def test_a_share_of_light_that_cannot_be_read_is_answered(typed, answer):
    panel = Panel(card_share)
    panel.type(sw1_share=typed)
    assert answer in panel.said


def test_one_lab_swatch_is_not_checkable_and_says_so(folder):
    panel = Panel(swatch_panel, "pigment", RED.id)
    panel.choose("sw1-base", BASE.id)
    panel.choose("sw1-way", "lab")
    panel.type(sw1_pct="0,3", sw1_L="80,5", sw1_a="14", sw1_b="7")
    panel.choose("sw1-observer", 10)
    panel.press("Add this swatch")
    assert "not checkable" in panel.said
    assert "10 degrees" in panel.said


@pytest.mark.parametrize(
    ("fields", "answer"),
    [
        ({"sw1_pct": "", "sw1_text": "400 1"}, "Percent of the pigment in the swatch is missing"),
        ({"sw1_pct": "1,234", "sw1_text": "400,0,45\n500,0,5\n600,0,6"}, "part columns or decimals"),
        ({"sw1_pct": "lots", "sw1_text": "x"}, "is not a number"),
        ({"sw1_pct": "0,3", "sw1_text": ""}, "The text is empty"),
    ],
)
def test_what_cannot_be_read_is_answered_beside_the_form(folder, fields, answer):
    panel = Panel(swatch_panel, "pigment", RED.id)
    panel.type(**fields).press("Add this swatch")
    assert answer in panel.said
    assert "Use these swatches" not in [button.label for button in panel.at.button]


def test_a_base_is_measured(folder):
    panel = Panel(swatch_panel, "base", BASE.id)
    R = 0.98 * base_reflectance(BASE)
    text = "\n".join(f"{int(nm)};{value:.4f}" for nm, value in zip(WAVELENGTHS, R, strict=True))
    panel.type(sw1_text=text)
    panel.press("Add this swatch").press("Use these swatches")
    assert store.read_shelf(folder).today("base", BASE.id).known == "measured"


def test_unwhipped_and_whipped_give_the_base_its_own_foam_law(folder):
    panel = Panel(swatch_panel, "base", BASE.id)
    panel.choose("sw1-aim", "whip")
    for factor in (0.55, 1.0):
        q = (np.array(BASE.k0) + 0.2 * np.array(RED.k)) / factor
        R = 1 / (1 + q + np.sqrt(q * (q + 2)))
        panel.type(
            sw1_text="\n".join(f"{int(nm)} {value:.5f}" for nm, value in zip(WAVELENGTHS, R, strict=True))
        )
        panel.press("Add this swatch")
    assert "Overrun of the whipped swatch is missing" in panel.said
    panel.type(sw1_overrun="75").press("Use these swatches")
    assert store.read_shelf(folder).today("base", BASE.id).foam_power > 0.5


def test_mixes_stand_beside_the_wanted_colour_and_are_taken(folder):
    panel = Panel(mix_panel)
    panel.type(mx1_hex="#d8b0a0")
    assert "wanted #d8b0a0, mix 1" in panel.said
    assert "Delta E" in panel.said
    assert " g)" in panel.said
    before = panel.at.session_state["doc"]["design"]["tones"][0]["doses"]
    panel.press("Take mix 1")
    after = panel.at.session_state["doc"]["design"]["tones"][0]["doses"]
    assert after != before
    assert all(dose["pct"] > 0 and dose["pigment"]["rev"] for dose in after)
    assert panel.at.session_state["past"][-1]["word"].startswith("Mix 1 for")


def test_a_colour_out_of_reach_says_what_stands_in_the_way(folder):
    panel = Panel(mix_panel)
    panel.type(mx1_hex="#ff00ff")
    assert "In the model nothing on your shelf comes nearer than Delta E" in panel.said


def test_a_wrong_hex_is_answered(folder):
    panel = Panel(mix_panel)
    panel.type(mx1_hex="#12")
    assert "hexadecimal digits" in panel.said


def test_the_map_shows_the_nearest_first_and_is_taken(folder):
    panel = Panel(mix_panel)
    panel.type(mx1_hex="#cfd8c0")
    panel.choose("mx1-shown", "reach")
    assert "Nearest you can reach: Delta E" in panel.said
    panel.press("Take this colour")
    assert panel.at.session_state["past"][-1]["word"].startswith("Colour:")


def test_test_jars_are_noted_and_correct_the_strengths(folder):
    panel = Panel(trial_panel)
    design = panel.at.session_state["doc"]["design"]
    doses = {dose["pigment"]["id"]: dose["pct"] for dose in design["tones"][0]["doses"]}
    used = [starter(name) for name in doses]
    k, s = (np.array([getattr(pigment, name) for pigment in used]) for name in ("k", "s"))
    lab = lab_of(mix(1.5 * np.array(list(doses.values())), k, s, BASE.k0, BASE.s0)[2])
    panel.choose("tr1-way", "lab")
    panel.type(**{f"tr1_{name}": f"{part:.1f}" for name, part in zip("Lab", lab, strict=True)})
    panel.choose("tr1-verdict", "too deep")
    panel.press("Keep this test jar")
    kept = panel.at.session_state["doc"]["design"]["tones"][0]["trials"]
    assert (len(kept), kept[0]["verdict"]) == (1, "too deep")
    assert "from the prediction" in panel.said
    assert "strength x 1." in panel.said
    panel.press("Correct the strengths by these test jars")
    shelf = store.read_shelf(folder)
    factors = [
        np.dot(shelf.today("pigment", pigment.id).k, pigment.k) / np.dot(pigment.k, pigment.k)
        for pigment in used
    ]
    assert max(factors) > 1.2
    assert shelf.today("pigment", used[0].id).calibrations[-1].how == "strength corrected by test jars"


def test_no_forbidden_word_stands_in_the_panels(folder):
    forbidden = r"\b(safe|compliant|approved|legal|guaranteed|perfect match|OK)\b|!(?![a-z])"
    for panel in (
        Panel(swatch_panel, "pigment", RED.id),
        Panel(swatch_panel, "base", BASE.id),
        Panel(mix_panel),
        Panel(trial_panel),
    ):
        words = re.sub(r"<[^>]*>", " ", panel.said)
        assert not re.search(forbidden, words), re.search(forbidden, words)


def lamp_panel():
    from blendlab.ui import lamps, reach, state

    state.start()
    lamps.panel(state.assessed())
    reach.screen_check(state.assessed().resolved.base)


def test_lamps_and_eyes_and_the_screen_check(folder):
    said = Panel(lamp_panel).said
    assert "shop LED" in said
    assert "without green cones" in said
    assert said.count('class="bl-strip"') == 9
    assert re.search(r"Deep water, Cream: Delta E \d", said)
    assert "Hold a jar of the undyed base" in said


def test_another_recipe_of_a_tone_says_under_which_lamp_it_parts_from_the_first():
    """Metamerism is between two recipes: the one she has says nothing, a colour without a recipe neither."""
    shelf = demo.demo_shelf()
    lagoon = assess(demo.demo_designs(shelf)[0], shelf, date(2026, 11, 26))
    wanted = targets.tone_target(lagoon, lagoon.tones[0].tone.id)
    same, other, *_ = mixes.mixes(wanted, lagoon, shelf, lagoon.tones[0].tone.id).mixes
    assert "it parts from" not in same.sentence
    parted = re.search(rf"under a light bulb it parts from {wanted.words} by (\d+\.\d)", other.sentence)
    assert float(parted[1]) > 1
    bare = replace(wanted, R=None)
    found = mixes.mixes(bare, lagoon, shelf, lagoon.tones[0].tone.id).mixes
    assert not any("it parts from" in row.sentence for row in found)

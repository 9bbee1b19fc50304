"""Test jars of a tone: predicted beside measured, a verdict, and strengths corrected by them."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab.assess import Assessment
from blendlab.forms import targets, trial_jars
from blendlab.recipe import VERDICTS, Tone
from blendlab.show import trials
from blendlab.ui import colours, memo, parts, state

FORM = "tr"
OPEN = "Test jars"
NOT_YET = {"none": "not measured yet", **colours.WAYS}
USE = "Correct the strengths by these test jars"
KEPT = "Strengths corrected by test jars. Designs keep what they took until they take it again."
NONE = "No test jar of this tone yet. Make one, look at it in its jar, note what came out."


def _keys() -> str:
    return colours.prefix_of(FORM)


def button(assessed: Assessment, position: int) -> None:
    """The button of one tone that opens its test jars; called among the acts of an open tone."""
    tone = assessed.tones[position].tone
    count = f" ({len(tone.trials)})" if tone.trials else ""
    if st.button(f"{OPEN}{count}", key=f"trials-{tone.id}", type="tertiary"):
        colours.forget(FORM)
        _dialog(position)


@st.dialog(OPEN, width="large")
def _dialog(position: int) -> None:
    panel(position)


def panel(position: int) -> None:
    """The test jars of one tone of the design at work, a form for one more, and what they teach."""
    design, shelf = state.design(), state.shelf()
    tone = design.tones[position]
    base = shelf.find(design.base)
    if not tone.trials:
        parts.small(NONE)
    for at, one in enumerate(tone.trials):
        _row(at, position, trials.shown(one, base, shelf))
    _new(tone, base, position)
    _lesson()


def _row(at: int, position: int, one: trials.Shown) -> None:
    with st.container(
        horizontal=True, wrap=False, vertical_alignment="center", gap="small", key=f"tr-row-{at}"
    ):
        if one.predicted:
            right = one.measured or one.predicted
            st.html(_pair(one.predicted, right, bool(one.measured)), width="content")
        apart = "not measured" if one.apart is None else f"Delta E {one.apart:.1f} from the prediction"
        st.html(f'<p class="bl-tone"><b>{escape(apart)}</b><br><small>{escape(one.words)}</small></p>')
        st.button("Take out", key=f"tr.drop.{at}", type="tertiary", on_click=_drop, args=(position, at))


def _pair(predicted: str, measured: str, known: bool) -> str:
    said = f"predicted {predicted}, {'measured ' + measured if known else 'not measured'}"
    bands = "".join(f'<span style="flex:1;background:{one}"></span>' for one in (predicted, measured))
    return f'<div class="bl-swatch" role="img" aria-label="{escape(said)}">{bands}</div>'


def _new(tone: Tone, base: Any, position: int) -> None:
    parts.heading("Note a test jar of the doses as they are now")
    colour, words, error = colours.entry(_keys(), base, NOT_YET)
    verdict, note = st.columns([2, 3], gap="small")
    verdict.selectbox(
        "Verdict", VERDICTS, format_func=lambda one: one or "none yet", key=f"{_keys()}-verdict"
    )
    note.text_input("Note", key=f"{_keys()}-note", max_chars=300)
    colours.answers(st.session_state.get(f"{_keys()}-answers", []))
    st.button(
        "Keep this test jar", key="tr.keep", on_click=_try, args=(tone, base, position, colour, words, error)
    )


def _verdict(verdict: str) -> str:
    return verdict or "none yet"


def _try(tone: Tone, base: Any, position: int, colour: Any, words: str, error: float) -> None:
    typed = colours.typed(_keys())
    wanted, answers = None, []
    if typed.get("way") != "none":
        wanted, answers = targets.target(typed, base, colour, words, error)
    st.session_state[f"{_keys()}-answers"] = answers
    if not answers:
        verdict, note = typed.get("verdict") or "", typed.get("note") or ""
        _keep(position, trial_jars.made(tone, wanted, verdict, note, state.today()))


def _drop(position: int, at: int) -> None:
    state.change("A test jar taken out", lambda design: design["tones"][position]["trials"].pop(at))


def _keep(position: int, made: dict[str, Any]) -> None:
    def edit(design: dict) -> None:
        design["tones"][position].setdefault("trials", []).append(made)

    state.change("A test jar", edit)
    colours.forget(FORM)


def _lesson() -> None:
    found = trial_jars.lesson(state.design(), memo.shelf())
    if found is None or not found.factors:
        return
    parts.heading("What the test jars teach")
    for line in trials.lesson_words(found, memo.shelf()):
        parts.small(line)
    if st.button(USE, key="tr.use"):
        problems = trial_jars.apply(found, state.folder(), memo.shelf(), state.today())
        st.session_state.said = {"text": " ".join(problems) or KEPT, "fresh": False}
        st.rerun()

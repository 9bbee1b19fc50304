"""Test jars of a tone: predicted beside measured, a verdict, and strengths corrected by them."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab.assess import Assessment
from blendlab.forms import targets, trial_jars
from blendlab.recipe import VERDICTS, Tone
from blendlab.shelf import Base
from blendlab.show import trials
from blendlab.ui import broken, colours, memo, mishap, parts, state, typed
from blendlab.ui.words import look as say

FORM = "tr"
WAYS = {"none": say.NOT_MEASURED_YET, **say.WAYS}


def _keys() -> str:
    return colours.prefix_of(FORM)


def button(assessed: Assessment, position: int) -> None:
    """The button of one tone that opens its test jars; called among the acts of an open tone."""
    tone = assessed.tones[position].tone
    label = say.TEST_JARS_COUNT.format(count=len(tone.trials)) if tone.trials else say.TEST_JARS
    if st.button(label, key=f"trials-{tone.id}", type="tertiary"):
        _window(position)


@broken.window(say.TEST_JARS)
def _window(position: int) -> None:
    panel(position)


def panel(position: int) -> None:
    """The test jars of one tone of the design at work, a form for one more, and what they teach."""
    resolved = state.assessed().resolved
    if resolved is None:
        return
    tone = state.design().tones[position]
    if not tone.trials:
        parts.small(say.NO_TEST_JAR)
    for at, trial in enumerate(tone.trials):
        _row(at, position, trials.shown(trial, resolved.base, state.shelf()))
    _new(tone, resolved.base, position)
    _lesson()


def _row(at: int, position: int, jar: trials.Shown) -> None:
    with st.container(
        horizontal=True, wrap=False, vertical_alignment="center", gap="small", key=f"tr-row-{at}"
    ):
        if jar.predicted:
            st.html(_pair(jar.predicted, jar.measured), width="content")
        apart = say.NOT_MEASURED if jar.apart is None else say.FROM_PREDICTION.format(apart=jar.apart)
        st.html(f'<p class="bl-tone"><b>{escape(apart)}</b><br><small>{escape(jar.words)}</small></p>')
        st.button(say.TAKE_OUT, key=f"tr.drop.{at}", type="tertiary", on_click=_drop, args=(position, at))


def _pair(predicted: str, measured: str | None) -> str:
    form = say.PREDICTED_MEASURED if measured else say.PREDICTED_ONLY
    said = form.format(predicted=predicted, measured=measured)
    shades = (predicted, measured or predicted)
    bands = "".join(f'<span style="flex:1;background:{shade}"></span>' for shade in shades)
    return f'<div class="bl-swatch" role="img" aria-label="{escape(said)}">{bands}</div>'


def _new(tone: Tone, base: Base, position: int) -> None:
    parts.heading(say.NEW_TEST_JAR)
    colours.begin(FORM, f"trial:{st.session_state.doc['design']['id']}:{tone.id}")
    seen = colours.entry(_keys(), base, WAYS)
    verdict, note = st.columns([2, 3], gap="small")
    verdict.selectbox(say.VERDICT, VERDICTS, format_func=_verdict, key=typed.key(f"{_keys()}-", "verdict"))
    note.text_input(say.NOTE, key=typed.key(f"{_keys()}-", "note"), max_chars=300)
    colours.answers(st.session_state.get(f"{_keys()}-answers", []))
    st.button(say.KEEP_TEST_JAR, key="tr.keep", on_click=_try, args=(tone, base, position, seen))


def _verdict(verdict: str) -> str:
    return verdict or say.NO_VERDICT


@mishap.answered
def _try(tone: Tone, base: Base, position: int, seen: colours.Seen) -> None:
    given = colours.given(FORM)
    wanted: targets.Target | None = None
    answers: list[str] = []
    if given.get("way") != "none":
        wanted, answers = targets.target(given, base, *seen)
    st.session_state[f"{_keys()}-answers"] = answers
    if not answers:
        verdict, note = given.get("verdict") or "", given.get("note") or ""
        _keep(position, trial_jars.made(tone, wanted, verdict, note, state.today()))


@mishap.answered
def _drop(position: int, at: int) -> None:
    state.change(say.DONE_TEST_JAR_OUT, lambda design: design["tones"][position]["trials"].pop(at))


def _keep(position: int, made: dict[str, Any]) -> None:
    def edit(design: dict[str, Any]) -> None:
        design["tones"][position].setdefault("trials", []).append(made)

    state.change(say.DONE_TEST_JAR, edit)
    colours.forget(FORM)


def _lesson() -> None:
    found = trial_jars.lesson(state.design(), memo.shelf())
    if found is None or not found.factors:
        return
    parts.heading(say.LESSON)
    for line in trials.lesson_words(found, memo.shelf()):
        parts.small(line)
    if st.button(say.CORRECT_STRENGTHS, key="tr.use"):
        problems = trial_jars.apply(found, state.folder(), memo.shelf(), state.today())
        parts.tell(" ".join(problems) or say.CORRECTED)
        st.rerun()

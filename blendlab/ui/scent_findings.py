"""Findings of the scent, the assessor's answer to one of them, and what has changed since the save."""

from __future__ import annotations

from datetime import date

import streamlit as st

from blendlab.assess import Assessment
from blendlab.errors import PLANNING
from blendlab.show import scents
from blendlab.ui import mishap, parts, shelf_changes, state, typed, words
from blendlab.ui.words import scent as say

FOOD = "food-"
"""What the keys of the fields of the assessor's answer begin with."""


def findings(assessed: Assessment) -> None:
    """Findings of the scent, warnings for the label, and what has changed since the save."""
    found = [finding for finding in assessed.findings if finding.room == "scent"]
    parts.findings(found, "scent", words.CLEAR, shelf_changes.beside)
    if any(finding.id == "food" for finding in found):
        _answer(assessed)
    if assessed.warnings:
        parts.small(say.LABEL_SAYS.format(warnings=" ".join(assessed.warnings)))
    _changed(assessed)
    parts.small(PLANNING)
    parts.onward(say.NEXT, "batch")


# --- the assessor's answer ------------------------------------------------------------------------


def _answer(assessed: Assessment) -> None:
    held = assessed.design.scent.food_answer
    with st.expander(say.ANSWER, key="food"):
        if held is not None:
            day = held.on.isoformat() if held.on else say.NO_DAY
            parts.small(say.ANSWERED.format(by=held.by, day=day, answer=held.words))
            st.button(say.TAKE_BACK, type="tertiary", on_click=_set_answer, args=(None,))
            return
        typed.hold(f"food:{assessed.design.id}", FOOD, {"words": "", "by": ""})
        st.text_area(say.WHAT_ANSWERED, key=typed.key(FOOD, "words"), height=90, max_chars=600)
        st.text_input(say.ASSESSOR, key=typed.key(FOOD, "by"), max_chars=80)
        st.button(say.RECORD, on_click=_record, args=(assessed,))
        parts.alert(st.session_state.get(f"{FOOD}answer") or "")


@mishap.answered
def _record(assessed: Assessment) -> None:
    ss = st.session_state
    given = typed.fields(FOOD)
    told, by = given["words"].strip(), given["by"].strip()
    if not told or not by:
        ss[f"{FOOD}answer"] = say.BOTH_WANTED
        return
    ss[f"{FOOD}answer"] = ""
    typed.forget(f"food:{assessed.design.id}", FOOD)
    _set_answer({"words": told, "by": by, "on": assessed.on.isoformat(), "about": assessed.food_signs})


@mishap.answered
def _set_answer(answer: dict[str, str] | None) -> None:
    state.assign({"scent.food_answer": answer}, say.DONE_ANSWER)


# --- since the save -------------------------------------------------------------------------------


def _changed(assessed: Assessment) -> None:
    """What has happened since this design was saved."""
    saved = st.session_state.doc.get("saved")
    if not saved:
        return
    try:
        day = date.fromisoformat(saved[:10])
    except ValueError:
        parts.small(say.SAVED_SOMEWHEN)
        return
    reasons = scents.changed(assessed, state.shelf(), day)
    if not reasons:
        return
    with st.container(key="changed"):
        told = " ".join(reason.text for reason in reasons)
        parts.small(say.SINCE_SAVED.format(day=day.isoformat(), reasons=told))

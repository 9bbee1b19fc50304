"""What the forms of the Book share: read a figure, write to the book, say beside the form what went wrong."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.forms.form import Form
from blendlab.production import plausible
from blendlab.production.plausible import Doubtful
from blendlab.ui import mishap, parts, state, typed
from blendlab.ui.words import kitchen as say
from blendlab.ui.words.book import DAY
from blendlab.units import read_number


def figure(key: str, unit: str, low: float, high: float) -> float:
    """What was typed into a field; raises BlendlabError with the answer."""
    return read_number(st.session_state.get(key) or "", unit, low, high)


def day(key: str) -> date:
    """The day that was typed into a field, today for none; raises Refused with the answer."""
    form = Form({"on": st.session_state.get(key)})
    found = form.day("on", DAY)
    if form.answers:
        raise store.Refused(form.answers[0])
    return found or state.today()


def past_day(key: str) -> date:
    """The same, of what happened already; raises Refused for a day that has not come."""
    return plausible.happened(day(key), state.today())


def attempt(form: str, act: Callable[[], object]) -> None:
    """Do `act`; a refusal is said beside its form on the next draw, what the act before said goes."""
    st.session_state.said = None
    try:
        act()
    except Doubtful as doubt:
        st.session_state["book-answer"] = {"where": form, "doubt": str(doubt)}
        typed.forget(f"why-{form}", f"why-{form}")
    except BlendlabError as problem:
        st.session_state["book-answer"] = {"where": form, "text": str(problem)}
    else:
        st.session_state["book-answer"] = {}
        typed.forget(f"why-{form}", f"why-{form}")


def put(label: str, form: str, prefix: str, act: Callable[[], object], *, key: str, **look: Any) -> None:
    """The end of a form kept by `typed`: why the last try was refused or doubted, the button that does `act`.

    It stays in sight while the rest of the form scrolls. What was written down stands in the form no longer.
    """
    with st.container(key=f"ends-{form}"):
        _really(form)
        show(form)
        st.button(label, key=key, on_click=_put, args=(form, prefix, act), **look)


@mishap.answered
def _put(form: str, prefix: str, act: Callable[[], object]) -> None:
    def write() -> None:
        act()
        typed.forget(form, prefix)

    there = typed.fields(prefix)
    attempt(form, write)
    if said := st.session_state["book-answer"]:
        st.session_state["book-answer"] = {**said, "prefix": prefix, "typed": there}


def _said(form: str) -> dict[str, Any]:
    """What the last try of a form was answered with, while the same still stands in its fields."""
    said: dict[str, Any] = st.session_state.get("book-answer") or {}
    if said.get("where") != form or ("typed" in said and typed.fields(said["prefix"]) != said["typed"]):
        return {}
    return said


def show(form: str) -> None:
    """What the last attempt of a form was refused for."""
    parts.alert(_said(form).get("text", ""))


def _really(form: str) -> None:
    """The question about a figure that is hard to believe, and the field for her reason."""
    if doubt := _said(form).get("doubt"):
        parts.alert(say.REALLY.format(doubt=doubt), "kask")
        typed.hold(f"why-{form}", f"why-{form}", {"": ""})
        st.text_input(say.REASON, key=typed.key(f"why-{form}", ""), max_chars=200)


def why(form: str) -> str:
    """Her reason for a figure of a form that was asked about, or ""."""
    return (st.session_state.get(f"why-{form}") or "") if _said(form).get("doubt") else ""

"""What the forms of the Book share: read a figure, write to the book, say beside the form what went wrong."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from blendlab.errors import BlendlabError
from blendlab.ui import parts
from blendlab.units import read_number


def figure(key: str, unit: str, low: float, high: float) -> float:
    """What was typed into a field; raises BlendlabError with the answer."""
    return read_number(st.session_state.get(key) or "", unit, low, high)


def attempt(form: str, act: Callable[[], object]) -> None:
    """Do `act`; a refusal is said beside its form on the next draw."""
    try:
        act()
    except BlendlabError as problem:
        st.session_state["book-answer"] = {"where": form, "text": str(problem)}
    else:
        st.session_state["book-answer"] = {}


def show(form: str) -> None:
    """What the last attempt of a form was refused for."""
    said = st.session_state.get("book-answer") or {}
    if said.get("where") == form:
        parts.alert(said["text"])

"""Into the kitchen view and out of it: by the address, so that a reload stays where it was."""

from __future__ import annotations

import streamlit as st

from blendlab.ui import mishap, words

JARS = "jars"
"""What is begun from the design on the bench; a base is begun by its id."""


def asked() -> bool:
    """Whether the address asks for the kitchen view."""
    return bool(st.query_params.get("view") == "kitchen")


def beginning() -> str:
    """What is about to be begun: JARS, the id of a base, or "" where a batch is gone on with."""
    return str(st.query_params.get("begin") or "")


def grams() -> str:
    """Grams of the base that is about to be cooked, as the address says them."""
    return str(st.query_params.get("grams") or "")


@mishap.answered
def enter(code: str) -> None:
    """Show the kitchen view of a batch."""
    _to({"batch": code})


@mishap.answered
def prepare(what: str = JARS, to_cook: float | None = None) -> None:
    """Show what beginning a batch would write; nothing is written yet."""
    _to({"begin": what, **({} if to_cook is None else {"grams": f"{to_cook:g}"})})


def _to(place: dict[str, str]) -> None:
    st.session_state.said = None
    st.query_params.clear()
    st.query_params.update({"view": "kitchen", **place})


def way_out() -> None:
    """The button back to the pages."""
    st.button(words.LEAVE_KITCHEN, on_click=leave)


@mishap.answered
def leave() -> None:
    """Back to the pages."""
    st.query_params.clear()
    st.session_state.kitchen = {}

"""Repeat a batch: what would be different now, listed before she begins."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.production import settings
from blendlab.production.repeat import Difference, Repeat, repeat
from blendlab.ui import memo, mishap, opening, parts, state
from blendlab.ui.words import book as say
from blendlab.ui.words import plural


def button(shown: store.BatchPage) -> None:
    """The button that lists what would be different."""
    st.button(say.AGAIN, on_click=_ask, args=(shown.line.code,))


@mishap.answered
def _ask(code: str) -> None:
    st.session_state["book-repeat"] = code


def block(book: store.Book, shown: store.BatchPage) -> None:
    """Every difference with its reason, and the way on; nothing where it was not asked for."""
    if st.session_state.get("book-repeat") != shown.line.code:
        return
    with st.container(border=True, key="repeat"):
        parts.heading(say.REPEAT)
        try:
            again = repeat(
                book, shown, memo.shelf(), state.today(), state.lots(), settings.settings(state.folder())
            )
        except BlendlabError as problem:
            parts.alert(str(problem))
            return
        _differences(again)
        with st.container(horizontal=True, gap="small"):
            st.button(say.OPEN_SO, type="primary", on_click=_open, args=(shown.line.code, again))
            st.button(say.LEAVE_IT, on_click=_ask, args=("",))


def _differences(again: Repeat) -> None:
    if again.differences:
        head = "".join(f"<th scope='col'>{name}</th>" for name in say.REPEAT_HEADS)
        body = "".join(map(_row, again.differences))
        st.html(
            f'<table class="bl-table bl-read"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'
        )
    else:
        parts.small(say.NOTHING_DIFFERS)
    if again.stops:
        parts.small(plural(len(again.stops), *say.STOPS_TODAY))
        parts.findings(again.stops, "repeat")


def _row(told: Difference) -> str:
    cells = "".join(f"<td>{escape(cell)}</td>" for cell in told[1:])
    return f"<tr><th scope='row'>{escape(parts.capital(told.what))}</th>{cells}</tr>"


@mishap.answered
def _open(code: str, again: Repeat) -> None:
    opening.open_design(again.design, again.carried, None, None, None)
    st.session_state["book-repeat"] = ""
    parts.tell(plural(len(again.differences), *say.OPENED_AGAIN, code=code))
    st.session_state.goto = "batch"

"""The front of the Book: what waits, before everything that was made."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store
from blendlab.production import due
from blendlab.ui import mishap, parts, state
from blendlab.ui.words import care as say

SHOWN = 5


def waiting(book: store.Book) -> None:
    """Open complaints and what is due, a line each with the way to answer it; nothing where nothing waits."""
    found = due.errands(book, state.today())
    if not found:
        return
    parts.heading(say.WAITING)
    for position, errand in enumerate(found[:SHOWN]):
        with st.container(
            key=f"errand-{position}", horizontal=True, vertical_alignment="center", gap="small"
        ):
            st.html(f'<p class="bl-tone">{escape(errand.text)}</p>')
            st.button(
                say.ANSWER,
                key=f"go-{position}",
                type="tertiary",
                on_click=_go,
                args=(errand.part, errand.code),
            )
    if len(found) > SHOWN:
        parts.small(say.MORE_WAITING.format(count=len(found) - SHOWN))


@mishap.answered
def _go(part: str, code: str) -> None:
    st.session_state["book-part"] = part
    if part == "tests" and code:
        st.session_state["test-batch"] = code

"""A line of the book that stands beside the batches, taken back with its reason: it is written anew."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import streamlit as st

from blendlab.ui import book_answers, parts, typed
from blendlab.ui.words import book as say


def form(of: str, lines: Mapping[int, str], act: Callable[[int, str], object]) -> None:
    """Choose a line, say why it is taken back.

    of  name of the form; lines  number -> line in words; act  takes the number and the reason
    """
    prefix = f"back-{of}-"
    with st.popover(say.TAKE_LINE_BACK, type="tertiary", key=f"take-{prefix}"):
        typed.hold(prefix, prefix, {"why": ""})
        parts.one_of(say.LINE, lines, typed.key(prefix, "line"))
        st.text_input(say.WHY, key=typed.key(prefix, "why"), max_chars=200)

        def write() -> None:
            given = typed.fields(prefix)
            act(given["line"], given["why"])

        book_answers.put(say.TAKE_BACK, prefix, prefix, write, key=f"put-{prefix}")

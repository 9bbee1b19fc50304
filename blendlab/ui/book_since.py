"""What changed on the shelf since a batch was begun: her word that it is judged by the shelf of now."""

from __future__ import annotations

from typing import Any

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.production import batches, revisions
from blendlab.production.corrections import judge_by_shelf
from blendlab.ui import book_answers, memo, parts, state, typed
from blendlab.ui.corrections import set_right
from blendlab.ui.words import book as say

PREFIX = "since-"
"""What the key of her reason begins with."""


def block(book: store.Book, shown: store.BatchPage) -> None:
    """The change of a batch that is decided, and the form; nothing where nothing changed."""
    try:
        design, _ = batches.begun_with(book, shown, memo.shelf())
        told = tuple(revisions.since(design, store.taken(book, shown), memo.shelf()))
    except BlendlabError as problem:
        parts.alert(str(problem))
        return
    if told:
        parts.findings(told, "since")
        form(book, shown)


def form(book: store.Book, shown: store.BatchPage) -> None:
    """Her reason, and the button that takes the shelf of now for what the batch took."""
    code = shown.line.code
    of = f"since-{code}"
    with st.popover(say.JUDGE_NOW, type="tertiary", key="since"):
        typed.hold(of, PREFIX, {"why": ""})
        st.text_input(say.WHY, key=typed.key(PREFIX, "why"), max_chars=200)

        def act() -> None:
            given: dict[str, Any] = {"shelf": memo.shelf(), "on": state.today()}
            why = st.session_state[f"{PREFIX}why"]
            set_right(code, lambda: (code,) if judge_by_shelf(book, code, why, **given) else ())

        book_answers.put(say.TAKE_OVER, of, PREFIX, act, key="judge-now")

"""What changed on the shelf since a batch was begun: her word that it is judged by the shelf of now."""

from __future__ import annotations

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError
from blendlab.production import batches, corrections, revisions
from blendlab.ui import book_answers, memo, mishap, parts, state
from blendlab.ui.words import book as say


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
    with st.popover(say.JUDGE_NOW, type="tertiary", key="since"):
        st.text_input(say.WHY, key="why-since", max_chars=200)
        book_answers.show("since")
        st.button(say.TAKE_OVER, key="judge-now", on_click=_judge, args=(book, shown.line.code))


@mishap.answered
def _judge(book: store.Book, code: str) -> None:
    why = book_answers.why("since")

    def act() -> None:
        if corrections.judge_by_shelf(book, code, why, shelf=memo.shelf(), on=state.today()):
            parts.tell(say.NOW_CALLED_BACK)
        st.session_state["why-since"] = ""

    book_answers.attempt("since", act)

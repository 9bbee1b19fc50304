"""A book, or a line of it, that cannot be read: what is known of it; nothing happens without her word."""

from __future__ import annotations

import streamlit as st

from blendlab import store
from blendlab.errors import BadDocument
from blendlab.ui import memo, mishap, parts
from blendlab.ui.words import safekeeping as say


def seen_in(problem: Exception) -> store.DamagedBook | None:
    """The damage of the book behind an error, also of a book that was whole when it was opened."""
    if isinstance(problem, BadDocument) and problem.what == "book":
        wrong = store.book_fault(memo.folder())
        return store.DamagedBook(memo.folder().book, wrong) if wrong else None
    return problem if isinstance(problem, store.DamagedBook) else None


def tell_unread(book: store.Book, *kinds: str) -> None:
    """Tell above a list of entries those that it leaves out, because nobody can read them."""
    for sentence in store.unread_entries(book, *kinds):
        parts.alert(sentence, "said")


def ways_out(problem: store.DamagedBook) -> None:
    """Draw what happened and the buttons that lead on."""
    parts.alert(f"{problem} {say.RESCUE_WHAT}", "said")
    with st.container(key="book-damage", horizontal=True):
        st.button(say.RESCUE, key="book-rescue", type="primary", on_click=_rescue)
        with st.popover(say.BEGIN_ANEW, type="tertiary", key="book-anew"):
            parts.small(say.BEGIN_ANEW_WHAT)
            st.button(say.BEGIN_ANEW_YES, key="book-anew-yes", on_click=_begin_anew)


@mishap.answered
def _rescue() -> None:
    parts.tell(store.rescue(memo.folder()).told)


@mishap.answered
def _begin_anew() -> None:
    store.begin_anew(memo.folder())
    parts.tell(say.BEGUN_ANEW)

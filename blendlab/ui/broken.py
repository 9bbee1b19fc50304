"""What is shown where a page could not be drawn: one sentence, what is kept, the way back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from html import escape
from typing import ParamSpec

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from blendlab.errors import BlendlabError, FolderGone, NotSaved
from blendlab.ui import book_damage, drafts, mishap, opening, parts, state, words

Given = ParamSpec("Given")


@contextmanager
def answered(title: str, told: DeltaGenerator, way_back: Callable[[], None]) -> Iterator[None]:
    """Whatever goes wrong inside is written down and answered at `told`; the rest stands as far as it came.

    title     name of the page on the screen
    way_back  draws the button that leads out
    """
    try:
        yield
    except Exception as problem:
        if damaged := book_damage.seen_in(problem):
            with told:
                book_damage.ways_out(damaged)
            return
        with told, st.container(horizontal=True, vertical_alignment="center"):
            said = " ".join(_told(title, problem))
            st.html(f'<p class="bl-said bl-broken" role="alert">{escape(said)}</p>')
            way_back()


def _told(title: str, problem: Exception) -> list[str]:
    """What is said: a folder that refuses has a sentence; of all else what is kept and where more stands."""
    if isinstance(problem, FolderGone | NotSaved):
        return [str(problem)]
    details = mishap.write_down(title, problem)
    return [words.BROKEN.format(page=title), *_own_words(problem), *_kept(), details]


def window(title: str) -> Callable[[Callable[Given, None]], Callable[Given, None]]:
    """A window over the page; what goes wrong in it, also while the page below rests, is answered in it."""

    def made(draw: Callable[Given, None]) -> Callable[Given, None]:
        @wraps(draw)
        def drawn(*given: Given.args, **named: Given.kwargs) -> None:
            with answered(title, st.container(), lambda: None):
                draw(*given, **named)

        opened: Callable[Given, None] = st.dialog(title, width="large")(drawn)
        return opened

    return made


def _own_words(problem: Exception) -> list[str]:
    return [str(problem)] if isinstance(problem, BlendlabError) else []


def _kept() -> list[str]:
    """What of her work is on the disk."""
    doc = st.session_state.get("doc")
    if doc is None:
        return []
    draft = words.DRAFT_KEPT.format(name=doc["design"]["name"]) if drafts.is_kept() else words.NO_DRAFT
    saved = words.CARD_KEPT.format(time=state.clock(doc["saved"])) if doc["saved"] else words.CARDS_KEPT
    return [draft, saved]


def back_to_a_design(path: str) -> None:
    """The button back to a design that the page, or any, could be drawn with."""
    if "doc" not in st.session_state:
        return
    if state.drawn_before(path):
        st.button(words.STEP_BACK, key="way-back", on_click=state.step_back, args=(path,))
    else:
        st.button(words.START_FRESH, key="way-back", on_click=opening.fresh_demo)


def back_to_look() -> None:
    """The button to the design at work, for a page that is about something else."""
    parts.onward(words.BACK_TO_LOOK, "look")

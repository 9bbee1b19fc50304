"""What nobody foresaw: written to her folder, answered in a sentence, the rest of the app left standing."""

from __future__ import annotations

import logging
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

import streamlit as st

from blendlab import store
from blendlab.codec import digest
from blendlab.errors import BlendlabError
from blendlab.ui import memo, words

LOG = logging.getLogger("blendlab")
Given = ParamSpec("Given")


def write_down(place: str, problem: Exception) -> str:
    """Write an error to the log of her folder; returns where the details are, in words.

    place  the page or the act in which it happened
    """
    try:
        document = st.session_state.get("doc")
        design = digest(document["design"]) if document else ""
        path = store.record_error(memo.folder(), place, design, problem)
    except Exception:  # her folder may be the very thing that is wrong
        LOG.error("%s", place, exc_info=problem)
        return words.DETAILS_IN_TERMINAL
    return words.DETAILS_IN_LOG.format(file=path.name)


def in_words(problem: Exception, place: str) -> str:
    """What an error says to her: its own words if it was made to be read, else where the details are."""
    return str(problem) if isinstance(problem, BlendlabError) else write_down(place, problem)


def answered(act: Callable[Given, None]) -> Callable[Given, None]:
    """An act of a button that answers on the next draw when it fails, foreseen or not."""

    @wraps(act)
    def acted(*given: Given.args, **named: Given.kwargs) -> None:
        try:
            act(*given, **named)
        except Exception as problem:
            unforeseen = "" if isinstance(problem, BlendlabError) else f"{words.NOT_DONE} "
            said = f"{unforeseen}{in_words(problem, act.__name__)}"
            st.session_state.said = {"text": said, "fresh": False}

    return acted

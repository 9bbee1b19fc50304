"""Guide: the marks, the words, what the numbers are worth, where the files are."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

import streamlit as st

from blendlab.errors import MARKS, NO_REFERENCE, PLANNING
from blendlab.facts.read import figure
from blendlab.ui import parts, safekeeping, state
from blendlab.ui.words import guide as say


def page() -> None:
    """Draw the page."""
    figures = _figures()
    parts.said(on_bench=False)
    with st.container(key="guide", width=680):
        parts.heading(say.MARKS)
        st.html(_table((MARKS[level], text) for level, text in say.LEVELS.items()))
        parts.heading(say.WORDS)
        st.html(_table((word, text.format(**figures)) for word, text in say.GLOSSARY.items()))
        parts.heading(say.WORTH_KNOWING)
        habits = "".join(f"<li>{escape(habit.format(**figures))}</li>" for habit in say.HABITS)
        st.html(f"<ul class='bl-list'>{habits}</ul>")
        parts.heading(say.NUMBERS)
        st.html(f"<p>{escape(f'{PLANNING} {NO_REFERENCE} {say.SOURCED}')}</p>")
        parts.heading(say.FILES)
        folder = say.FOLDER.format(folder=state.folder().root.resolve())
        st.html(f"<p>{escape(folder)}</p>")
        safekeeping.section()


def _figures() -> dict[str, float]:
    """The figures that the words of this page speak of, from their rows."""
    near, strength = figure("tint", "near"), figure("tint", "strength_factor")
    return {
        "alike": figure("tint", "alike").value,
        "near_low": near.low,
        "near_high": near.high,
        "other": figure("tint", "lamp_change").value,
        "strength_low": strength.low,
        "strength_high": strength.high,
    }


def _table(rows: Iterable[tuple[str, str]]) -> str:
    body = "".join(
        f"<tr><th scope='row'><b>{escape(name)}</b></th><td>{escape(text)}</td></tr>" for name, text in rows
    )
    return f"<table class='bl-table bl-words-table'><tbody>{body}</tbody></table>"

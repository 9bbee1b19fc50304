"""What stands half-filled in a form: kept while its fields are not drawn, until it is saved or thrown away.

Streamlit forgets the value of a field that a run does not draw: on another page, under another kind of the
shelf, behind another choice. What is typed is kept here as plain values, form by form.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

HELD, OPEN = "typed-held", "typed-open"
ANSWERS = ("-answers", "-answer")
"""What the keys end with under which a form keeps what was wrong with the last try; that is not kept."""
PLAIN = (str, int, float, list, tuple, type(None))


def hold(form: str, prefix: str, first: Mapping[str, Any] | None = None) -> None:
    """Fill the fields of a form as they were left; called before they are drawn, which then take no value.

    form    which form it is: the forms of several things may share their fields
    prefix  what the keys of its fields begin with, and of no other form's that is drawn at the same time
    first   what stands in the fields at first, by their names without the prefix
    """
    ss = st.session_state
    opened = ss.get(OPEN, {})
    if opened.get(prefix) != form:
        _empty(prefix)
        ss[OPEN] = {**opened, prefix: form}
    for name, value in {**(first or {}), **ss.get(HELD, {}).get(form, {})}.items():
        if f"{prefix}{name}" not in ss:
            ss[f"{prefix}{name}"] = value


def catch() -> None:
    """Keep what came from the browser; called at the start of a run, before a form can be left."""
    ss = st.session_state
    held = ss.get(HELD, {})
    now = {form: fields(prefix) for prefix, form in ss.get(OPEN, {}).items()}
    ss[HELD] = held | {form: {**held.get(form, {}), **there} for form, there in now.items()}


def fields(prefix: str) -> dict[str, Any]:
    """What stands in the fields of a form, by their names without the prefix; files are left out."""
    return {
        key.removeprefix(prefix): value
        for key, value in st.session_state.items()
        if isinstance(key, str)
        and key.startswith(prefix)
        and not key.endswith(ANSWERS)
        and isinstance(value, PLAIN)
    }


def forget(form: str, prefix: str) -> None:
    """Empty a form: it was saved or thrown away."""
    ss = st.session_state
    ss[HELD] = {name: kept for name, kept in ss.get(HELD, {}).items() if name != form}
    ss[OPEN] = {start: name for start, name in ss.get(OPEN, {}).items() if start != prefix}
    _empty(prefix)


def _empty(prefix: str) -> None:
    for key in [key for key in st.session_state if isinstance(key, str) and key.startswith(prefix)]:
        del st.session_state[key]

"""What stands half-filled in a form: kept while its fields are not drawn, until it is saved or thrown away.

Streamlit forgets the value of a field that a run does not draw: on another page, under another kind of the
shelf, behind another choice. What is typed is kept here as plain values, form by form.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

HELD, OPEN = "typed-held", "typed-open"
ANSWERS = ("-answers", "-answer", "-told")
"""What the keys end with under which a form keeps what was wrong with the last try; that is not kept."""
PLAIN = (str, int, float, list, tuple, type(None))


def hold(form: str, prefix: str, first: Mapping[str, Any] | None = None) -> None:
    """Say whose fields are drawn next under a prefix.

    form    which form it is: the forms of several things may share their fields
    prefix  what the keys of its fields begin with, and of no other form's that is drawn at the same time
    first   what stands in the fields at first, by their names without the prefix; of forms that may follow
            each other without a run between them every field, or the browser shows what stood there before
    """
    ss = st.session_state
    opened = ss.get(OPEN, {})
    if opened.get(prefix, {}).get("form") != form:
        _empty(prefix)
    ss[OPEN] = {**opened, prefix: {"form": form, "first": dict(first or {})}}


def key(prefix: str, name: str) -> str:
    """Key of a field that is drawn now: it stands as it was left, and takes no value of its own.

    Only a value that is put in the very run in which the field comes back reaches the browser.
    """
    ss, whole = st.session_state, f"{prefix}{name}"
    opened = ss.get(OPEN, {}).get(prefix)
    if opened and whole not in ss:
        values = {**opened["first"], **ss.get(HELD, {}).get(opened["form"], {})}
        if name in values:
            ss[whole] = values[name]
    return whole


def catch() -> None:
    """Keep what came from the browser; called at the start of a run, before a form can be left.

    A field that stands as at first is not kept: what it begins with may be another thing by then.
    """
    ss = st.session_state
    held = dict(ss.get(HELD, {}))
    for prefix, opened in ss.get(OPEN, {}).items():
        there, first = fields(prefix), opened["first"]
        known = {name: value for name, value in held.get(opened["form"], {}).items() if name not in there}
        typed = {name: value for name, value in there.items() if value != first.get(name)}
        held[opened["form"]] = known | typed
    ss[HELD] = held


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
    close(prefix)


def close(prefix: str) -> None:
    """Take the fields under a prefix away; what was typed in them stays held."""
    ss = st.session_state
    ss[OPEN] = {start: opened for start, opened in ss.get(OPEN, {}).items() if start != prefix}
    _empty(prefix)


def _empty(prefix: str) -> None:
    for whole in [key for key in st.session_state if isinstance(key, str) and key.startswith(prefix)]:
        del st.session_state[whole]

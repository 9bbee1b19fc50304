"""What the page put into its fields, so that an old value coming back is not taken for an edit.

A browser sends the value of every field with each thing she does. When she does the next thing before the
answer to the last one is drawn, fields that the page has filled anew still come back as they were: a dose
typed in its field would be set back by its own slider. A hidden field at the end of the page carries the
number of the run; what comes with an older number, as it was before, is an echo.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec

import streamlit as st

from blendlab.ui import mishap

Given = ParamSpec("Given")

RUN, PUT, DRAWN = "echo-run", "echo-put", "echo-drawn"


def start() -> None:
    """Count a run; forget what the browser has drawn since."""
    ss = st.session_state
    ss[RUN] = ss.get(RUN, 0) + 1
    drawn = int(ss.get(DRAWN) or 0)
    ss[PUT] = {key: put for key, put in ss.get(PUT, {}).items() if put["run"] > drawn}


def finish() -> None:
    """Draw the number of this run where nobody sees it, after everything else."""
    st.session_state[DRAWN] = str(st.session_state[RUN])
    with st.container(key="echo"):
        st.text_input("Drawn", key=DRAWN, label_visibility="collapsed")


def put(key: str, value: Any) -> None:
    """Fill the field of a key from the page."""
    ss = st.session_state
    if key in ss and ss[key] != value:
        known = ss.get(PUT, {})
        before = known.get(key, {"values": []})["values"]
        ss[PUT] = {**known, key: {"values": [*before, ss[key]], "run": ss.get(RUN, 0)}}
    ss[key] = value


def edited(key: str, act: Callable[Given, None]) -> Callable[Given, None]:
    """The callback of a field that the page fills: does `act` when she changed it, nothing for an echo.

    Like every act it answers on the next draw when it fails.
    """

    @mishap.answered
    @wraps(act)
    def unless_echo(*given: Given.args, **named: Given.kwargs) -> None:
        ss = st.session_state
        put = ss.get(PUT, {}).get(key)
        drawn = int(ss.get(DRAWN) or 0)
        if put is None or put["run"] <= drawn or ss[key] not in put["values"]:
            act(*given, **named)

    return unless_echo

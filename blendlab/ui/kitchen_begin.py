"""Kitchen view before a batch: what beginning writes into the book, and the one button that does."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial

import streamlit as st

from blendlab.batch import Plan
from blendlab.errors import BlendlabError
from blendlab.production import base_lots, batches, line_words, shortage
from blendlab.shelf import Base
from blendlab.ui import allotment_rows, kitchen_door, kitchen_steps, memo, mishap, parts, state
from blendlab.ui.words import batch as allotted
from blendlab.ui.words import kitchen as say
from blendlab.ui.words import plural
from blendlab.units import read_number

Begin = Callable[[], str]


def page() -> None:
    """Say what would be written; leaving writes nothing."""
    parts.said(on_bench=False)
    try:
        offered, stops, begin = _offered(kitchen_door.beginning())
    except BlendlabError as problem:
        parts.small(str(problem))
        kitchen_door.way_out()
        return
    if offered is None or not offered.lines:
        parts.small(say.NOTHING_TO_BEGIN)
        kitchen_door.way_out()
        return
    _told(offered, stops)
    with st.container(horizontal=True, gap="small"):
        st.button(say.BEGIN, type="primary", key="begin-batch", on_click=_begin, args=(begin,))
        kitchen_door.way_out()


def _offered(what: str) -> tuple[Plan | None, int, Begin]:
    """The sheet that would be frozen, the stops that are known of it, and the act that freezes it."""
    today = state.today()
    if what == kitchen_door.JARS:
        assessed, shelf = state.assessed(), state.shelf()
        made = assessed.plan
        begin = partial(batches.start, memo.book(), made, assessed.design, shelf, today) if made else str
        return made, assessed.count("stop"), begin
    base = memo.on_shelf(Base, what)
    grams = read_number(kitchen_door.grams(), "g", *base_lots.COOKED_G)
    cooked = base_lots.cooking(base, memo.shelf(), grams, memo.book(), today)
    stops = sum(finding.level == "stop" for finding in cooked.findings)
    return cooked, stops, partial(base_lots.begin, memo.book(), base, memo.shelf(), cooked, today)


def _told(offered: Plan, stops: int) -> None:
    parts.heading(say.BEGIN)
    rows = [
        (say.BEGIN_WHAT, offered.title),
        (say.BEGIN_ON, f"{state.today()}"),
        (say.BEGIN_GRAMS, say.GRAMS.format(grams=line_words.grams(offered.batch_g, 1))),
        (say.BEGIN_JARS, f"{offered.jars}" if offered.jars else ""),
        (say.BEGIN_LINES, f"{len(offered.lines)}"),
        (say.BEGIN_LOT, ", ".join(dict.fromkeys(line.lot for line in offered.lines if line.what == "base"))),
    ]
    judged = state.assessed() if kitchen_door.beginning() == kitchen_door.JARS else None
    with st.container(width=640):
        parts.rows([row for row in rows if row[1]])
        if judged is not None:
            for finding in shortage.short(judged.findings):
                parts.small(finding.text)
            parts.heading(allotted.PARTS)
            parts.rows(allotment_rows.rows(offered, judged.design.batch))
        parts.small(say.BEGIN_WRITES)
    if stops:
        parts.alert(plural(stops, *say.BEGIN_STOPS), "kask")


@mishap.answered
def _begin(begin: Begin) -> None:
    if kitchen_steps.second_tap():
        return
    code = begin()
    st.session_state["kitchen-wrote"] = time.monotonic()
    kitchen_door.enter(code)

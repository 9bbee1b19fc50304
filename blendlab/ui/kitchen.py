"""Kitchen view: one line at a time, readable at arm's length, each weighing written to the book at once."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from html import escape

import streamlit as st

from blendlab import store
from blendlab.batch import Line, Step
from blendlab.errors import BlendlabError
from blendlab.production import batches, bowl, kitchen_log, line_words, settings
from blendlab.ui import (
    kitchen_begin,
    kitchen_door,
    kitchen_end,
    kitchen_line,
    kitchen_steps,
    memo,
    parts,
    state,
    words,
)
from blendlab.ui.words import kitchen as say
from blendlab.units import in_degrees

RUNGS = {"done": say.DONE, "now": say.NOW, "later": say.NAME}


def page() -> None:
    """Draw the open line of the batch in the address, else of the newest one that runs."""
    if kitchen_door.beginning():
        kitchen_begin.page()
        return
    parts.said(on_bench=False)
    book = memo.book()
    code = st.query_params.get("batch") or batches.at_work(book)
    try:
        shown = store.batch(book, code)
    except BlendlabError as problem:
        parts.small(str(problem) if code else say.NO_BATCH)
        kitchen_door.way_out()
        return
    now = kitchen_log.stand(shown)
    _head(shown, now.line.cup if now.line else "")
    if now.current is None:
        kitchen_end.finished(shown)
        return
    left, right = st.columns([28, 72], gap="medium")
    if now.line is not None:
        line, why = bowl.asked(book, shown, kitchen_log.asked_line(shown, now.line), memo.shelf())
        with left:
            st.html(_ladder(shown, line))
        with right, st.container(border=True, key="kitchen-line"):
            kitchen_line.weigh(shown, now.line, line, why)
    else:
        with left:
            st.html(_ahead(now.done, now.current, now.later, shown.ticked))
        with right, st.container(border=True, key="kitchen-line"):
            kitchen_steps.draw(shown, now.current)
    if not now.done:
        parts.small(say.STAY_AWAKE)


def _head(shown: store.BatchPage, cup: str) -> None:
    with st.container(key="kitchen-head", horizontal=True, vertical_alignment="center", wrap=False):
        where = f"<b>{escape(cup)}</b> · " if cup else ""
        st.html(f'<p class="bl-kwhere">{where}{escape(shown.line.name)} · {escape(shown.line.code)}</p>')
        st.button(words.LEAVE_KITCHEN, type="tertiary", on_click=kitchen_door.leave)


def _ladder(shown: store.BatchPage, line: Line) -> str:
    rungs, total = kitchen_log.ladder(shown, line)
    body = "".join(
        f'<li class="bl-{rung.state}"><span>{_rung(rung.state, rung.name)}</span>'
        f"<b>{line_words.grams(rung.grams, rung.step_g)}</b></li>"
        for rung in rungs
    )
    step = min(rung.step_g for rung in rungs)
    whole = f'<li class="bl-sum"><span>{say.CUP}</span><b>{line_words.grams(total, step)}</b></li>'
    return f'<ol class="bl-ladder-k">{body}{whole}</ol>'


def _rung(when: str, name: str) -> str:
    return RUNGS[when].format(name=escape(parts.capital(name)))


def _ahead(done: Sequence[Step], current: Step, later: Sequence[Step], ticked: Collection[str]) -> str:
    """The steps round the open one; a later one may be ticked before the batch was made bigger."""
    unit = settings.settings(state.folder()).heat_in
    shown = [("done", step) for step in done[-2:]] + [("now", current)]
    shown += [("done" if step.id in ticked else "later", step) for step in later[:4]]
    body = "".join(
        f'<li class="bl-{when}"><span>{_rung(when, in_degrees(step.text, step.heats, unit))}</span></li>'
        for when, step in shown
    )
    return f'<ol class="bl-ladder-k bl-steps">{body}</ol>'

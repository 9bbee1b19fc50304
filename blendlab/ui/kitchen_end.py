"""Kitchen view, the end: how a batch came out, what is open before release, the lot of a cooked base."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import store
from blendlab.production import base_lots, came_out, release, stock_lots
from blendlab.production.plausible import Doubtful
from blendlab.shelf import Base
from blendlab.ui import corrections, kitchen_steps, memo, mishap, outcome_rows, parts, state
from blendlab.ui.words import kitchen as say

COOKED = "cooked"
"""Key of the question about the grams of a cooked base."""


def finished(shown: store.BatchPage) -> None:
    """How it came out, what is still open, where to go."""
    came = came_out.of_batch(memo.book(), shown)
    st.html(f'<p class="bl-kname">{escape(say.IS_DONE.format(code=shown.line.code))}</p>')
    with st.container(width=640):
        parts.rows(outcome_rows.rows(came))
    if shown.line.kind == "base":
        parts.findings(came.findings, "cooked")
        _base_lot(shown)
    if shown.line.kind == "jars":
        points = release.points(memo.book(), shown, memo.shelf(), state.today())
        parts.findings(points, "release", say.NOTHING_OPEN)
    with st.container(horizontal=True):
        corrections.form(memo.book(), shown)
        st.button(say.TO_BOOK, type="primary", on_click=_to_book, args=(shown.line.code,))


def _base_lot(shown: store.BatchPage) -> None:
    """A cooked base becomes a lot with its grams."""
    made = [lot for lot in store.lots(memo.book()) if lot.batch == shown.line.code]
    if made:
        parts.small(say.IS_LOT.format(lot=stock_lots.lot_words(made[0])))
        return
    base = base_lots.cooked_as(memo.book(), shown, memo.shelf())
    if base is None:
        parts.small(say.NO_BASE)
        return
    with st.container(width=640):
        kitchen_steps.field(say.CAME_OUT, "cooked-grams")
        kitchen_steps.field(say.LEFT_IN_POT, "cooked-left")
        kitchen_steps.field(say.COOK_MINUTES, "cooked-minutes")
        kitchen_steps.field(say.LOT_CODE, "cooked-code", shown.line.code)
    kitchen_steps.really(COOKED)
    for answer in st.session_state.get("cooked-answers", []):
        parts.alert(answer)
    st.button(say.MAKE_LOT, type="primary", on_click=_finish_base, args=(shown, base))


@mishap.answered
def _finish_base(shown: store.BatchPage, base: Base) -> None:
    ss = st.session_state
    typed = {name: ss[f"cooked-{name}"] for name in ("grams", "left", "minutes", "code")}
    typed["why"] = ss.get(f"why-{COOKED}") or ""
    ss.update({"cooked-answers": [], "kitchen": {}})
    try:
        ss["cooked-answers"] = base_lots.cooked_lot(shown, base, typed, memo.book())
    except Doubtful as doubt:
        ss.kitchen = {"key": COOKED, "doubt": str(doubt)}


@mishap.answered
def _to_book(code: str) -> None:
    st.query_params.clear()
    st.session_state.update({"goto": "book", "book-part": "made", "book-code": code, "book-lot": None})

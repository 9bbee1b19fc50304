"""The oils of the scent: their shares, what their sheets say in a word, one more, one less."""

from __future__ import annotations

from html import escape

import streamlit as st

from blendlab import units
from blendlab.assess import Assessment
from blendlab.fragrance import SheetState
from blendlab.recipe import OilShare
from blendlab.shelf import Oil
from blendlab.show import scents
from blendlab.ui import echoes, memo, mishap, parts, state
from blendlab.ui.words import scent as say

WHOLE_PCT = 100
SUM_TOLERANCE_PCT = 0.005
ADD = "add-oil"


def oils(assessed: Assessment) -> None:
    """Every oil of the scent in a row of its own, and their sum."""
    with st.container(horizontal=True, vertical_alignment="center", key="oils-head"):
        parts.heading(say.OILS)
        with st.container(key="add"):
            _add()
    shares = assessed.design.scent.oils
    sheets = {sheet.oil_id: sheet for check in assessed.scents.values() for sheet in check.sheets}
    known = {blended.at: blended.oil for blended in assessed.resolved.oils} if assessed.resolved else {}
    with st.container(key="oil-rows"):
        for position, share in enumerate(shares):
            _oil(position, share, known.get(position), sheets.get(share.oil.id))
    total = sum(share.share_pct for share in shares)
    with st.container(horizontal=True, vertical_alignment="center", key="sum"):
        parts.small(say.SUM.format(total=units.plain(total, 2)) if shares else say.NO_OIL)
        if total > 0 and abs(total - WHOLE_PCT) > SUM_TOLERANCE_PCT:
            st.button(say.EVEN_OUT, type="tertiary", on_click=_even_out)


def _oil(position: int, share: OilShare, oil: Oil | None, sheet: SheetState | None) -> None:
    """One oil; None = nobody has it, or nobody looked at its sheet."""
    name = oil.name if oil else share.oil.id
    with st.container(
        key=f"oil-{position}", horizontal=True, wrap=False, vertical_alignment="center", gap="small"
    ):
        note = scents.note_word(oil) if oil else say.NOTE_UNKNOWN
        told = say.OIL_TOLD.format(note=note, sheet=_sheet_word(sheet) if share.share_pct else say.NONE_IN_IT)
        shown = f'<span title="{escape(name)}">{escape(name)}</span><small>{escape(told)}</small>'
        st.html(f'<p class="bl-oil">{shown}</p>')
        label = say.SHARE_OF.format(oil=name)
        parts.number_field(label, f"scent.oils.{position}.share_pct", "%", 0, 100, width=92)
        st.button(say.OUT, key=f"drop-oil-{position}", type="tertiary", on_click=_drop, args=(position,))


def _sheet_word(sheet: SheetState | None) -> str:
    if sheet is None:
        return say.NOT_CHECKED
    return sheet.word if sheet.state != "use" else say.SHEET


def _add() -> None:
    """Choice of an oil of the shelf that is not in the scent yet."""
    used = {share["oil"]["id"] for share in state.at("scent.oils")}
    free = {oil.id: oil.name for oil in memo.shelf().of("oil") if oil.id not in used}
    st.selectbox(
        say.ADD_OIL,
        list(free),
        format_func=lambda oil_id: free.get(oil_id, oil_id),
        index=None,
        key=ADD,
        placeholder=say.ADD_OIL,
        label_visibility="collapsed",
        on_change=echoes.edited(ADD, _add_oil),
    )


def _add_oil() -> None:
    chosen = st.session_state[ADD]
    echoes.put(ADD, None)
    if chosen:
        share = {"oil": state.reference(memo.on_shelf(Oil, chosen)), "share_pct": 0.0}
        state.change(say.DONE_OIL_MORE, lambda design: design["scent"]["oils"].append(share))


@mishap.answered
def _drop(position: int) -> None:
    state.change(say.DONE_OIL_LESS, lambda design: design["scent"]["oils"].pop(position))


@mishap.answered
def _even_out() -> None:
    shares = state.at("scent.oils")
    total = sum(share["share_pct"] for share in shares)
    evened = {
        f"scent.oils.{at}.share_pct": WHOLE_PCT * (share["share_pct"] / total)
        for at, share in enumerate(shares)
    }
    state.assign(evened, say.DONE_EVEN)

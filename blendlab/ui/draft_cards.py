"""Designs that were changed and not saved: first row of Cards, and a word where one is open elsewhere too."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.ui import documents, drafts, memo, mishap, opening, parts, state
from blendlab.ui.words import cards as say

COLUMNS, MOST = 4, 8
"""Drafts in a row, and those that are shown before the older ones are asked for."""
PX, SHOWN_PX = (280, 240), 132


def row() -> None:
    """Every design with work that no card has: picture, time, open, save, throw away."""
    found = drafts.unsaved()
    if not found:
        return
    with st.container(key="drafts"):
        parts.heading(say.DRAFTS)
        _grid(found[:MOST])
        if found[MOST:]:
            older = say.OLDER.format(count=len(found) - MOST)
            with st.expander(older, key="fold-drafts", on_change="rerun") as opened:
                if opened.open:
                    _grid(found[MOST:])


def _grid(found: tuple[store.Draft, ...]) -> None:
    for first in range(0, len(found), COLUMNS):
        columns = st.columns(COLUMNS, gap="medium")
        for column, draft in zip(columns, found[first : first + COLUMNS], strict=False):
            with column:
                _draft(draft)


def since(card_id: str) -> str:
    """What is said of a card that has work beside it: "changed 14:32, not saved"; "" where it has none."""
    found = next((draft for draft in drafts.unsaved() if draft.design_id == card_id), None)
    return say.CHANGED_SINCE.format(time=state.clock(found.kept_at)) if found else ""


def elsewhere() -> None:
    """A word about other unsaved work on the design that is open here."""
    for draft in drafts.others()[:1]:
        with st.container(key="elsewhere", horizontal=True):
            said = say.ALSO.format(name=draft.name, time=state.clock(draft.kept_at))
            st.html(f'<p class="bl-said" role="status">{escape(said)}</p>', width="content")
            st.button(
                say.OPEN_OTHER, key=f"also-{draft.id}", type="tertiary", on_click=_open, args=(draft.id,)
            )


def in_bin() -> None:
    """A word about the card of the open design where that lies in the bin, and its way back."""
    doc = st.session_state.doc
    if opening.binned(doc):
        with st.container(key="in-bin", horizontal=True):
            said = say.CARD_IN_BIN.format(name=doc["design"]["name"])
            st.html(f'<p class="bl-said" role="status">{escape(said)}</p>', width="content")
            st.button(say.PUT_BACK, key="put-card-back", type="tertiary", on_click=opening.put_back)


def _draft(draft: store.Draft) -> None:
    with st.container(key=f"draft-{draft.id}", horizontal=True, wrap=False, gap="small"):
        _picture(draft)
        with st.container(gap=None):
            here = say.AT_WORK if draft.id == st.session_state.doc["draft"] else ""
            told = say.DRAFT_SINCE.format(time=state.clock(draft.kept_at), here=here)
            name = f'<h3 class="bl-cardname">{escape(draft.name)}</h3>'
            st.html(f'{name}<p class="bl-small">{escape(told)}</p>')
            _acts(draft.id)


def _acts(draft_id: str) -> None:
    given: dict[str, Any] = {"type": "tertiary", "args": (draft_id,)}
    with st.container(horizontal=True, gap="small"):
        st.button(say.OPEN, key=f"_open-{draft_id}", on_click=_open, **given)
        st.button(say.SAVE, key=f"_save-{draft_id}", on_click=_save, **given)
        st.button(say.THROW_AWAY, key=f"_throw_away-{draft_id}", on_click=_throw_away, **given)


def _picture(draft: store.Draft) -> None:
    """The jar as it was left; a sentence where it cannot be drawn."""
    try:
        document, _, problem = documents.of_draft(draft)
        if problem:
            parts.small(problem)
            return
        shelf = memo.carried(document["embedded"])
        assessed = state.judged(memo.design(document["design"]), shelf)
        drawn = memo.picture(assessed, shelf, "front", PX)
    except Exception as problem:  # whatever is wrong with it, the others are shown
        parts.small(mishap.in_words(problem, "draft"))
        return
    st.image(drawn, width=SHOWN_PX, alt=say.DRAFT_OF.format(name=draft.name))


@mishap.answered
def _open(draft_id: str) -> None:
    opening.open_draft(draft_id)
    st.session_state.goto = "look"


@mishap.answered
def _save(draft_id: str) -> None:
    opening.save_left(draft_id)


@mishap.answered
def _throw_away(draft_id: str) -> None:
    name = store.open_draft(memo.folder(), draft_id).name
    opening.throw_away(draft_id)
    st.session_state.taken = {"id": draft_id, "name": name, "draft": True}

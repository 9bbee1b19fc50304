"""The drafts of this window and of the others: the file behind the design at work, what else lies unsaved."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import streamlit as st

from blendlab import store
from blendlab.errors import BlendlabError, ChangedOutside, NotSaved
from blendlab.ui import documents, memo, words

ADDRESS = "draft"
"""What of the address names the draft of a window."""
LEFT = timedelta(days=1)
"""A draft without work in it that was not touched for so long belongs to no window that is open."""


def first() -> tuple[store.Draft | None, str]:
    """The draft that the address names, else the one changed last, or None; what could not be read.

    A reload comes back to the draft of its own window. What other windows left long ago without a change in
    it is removed: it is a card, or the demo.
    """
    known, told = store.load_drafts(memo.folder())
    named = (draft for draft in known if draft.id == st.query_params.get(ADDRESS))
    chosen = next(named, known[0] if known else None)
    for draft in known:
        if draft is not chosen and not draft.changed and _is_old(draft):
            _drop(draft.id, draft.digest)
    return chosen, " ".join(told)


def refused() -> str:
    """Why nothing can be kept in her folder, in a sentence; "" where it takes files."""
    folder = memo.folder()
    try:
        store.ready(folder)
    except NotSaved as problem:
        return words.NOTHING_KEPT.format(folder=folder.root, reason=problem.reason)
    return ""


def own(document: dict[str, Any]) -> dict[str, Any]:
    """A document that was read from a draft: without work in it, and not named by the address, a copy.

    The window that has the draft keeps it, whatever this one opens next.
    """
    named = document["draft"] == st.query_params.get(ADDRESS)
    return document if named or document["changed"] else {**document, "draft": store.new_id()}


def _is_old(draft: store.Draft) -> bool:
    """Whether no window can be thought to show a draft any more."""
    try:
        return datetime.now(UTC) - datetime.fromisoformat(draft.kept_at) > LEFT
    except (ValueError, TypeError):
        return True


def address() -> None:
    """Name the draft at work in the address, for a reload of this window."""
    at_work = st.session_state.doc["draft"]
    if st.query_params.get(ADDRESS) != at_work:
        st.query_params[ADDRESS] = at_work


def unsaved() -> tuple[store.Draft, ...]:
    """Every draft that holds work no card has, the one changed last first."""
    known, _ = store.load_drafts(memo.folder())
    return tuple(draft for draft in known if draft.changed)


def others() -> tuple[store.Draft, ...]:
    """Unsaved drafts of the very design at work, other than the one at work: of another window, or left."""
    doc = st.session_state.doc
    return tuple(
        draft for draft in unsaved() if draft.design_id == doc["design"]["id"] and draft.id != doc["draft"]
    )


def keep(drawn: dict[str, Any] | None) -> str:
    """Write the design at work as its draft, beside it the last one that could be drawn; "" or what failed.

    Where another window writes the same draft, this one goes on in a draft of its own.
    """
    try:
        _write(drawn)
    except ChangedOutside:
        _part()
        return keep(drawn)
    except BlendlabError as problem:
        return str(problem)
    return ""


def _write(drawn: dict[str, Any] | None) -> None:
    ss = st.session_state
    draft_id = ss.doc["draft"]
    plain = documents.to_draft(ss.doc, drawn)
    digest = store.save_draft(memo.folder(), draft_id, plain, ss.kept.get(draft_id))
    ss.kept = {**ss.kept, draft_id: digest}


def _part() -> None:
    """Go on in a draft of its own, the steps of Undo and Redo too."""
    ss = st.session_state
    before, own = ss.doc["draft"], {"draft": store.new_id()}

    def mine(document: dict[str, Any]) -> dict[str, Any]:
        return {**document, **own} if document["draft"] == before else document

    ss.doc = mine(ss.doc)
    ss.past, ss.future = list(map(mine, ss.past)), list(map(mine, ss.future))


def leave() -> None:
    """Leave the design at work: its draft stays if it holds work that no card has."""
    ss = st.session_state
    if not ss.doc["changed"]:
        _drop(ss.doc["draft"], ss.kept.get(ss.doc["draft"]))


def _drop(draft_id: str, seen: str | None) -> None:
    try:
        store.drop_draft(memo.folder(), draft_id, seen)
    except BlendlabError:  # a file too many is no loss
        return


def is_kept() -> bool:
    """Whether the draft on the disk is the design at work."""
    known, _ = store.load_drafts(memo.folder())
    doc = st.session_state.doc
    return any(draft.id == doc["draft"] and draft.plain["design"] == doc["design"] for draft in known)
